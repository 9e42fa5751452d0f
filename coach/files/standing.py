"""Where the client stands by the records, and whether progress.toml says the same."""

from datetime import datetime
from pathlib import Path
from typing import Literal

from coach.files.profile_folder import ProfileFolder, keep_aside, save_progress, saved_text
from coach.model.content_set import Content
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.machine import Judged, fold
from coach.progression.rule_book import rule_book
from coach.session.runner import Present

Agreement = Literal["missing", "agrees", "behind", "differs"]


def judged(folder: ProfileFolder, content: Content) -> tuple[Progress, tuple[Judged, ...]]:
    """Where the client stands by records and sign-offs, whatever progress.toml says; and each decision."""
    return fold(folder.prescription, [one.record for one in folder.kept], rule_book(content))


def before_the_open_record(folder: ProfileFolder, content: Content) -> Progress:
    """Where the client stood before the record that was left open; the same as now where none was."""
    left = folder.open_record
    records = [one.record for one in folder.kept if one is not left]
    return fold(folder.prescription, records, rule_book(content))[0]


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
    closed = [one.record for one in folder.kept if one is not folder.open_record]
    for known in (closed, closed[:-1]):
        if saved == _without_words(fold(_as_of(folder.prescription, known), known, rule_book(content))[0]):
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
    kept = keep_aside(folder.path, now.at) if agreement(folder, content) == "differs" else None
    save_progress(folder.path, progress)
    return kept


def dated_after(folder: ProfileFolder, now: datetime) -> datetime | None:
    """When the newest record or word was dated, if that is still to come: then this clock or that one was wrong.

    Both are folded in order of time: a session begun now would come before that record and count for nothing, and a
    word from a day to come would end every review until then.
    """
    words = (one.at for one in folder.prescription.sign_offs)
    newest = max([*(one.record.last_at for one in folder.kept), *words], default=None)
    return newest if newest is not None and newest > now else None
