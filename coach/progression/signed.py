"""The therapist's words put into effect: only they end a review, and only they change the position."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime

from coach.model.prescription import Prescription
from coach.model.progress import Progress, RangeCap
from coach.model.record import Record
from coach.model.sign_off import SignOff, Word

Update = dict[str, object]

_ANEW: Update = {"ready_sessions": 0, "under_sessions": 0, "fell_from_nm": None, "falls": 0, "eased": False}


# What suggests a position is answered by unlocking it; a review for any other reason is ended in so many words.
_SUGGESTS = "position_ready"


def words_in_force(prescription: Prescription, records: Sequence[Record]) -> tuple[SignOff, ...]:
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


def signed(progress: Progress, sign_off: SignOff, prescription: Prescription) -> Progress:
    """One word of the therapist. Whatever it says, they have seen what they were to be told."""
    update = _WORDS[sign_off.what](progress, sign_off, prescription)
    return progress.model_copy(update={"tell": {}, **update})


def _end_review(_: Progress, sign_off: SignOff, __: Prescription) -> Update:
    return {"status": "active", "looked_at": sign_off.at, "ready_sessions": 0}


def _in_position(position_deg: int | None, prescription: Prescription) -> Update:
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


def _unlock(progress: Progress, sign_off: SignOff, prescription: Prescription) -> Update:
    """Another position; a review that did not suggest one goes on, and a cap that stands is not passed."""
    cap = progress.position_cap_deg
    if cap is not None and sign_off.position_deg is not None and sign_off.position_deg > cap:
        return {}
    update = _in_position(sign_off.position_deg, prescription)
    decided_by = progress.decision.rule if progress.decision is not None else _SUGGESTS
    if progress.status == "review" and decided_by != _SUGGESTS:
        return update
    return {**update, "status": "active", "looked_at": sign_off.at}


def _overrule(progress: Progress, sign_off: SignOff, _: Prescription) -> Update:
    """Another load step, other repetitions, or both; a review goes on until it is ended in so many words."""
    update: Update = {**_ANEW, "repetitions": sign_off.repetitions or progress.repetitions}
    return update if sign_off.load is None else {**update, "load": None, "asked": sign_off.load}


def _cap_range(progress: Progress, sign_off: SignOff, _: Prescription) -> Update:
    if sign_off.position_deg is None or sign_off.available_deg is None:
        return {}
    cap = RangeCap(position_deg=sign_off.position_deg, available_deg=sign_off.available_deg)
    others = [one for one in progress.range_caps if one.position_deg != cap.position_deg]
    return {"range_caps": (*others, cap)}


def _cap_position(progress: Progress, sign_off: SignOff, prescription: Prescription) -> Update:
    """No position above this one; who stands above it goes back to the highest of the goal that it allows."""
    cap = sign_off.position_deg
    allowed = [degrees for degrees in prescription.positions if cap is not None and degrees <= cap]
    update: Update = {"position_cap_deg": cap}
    if cap is None or progress.position_deg <= cap or not allowed:
        return update
    return {**update, **_in_position(max(allowed), prescription)}


_WORDS: Mapping[Word, Callable[[Progress, SignOff, Prescription], Update]] = {
    "end_review": _end_review,
    "unlock_position": _unlock,
    "overrule": _overrule,
    "freeze_load": lambda _, sign_off, __: {"frozen": True, "frozen_until": sign_off.until},
    "lift_freeze": lambda _, __, ___: {"frozen": False, "frozen_until": None},
    "cap_range": _cap_range,
    "cap_position": _cap_position,
    "lift_caps": lambda _, __, ___: {"range_caps": (), "position_cap_deg": None},
    "allow_strengthening": lambda _, __, ___: {"strengthening_allowed": True},
    "change": lambda _, __, ___: {},
    "take_back": lambda _, __, ___: {},
}
