"""Days compared with today: a freeze ends on no day that is over, and what has happened is not still to come.

A client's files are read whatever days they hold, since what was signed stays as it is. A new signature is refused,
and of the files that are written by hand `coach check` tells.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import TypeVar

from coach.frozen import FromFile
from coach.model.instruction import Instruction
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.programme import Programme
from coach.model.programme.visit_file import VisitFile
from coach.store.client_paths import PROGRAMME
from coach.toml.diagnostic import Diagnostic, collect_faults, whole_file
from coach.toml.expected import KeyPath
from coach.toml.reader import parse_model, read_model
from coach.toml.source_file import SourceFile

Model = TypeVar("Model", bound=FromFile)
_AS_IT_WAS = "write the day as it was; of something that is planned, write it when it has been done"
_Dated = tuple[KeyPath, date | None]


def check_instruction_days(
    signed: Instruction, prescription: Prescription, today: date, path: Path
) -> Iterator[Diagnostic]:
    """Days that cannot be meant in an instruction that is about to be signed; `prescription` is as it changes it."""
    until, repaired_on = signed.until, prescription.repaired_on
    if until is not None and until < today:
        what = f"until is {until}, a day that is over: the load would not be frozen"
        fix = "write the last day of the freeze; to end a freeze, sign lift_freeze"
        yield whole_file(path, what, f"{today}, which is today, or a later day", fix)
    notes_repair = any(change.key == "repaired_on" for change in signed.changed)
    if notes_repair and repaired_on is not None and repaired_on > today:
        yield whole_file(path, _is_to_come("repaired_on", repaired_on), _up_to(today), _AS_IT_WAS)


def check_visit_days(visit: VisitFile, source: SourceFile) -> Iterator[Diagnostic]:
    """Conditions dated after the visit at which they are signed."""
    return _to_come(_of_list("condition", "on", visit.condition), source, visit.day)


def check_written_days(of_profile: SourceFile, of_prescribed: SourceFile, today: date) -> Iterator[Diagnostic]:
    """What a profile and what is prescribed date after today; nothing of a file that cannot be read."""
    profile = _read(of_profile, Profile)
    if profile is not None:
        yield from _to_come(_dates_of(profile), of_profile, today)
    is_programme = of_prescribed.path.parent.name == PROGRAMME
    prescribed = _read(of_prescribed, Programme) if is_programme else _read(of_prescribed, Prescription)
    if prescribed is not None:
        dated: tuple[_Dated, ...] = ((("on",), prescribed.on), (("repaired_on",), prescribed.repaired_on))
        yield from _to_come(dated, of_prescribed, today)


def _read(source: SourceFile, model: type[Model]) -> Model | None:
    path, text = source.path, source.text
    return collect_faults(lambda: read_model(path, model) if text is None else parse_model(text, path, model), [])


def _dates_of(profile: Profile) -> Iterator[_Dated]:
    """When something of a client was measured, judged, found or given."""
    yield from _of_list("ranges", "on", profile.ranges)
    yield from _of_list("strengths", "on", profile.strengths)
    yield from _of_list("condition", "on", profile.condition)
    yield from _of_list("condition", "noted_on", profile.condition)
    yield from _of_list("bands", "measured_on", profile.bands)
    yield from _of_list("pieces", "given_on", profile.pieces)
    if profile.irritability is not None:
        yield ("irritability", "on"), profile.irritability.on


def _of_list(head: str, key: str, entries: Sequence[object]) -> Iterator[_Dated]:
    return (((head, index, key), getattr(one, key)) for index, one in enumerate(entries))


def _to_come(dated: Iterable[_Dated], source: SourceFile, today: date) -> Iterator[Diagnostic]:
    for key, day in dated:
        if day is not None and day > today:
            yield source.at_value(key, _is_to_come(key[-1], day), _up_to(today), _AS_IT_WAS)


def _is_to_come(key: str | int, day: date) -> str:
    return f"{key} is {day}, a day that is still to come"


def _up_to(today: date) -> str:
    return f"{today}, which is today, or an earlier day"
