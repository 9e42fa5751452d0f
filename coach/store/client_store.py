"""Where a client stands: the only way to it, to the decisions that led there, and to progress.toml.

Progress follows from the records and the signed instructions, applied in one order (`fold_steps`). progress.toml is
the result, and a hidden file next to it holds the fingerprint of everything that it was derived from. While that
fingerprint is the same, progress.toml is used as it is; otherwise everything is applied again. Where a record has
been damaged since, what came after it is applied to progress.toml, which still holds what the record led to.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cached_property
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from coach.content_files import content_folder
from coach.content_files.content_folder import OnGaps
from coach.model.base import Name
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.therapist_reports import Agreement
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.apply_instructions import instructions_in_force
from coach.progression.band_use import measured_again
from coach.progression.measured.veto import Vetoes
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import (
    FoldStep,
    JudgedRecord,
    advance,
    fold,
    fold_on,
    fold_steps,
    initial_progress,
)
from coach.session.admission.admit import Admission, admit
from coach.store.arrivals.arrivals import finish_arrival
from coach.store.client_folder import (
    ClientFolder,
    SavedProgress,
    move_progress_aside,
    progress_text,
    read_client_folder,
    save_progress,
    saved_text,
)
from coach.store.client_paths import clinic_of
from coach.store.fingerprint import fingerprint_of
from coach.store.guards.compared import agrees, latest_date_after
from coach.store.guards.damage_covered import STOPS, is_covered
from coach.store.guards.held_review import held_fault, is_signed_away
from coach.store.lock import lock
from coach.store.measured_sets.late import held_since
from coach.store.measured_sets.measured_files import NO_FILES
from coach.store.programme.prescribed import is_programme
from coach.store.programme.upgrade import upgrade
from coach.store.records import record_file
from coach.store.records.record_damage import FINGERPRINT as FINGERPRINT
from coach.store.records.record_damage import Seal, damage_fault, is_as_sealed, read_seal
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault

_MINUTE = "%Y-%m-%d %H:%M"


class ClientStore(Struct, frozen=True, dict=True):
    """One client's files as read at one moment, and the content that the client is judged by.

    It looks at one exercise of the client's programme; `exercises` are all of them. `date_confirmed`: a person said
    that today's date is right, although something is dated later.
    """

    folder: ClientFolder
    content: Content
    date_confirmed: bool = False

    @classmethod
    def read(
        cls, path: Path, content: Content | None = None, on_gaps: OnGaps | None = None, repair: bool = False
    ) -> "ClientStore":
        """Read a client's folder; without `content`, the content in the client's language and of their clinic.

        `on_gaps` is called with messages that the language lacks; `repair` is as in `read_client_folder`. Raises
        FileFault with every fault of every file, and NoExercise where the content lacks what is prescribed.
        """
        folder = read_client_folder(path, repair)
        if content is None:
            shipped, language = content_folder.content_folder(), folder.profile.language
            content = content_folder.load_content(shipped, language, clinic_of(path), on_gaps)
            for name in folder.prescribed.names:
                content.exercise(folder.prescribed.of(name).exercise)
        return cls(folder, content)

    @classmethod
    @contextmanager
    def locked(
        cls, path: Path, content: Content | None = None, on_gaps: OnGaps | None = None
    ) -> Iterator["ClientStore"]:
        """Lock a client's folder, then read it: for everything that writes into it. Raises InUse; else as `read`.

        A folder of an older format is moved to the newest one first, if everything in it can be read.
        """
        with lock(path):
            finish_arrival(path)
            if is_programme(path) or cls.read(path, content, repair=True).folder.is_clear:
                upgrade(path)
            yield cls.read(path, content, on_gaps, repair=True)

    @property
    def exercises(self) -> tuple["ClientStore", ...]:
        """The client looked at for each exercise of the programme, in its order; a prescription has one."""
        names = self.folder.prescribed.names
        if len(names) > 1:
            _ = self.folder.stored_sessions  # parsed once for all of them
        return tuple(map(self.for_exercise, names))

    def for_exercise(self, name: Name | None) -> "ClientStore":
        """The client looked at for one exercise. Raises KeyError where there is none of that name."""
        return self if name == self.folder.name else replace(self, folder=self.folder.for_exercise(name))

    @property
    def path(self) -> Path:
        """The client's folder."""
        return self.folder.path

    @property
    def profile(self) -> Profile:
        """Who the client is."""
        return self.folder.profile

    @property
    def prescription(self) -> Prescription:
        """What the therapist set, with the instructions signed since."""
        return self.folder.prescription

    @property
    def records(self) -> tuple[Record, ...]:
        """Every record in order of time. Raises FileFault with every fault of every record."""
        return self.folder.records

    @cached_property
    def progress(self) -> Progress:
        """Where the client stands now; a record without a closing entry counts as far as it goes."""
        if self.folder.saved is not None and self.is_current and self.folder.open_record is None:
            return self.folder.saved
        return self.folded_progress

    @cached_property
    def folded_progress(self) -> Progress:
        """As `progress`, always derived from records and instructions, and never taken from progress.toml.

        The exception is a review that is held (`is_held`).
        """
        return self.folder.saved if self.folder.saved is not None and self.is_held else self._derived

    @property
    def sessions(self) -> tuple[JudgedRecord, ...]:
        """Every record with its decision, in the order in which they were applied; none of a damaged record.

        Only those of this exercise. Where one is damaged, the others are judged as if it were not there, for want of
        anything better.
        """
        if self.folder.damaged:
            judged = fold(self.prescription, self.records, RuleBook(self.content), self._vetoes)[1]
        else:
            judged = tuple(step.judged for step in self._steps if step.judged is not None)
        return tuple(one for one in judged if self.folder.name in (None, one.record.name))

    @cached_property
    def progress_before_open_record(self) -> Progress:
        """Where the client stood before the record without a closing entry; as `progress` where there is none."""
        left = self.folder.open_record
        if left is None or self.is_held:
            return self.progress
        if self.folder.saved is not None and self.is_current and self._comes_last(left.record):
            return self.folder.saved
        before = self._start
        for step in self._steps:
            if step.judged is not None and step.judged.record == left.record:
                break
            before = step.progress
        return before

    @cached_property
    def is_current(self) -> bool:
        """Whether progress.toml was derived from just what was read; a record without a closing entry is ignored.

        It has to be as it was sealed: an older copy of it says less than the records.
        """
        return self._seal is not None and self._is_as_sealed and self._seal.fingerprint == self._fingerprint()

    @cached_property
    def is_held(self) -> bool:
        """Whether progress.toml, which is not as it was sealed, asks for a review that nothing else explains."""
        saved = self.folder.saved
        if saved is None or saved.status != "review" or self._is_as_sealed or self.folder.damaged:
            return False
        explained = self._derived.status == "review" or is_signed_away(saved, self.prescription)
        return not explained and self._compared == "differs"

    @property
    def agreement(self) -> Agreement:
        """How progress.toml compares with records and instructions; `held` as in `is_held`.

        `behind`: it is what they gave at an earlier moment, at the earliest after the last closed record but one.
        Since then something was signed, a session was interrupted, or a measured set came which counts for a session
        before. The next session brings it up to date.
        """
        return "held" if self.is_held else self._compared

    @property
    def _compared(self) -> Agreement:
        saved = self.folder.saved
        if saved is None:
            return "missing" if saved_text(self.path) is None else "differs"
        if self._agrees(saved, self._derived):
            return "agrees"
        if self._vetoes and (self._is_as_sealed or self._unmeasured._compared in ("agrees", "behind")):
            return "behind"
        return "behind" if any(self._agrees(saved, one) for one in self._recent_progress()) else "differs"

    def _agrees(self, saved: Progress, other: Progress) -> bool:
        of_older = self._is_as_sealed or self.folder.name not in self.folder.saved_by_name  # before the programme
        return agrees(saved, other, self.folder.saved_keys, of_older)

    def with_prescription(self, prescription: Prescription) -> "ClientStore":
        """The same client with another prescription."""
        return replace(self, folder=replace(self.folder, prescription=prescription))

    def save(self, now: datetime) -> Path | None:
        """Bring progress.toml up to date, where it is not. Only for the holder of the lock. Raises OSError.

        A progress.toml that neither agrees with the records nor is behind them is first renamed to a dated name;
        returns the path of that copy, or None.
        """
        at_rest = self.folder.open_record is None  # a session with exercises to follow is not gone on with after this
        if self.folder.saved is not None and self.is_current and at_rest:
            return None
        copy = self.move_aside_if_it_differs(now)
        self._write(self.progress, seals=at_rest)
        return copy

    def rebuild(self, now: datetime) -> Path | None:
        """As `save`, but all is derived again, fingerprint or not. Raises FileFault where a review is held."""
        held = next((one for one in self.exercises if one.is_held), None)
        if held is not None:
            raise FileFault([held_fault(held)])
        copy = self.move_aside_if_it_differs(now)
        self._write(self.folded_progress)
        return copy

    def move_aside_if_it_differs(self, now: datetime) -> Path | None:
        """Rename a progress.toml that neither agrees with the records nor is behind them; the new path, or None."""
        if self.is_current or self.agreement != "differs":
            return None
        return move_progress_aside(self.path, now)

    def save_ended(self, path: Path, record: Record, before: Progress) -> None:
        """Write progress.toml after a session has ended. Only for the holder of the lock. Raises OSError.

        `path` and `record` are the record of this session, `before` is the progress that it began with.
        """
        store = replace(self, folder=self.folder.with_record(record_file.read_raw(path)))
        if store._comes_last(record) and store.folder.name is None:
            store._write(advance(before, record, RuleBook(self.content)).after)
        else:
            store._write(store.folded_progress)

    def admission(self, now: datetime, progress: Progress | None = None) -> Admission:
        """Whether the client may start a session now, with what, and if not, why and what to do.

        Without `progress`, as the client stands now. Two versions of a file, and a clock before the newest record or
        instruction, refuse too.
        """
        stands = self.progress if progress is None else progress
        found = admit(self.profile, self.prescription, self.content, stands, now)
        found = replace(found, plan=None) if self.is_held else found  # so that no record is closed for a new session
        messages, dated = self.content.messages.client.offer, self.latest_date_after(now)
        if self.folder.conflicting_copies:
            files = ", ".join(f"{copy.of} / {copy.path.name}" for copy in self.folder.conflicting_copies)
            return found.refused_by("copies", fill(messages.two_versions, {"files": files}))
        if dated is None or self.date_confirmed:
            return found
        times = {"now": now.strftime(_MINUTE), "last": dated.strftime(_MINUTE)}
        return found.refused_by("clock", fill(messages.clock, times))

    def latest_date_after(self, now: datetime) -> datetime | None:
        """As the function of that name."""
        return latest_date_after(self.folder, now)

    @cached_property
    def _seal(self) -> Seal | None:
        return read_seal(self.path)

    @property
    def _vetoes(self) -> Vetoes:
        """What was measured against sessions of this exercise."""
        return self.folder.measured.vetoes(self.prescription.measured_holds)

    @property
    def _unmeasured(self) -> "ClientStore":
        """The same client without what a sensor measured."""
        return replace(self, folder=replace(self.folder, measured_files=NO_FILES))

    @property
    def _is_as_sealed(self) -> bool:
        """Whether progress.toml is as this program wrote it."""
        return is_as_sealed(self.path, self._seal)

    @cached_property
    def _start(self) -> Progress:
        """The progress that records and instructions are applied to.

        It is that before the first session; where a record is damaged, that of progress.toml, if it holds what every
        damaged record led to, with what was measured since. Raises FileFault if not.
        """
        if not self.folder.damaged:
            return self._initial
        saved, seal = self._saved_before_damage, self._seal
        if self.folder.measured_files == NO_FILES or seal is None:
            return saved
        return held_since(saved, seal, self.folder, self._vetoes, RuleBook(self.content))

    @property
    def _saved_before_damage(self) -> Progress:
        saved = self.folder.saved
        if saved is not None and is_covered(self.folder, self._seal):
            return measured_again(saved, self.profile.measured_on)
        raise FileFault([damage_fault(raw, STOPS) for raw in self.folder.damaged])

    @property
    def _derived(self) -> Progress:
        return self._steps[-1].progress if self._steps else self._start

    @property
    def _initial(self) -> Progress:
        return initial_progress(self.prescription, self.profile.measured_on, self.folder.name)

    @cached_property
    def _steps(self) -> tuple[FoldStep, ...]:
        book, seal = RuleBook(self.content), self._seal
        if not self.folder.damaged:
            measured_on, name = self.profile.measured_on, self.folder.name
            vetoes = self._vetoes
            return tuple(fold_steps(self.prescription, self.records, book, measured_on, name, vetoes))
        sealed, signed = (seal.records, seal.signed) if seal is not None else ({}, frozenset[str]())
        new = [one.record for one in self.folder.stored_records if one.path.name not in sealed]
        in_force = instructions_in_force(self.prescription, self.records)
        since = [one for one in in_force if one.at.isoformat() not in signed]
        return tuple(fold_on(self._start, self.prescription, new, since, book, self._vetoes))

    def _comes_last(self, record: Record) -> bool:
        """Whether a record is applied after every instruction, so that progress before it is all there was before."""
        newest = self.folder.newest
        is_newest = newest is None or newest.record.started <= record.started
        return is_newest and all(one.at < record.last_at for one in self.prescription.sign_offs)

    def _recent_progress(self) -> Iterator[Progress]:
        """The progress at every moment since the last closed record but one."""
        if self.folder.damaged:
            yield self._saved_before_damage
            yield from (step.progress for step in self._steps)
            return
        closed, applied = sum(record.ended is not None for record in self.records), 0
        if closed <= 1:
            yield self._initial
        for step in self._steps:
            applied += step.judged is not None
            if applied >= closed - 1:
                yield step.progress

    def _fingerprint(self) -> str:
        names = self.folder.prescribed.names
        first = self.folder if self.folder.name == names[0] else self.folder.for_exercise(names[0])
        return fingerprint_of(first.without_open_record(), self.content.digest)

    def _write(self, progress: Progress, seals: bool = False) -> None:
        if any(one.is_held for one in self.exercises):
            return  # it is all that is left of the review
        own = self.folder.name
        every = tuple(progress if one.folder.name == own else one.progress for one in self.exercises)
        save_progress(self.path, every)
        if seals or not self.folder.is_session_open:
            by_name = {one.name: SavedProgress.of(one) for one in every}
            folder = replace(self.folder, saved=progress, saved_by_name=by_name, saved_faults=())
            replace_file(self.path / FINGERPRINT, replace(self, folder=folder)._new_seal(every).as_text())

    def _new_seal(self, exercises: tuple[Progress, ...]) -> Seal:
        sealed = self._seal.records if self._seal is not None else {}
        damaged = {raw.path.name: sealed[raw.path.name] for raw in self.folder.damaged if raw.path.name in sealed}
        text, signed, held = progress_text(exercises), self.folder.signed, self.folder.prescribed.path.name
        measured = self.folder.measured_files.hashes
        return Seal.of(self._fingerprint(), text, self.folder.raw_records, damaged, signed, measured, held)
