"""What is to be done on a page, and the page and the lines that say which keys work now."""

from collections.abc import Iterator, Mapping

from coach.model import step_names
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.client import KeyMessages
from coach.model.messages.setup import NowName
from coach.screens.client.key_bindings import ALL_BINDINGS, active_bindings, may_choose_tell_by
from coach.screens.client.page_types import (
    AnswerOption,
    LessonPage,
    MoreLines,
    Now,
    RestPage,
    ScreenPage,
    SetPage,
    TextPage,
    with_rehearsal_mark,
)
from coach.session.answer_keys import choices
from coach.session.interruptions import HOW_TO_TELL
from coach.session.phrases import answer_text
from coach.session.plan import Plan
from coach.session.script import SetupAgain, Trial
from coach.session.state import State

_KEY_GOES_HERE = "\0"
# What is to be done where Enter has this meaning; on some pages of the session something else comes first.
_NOW_BY_WORD: Mapping[str, NowName] = {
    "go_on": "read",
    "start": "begin",
    "resume": "paused",
    "skip_rest": "rest",
    "next_exercise": "next_exercise",
    "keep_plan": "keep_plan",
    "quit": "close",
}
_NOW_BY_STEP: Mapping[tuple[str, str], NowName] = {
    (step_names.TODAY, "go_on"): "get_ready",
    (step_names.WARM_UP, "go_on"): "warm_up",
    (step_names.REACH, "start"): "find_line",
}


def help_page(state: State, page: ScreenPage, scrolls: bool = False) -> TextPage:
    """Every key that works on a page, with what it does, below what stands above all else on that page.

    `scrolls`: in a window, which a page may be longer than.
    """
    messages = state.plan.content.messages.client.keys
    names = messages.model_dump()
    bindings = [binding for binding in ALL_BINDINGS if binding.fits(state)]
    moves = scrolls and isinstance(page, TextPage | LessonPage)
    arrows = (AnswerOption(messages.arrows, messages.scroll),) if moves else ()
    keys = (*_answers(state, page), *(AnswerOption(one.key, names[one.word]) for one in bindings), *arrows)
    alert = page.alert if isinstance(page, TextPage) else ""
    title = with_rehearsal_mark(messages.help_title, state.plan)
    return TextPage(title, messages.help_close, choices=keys, alert=alert)


def ways_to_tell(state: State) -> tuple[AnswerOption, ...]:
    """The keys of a lesson that choose how form will be told; none on other pages."""
    content = state.plan.content
    ways = choices(HOW_TO_TELL, content.signs) if may_choose_tell_by(state) else ()
    return tuple(AnswerOption(one.key, answer_text(one.value, content)) for one in ways)


def _answers(state: State, page: ScreenPage) -> tuple[AnswerOption, ...]:
    """The keys that answer a page, those of a scale as one."""
    messages = state.plan.content.messages.client
    if not isinstance(page, TextPage):
        return tuple(AnswerOption(one.key, f"{messages.keys.tell_by}: {one.text}") for one in ways_to_tell(state))
    if page.low:
        return (AnswerOption(messages.plain.scale_key, messages.keys.scale),)
    return page.choices


def more_lines(messages: KeyMessages) -> MoreLines:
    """What is said of a page that is longer than the window."""
    return MoreLines(messages.more, messages.more_above, messages.more_both)


def named_keys(state: State) -> list[tuple[str, str]]:
    """Each key of the footer as it is shown, and the key."""
    names = state.plan.content.messages.client.keys.model_dump()
    return [(f"{one.key} {names[one.word]}", one.key) for one in active_bindings(state)]


def footer(state: State) -> list[str]:
    """The keys of the footer as they are shown."""
    return [shown for shown, _ in named_keys(state)]


def now_line(page: ScreenPage, state: State) -> Now | None:
    """What is to be done on a page of the session; None where the page is nothing but that."""
    if isinstance(page, TextPage) and page.choices:
        return to_answer(page, state.plan)
    name = _now_name(page, state)
    return None if name is None else _now(state.plan.content.messages.client.now[name], page)


def to_answer(page: TextPage, plan: Plan) -> Now:
    """That a page is to be answered, and how."""
    messages = plan.content.messages.client
    return Now(messages.scale.ten if page.low else messages.now["answer"])


def _now(message: str, page: ScreenPage) -> Now:
    steps = 1 + len(page.lines) if isinstance(page, TextPage) else 0
    before, key, after = fill(message, {"key": _KEY_GOES_HERE, "steps": steps}).partition(_KEY_GOES_HERE)
    return Now(before, "enter" if key else "", after)


def _now_name(page: ScreenPage, state: State) -> NowName | None:
    if isinstance(page, SetPage):
        return "take_place" if page.counting_in and not state.practising else None
    words = [one.word for one in active_bindings(state) if one.key == "enter"]
    if isinstance(page, RestPage) and "resume" not in words:
        return "take_place" if page.takes_place else "change_and_rest" if page.change else "rest"
    if isinstance(page, LessonPage):
        return "compare" if state.tell_by else "compare_and_tell"
    if isinstance(state.step, Trial) and state.record.own_tempo is None:
        return "timing" if state.watch.since_s is not None else "timed"
    if isinstance(page, TextPage) and page.steps and "go_on" in words:
        return "steps"
    if isinstance(state.step, SetupAgain) and "go_on" in words:
        return "change"
    names = (_NOW_BY_STEP.get((state.step.name, word)) or _NOW_BY_WORD.get(word) for word in words)
    return next((name for name in names if name is not None), None)


def no_key_note(key: str, content: Content) -> str:
    """That this key does nothing on a page that names its keys, or in a window that has no room for keys."""
    from coach.screens.plain.typed_keys import no_key_line

    return no_key_line(key.replace("_", " "), content)


def unknown_key_line(key: str, state: State, page: ScreenPage) -> str:
    """One line: this key does nothing here, and which keys do something."""
    values = {"key": key.replace("_", " "), "keys": ", ".join(_possible(state, page))}
    return fill(state.plan.content.messages.client.keys.unknown, values)


def _possible(state: State, page: ScreenPage) -> Iterator[str]:
    yield from (option.key for option in _answers(state, page))
    seen = dict.fromkeys(binding.key for binding in ALL_BINDINGS if binding.fits(state))
    yield from seen
    yield "?"
