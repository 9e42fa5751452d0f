"""What is said: the lines of each page, the words of each signal, and every line of a session beforehand."""

import math
import re
from collections.abc import Iterator
from contextlib import suppress
from datetime import date, datetime
from functools import partial
from itertools import chain

from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.client import SignalName
from coach.overview.day_in_words import day_in_words
from coach.screens.client.key_bindings import THEME, active_bindings
from coach.screens.client.page_types import AnswerOption, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.plain.drawing_sentences import drawing_in_short, drawing_sentences
from coach.screens.plain.page_lines import rest_left_line, spoken_title
from coach.screens.plain.sign_groups import asks_for_signs, group_lines, sign_groups
from coach.screens.sound.said_so_far import SaidSoFar, answers_read_back
from coach.session.form_feedback import feedback
from coach.session.phrases import by_hold, hurts_line, position_messages, set_messages
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.script import Rest, Work
from coach.session.signals import Signal, set_signals, sounded_until_s
from coach.session.state import State

# The seconds of the count-in that are said, and those for which no line of the set is held back.
_COUNTED_S, _ROOM_FOR_S = 3, 2
# A date as English and as German writes it.
_DATE = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b|\b(\d\d?)\.(\d\d?)\.(\d{4})\b")
_EXAMPLE_S = 10  # of a count-in, for the sound check


def page_words(page: ScreenPage, content: Content, said: SaidSoFar) -> Iterator[str]:
    """The lines of a page to read, to answer or to rest on; those of a set are `set_start_words`."""
    yield from _text_of(page, content, said)
    if isinstance(page, TextPage):
        yield from _options(page, content, said)
        yield from _listed(page)


def _text_of(page: ScreenPage, content: Content, said: SaidSoFar) -> Iterator[str]:
    """What a page says before its answers and lists."""
    if isinstance(page, SetPage):
        return
    if isinstance(page, TextPage):
        yield page.alert  # before everything else, for it may be an emergency
    if isinstance(page, RestPage):
        yield fill(content.messages.client.plain.rest_left, {"seconds": page.left})  # early, while it is still so
    yield said.title(spoken_title(page.title))
    yield from page.stops if isinstance(page, TextPage) else ()
    yield page.change if isinstance(page, RestPage) else page.lead
    yield from page.lines
    if isinstance(page, TextPage):
        yield page.remark


def _options(page: TextPage, content: Content, said: SaidSoFar) -> Iterator[str]:
    """The answers of a page, and the one that was given before."""
    messages = content.messages.client
    if page.low:
        yield said.scale(page, messages.voice)
    else:
        yield from (_option(option, content) for option in page.choices)
    given = next((option.text for option in page.choices if option.chosen), "")
    yield fill(messages.plain.given, {"answer": given}) if given else ""


def _option(option: AnswerOption, content: Content) -> str:
    values = {"key": _key_name(option.key, content), "word": option.text}
    return fill(content.messages.client.plain.key, values)


def _listed(page: TextPage) -> Iterator[str]:
    yield page.list_title
    yield from page.listed


def group_words(page: TextPage, number: int, content: Content) -> Iterator[str]:
    """One group of the warning signs, and the keys that go on: those that answer only after the last group."""
    voice = content.messages.client.voice
    yield from group_lines(page, number, content)
    yield voice.group_next if number + 1 < len(sign_groups(page)) else voice.group_last


