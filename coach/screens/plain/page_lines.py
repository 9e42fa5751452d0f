"""A page of the session as plain lines, without escape codes, boxes or anything that moves."""

from collections.abc import Iterator

from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.client import PlainModeMessages
from coach.screens.client.page_types import RestPage, SetPage, TextPage
from coach.session.phrases import hurts_line, set_messages
from coach.session.plan import Plan
from coach.session.script import Step, Work
from coach.session.signals import Signal
from coach.session.state import State

# A choice with a longer text than this gets a line of its own.
_SHORT = 20
# The last seconds of the count-in that are all written, and the interval before them.
_COUNT_FROM_S, _COUNT_EVERY_S = 3, 5


def spoken_title(title: str) -> str:
    """A title without the middle dot, which a screen reader would read out."""
    return title.replace(" · ", ", ")


def page_lines(page: TextPage, messages: PlainModeMessages, drawn: tuple[str, ...] = ()) -> Iterator[str]:
    """The lines of a page to read or to answer; `drawn` is its drawing in sentences."""
    yield spoken_title(page.title)
    if page.banner:
        yield f"{page.banner}."
    if page.alert:
        yield page.alert
    yield from page.stops
    yield page.lead
    if page.remark:
        yield page.remark
    yield from page.lines
    yield from drawn
    for title, lines in ((page.list_title, page.listed), (page.before_title, page.before)):
        if title:
            yield f"{title}:"
        for number, line in enumerate(lines):
            yield from (f"{head}:" for at, head in page.heads if at == number and lines is page.listed)
            yield f"- {line}"
    if page.low:
        yield fill(messages.scale, {"low": page.low, "high": page.high})
    elif page.choices and not has_short_answers(page):
        for option in page.choices:
            yield fill(messages.key, {"key": option.key, "word": option.text})
    given = next((option.text for option in page.choices if option.chosen), None)
    if given is not None:
        yield fill(messages.given, {"answer": given})


def has_short_answers(page: TextPage) -> bool:
    """Whether all answers of a page are short enough for the line of keys."""
    return all(len(option.text) <= _SHORT for option in page.choices)


def set_lines(page: SetPage, state: State, messages: PlainModeMessages) -> Iterator[str]:
    """The lines before a set."""
    yield spoken_title(page.title)
    yield hurts_line(state.plan)
    if page.cue:
        yield cue_line(page.cue, messages)
    time = state.remaining_set
    if time is not None:
        yield fill(messages.goal, {"left": time.repetitions})
        yield fill(messages.starts_in, {"seconds": f"{time.count_in_s:g}"})


def cue_line(cue: str, messages: PlainModeMessages) -> str:
    """The line with the cue of a set."""
    return fill(messages.cue, {"cue": cue})


def rest_lines(page: RestPage, messages: PlainModeMessages) -> Iterator[str]:
    """The lines at the start of a rest, or when it is resumed."""
    yield spoken_title(page.title)
    yield from (line for line in (page.change, page.done) if line)
    yield from page.lines
    yield fill(messages.rest_left, {"seconds": page.left})


def signal_line(signal: Signal, before: State) -> str | None:
    """A short line on a change in a set or rest; None for a second of the count-in that is not written."""
    messages = before.plan.content.messages.client.plain
    sets = set_messages(before.plan.content, before.plan.before.exercise)
    time, step = before.remaining_set, before.step
    if time is None:
        return messages.rest_over if signal.name == "rest_over" else None
    repetitions = step.time.repetitions if isinstance(step, Work) else time.repetitions
    match signal.name:
        case "count":
            left_s = round(time.count_in_s - signal.at_s)
            announced = left_s <= _COUNT_FROM_S or left_s % _COUNT_EVERY_S == 0
            return fill(messages.count, {"seconds": left_s}) if announced else None
        case "out":
            done = round((signal.at_s - time.count_in_s) / time.repetition_s)
            values = {"repetition": before.whole + done + 1, "repetitions": repetitions}
            return fill(messages.out, {"word": sets.out, **values})
        case "last_repetition":
            return fill(messages.last_out, {"word": sets.out})
        case "set_over":
            return messages.set_over
        case "hold" | "back" | "relax" as phase:
            return {"hold": sets.hold, "back": sets.back, "relax": sets.relax}[phase]
        case _:
            return None


def rest_left_line(step: Step, before_s: float, after_s: float, plan: Plan) -> str | None:
    """A line with the seconds left of a rest, at regular intervals; None in between.

    The last of them before a set sends the client to the place of the exercise.
    """
    messages, every_s = plan.content.messages.client, plan.limits["take_place_s"]
    was, is_now = -int(-before_s // every_s), -int(-after_s // every_s)
    if is_now >= was:
        return None
    last = is_now == 1 and step.name != step_names.BETWEEN
    line = messages.rest.take_place_left if last else messages.plain.rest_left
    return fill(line, {"seconds": round(is_now * every_s)})
