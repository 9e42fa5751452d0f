"""The page and the line that say which keys work now."""

from collections.abc import Iterator

from coach.model.message_format import fill
from coach.screens.client.key_bindings import ALL_BINDINGS, active_bindings
from coach.screens.client.page_types import AnswerOption, ScreenPage, TextPage
from coach.screens.client.pages import with_rehearsal_mark
from coach.session.state import State


def help_page(state: State, page: ScreenPage) -> TextPage:
    """Every key that works on a page, with what it does."""
    messages = state.plan.content.messages.client.keys
    names = messages.model_dump()
    answers = page.choices if isinstance(page, TextPage) else ()
    if isinstance(page, TextPage) and page.low:
        scale = state.plan.content.messages.client.plain.scale_key
        answers = (AnswerOption(scale, messages.scale),)
    bindings = [binding for binding in ALL_BINDINGS if binding.fits(state)]
    keys = (*answers, *(AnswerOption(binding.key, names[binding.word]) for binding in bindings))
    return TextPage(with_rehearsal_mark(messages.help_title, state.plan), messages.help_close, choices=keys)


def named_keys(state: State) -> list[tuple[str, str]]:
    """Each key of the footer as it is shown, and the key."""
    names = state.plan.content.messages.client.keys.model_dump()
    return [(f"{one.key} {names[one.word]}", one.key) for one in active_bindings(state)]


def unknown_key_line(key: str, state: State, page: ScreenPage) -> str:
    """One line: this key does nothing here, and which keys do something."""
    values = {"key": key.replace("_", " "), "keys": ", ".join(_possible(state, page))}
    return fill(state.plan.content.messages.client.keys.unknown, values)


def _possible(state: State, page: ScreenPage) -> Iterator[str]:
    if isinstance(page, TextPage) and page.low:
        yield state.plan.content.messages.client.plain.scale_key
    elif isinstance(page, TextPage):
        yield from (option.key for option in page.choices)
    seen = dict.fromkeys(binding.key for binding in ALL_BINDINGS if binding.fits(state))
    yield from seen
    yield "?"
