"""Where the client stands by the records, and whether progress.toml says the same."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Literal

from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import Judged, fold
from coach.session.state import Present
from coach.store.client_folder import ProfileFolder, keep_aside, read_profile_folder, save_progress, saved_text
from coach.store.fold_fingerprint import SEAL, is_sealed, set_seal

Agreement = Literal["missing", "agrees", "behind", "differs"]


def judged(folder: ProfileFolder, content: Content) -> tuple[Progress, tuple[Judged, ...]]:
    """Where the client stands by records and sign-offs, whatever progress.toml says; and each decision."""
    return fold(folder.prescription, [one.record for one in folder.kept], RuleBook(content))


def standing(folder: ProfileFolder, content: Content) -> Progress:
    """Where the client stands now; as `judged`, but nothing is folded again that was folded and sealed."""
    if folder.open_record is None and folder.saved is not None and _sealed(folder, content):
        return folder.saved
    return judged(folder, content)[0]


def before_the_open_record(folder: ProfileFolder, content: Content) -> Progress:
    """Where the client stood before the record that was left open; the same as now where none was."""
    if folder.saved is not None and _sealed(folder, content):
        return folder.saved
    return fold(folder.prescription, _closed(folder), RuleBook(content))[0]


def seal(path: Path, content: Content) -> None:
    """Seal progress.toml, just written when a session ended. OSError if it cannot be.

    Not where the therapist signed for a later day: a fold puts that word after this session, and we had it before.
    """
    folder = read_profile_folder(path, mends=False)
    newest = folder.newest
    if newest is not None and all(one.at <= newest.record.last_at for one in folder.prescription.sign_offs):
        set_seal(path / SEAL, _came_from(folder), content)


def _sealed(folder: ProfileFolder, content: Content) -> bool:
    return is_sealed(folder.path / SEAL, _came_from(folder), content)


def _came_from(folder: ProfileFolder) -> Iterator[bytes]:
    """The bytes of everything that progress.toml was folded from, and of itself. A record left open is not of it."""
    left = folder.open_record
    yield (saved_text(folder.path) or "").encode()
    yield folder.prescription.model_dump_json().encode()
    for one in folder.found:
        if left is None or one.path != left.path:
            yield one.path.name.encode()
            yield one.content


def _closed(folder: ProfileFolder) -> list[Record]:
    left = folder.open_record
    return [one.record for one in folder.kept if left is None or one.path != left.path]


def agreement(folder: ProfileFolder, content: Content) -> Agreement:
    """How progress.toml stands to the records.

    `behind`: it was right when it was written, and since then the therapist has signed something or a session was
    interrupted, at the latest between its last entry and this file; the next session brings it up to date.
    """
    if saved_text(folder.path) is None:
        return "missing"
    if folder.saved is None:
        return "differs"
    saved = _without_words(folder.saved)
    if saved == _without_words(judged(folder, content)[0]):
        return "agrees"
    closed = _closed(folder)
    for known in (closed, closed[:-1]):
        if saved == _without_words(fold(_as_of(folder.prescription, known), known, RuleBook(content))[0]):
            return "behind"
    return "differs"


def _without_words(progress: Progress) -> Progress:
    """Where the client stands, whatever the sentences: they change with the client's language and with an edit."""
    if progress.decision is None:
        return progress
    said = {"reason": "", "source": "", "tell": dict.fromkeys(progress.decision.tell, "")}
    return progress.model_copy(update={"decision": progress.decision.model_copy(update=said)})


def _as_of(prescription: Prescription, records: list[Record]) -> Prescription:
    """The prescription with the sign-offs up to the last of these records."""
    last = max((record.started for record in records), default=None)
    signed = tuple(one for one in prescription.sign_offs if last is not None and one.at <= last)
    return prescription.model_copy(update={"sign_offs": signed})


def save(folder: ProfileFolder, content: Content, progress: Progress, now: Present) -> Path | None:
    """Write progress.toml; one that the records do not bear out is kept under another name, which is returned."""
    differs = not _sealed(folder, content) and agreement(folder, content) == "differs"
    kept = keep_aside(folder.path, now.at) if differs else None
    save_progress(folder.path, progress)
    return kept


def dated_after(folder: ProfileFolder, now: datetime) -> datetime | None:
    """When the newest record or word was dated, if that is still to come: then this clock or that one was wrong.

    Both are folded in order of time: a session begun now would come before that record and count for nothing, and a
    word from a day to come would end every review until then.
    """
    last = [folder.newest.record.last_at] if folder.newest is not None else []
    newest = max([*last, *(one.at for one in folder.prescription.sign_offs)], default=None)
    return newest if newest is not None and newest > now else None
