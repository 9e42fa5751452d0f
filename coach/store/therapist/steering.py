"""An instruction of the therapist, from what was typed to prescription.toml.

First the client is read; then the instruction is proposed, checked as the files are, and shown with what it changes.
Only then is it signed: under the lock, and only if no file has changed since the client was read.
"""

import tomllib
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from typing import get_args

from msgspec import Struct, field
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, languages
from coach.model.base import position_in_words
from coach.model.condition import Finding
from coach.model.content import Content
from coach.model.instruction import OPENS_CONDITIONS, OPPOSITES, Instruction
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.progress import Progress
from coach.progression.apply_instructions import done_under, may_take_back
from coach.progression.clearing import missing_for
from coach.session.admission.client_conditions import conditions_of
from coach.session.plan import plan_session
from coach.store.client_folder import ClientFolder, read_client_folder
from coach.store.client_paths import PRESCRIPTION, PROFILE, RECORDS
from coach.store.client_store import ClientStore
from coach.store.guards.signed_since import list_signed
from coach.store.lock import lock
from coach.store.programme.upgrade import upgrade
from coach.store.therapist.changed_values import (
    changes_of,
    refuse_another_repair,
    refuse_beside_repair,
    refuse_keys,
    typed_values,
    values_before,
)
from coach.store.therapist.check_client import check_sources
from coach.store.therapist.check_days import check_instruction_days
from coach.store.therapist.check_visits import visit_sources
from coach.store.therapist.prescription_file import with_instruction, with_values
from coach.store.therapist.programme_file import as_prescription, as_signed, signed_texts, with_signed
from coach.toml.atomic_write import make_folder, replace_file
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, whole_file
from coach.toml.input_parsing import parse_input_at
from coach.toml.nearest_name import nearest_name
from coach.toml.new_file import write_new
from coach.toml.reader import is_year, parse_model, read_text
from coach.toml.source_file import SourceFile

_SECOND = timedelta(seconds=1)
_MOMENTS = ("wrong_at", "right_at")


class ClientSnapshot(Struct, frozen=True):
    """A client's files when the therapist looked at them: what an instruction is based on."""

    folder: ClientFolder
    profile_text: str
    prescription_text: str
    record_sizes: tuple[tuple[str, int], ...]

    @property
    def path(self) -> Path:
        """The client's folder."""
        return self.folder.path

    def store(self, content: Content) -> ClientStore:
        """The client as judged by this content."""
        return ClientStore(self.folder, content)


class InstructionRequest(Struct, frozen=True):
    """An instruction as it was typed.

    `fields` are the keys of the instruction itself, such as position or load.grade; `values` are keys of the
    prescription that a change sets, such as dose.sets.
    """

    what: str
    initials: str
    reason: str
    fields: Mapping[str, str] = field(default_factory=dict)
    values: Mapping[str, str] = field(default_factory=dict)


class ProposedInstruction(Struct, frozen=True):
    """An instruction that can be signed, the prescription with it, and the progress it leads to.

    `texts` are the files to be written: a new prescription.toml, or of a programme new files.
    """

    instruction: Instruction
    texts: Mapping[Path, str]
    prescription: Prescription
    progress: Progress


def read_snapshot(path: Path, name: str | None = None) -> ClientSnapshot:
    """The client as the files are now, looked at for one exercise of a programme, by default the first.

    Raises FileFault with every fault of every file, and KeyError where there is no exercise of that name.
    """
    sizes = tuple((record.name, record.stat().st_size) for record in sorted((path / RECORDS).glob("*.toml")))
    folder = read_client_folder(path)
    folder = folder if name is None else folder.for_exercise(name)
    of_programme = folder.prescribed.programme is not None
    text = as_prescription(folder) if of_programme else read_text(path / PRESCRIPTION)
    return ClientSnapshot(folder, read_text(path / PROFILE), text, sizes)


