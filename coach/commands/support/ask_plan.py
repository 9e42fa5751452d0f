"""Asks the client when and where the next sessions will be, line by line, after the pages are closed."""

import re
from collections.abc import Callable
from typing import TypeVar

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.profile import WEEKDAYS, TrainingPlan, Weekday

_SHORTEST = 2  # letters of a weekday
_TIME = re.compile(r"^([01]?\d|2[0-3])[:.h]([0-5]\d)$")
_LONGEST = 200

Value = TypeVar("Value")
Ask = Callable[[str], str]
Say = Callable[[str], None]


def ask_plan(
    content: Content, before: TrainingPlan | None, ask: Ask = input, say: Say = print
) -> TrainingPlan | None:
    """The client's plan; an empty line keeps what was said before. None where the input ends."""
    messages, kept = content.messages.client.plan, before or TrainingPlan()
    try:
        say(messages.title if kept == TrainingPlan() else messages.title_again)
        days = _until_read(messages.days, messages.no_day, lambda text: _days(text, content), kept.days, ask, say)
        at = _until_read(messages.at, messages.no_time, _time, kept.at, ask, say)
        when = ask(f"{messages.when} ").strip() or kept.when
        where = ask(f"{messages.where} ").strip() or kept.where
        if_not = ask(f"{messages.if_not} ").strip() or kept.if_not
    except (EOFError, KeyboardInterrupt):
        return None
    return TrainingPlan(days=days, at=at, when=_line(when), where=_line(where), if_not=_line(if_not))


def _until_read(question: str, refusal: str, read: Callable[[str], Value], kept: Value, ask: Ask, say: Say) -> Value:
    while True:
        text = ask(f"{question} ").strip()
        if not text:
            return kept
        try:
            return read(text)
        except ValueError as error:
            say(fill(refusal, {"typed": str(error)}))


def _days(text: str, content: Content) -> tuple[Weekday, ...]:
    """The weekdays named, each by its first letters. Raises ValueError with the word that is none."""
    names = [name.casefold() for name in content.messages.client.end.weekday]
    found: set[Weekday] = set()
    for word in re.split(r"[\s,;.]+", text.casefold()):
        meant = [day for day, name in zip(WEEKDAYS, names, strict=True) if word and name.startswith(word)]
        if word and (len(word) < _SHORTEST or len(meant) != 1):
            raise ValueError(word)
        found |= set(meant) if word else set()
    return tuple(day for day in WEEKDAYS if day in found)


def _time(text: str) -> str | None:
    match = _TIME.match(text)
    if match is None:
        raise ValueError(text)
    return f"{int(match[1]):02}:{match[2]}"


def _line(text: str | None) -> str | None:
    """What was typed, without control characters and not too long for a line."""
    clean = "".join(character for character in text or "" if character.isprintable())[:_LONGEST]
    return clean or None
