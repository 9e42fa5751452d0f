"""What is said: the lines of each page, the words of each signal, and every line of a session beforehand."""

import math
import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from itertools import chain

from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.client import SignalName
from coach.screens.client.key_bindings import THEME, active_bindings
from coach.screens.client.page_types import LessonPage, RestPage, ScreenPage, SetPage, TextPage
from coach.screens.client.pages import SetupCache, page_at
from coach.screens.plain.drawing_sentences import drawing_sentences
from coach.screens.plain.page_lines import rest_line, spoken_title
from coach.session.form_feedback import feedback
from coach.session.phrases import hurts_line, set_messages
from coach.session.plan import Plan
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.script import Rest, Work
from coach.session.signals import Signal, set_signals, sounded_until_s
from coach.session.state import State

# The seconds of the count-in that are said, and those for which no line of the set is held back.
_COUNTED_S, _ROOM_FOR_S = 3, 2


def page_words(page: ScreenPage, content: Content) -> Iterator[str]:
    """The lines of a page to read, to answer or to rest on; those of a set are `set_start_words`."""
    messages = content.messages.client
    if isinstance(page, RestPage):
        yield spoken_title(page.title)
        yield fill(messages.plain.rest_left, {"seconds": page.left})  # early, while it is still so
        yield from page.lines
    elif isinstance(page, LessonPage):
        yield spoken_title(page.title)
        yield page.lead
        yield from page.lines
    elif isinstance(page, TextPage):
        yield page.alert  # before everything else, for it may be an emergency
        yield spoken_title(page.title)
        yield page.lead
        yield from page.lines
        if page.low:
            yield fill(messages.voice.scale, {"low": page.low, "high": page.high})
        elif page.choices:
            for option in page.choices:
                yield fill(messages.plain.key, {"key": _key_name(option.key, content), "word": option.text})
        given = next((option.text for option in page.choices if option.chosen), "")
        yield fill(messages.plain.given, {"answer": given}) if given else ""
        yield page.list_title
        yield from page.listed


def state_words(page: ScreenPage, state: State, setups: SetupCache) -> Iterator[str]:
    """The lines of a page of the session, with its drawing in sentences and the keys that go on from it."""
    content = state.plan.content
    if isinstance(page, SetPage):
        return
    yield from page_words(page, content)
    if isinstance(page, TextPage) and page.scene is not None:
        yield from drawing_sentences(state.step, setups.of(state))
    yield from _way_on(state, content)


def _way_on(state: State, content: Content) -> Iterator[str]:
    """The first key of a page that asks nothing, and at the first page the key for all others."""
    messages = content.messages.client
    if state.question is None and state.chosen is None:
        words = messages.keys.model_dump()
        for binding in active_bindings(state)[:1]:
            if binding is not THEME:
                values = {"key": _key_name(binding.key, content), "word": words[binding.word]}
                yield fill(messages.plain.key, values)
    if state.at_step == 0 and not state.over:
        yield messages.voice.keys


def _key_name(key: str, content: Content) -> str:
    voice, space = content.messages.client.voice, content.messages.client.plain.space
    return {"enter": voice.enter, "space": space, "question_mark": voice.question_mark}.get(key, key)


def set_start_words(state: State) -> tuple[str, str, str]:
    """What is said at the start of a set, the most important first: what to do if it hurts, the cue, and the set."""
    messages, time = state.plan.content.messages.client, state.remaining_set
    number, about = state.set_number, feedback(state.plan, state.record)
    values = {"set": number, "sets": state.record.sets_today, "left": time.repetitions if time is not None else 0}
    shown = about.shown or state.cue_asked_for == number
    return hurts_line(state.plan), about.cue if shown else "", fill(messages.voice.set, values)


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
    return fill(content.messages.client.sound.spoken[signal.name], values)


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
    setups, first = SetupCache(), first_state(plan, at)
    for state in chain([first], rehearsed_states(first, Answers())):
        yield from _of_state(state, setups)


def _of_state(state: State, setups: SetupCache) -> Iterator[str]:
    if isinstance(state.step, Work) and state.question is None:
        yield from set_start_words(state)
        yield from (signal_words(signal, state) for signal in set_signals(state.step.time))
        return
    state = state._replace(why_shown=True)  # the end says its rule where it is asked for
    yield from state_words(page_at(state, setups.of(state), state.seen_s), state, setups)
    if isinstance(state.step, Rest):
        messages = state.plan.content.messages.client
        seconds = range(math.ceil(state.step.seconds), 0, -1)
        left = (rest_line(second, second - 1, messages.plain) for second in seconds)
        yield from (line for line in left if line)
        yield signal_words(Signal(0.0, "rest_over"), state)


def as_spoken(text: str, content: Content) -> str:
    """A text with the units after its numbers as words, which a voice would spell."""
    spelled: Mapping[str, str] = content.messages.client.voice.units
    for unit, word in spelled.items():
        text = re.sub(rf"(?<=\d) {re.escape(unit)}(?!\w)", f" {word}", text)
    return text.replace(" · ", ", ")


def check_words(content: Content) -> dict[SignalName, str]:
    """The words of each signal for the sound check, with the numbers of a first repetition."""
    values = {"out": content.messages.client.set.out, "repetition": 1}
    named = {name: fill(text, values) for name, text in content.messages.client.sound.spoken.items()}
    return {"count": "1", **named}
