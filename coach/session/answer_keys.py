"""The keys that answer each question, for the screens, rehearsals and tests."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coach.model.content_entries import Sign
from coach.progression.facts import EQUIPMENT
from coach.progression.pain_reports import PAIN_TROUBLES
from coach.session.script import Ask


@dataclass(frozen=True)
class Choice:
    """A key and the answer that it stands for."""

    key: str
    value: int | str


_YES_NO = (Choice("y", "yes"), Choice("n", "no"))
_NOT_SURE = Choice("u", "not_sure")
# Ten has to be one key: the Roman numeral is the same in every language.
_ZERO_TO_TEN = (*(Choice(str(number), number) for number in range(10)), Choice("x", 10))
_FIXED: Mapping[str, tuple[Choice, ...]] = {
    "yes_no": _YES_NO,
    "yes_no_not_sure": (*_YES_NO, _NOT_SURE),
    "zero_to_ten": _ZERO_TO_TEN,
}


def choices(question: Ask, signs: tuple[Sign, ...]) -> tuple[Choice, ...]:
    """The answers to a question, in the order in which they are shown."""
    if question.scale == "sign":
        named = [sign.name for sign in signs if "check_in" in sign.asked]
        return (*_numbered(named), Choice("n", "none"), _NOT_SURE)
    if question.options:
        return _numbered(question.options)
    if question.scale == "trouble":
        return _numbered([*PAIN_TROUBLES, EQUIPMENT, *(sign.name for sign in signs if "set" in sign.asked)])
    return _FIXED[question.scale]


def choice_of(key: str, question: Ask, signs: tuple[Sign, ...]) -> Choice | None:
    """The answer that a key stands for; None if the key answers nothing here."""
    return next((choice for choice in choices(question, signs) if choice.key == key), None)


def _numbered(names: Sequence[str | int]) -> tuple[Choice, ...]:
    return tuple(Choice(str(number), name) for number, name in enumerate(names, start=1))