def state_words(page: ScreenPage, state: State, setups: SetupCache, said: SaidSoFar) -> Iterator[str]:
    """The lines of a page of the session, with its drawing in sentences and the keys that go on from it.

    First comes the answer that led to it. Of the warning signs only the first group. Unless all is to be heard in
    full, a drawing is one sentence, and what to know at first comes after the rest, or is left out.
    """
    content, question = state.plan.content, None if state.over else state.question
    yield from said.read_back(state)
    if state.at_step == 0 and not state.over:
        yield content.messages.client.voice.go_on
    page, last = _cautions_last(_without_what_is_known(page, state, said), state, said)
    if state.over and isinstance(page, TextPage):  # the keys come last, after what they are asked for
        page = replace(page, lines=(*_listed(page), *page.lines), list_title="", listed=())
    if question is not None and state.chosen is None and isinstance(page, TextPage):
        yield page.remark
        yield from page.lines  # both are about what was before: between a question and its answers they mislead
        page = replace(page, lines=(), remark="")
        yield from said.how_to_tell(state)
    yield from _text_of(page, content, said)
    if isinstance(page, TextPage):
        if page.drawing is not None:
            sentences = drawing_sentences if said.in_full else drawing_in_short
            yield from sentences(state.step, setups.of(state))
        if asks_for_signs(state):
            yield from group_words(page, 0, content)
        else:
            yield from _options(page, content, said)
        if question is None or not question.of_form:  # how to tell was said above, once
            yield from _listed(page)
    if question is None:
        yield from said.how_to_tell(state)
    if state.at_step == 0 and not state.over and _is_new(state, said):
        yield content.messages.client.voice.keys
    yield from last
    if said.in_full and isinstance(page, TextPage):
        yield page.before_title
        yield from page.before
    yield from _way_on(state, content)  # whoever hears it has heard the page


def _is_new(state: State, said: SaidSoFar) -> bool:
    """Whether what holds for every session is said: in the first one, and where a page is heard again in full."""
    return said.in_full or state.plan.before.last_session is None


def _without_what_is_known(page: ScreenPage, state: State, said: SaidSoFar) -> ScreenPage:
    """A page without what is known after the first session: how it goes, why this position, whose word is first."""
    if not isinstance(page, TextPage) or _is_new(state, said):
        return page
    messages = state.plan.content.messages
    known = (messages.client.today.what_follows, position_messages(state.plan).why_here)
    lead = "" if page.at_first and page.lead in messages.safety.cautions_at_first else page.lead
    return replace(page, lead=lead, lines=tuple(line for line in page.lines if line not in known))


def _cautions_last(page: ScreenPage, state: State, said: SaidSoFar) -> tuple[ScreenPage, tuple[str, ...]]:
    """A page without the cautions that are known after the first session, and what is said of them at its end."""
    if not isinstance(page, TextPage) or not page.at_first or said.in_full:
        return page, ()
    asked = (state.plan.content.messages.client.voice.more_cautions,)
    last = page.listed[-page.at_first :] if _is_new(state, said) else asked
    return replace(page, listed=page.listed[: -page.at_first]), last


def _way_on(state: State, content: Content) -> Iterator[str]:
    """The first key of a page that asks nothing, and all keys of the last page."""
    messages = content.messages.client
    if state.question is None and state.chosen is None:
        words = messages.keys.model_dump()
        for binding in active_bindings(state)[: None if state.over else 1]:
            if binding is not THEME:
                values = {"key": _key_name(binding.key, content), "word": words[binding.word]}
                yield fill(messages.plain.key, values)


def _key_name(key: str, content: Content) -> str:
    voice, space = content.messages.client.voice, content.messages.client.plain.space
    return {"enter": voice.enter, "space": space, "question_mark": voice.question_mark}.get(key, key)


def take_words(state: State) -> str:
    """That the band is to be taken now, and how long the count-in is."""
    messages = state.plan.content.messages.client.sound
    return fill(messages.spoken["rest_over"], {"seconds": state.count_in_s})


def set_start_words(state: State) -> tuple[str, str]:
    """What is said at the start of a set, the most important first: what to do if it hurts, and the cue."""
    about = feedback(state.plan, state.record)
    shown = about.shown or state.cue_asked_for == state.set_number
    return hurts_line(state.plan), about.cue if shown else ""


def cue_of_phase(signal: Signal, state: State) -> str:
    """The cue of a set in the first repetition, as the phase begins that it is about; else empty."""
    about, time = feedback(state.plan, state.record), state.remaining_set
    if time is None or not isinstance(state.step, Work) or signal.name != about.phase:
        return ""
    first = signal.at_s < time.count_in_s + time.repetition_s and not state.whole
    return set_start_words(state)[1] if first else ""


