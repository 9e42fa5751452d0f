"""The therapist's words put into effect: only they end a review, and only they change the position."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from coach.model.instruction import SignOff, Word
from coach.model.prescription import Prescription
from coach.model.progress import Progress, RangeCap
from coach.model.record import Record
from coach.progression.rule_book import RuleBook

_Update = dict[str, object]

_ANEW: _Update = {"ready_sessions": 0, "under_sessions": 0, "fell_from_nm": None, "falls": 0, "eased": False}


def sign_offs_in_force(prescription: Prescription, records: Sequence[Record]) -> tuple[SignOff, ...]:
    """The sign-offs without those taken back before a session was done under them, as if they were never signed.

    A word under which a session was done stays, and so does what followed from it: the word that takes it back then
    changes nothing, and the therapist signs the opposite word instead.
    """
    pairs = ((one.signed_at, one.at) for one in prescription.sign_offs if one.signed_at is not None)
    taken_back = {signed_at for signed_at, at in pairs if not came_between(signed_at, at, records)}
    return tuple(one for one in prescription.sign_offs if one.what != "take_back" and one.at not in taken_back)


def came_between(since: datetime, until: datetime, records: Sequence[Record]) -> bool:
    """Whether a session was done between a word and the word that takes it back."""
    return any(since <= one.last_at <= until for one in records)


def may_take_back(word: SignOff, prescription: Prescription, records: Sequence[Record]) -> bool:
    """Whether no session was done since, and nobody has taken it back."""
    return word in prescription.kept_sign_offs and all(one.last_at < word.at for one in records)


@dataclass(frozen=True)
class _Said:
    """One word of the therapist, and what it is said about."""

    word: SignOff
    before: Progress
    prescription: Prescription
    book: RuleBook


def signed(before: Progress, word: SignOff, prescription: Prescription, book: RuleBook) -> Progress:
    """One word of the therapist. Whatever it says, they have seen what they were to be told."""
    update = _WORDS[word.what](_Said(word, before, prescription, book))
    return before.model_copy(update={"tell": {}, **update})


def _in_position(position_deg: int | None, prescription: Prescription) -> _Update:
    """A position begins at its lowest load step and at the bottom of the range (C12)."""
    return {
        **_ANEW,
        "position_deg": position_deg,
        "clean_sets": 0,
        "newest_fault": None,
        "load": None,
        "asked": None,
        "repetitions": prescription.dose.repetitions_min,
    }


def _unlock(said: _Said) -> _Update:
    """Another position; a review that did not suggest one goes on, and a cap that stands is not passed."""
    cap, position_deg = said.before.position_cap_deg, said.word.position_deg
    if cap is not None and position_deg is not None and position_deg > cap:
        return {}
    update = _in_position(position_deg, said.prescription)
    if said.before.status == "review" and not _suggested(said):
        return update
    return {**update, "status": "active", "looked_at": said.word.at}


def _suggested(said: _Said) -> bool:
    """Whether the review is for a position that was suggested; any other is ended in so many words."""
    decision = said.before.decision
    rule = said.book.named.get(decision.rule) if decision is not None else None
    return decision is None or (rule is not None and rule.then == "suggest_position")


def _overrule(said: _Said) -> _Update:
    """Another load step, other repetitions, or both; a review goes on until it is ended in so many words."""
    load = said.word.load
    update: _Update = {**_ANEW, "repetitions": said.word.repetitions or said.before.repetitions}
    return update if load is None else {**update, "load": None, "asked": load}


def _cap_range(said: _Said) -> _Update:
    position_deg, available_deg = said.word.position_deg, said.word.available_deg
    if position_deg is None or available_deg is None:
        return {}
    others = (one for one in said.before.range_caps if one.position_deg != position_deg)
    return {"range_caps": (*others, RangeCap(position_deg=position_deg, available_deg=available_deg))}


def _cap_position(said: _Said) -> _Update:
    """No position above this one; who stands above it goes back to the highest of the goal that it allows."""
    cap = said.word.position_deg
    allowed = [degrees for degrees in said.prescription.positions if cap is not None and degrees <= cap]
    update: _Update = {"position_cap_deg": cap}
    if cap is None or said.before.position_deg <= cap or not allowed:
        return update
    return {**update, **_in_position(max(allowed), said.prescription)}


_WORDS: Mapping[Word, Callable[[_Said], _Update]] = {
    "end_review": lambda said: {"status": "active", "looked_at": said.word.at, "ready_sessions": 0},
    "unlock_position": _unlock,
    "overrule": _overrule,
    "freeze_load": lambda said: {"frozen": True, "frozen_until": said.word.until},
    "lift_freeze": lambda _: {"frozen": False, "frozen_until": None},
    "cap_range": _cap_range,
    "cap_position": _cap_position,
    "lift_caps": lambda _: {"range_caps": (), "position_cap_deg": None},
    "allow_strengthening": lambda _: {"strengthening_allowed": True},
    "change": lambda _: {},
    "take_back": lambda _: {},
}
