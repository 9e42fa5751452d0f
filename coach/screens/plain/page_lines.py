"""A page of the session as plain lines: no escape codes, no boxes, nothing that moves."""

from collections.abc import Iterator

from coach.model.message_format import fill
from coach.model.messages.session_screens import PlainWords
from coach.screens.client.pages import Page, RestPage, SetPage
from coach.session.script import Work
from coach.session.set_words import set_words
from coach.session.signals import Signal
from coach.session.state import State

# A choice with more words than these gets a line of its own.
_SHORT = 20
# How often the rest says what is left of it, and from when on the count-in says every second.
_REST_EVERY_S = 15
_COUNT_FROM_S, _COUNT_EVERY_S = 3, 5


def spoken_title(title: str) -> str:
    """A title without the dot that only an eye skips."""
    return title.replace(" · ", ", ")


def page_lines(page: Page, words: PlainWords, drawn: tuple[str, ...] = ()) -> Iterator[str]:
    """A page to read or to answer; `drawn` is its drawing in sentences."""
    yield spoken_title(page.title)
    if page.alert:
        yield page.alert
    yield page.lead
    yield from page.lines
    yield from drawn
    if page.list_title:
        yield f"{page.list_title}:"
    for line in page.listed:
        yield f"- {line}"
    if page.low:
        yield fill(words.scale, {"low": page.low, "high": page.high})
    elif page.choices and not short(page):
        for shown in page.choices:
            yield fill(words.key, {"key": shown.key, "word": shown.words})
    given = next((shown.words for shown in page.choices if shown.chosen), None)
    if given is not None:
        yield fill(words.given, {"answer": given})


def short(page: Page) -> bool:
    """Whether all answers of a page fit into its line of keys."""
    return all(len(shown.words) <= _SHORT for shown in page.choices)


def set_lines(page: SetPage, state: State, words: PlainWords) -> Iterator[str]:
    """What is said before a set runs."""
    yield spoken_title(page.title)
    if page.cue:
        yield cue_line(page.cue, words)
    time = state.time_left
    if time is not None:
        yield fill(words.goal, {"left": time.repetitions})
        yield fill(words.starts_in, {"seconds": f"{time.count_in_s:g}"})


def cue_line(cue: str, words: PlainWords) -> str:
    """The cue of a set."""
    return fill(words.cue, {"cue": cue})


def rest_lines(page: RestPage, words: PlainWords) -> Iterator[str]:
    """What is said when a rest begins or goes on."""
    yield spoken_title(page.title)
    yield from page.lines
    yield fill(words.rest_left, {"seconds": page.left})


def signal_line(signal: Signal, before: State) -> str | None:
    """One change in a set or rest in a short line; None for a second of the count-in that needs none."""
    words = before.plan.content.words.screens.plain
    sets = set_words(before.plan.content, before.plan.before.exercise)
    time, step = before.time_left, before.step
    if time is None or not isinstance(step, Work):
        return words.rest_over if signal.name == "rest_over" else None
    match signal.name:
        case "count":
            left_s = round(time.count_in_s - signal.at_s)
            said = left_s <= _COUNT_FROM_S or left_s % _COUNT_EVERY_S == 0
            return fill(words.count, {"seconds": left_s}) if said else None
        case "out":
            done = round((signal.at_s - time.count_in_s) / time.repetition_s)
            values = {"repetition": before.whole + done + 1, "repetitions": step.time.repetitions}
            return fill(words.out, {"word": sets.out, **values})
        case "last_repetition":
            return fill(words.last_out, {"word": sets.out})
        case "set_over":
            return words.set_over
        case "hold" | "back" | "relax" as phase:
            return {"hold": sets.hold, "back": sets.back, "relax": sets.relax}[phase]
        case _:
            return None


def rest_line(before_s: float, after_s: float, words: PlainWords) -> str | None:
    """The seconds left of a rest, each time a quarter of a minute is through; None in between."""
    was, is_now = -int(-before_s // _REST_EVERY_S), -int(-after_s // _REST_EVERY_S)
    if is_now >= was:
        return None
    return fill(words.rest_left, {"seconds": is_now * _REST_EVERY_S})