def signal_words(signal: Signal, state: State) -> str:
    """The words of a signal; empty for a second of the count-in that is not said."""
    content, time, step = state.plan.content, state.remaining_set, state.step
    values: dict[str, object] = {"out": set_messages(content, state.plan.before.exercise).out}
    if time is not None and isinstance(step, Work):
        done = round((signal.at_s - time.count_in_s) / time.repetition_s)
        values["repetition"] = state.whole + done + 1
    if signal.name == "count":
        left_s = _seconds_left(signal, state)
        return str(left_s) if left_s <= _COUNTED_S else ""
    if signal.name == "rest_over":
        return take_words(state)
    sound = content.messages.client.sound
    if signal.name == "set_over":
        return by_hold(state.plan, sound.spoken["set_over"], sound.set_over_underfoot)
    return fill(sound.spoken[signal.name], values)


def is_tick(signal: Signal, state: State) -> bool:
    """Whether a signal is a second of the count-in that is only heard if nothing else is."""
    return signal.name == "count" and _seconds_left(signal, state) > _ROOM_FOR_S


def _seconds_left(signal: Signal, state: State) -> int:
    time = state.remaining_set
    return round(time.count_in_s - signal.at_s) if time is not None else 0


def free_until_s(state: State) -> float | None:
    """When the next signal that must be heard is due; None if none is to come by itself."""
    if state.over or state.watch.since_s is None:
        return None
    elapsed_s, time = sounded_until_s(state, state.seen_s), state.remaining_set
    if time is not None:
        due = (one.at_s for one in set_signals(time) if one.at_s > elapsed_s and not is_tick(one, state))
        return next((state.seen_s + at_s - elapsed_s for at_s in due), None)
    return state.seen_s + state.rest_left_s(state.seen_s) if isinstance(state.step, Rest) else None


def session_words(plan: Plan, at: datetime) -> Iterator[str]:
    """Every line of a session without faults, in its order, so that their files can be made beforehand."""
    from coach.model.answers_file import Answers

    setups, said, first = SetupCache(), SaidSoFar(), first_state(plan, at)
    for state in chain([first], rehearsed_states(first, Answers())):
        yield from _of_state(state, setups, said)


def _of_state(state: State, setups: SetupCache, said: SaidSoFar) -> Iterator[str]:
    if isinstance(state.step, Work) and state.question is None:
        yield take_words(state)
        yield from set_start_words(state)
        yield from (signal_words(signal, state) for signal in set_signals(state.step.time))
        return
    page = page_at(state, setups.of(state), state.seen_s)
    yield from state_words(page, state, setups, said)
    if isinstance(page, TextPage) and asks_for_signs(state):
        for number in range(1, len(sign_groups(page))):
            yield from group_words(page, number, state.plan.content)
    if state.question is not None:
        yield from answers_read_back(state.question, state.plan)
    if isinstance(state.step, Rest):
        seconds = range(math.ceil(state.step.seconds), 0, -1)
        left = (rest_left_line(state.step, second, second - 1, state.plan) for second in seconds)
        yield from (line for line in left if line)


def as_spoken(text: str, content: Content) -> str:
    """A text with the units after its numbers and the months of its dates as words, and keys by their full names."""
    spelled = content.messages.client.voice.units
    for unit, word in spelled.items():
        text = re.sub(rf"(?<=\d) {re.escape(unit)}(?!\w)", f" {word}", text)
    text = _DATE.sub(partial(_spoken_date, content.messages.language), text)
    text = re.sub(r"\bEnter\b", content.messages.client.voice.enter, text)
    return re.sub(r"(^|\s)\?(?=\s)", rf"\1{content.messages.client.voice.question_mark}", text).replace(" · ", ", ")


def _spoken_date(language: str, found: re.Match[str]) -> str:
    """A date as a day and a month; the text itself where it is none, or the language has no names of months."""
    year, month, day = found.group(1, 2, 3) if found[1] else found.group(6, 5, 4)
    with suppress(ValueError):
        return day_in_words(date(int(year), int(month), int(day)), language) or found[0]
    return found[0]


def check_words(content: Content) -> dict[SignalName, str]:
    """The words of each signal for the sound check, with the numbers of a first repetition."""
    values = {"out": content.messages.client.set.out, "repetition": 1, "seconds": _EXAMPLE_S}
    named = {name: fill(text, values) for name, text in content.messages.client.sound.spoken.items()}
    return {"count": "1", **named}
