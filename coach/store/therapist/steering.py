"""A word of the therapist, from what was typed to prescription.toml: checked as the files are, signed, undoable.

It is looked at first, shown, then signed: under the lock, and only if nothing has changed since it was looked at.
"""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from coach.content_files.content_folder import content_folder, languages
from coach.model.content import Content
from coach.model.instruction import CHANGEABLE, SignOff
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.progression.apply_instructions import came_between, may_take_back
from coach.session.plan import plan_session
from coach.store.client_folder import ProfileFolder, read_profile_folder
from coach.store.client_paths import PRESCRIPTION, PROFILE, RECORDS
from coach.store.client_store import judged
from coach.store.lock import lock
from coach.store.therapist.check_client import check_sources
from coach.store.therapist.prescription_file import BY_POSITION, value_at, with_values, with_word
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, whole_file
from coach.toml.input_parsing import literal, typed_at
from coach.toml.reader import parse_model, read_text
from coach.toml.source_file import Source
from coach.toml.value_faults import nearest

_SECOND = timedelta(seconds=1)
_KEY = re.compile(r"[a-z0-9_]{1,48}(\.[a-z0-9_]{1,48}){0,2}")
_IN_POSITION = re.compile(r"[a-z]+\.\d{1,2}\.[a-z0-9_]{1,48}")


@dataclass(frozen=True)
class Seen:
    """A client as the therapist looked at them: what a word is about, and by which a change since is noticed."""

    folder: ProfileFolder
    profile_text: str
    prescription_text: str
    records: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Asked:
    """A word as it was typed. `said`: what belongs to it, by its key; `values`: what a change changes, by its key."""

    what: str
    initials: str
    reason: str
    said: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Proposed:
    """A word that could be signed, the prescription with it, and where the client would stand."""

    word: SignOff
    text: str
    prescription: Prescription
    progress: Progress


def look(path: Path) -> Seen:
    """The client as the files are now. FileFault with every fault of every file."""
    folder = read_profile_folder(path, mends=False)
    records = sorted((path / RECORDS).glob("*.toml"))
    sizes = tuple((record.name, record.stat().st_size) for record in records)
    return Seen(folder, read_text(path / PROFILE), read_text(path / PRESCRIPTION), sizes)


def propose(seen: Seen, asked: Asked, content: Content, now: datetime) -> Proposed:
    """What the word would make of the prescription, checked as if it stood in the file. Refusal with every reason."""
    path = seen.folder.path / PRESCRIPTION
    _refuse_keys(asked, path)
    asked = _with_word_meant(seen, asked) if asked.what == "take_back" else asked
    at, data = _dated(seen, now), tomllib.loads(seen.prescription_text)
    values = _restored(seen, asked, data, at) if asked.what == "take_back" else _values(asked)
    changes = _changes(data, values)
    if asked.what == "change" and not changes:
        raise Refusal([whole_file(path, "nothing would change", "a value other than that of now")])
    word = {"at": at, "initials": asked.initials.strip(), "what": asked.what, **_said(asked)}
    word |= {"changed": changes} if asked.what == "change" else {}
    word["reason"] = asked.reason.strip()
    try:
        text = with_word(with_values(seen.prescription_text, path, values), path, word)
        prescription = parse_model(text, path, Prescription)
    except FileFault as fault:
        raise Refusal(fault.faults) from None
    _refuse_faults(seen, text, content)
    _refuse_another_start(seen, prescription, content)
    progress, _ = judged(replace(seen.folder, prescription=prescription), content)
    _refuse_no_session(seen, prescription, progress, content)
    return Proposed(prescription.sign_offs[-1], text, prescription, progress)


def sign(seen: Seen, proposed: Proposed) -> None:
    """Write it. Refusal where a file was changed or a session done since; InUse where a session is under way."""
    with lock(seen.folder.path):
        if look(seen.folder.path) != seen:
            what = "the files of this client have changed since you looked: nothing was written"
            raise Refusal([whole_file(seen.folder.path, what, mend="look again, and sign what still fits")])
        replace_file(seen.folder.path / PRESCRIPTION, proposed.text)


def _dated(seen: Seen, now: datetime) -> datetime:
    """When the word is signed: after every word and every session before it, or it would count as said earlier."""
    words = [word.at for word in seen.folder.prescription.sign_offs]
    newest = max([*words, *(one.record.last_at for one in seen.folder.kept)], default=now)
    if newest > now + _SECOND:
        clock, dated = now.strftime("%Y-%m-%d %H:%M"), newest.strftime("%Y-%m-%d %H:%M")
        what = f"this computer's clock says {clock}, and the newest session or word is dated {dated}"
        mend = "set the clock right; if it is right, mend the date in the file"
        raise Refusal([whole_file(seen.folder.path, what, mend=mend)])
    return max(now, newest + _SECOND) if words and newest in words else now


def _refuse_keys(asked: Asked, path: Path) -> None:
    """Keys that could not stand in the file at all; whether the file knows them its models say."""
    for key in asked.values:
        head = key.partition(".")[0]
        if head not in CHANGEABLE:
            what, near = f"{key} is not changed by a word of the therapist", nearest(head, list(CHANGEABLE))
            raise Refusal([whole_file(path, what, f"one of {', '.join(CHANGEABLE)}", "write one of them", near)])
    for key in (*asked.said, *asked.values):
        by_position = key.partition(".")[0] in BY_POSITION
        form, expected = (
            (_IN_POSITION, "such as setups.45.distance_cm") if by_position else (_KEY, "such as dose.sets")
        )
        if not form.fullmatch(key):
            raise Refusal([whole_file(path, f"{key} is no key", expected, "write the key as in the file")])


