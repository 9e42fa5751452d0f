"""The words of the therapist so far as lines: what was said and why, and what has become of it."""

from collections.abc import Sequence

from coach.model.instruction import SignOff
from coach.model.message_format import fill
from coach.model.messages.steering import SteeringWords
from coach.model.prescription import Prescription
from coach.model.record import Record
from coach.progression.apply_instructions import may_take_back, session_between

_TIME = "%Y-%m-%d %H:%M:%S"


def word_lines(
    word: SignOff, prescription: Prescription, records: Sequence[Record], words: SteeringWords
) -> list[str]:
    """One sign-off: when, who and what; then why, and whether it was taken back or can be."""
    lines = [f"{word.at.strftime(_TIME)}  {word.initials}  {said_in_words(word, words)}", word.reason]
    for back in prescription.sign_offs:
        if back.signed_at == word.at:
            taken = words.no_effect if session_between(word.at, back.at, records) else words.taken_back
            values = {"at": back.at.strftime(_TIME), "initials": back.initials, "reason": back.reason}
            lines.append(fill(taken, values))
    return [*lines, words.may_take_back] if may_take_back(word, prescription, records) else lines


def said_in_words(word: SignOff, words: SteeringWords) -> str:
    """What a word says, with its values."""
    apart = {"at", "initials", "what", "reason", "changed", "load"}
    said = [
        f"{name} {value}" for name, value in word.model_dump(mode="json", exclude_none=True, exclude=apart).items()
    ]
    if word.load is not None:
        said += [f"{name} {value}" for name, value in word.load.model_dump().items()]
    none = words.nothing_there
    for change in word.changed:
        said.append(
            fill(words.change_line, {"key": change.key, "was": change.was or none, "now": change.now or none})
        )
    name = words.word[word.what].name
    return f"{name}: {', '.join(said)}" if said else name