def propose_instruction(
    seen: ClientSnapshot, asked: InstructionRequest, content: Content, now: datetime
) -> ProposedInstruction:
    """Work out what an instruction makes of the prescription, checked as if it were in the file.

    Raises Refusal with every reason why it cannot be signed.
    """
    path = seen.path / PRESCRIPTION
    refuse_keys(asked.fields, asked.values, path)
    asked = _with_signing_time(seen, asked) if asked.what == "take_back" else asked
    at, data = _dated(seen, now, asked.what), tomllib.loads(seen.prescription_text)
    taken_back = asked.what == "take_back"
    values = _restored(seen, asked, data) if taken_back else typed_values(asked.values, content.clinic.dates, data)
    changes = changes_of(data, values)
    if asked.what == "change" and len(seen.folder.prescribed.names) > 1:
        refuse_beside_repair(values, path)
    if asked.what == "change" and not changes:
        raise Refusal([whole_file(path, "nothing would change", "a value other than that of now")])
    instruction = {"at": at, "initials": asked.initials.strip(), "what": asked.what, **_fields(asked, content)}
    instruction |= {"changed": changes} if asked.what == "change" else {}
    if asked.what in OPENS_CONDITIONS:
        instruction["conditions"] = [one.known.model_dump() for one in seen.folder.profile.condition]
    instruction["reason"] = asked.reason.strip()
    try:
        text = with_instruction(with_values(seen.prescription_text, path, values), path, instruction)
        prescription = parse_model(text, path, Prescription).with_right_dates
    except FileFault as fault:
        # A kind that does not exist comes first: what else is missing depends on it.
        raise Refusal(sorted(fault.faults, key=lambda one: not one.what.startswith("what ="))) from None
    folder = _with_right_dates(seen, prescription, now)
    _refuse_faults(seen, text, content)
    _refuse_another_start(seen, prescription, content)
    signed = prescription.sign_offs[-1]
    _refuse_days(seen, signed, prescription, now)
    _refuse_unfounded(seen, signed, content)
    if seen.folder.prescribed.programme is None:
        progress = ClientStore(folder, content).progress
        _refuse_no_session(seen, prescription, progress, content)
        return ProposedInstruction(signed, {path: text}, prescription, progress)
    signed = as_signed(seen.folder, signed, prescription, content)
    texts = signed_texts(seen.folder, signed, values)
    folder = with_signed(seen.folder, texts)
    progress = ClientStore(folder, content).progress
    _refuse_no_session(seen, folder.prescription, progress, content)
    return ProposedInstruction(signed, texts, folder.prescription, progress)


def sign_instruction(seen: ClientSnapshot, proposed: ProposedInstruction) -> None:
    """Write an instruction to prescription.toml; of a programme to files of its own.

    Raises Refusal where a file has changed or a session was done since the client was read, and InUse while a session
    is in progress.
    """
    with lock(seen.path):
        if read_snapshot(seen.path, seen.folder.name) != seen:
            what = "the files of this client have changed since you looked: nothing was written"
            raise Refusal([whole_file(seen.path, what, fix="look again, and sign what still applies")])
        if seen.folder.prescribed.programme is None:
            replace_file(seen.path / PRESCRIPTION, proposed.texts[seen.path / PRESCRIPTION])
            with suppress(FileFault):  # it is signed, and whoever writes next moves the folder
                upgrade(seen.path)
            list_signed(seen.path)
            return
        for path, text in reversed(tuple(proposed.texts.items())):  # a change after its version
            make_folder(path.parent)
            write_new(path, text.encode())
        list_signed(seen.path)


def _with_right_dates(seen: ClientSnapshot, prescription: Prescription, now: datetime) -> ClientFolder:
    """The client's files with a prescription. Raises Refusal where it puts right what is not there."""
    folder, path = seen.folder, seen.path / PRESCRIPTION
    asked = prescription.sign_offs[-1]
    if asked.what == "correct_date":
        names = [raw.path.name for raw in folder.raw_records]
        if asked.record is not None and asked.record not in names:
            near = nearest_name(asked.record, names)
            raise Refusal([whole_file(path, f"there is no record {asked.record}", "a file in records/", "", near)])
        signed = [one.at for one in folder.prescription.sign_offs if one.what != "correct_date"]
        if asked.wrong_at is not None and asked.wrong_at not in signed:
            what = f"no instruction was signed at {asked.wrong_at.isoformat()}"
            raise Refusal([whole_file(path, what, "the date as it is in the file")])
        if asked.right_at is not None and asked.right_at > now:
            what = f"{asked.right_at.isoformat()} is still to come"
            raise Refusal([whole_file(path, what, "when it was", "write the day and the time as they were")])
    return replace(folder, prescription=prescription)