def _with_word_meant(seen: Seen, asked: Asked) -> Asked:
    """The word to take back by its whole time: typed as far as it is told, or not at all for the newest there is."""
    folder, typed = seen.folder, asked.said.get("signed_at", "").strip().replace("T", " ")
    prescription, records = folder.prescription, [one.record for one in folder.kept]
    open_words = [word for word in prescription.kept_sign_offs if may_take_back(word, prescription, records)]
    if not typed and not open_words:
        what = "there is no word to take back: a session was done since, or none was signed"
        raise Refusal([whole_file(folder.path, what, mend="sign the opposite word instead")])
    begun = [word.at.isoformat() for word in prescription.kept_sign_offs if f"{word.at}".startswith(typed)]
    if typed and len(begun) > 1:
        raise Refusal(
            [whole_file(folder.path, f"{len(begun)} words were signed at {typed}", f"one of {', '.join(begun)}")]
        )
    if typed and not begun:
        return asked  # the checks of the file say what is wrong with it
    return replace(asked, said={**asked.said, "signed_at": begun[0] if typed else open_words[-1].at.isoformat()})


def _values(asked: Asked) -> dict[str, object | None]:
    return {key: typed_at(text, Prescription, _path(key)) for key, text in asked.values.items()}


def _path(key: str) -> tuple[str | int, ...]:
    """The path in the model: the table of a position is an item of a list."""
    head, *rest = key.split(".")
    return (head, 0, *rest[1:]) if head in BY_POSITION else (head, *rest)


def _changes(data: Mapping[str, object], values: Mapping[str, object | None]) -> list[dict[str, str]]:
    """Each value that becomes another, before and after, as it is written; what is not there is left out."""
    both = {key: {"was": _literal(value_at(data, key)), "now": _literal(value)} for key, value in values.items()}
    return [
        {"key": key, **{name: value for name, value in one.items() if value is not None}}
        for key, one in both.items()
        if one["was"] != one["now"]
    ]


def _literal(value: object | None) -> str | None:
    return None if value is None else literal(value)


def _restored(seen: Seen, asked: Asked, data: Mapping[str, object], at: datetime) -> dict[str, object | None]:
    """The values before the change that is taken back. Refusal where a session was done since, or they changed again.

    A word that is not there, or is taken back already, is told by the model.
    """
    words = seen.folder.prescription.kept_sign_offs
    taken = next((word for word in words if word.at.isoformat() == asked.said.get("signed_at", "").strip()), None)
    if taken is None:
        return {}
    if came_between(taken.at, at, [one.record for one in seen.folder.kept]):
        what = f"a session was done since {taken.what} was signed: it is not as if that had never been"
        raise Refusal([whole_file(seen.folder.path, what, mend="sign the opposite word instead")])
    for change in taken.changed:
        here = _literal(value_at(data, change.key))
        if here != change.now:
            what = f"{change.key} has been changed again since: {here} stands there now"
            raise Refusal(
                [whole_file(seen.folder.path, what, change.now or "", "sign a change to what it should be")]
            )
    return {change.key: _from_literal(change.was) for change in taken.changed}


def _from_literal(text: str | None) -> object | None:
    return None if text is None else tomllib.loads(f"v = {text}")["v"]


def _said(asked: Asked) -> dict[str, object]:
    """What belongs to the word, as values; a key such as load.grade is one of a table."""
    said: dict[str, object] = {}
    for key, text in asked.said.items():
        value = typed_at(text, SignOff, tuple(key.split(".")))
        head, _, inner = key.partition(".")
        if value is None:
            continue
        table = said.setdefault(head, {}) if inner else said
        if isinstance(table, dict):
            table[inner or head] = value
    return said


def _refuse_faults(seen: Seen, text: str, content: Content) -> None:
    """Faults that the prescription would have and does not have now."""
    path, spoken = seen.folder.path, languages(content_folder())

    def faults(prescription: str) -> tuple[Diagnostic, ...]:
        of_profile = Source(path / PROFILE, seen.profile_text)
        return check_sources(of_profile, Source(path / PRESCRIPTION, prescription), content, spoken)

    after = faults(text)
    if after:
        before = {fault.what for fault in faults(seen.prescription_text)}
        new = [fault for fault in after if fault.what not in before]
        if new:
            raise Refusal(new)


def _refuse_another_start(seen: Seen, prescription: Prescription, content: Content) -> None:
    """Once a session was done the goal's first position stays, and so does the one the client stands in."""
    if not seen.folder.kept:
        return
    here = judged(seen.folder, content)[0].position_deg
    first = seen.folder.prescription.positions[0]
    if prescription.positions[0] != first:
        what = f"positions would begin at {prescription.positions[0]} degrees, and sessions began at {first}"
        raise Refusal([whole_file(seen.folder.path, what, mend="unlock a position instead")])
    if here not in prescription.positions:
        what = f"positions would leave out {here} degrees, where the client stands"
        raise Refusal([whole_file(seen.folder.path, what, mend="unlock another position first")])


def _refuse_no_session(seen: Seen, prescription: Prescription, progress: Progress, content: Content) -> None:
    """A word after which there could be no session, where there could be one before it."""
    try:
        plan_session(seen.folder.profile, prescription, content, progress)
    except NoSession as none:
        before = judged(seen.folder, content)[0]
        try:
            plan_session(seen.folder.profile, seen.folder.prescription, content, before)
        except NoSession:
            return
        raise Refusal([whole_file(seen.folder.path, none.what, mend=none.mend)]) from None
