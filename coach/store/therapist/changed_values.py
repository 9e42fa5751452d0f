"""The values of a prescription that an instruction changes: as typed, with what goes with them, and as they were."""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from coach.model.base import POSITION_KEYS
from coach.model.instruction import CHANGEABLE, WITH_THE_EXERCISE, Instruction
from coach.model.prescription import OfEveryExercise, Prescription
from coach.store.therapist.prescription_file import BY_POSITION, position_in, value_at
from coach.toml.diagnostic import Refusal, whole_file
from coach.toml.input_parsing import parse_input_at
from coach.toml.nearest_name import nearest_name
from coach.toml.typed_values import DateOrder
from coach.toml.writer import toml_value

_KEY = re.compile(r"[a-z0-9_]{1,48}(\.[a-z0-9_]{1,48}){0,2}")
_IN_POSITION = re.compile(r"[a-z]+\.[a-z0-9_]{1,48}(\.[a-z0-9_]{1,48}){1,2}")


def typed_values(
    typed: Mapping[str, str], dates: DateOrder | None, data: Mapping[str, object]
) -> dict[str, object | None]:
    """The values of keys such as dose.sets, from what was typed; None for one that is to be taken out.

    With another exercise goes what was set for the one before, its first step, setups, doses and targets; with a
    position what was set for it.
    """
    values = {key: parse_input_at(text, Prescription, _path(key), dates) for key, text in typed.items()}
    return {**dict.fromkeys(_left_over(data, values)), **values}


def _left_over(data: Mapping[str, Any], values: Mapping[str, object | None]) -> Iterator[str]:
    """The keys of what belongs to an exercise or a position that the values leave out."""
    if values.get("exercise") not in (None, data.get("exercise")):
        yield from (key for key in WITH_THE_EXERCISE if key in data)
        return
    positions = values.get("positions")
    if isinstance(positions, list | tuple):
        rows = ((head, row) for head in BY_POSITION for row in data.get(head, ()))
        gone = ((head, position_in(row), row) for head, row in rows if position_in(row) not in positions)
        yield from (f"{head}.{name}.{key}" for head, name, row in gone for key in row if key not in POSITION_KEYS)


def refuse_keys(fields: Iterable[str], values: Iterable[str], path: Path) -> None:
    """Refuse keys that no file could have; whether the file has such a key, its model checks."""
    for key in values:
        head = key.partition(".")[0]
        if head not in CHANGEABLE:
            what, near = (
                f"{key} is not changed by an instruction of the therapist",
                nearest_name(head, list(CHANGEABLE)),
            )
            raise Refusal([whole_file(path, what, f"one of {', '.join(CHANGEABLE)}", "write one of them", near)])
    for key in (*fields, *values):
        by_position = key.partition(".")[0] in BY_POSITION
        form, expected = (
            (_IN_POSITION, "such as setups.45.distance_cm") if by_position else (_KEY, "such as dose.sets")
        )
        if not form.fullmatch(key):
            raise Refusal([whole_file(path, f"{key} is not a key", expected, "write the key as in the file")])


def changes_of(data: Mapping[str, object], values: Mapping[str, object | None]) -> list[dict[str, str]]:
    """Each value that changes, before and after, as TOML; a value that is not there is left out."""
    both = {key: {"was": _literal(value_at(data, key)), "now": _literal(value)} for key, value in values.items()}
    return [
        {"key": key, **{name: value for name, value in one.items() if value is not None}}
        for key, one in both.items()
        if one["was"] != one["now"]
    ]


def values_before(taken: Instruction, data: Mapping[str, object], path: Path) -> dict[str, object | None]:
    """The values before the change that an instruction made. Raises Refusal where they have changed again since."""
    for change in taken.changed:
        here = value_at(data, change.key)
        if not is_written(here, change.now):
            here = _literal(here)
            what = f"{change.key} has been changed again since, to {here}"
            raise Refusal([whole_file(path, what, change.now or "", "sign a change to what it should be")])
    return {change.key: _from_literal(change.was) for change in taken.changed}


def is_written(value: object | None, literal: str | None) -> bool:
    """Whether a value is the one that an instruction has as TOML; 8 may stand there as 8.0."""
    return _from_literal(_literal(value)) == _from_literal(literal)


def refuse_beside_repair(values: Mapping[str, object | None], path: Path) -> None:
    """Raise Refusal where the day of a repair, for all exercises, is changed with a value of one of them."""
    own = [key for key in values if key.partition(".")[0] not in OfEveryExercise.model_fields]
    if "repaired_on" in values and own:
        what = f"repaired_on is for every exercise of the programme, and {own[0]} for one"
        raise Refusal([whole_file(path, what, "one of the two in one instruction", "sign them one after the other")])


def refuse_another_repair(taken: Instruction, signed: Iterable[Instruction], path: Path) -> None:
    """Raise Refusal where taking back a change brings back a repair that strengthening was not allowed for since."""
    was = next((one.was for one in taken.changed if one.key == "repaired_on"), None)
    if was is not None and any(one.what == "allow_strengthening" and one.at > taken.at for one in signed):
        what = f"repaired_on would be {was} again, and strengthening was allowed since for the repair as it is now"
        fix = "sign a change of repaired_on instead, and allow strengthening again where it may go on"
        raise Refusal([whole_file(path, what, "a change", fix)])


def _path(key: str) -> tuple[str | int, ...]:
    """The path of a key in the model, where the tables of the positions are items of a list."""
    head, *rest = key.split(".")
    return (head, 0, *rest[1:]) if head in BY_POSITION and rest else (head, *rest)


def _literal(value: object | None) -> str | None:
    return None if value is None else toml_value(value)


def _from_literal(text: str | None) -> object | None:
    return None if text is None else tomllib.loads(f"v = {text}")["v"]