def _dated(seen: ClientSnapshot, now: datetime, what_is_signed: str) -> datetime:
    """The time of signing, later than every instruction and session so far: they are applied in order of time.

    An instruction that puts a date right is signed although some date is wrong.
    """
    if seen.folder.prescribed.programme is not None:  # their order follows from who knew what
        taken = {one.at for one in seen.folder.signed}
        return next(at for at in (now + count * _SECOND for count in range(len(taken) + 1)) if at not in taken)
    if what_is_signed == "correct_date":
        past = [one.at for one in seen.folder.prescription.sign_offs if one.at <= now + _SECOND]
        return max([now, *(at + _SECOND for at in past)])
    signed = [one.at for one in seen.folder.prescription.sign_offs]
    newest = max([*signed, *(record.last_at for record in seen.folder.records)], default=now)
    if newest > now + _SECOND:
        clock, dated = now.strftime("%Y-%m-%d %H:%M"), newest.strftime("%Y-%m-%d %H:%M")
        what = f"this computer's clock says {clock}, and the newest session or instruction is dated {dated}"
        fix = "set the clock right; if it is right, put the date right: coach steer PROFILE correct_date"
        raise Refusal([whole_file(seen.path, what, fix=fix)])
    return max(now, newest + _SECOND) if newest in signed else now


def _with_signing_time(seen: ClientSnapshot, asked: InstructionRequest) -> InstructionRequest:
    """The full signing time of the instruction to take back, from the start of it; without one, of the newest."""
    folder, typed = seen.folder, asked.fields.get("signed_at", "").strip().replace("T", " ")
    prescription, records = folder.prescription, folder.records
    revocable = [one for one in prescription.instructions_not_taken_back if may_take_back(one, prescription, records)]
    if not typed and not revocable:
        what = "there is no instruction to take back: a session was done since, or none was signed"
        raise Refusal([whole_file(folder.path, what, fix="sign the opposite instruction instead")])
    matching = [
        one.at.isoformat() for one in prescription.instructions_not_taken_back if f"{one.at}".startswith(typed)
    ]
    if typed and len(matching) > 1:
        raise Refusal(
            [
                whole_file(
                    folder.path,
                    f"{len(matching)} instructions were signed at {typed}",
                    f"one of {', '.join(matching)}",
                )
            ]
        )
    if typed and not matching:
        return asked  # the checks of the file say what is wrong with it
    return replace(
        asked, fields={**asked.fields, "signed_at": matching[0] if typed else revocable[-1].at.isoformat()}
    )


def _restored(
    seen: ClientSnapshot, asked: InstructionRequest, data: Mapping[str, object]
) -> dict[str, object | None]:
    """The values before the change that is taken back.

    Raises Refusal where a session was done since, or they changed again. An instruction that does not exist, or is
    taken back already, is refused by the model.
    """
    signed = seen.folder.prescription.instructions_not_taken_back
    taken = next((one for one in signed if one.at.isoformat() == asked.fields.get("signed_at", "").strip()), None)
    if taken is None:
        return {}
    if done_under(taken, seen.folder.records):
        what = f"a session was done since {taken.what} was signed, so it cannot be taken back"
        raise Refusal([whole_file(seen.path, what, fix=f"sign {OPPOSITES.get(taken.what, taken.what)} instead")])
    refuse_another_repair(taken, signed, seen.path)
    return values_before(taken, data, seen.path)


def _fields(asked: InstructionRequest, content: Content) -> dict[str, object]:
    """The fields of the instruction as values; a key such as load.grade is one of a table."""
    fields: dict[str, object] = {}
    for key, text in asked.fields.items():
        moment = _moment(text) if key in _MOMENTS else None
        path, dates = tuple(key.split(".")), content.clinic.dates
        value = parse_input_at(text, Instruction, path, dates) if moment is None else moment
        head, _, inner = key.partition(".")
        if value is None:
            continue
        table = fields.setdefault(head, {}) if inner else fields
        if isinstance(table, dict):
            table[inner or head] = value
    return fields


def _moment(text: str) -> datetime | None:
    """A date with a time, in the time zone of this computer if it names none; None if it is neither."""
    try:
        moment = datetime.fromisoformat(text.strip())
        return moment.astimezone() if is_year(moment.year) else None
    except (ValueError, OSError):  # Windows knows no time zone before 1970
        return None


