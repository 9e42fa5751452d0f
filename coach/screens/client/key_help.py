"""What is to be done on a page, and the page and the lines that say which keys work now."""

from collections.abc import Iterator, Mapping

from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.setup import NowName
from coach.screens.client.key_bindings import ALL_BINDINGS, active_bindings
from coach.screens.client.page_types import (
    AnswerOption,
    LessonPage,
    Now,
    RestPage,
    ScreenPage,
    SetPage,
    TextPage,
    with_rehearsal_mark,
)
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
