"""Steering one exercise of a programme: as the prescription that it is, and as the files that are then written.

An exercise is steered and checked as if it stood in a prescription.toml of its own. What is signed is written as a
file of the instruction, and where a value changes as a new version of the programme; no file is changed.
"""

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from coach.model.base import Name
from coach.model.content import Content
from coach.model.instruction import OF_ONE_EXERCISE, Instruction
from coach.model.no_session import NoSession
from coach.model.prescription import OfEveryExercise, Prescription
from coach.model.programme.instruction_file import InstructionFile
from coach.model.programme.programme import Programme
from coach.session.plan import plan_session
from coach.store.client_folder import ClientFolder
from coach.store.client_paths import INSTRUCTIONS
from coach.store.client_store import ClientStore
from coach.store.programme.marked_file import with_first_line_and_mark
from coach.store.programme.prescribed import Prescribed, next_version
from coach.store.programme.this_computer import written_now
from coach.store.therapist.prescription_file import put_value, required_text
from coach.toml.diagnostic import FileFault
from coach.toml.editor import edit
from coach.toml.reader import parse_model, read_text
from coach.toml.writer import dump_by_hand

_OF_PROGRAMME = {"written", "exercise", "lighter"}


def as_prescription(folder: ClientFolder) -> str:
    """The exercise that a folder is looked at for, as the text of a prescription.toml with its instructions.

    Where instructions signed apart do not fit each other in one file, only what is prescribed.
    """
    prescribed = folder.prescription.model_dump(exclude={"sign_offs"}, exclude_defaults=True, exclude_none=True)
    signed = [one.model_dump(exclude_none=True, exclude=_OF_PROGRAMME) for one in folder.prescription.sign_offs]
    values = {"format": 1, **prescribed}
    whole = dump_by_hand(_lists({**values, **({"sign_offs": signed} if signed else {})}))
    with suppress(FileFault):
        parse_model(whole, folder.path, Prescription)
        return whole
    return dump_by_hand(_lists(values))


def as_signed(folder: ClientFolder, signed: Instruction, prescription: Prescription, content: Content) -> Instruction:
    """An instruction with the exercise that it is for, who writes it, and whether it makes the load lighter.

    `prescription` is that of the exercise with the instruction.
    """
    several = len(folder.prescribed.names) > 1
    taken = next((one for one in folder.signed if signed.signed_at is not None and one.at == signed.signed_at), None)
    of_one = folder.name if several and signed.what in OF_ONE_EXERCISE and not signed.changes_repair else None
    update = {
        "exercise": of_one if taken is None else taken.exercise,
        "written": written_now(folder.written),
        "lighter": _is_lighter(folder, signed, prescription, content) or None,
    }
    return signed.model_copy(update=update)


def _is_lighter(folder: ClientFolder, signed: Instruction, prescription: Prescription, content: Content) -> bool:
    """Whether an overruling load is not above that of now, and the repetitions neither."""
    if signed.what != "overrule":
        return False
    before = ClientStore(folder, content).progress
    fewer = signed.repetitions is None or signed.repetitions <= before.repetitions
    if signed.load is None:
        return fewer
    asked = before.model_copy(update={"load": None, "asked": signed.load})
    with suppress(NoSession):
        now = plan_session(folder.profile, folder.prescription, content, before).step.mean_nm
        return fewer and plan_session(folder.profile, prescription, content, asked).step.mean_nm <= now
    return False


def signed_texts(
    folder: ClientFolder, instruction: Instruction, values: Mapping[str, object | None]
) -> dict[Path, str]:
    """The files to be written for an instruction, of which none is there yet. Raises FileFault."""
    written = instruction.written.writer if instruction.written is not None else ""
    path = folder.path / INSTRUCTIONS / f"{instruction.at:%Y-%m-%dT%H%M%S}-{written}.toml"
    own = instruction.model_dump(exclude_none=True, exclude_defaults=True)
    files = {path: with_first_line_and_mark(dump_by_hand(_lists({"format": 2, **own})))}
    if values:
        files[next_version(folder.path)] = _changed_programme(folder, values)
    return files


def with_signed(folder: ClientFolder, texts: Mapping[Path, str]) -> ClientFolder:
    """The client's files with those of an instruction, looked at for the same exercise. Raises FileFault."""
    prescribed = folder.prescribed
    for path, text in texts.items():
        if path.parent.name == INSTRUCTIONS:
            one = parse_model(text, path, InstructionFile)
            values = {key: getattr(one, key) for key in Instruction.model_fields}
            signed = (*prescribed.instructions, Instruction.model_construct(**values))
            prescribed = replace(prescribed, instructions=signed)
        else:
            prescribed = replace(prescribed, programme=parse_model(text, path, Programme))
    return replace(folder, prescribed=prescribed).for_exercise(folder.name)


def _changed_programme(folder: ClientFolder, values: Mapping[str, object | None]) -> str:
    """The newest version of the programme with these values of one exercise changed."""
    path, index = folder.prescribed.path, _index(folder.prescribed, folder.name)

    def put_all(document: Any) -> None:
        exercise = document["exercises"][index]
        for key, value in values.items():
            head = key.partition(".")[0]
            if head == "dose" and "dose" not in exercise:
                exercise["dose"] = _plain(document["dose"])  # its own from now on
            put_value(document if head in OfEveryExercise.model_fields else exercise, key, value)

    return required_text(edit(read_text(path), put_all), path)


def _index(prescribed: Prescribed, name: Name | None) -> int:
    return prescribed.names.index(name)


def _plain(value: Any) -> Any:
    """A table of a document as plain data."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    return value.unwrap() if hasattr(value, "unwrap") else value


def _lists(value: Any) -> Any:
    """Tuples as lists at every level, as the writer takes them."""
    if isinstance(value, Mapping):
        return {key: _lists(item) for key, item in value.items()}
    return [_lists(item) for item in value] if isinstance(value, list | tuple) else value