def _refuse_faults(seen: ClientSnapshot, text: str, content: Content) -> None:
    """Refuse faults that the prescription would have and does not have now."""
    path, spoken, side = seen.path, languages(content_folder()), seen.folder.profile.side
    visits = visit_sources(path)

    def faults(prescription: str) -> tuple[Diagnostic, ...]:
        of_profile = SourceFile(path / PROFILE, seen.profile_text)
        return check_sources(of_profile, SourceFile(path / PRESCRIPTION, prescription), content, spoken, side, visits)

    after = faults(text)
    if after:
        before = {fault.what for fault in faults(seen.prescription_text)}
        new = [fault for fault in after if fault.what not in before]
        if new:
            raise Refusal(new)


def _refuse_another_start(seen: ClientSnapshot, prescription: Prescription, content: Content) -> None:
    """Once a session of the exercise was done, the goal's first position and the present position must stay."""
    if not seen.folder.raw_records or prescription.exercise != seen.folder.prescription.exercise:
        return
    here = seen.store(content).progress.position
    first = seen.folder.prescription.positions[0]
    if prescription.positions[0] != first:
        what = (
            f"positions would begin at {position_in_words(prescription.positions[0])}, and sessions began at {first}"
        )
        raise Refusal([whole_file(seen.path, what, fix="clear a position instead")])
    if here not in prescription.positions:
        what = f"positions would leave out {position_in_words(here)}, where the client is"
        raise Refusal([whole_file(seen.path, what, fix="clear another position first")])


def _refuse_days(seen: ClientSnapshot, signed: Instruction, prescription: Prescription, now: datetime) -> None:
    """Refuse days that cannot be meant on the day of signing."""
    faults = tuple(check_instruction_days(signed, prescription, now.date(), seen.path))
    if faults:
        raise Refusal(faults)


def _refuse_unfounded(seen: ClientSnapshot, instruction: Instruction, content: Content) -> None:
    """Refuse a clearing that lacks a finding it does not waive, and known night pain where that must stay a sign."""
    folder, noted = seen.folder, tuple(conditions_of(seen.folder.profile, content))
    kinds = [kind for _, kind in noted]
    of_night = [one.kind for one, kind in noted if kind.night_pain_stays_a_sign]
    if instruction.what == "know_night_pain" and of_night:
        names = ", ".join(content.messages.conditions.condition[one].name for one in of_night)
        what = f"pain at night is not signed as known for this client, because of a condition: {names}"
        raise Refusal([whole_file(seen.path, what, fix="see the client")])
    if instruction.what != "unlock_position" or instruction.position is None:
        return
    prescription, limits = folder.prescription, content.limit_values(folder.prescription.limits)
    exercise = content.exercise(prescription.exercise)
    before = seen.store(content).progress

    def missing_despite(waived: tuple[Finding, ...]) -> tuple[Finding, ...]:
        asked = instruction.model_copy(update={"despite": waived})
        return missing_for(asked, folder.profile, prescription, before, folder.records, kinds, exercise, limits)

    missing, never = missing_despite(instruction.despite), missing_despite(get_args(Finding))
    if missing:
        messages, position = content.messages.conditions.finding, position_in_words(instruction.position)
        what = f"{position} cannot be cleared without {'; '.join(messages[one] for one in missing)}"
        waived = [one for one in missing if one not in never]
        add = "test again, and sign apprehension = absent" if "apprehension" in missing else "add what is missing"
        despite = ", ".join((*instruction.despite, *waived))
        fix = f"{add}, or waive it with its reason: despite = {despite}"
        if "apprehension" in never:
            fix = "nothing opens it while apprehension is present; sign it when a test finds apprehension = absent"
        raise Refusal([whole_file(seen.path, what, fix=fix)])


def _refuse_no_session(
    seen: ClientSnapshot, prescription: Prescription, progress: Progress, content: Content
) -> None:
    """Refuse an instruction after which no session is possible, where one is possible now or a load is asked for."""
    try:
        plan_session(seen.folder.profile, prescription, content, progress)
    except NoSession as none:
        if progress.asked is not None:
            raise Refusal([whole_file(seen.path, none.what, fix=none.fix)]) from None
        before = seen.store(content).progress
        try:
            plan_session(seen.folder.profile, seen.folder.prescription, content, before)
        except NoSession:
            return
        raise Refusal([whole_file(seen.path, none.what, fix=none.fix)]) from None
