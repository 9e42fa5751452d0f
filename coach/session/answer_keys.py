"""The keys that answer each question, for the screens, rehearsals and tests."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from coach.model.content import Content
from coach.model.content_entries import Sign
from coach.progression.facts import EQUIPMENT
from coach.progression.pain_reports import PAIN_TROUBLES
from coach.session.script import Ask


class Choice(Struct, frozen=True):
    """A key and the answer that it stands for."""

    key: str
    value: int | str


_YES, TEN = "y", "x"
_YES_NO = (Choice(_YES, "yes"), Choice("n", "no"))
_NOT_SURE = Choice("u", "not_sure")
# Ten as one key is the Roman numeral, which is the same in every language; on screens it is typed as 1 and 0 too.
_ZERO_TO_TEN = (*(Choice(str(number), number) for number in range(10)), Choice(TEN, 10))
_FIXED: Mapping[str, tuple[Choice, ...]] = {
    "yes_no": _YES_NO,
    "yes_no_not_sure": (*_YES_NO, _NOT_SURE),
    "how_often": (Choice("0", "never"), Choice("1", "once"), Choice("2", "more_than_once"), _NOT_SURE),
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
    """The answer that a key stands for; None if the key answers nothing here. A number is also its own key."""
    shown = choices(question, signs)
    if question.scale == "zero_to_ten" and key == "10":
        key = TEN
    return next((choice for choice in shown if choice.key == key), None)


def shown_key(choice: Choice, content: Content) -> str:
    """The key to show for an answer: yes has the letter of the client's language."""
    return content.messages.client.scale.yes_key if choice.key == _YES else choice.key


def meant_key(pressed: str, content: Content) -> str:
    """The key that is meant by the one pressed: capital letters count, and yes has a letter of its own."""
    key = pressed.lower() if len(pressed) == 1 else pressed.removeprefix("upper_")
    return _YES if key == content.messages.client.scale.yes_key else key


def _numbered(names: Sequence[str | int]) -> tuple[Choice, ...]:
    return tuple(Choice(str(number), name) for number, name in enumerate(names, start=1))
