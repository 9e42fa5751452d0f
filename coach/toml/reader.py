"""Reading hand-written TOML into a model, or saying everything that is wrong with it, at its place."""

import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from coach.toml.diagnostic import Diagnostic, FileFault, whole_file

Model = TypeVar("Model", bound=BaseModel)

MOST_BYTES = 1024 * 1024  # far above any file of this program, and parsed in a blink
_LONGEST_LINE = 10_000
_MOST_DOTS = 200  # in a line; a TOML parser takes a minute and more for a few keys of thousands of dots


def read_model(path: Path, model: type[Model]) -> Model:
    """The file at `path` as a model. FileFault, with every fault in the file, if it cannot be."""
    return parse_model(read_text(path), path, model)


def read_text(path: Path) -> str:
    """The text of an ordinary file of at most 1 MiB in UTF-8. FileFault if it is none."""
    return decoded(read_bytes(path), path)


def read_bytes(path: Path) -> bytes:
    """What an ordinary file of at most 1 MiB holds. FileFault if it is none."""
    try:
        kind = path.stat().st_mode  # before opening: opening a pipe or a device may never return
        if not stat.S_ISREG(kind):
            what = "this is a folder, not a file" if stat.S_ISDIR(kind) else "this is not an ordinary file"
            raise FileFault([whole_file(path, what, "a text file", "name the file itself")])
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise FileFault([_not_there(path)]) from None
    except PermissionError:
        mend = "ask its owner, or change its permissions"
        raise FileFault([whole_file(path, "the file may not be read by you", "a file you may read", mend)]) from None
    except (OSError, ValueError) as error:  # ValueError: a path with a zero byte
        reason = (error.strerror if isinstance(error, OSError) else None) or "no such path can be"
        raise FileFault([whole_file(path, f"the file cannot be read: {reason.lower()}", "a text file")]) from None
    if len(content) > MOST_BYTES:
        mend = "look whether this is the right file"
        raise FileFault([whole_file(path, "the file is larger than 1 MiB", "a file written by hand", mend)])
    return content


def _not_there(path: Path) -> Diagnostic:
    from coach.toml.value_faults import nearest

    try:
        beside = [name.name for name in path.parent.iterdir()]
    except OSError:
        what = f"there is no folder {path.parent}"
        return whole_file(path, what, "a file in a folder that is there", "look at the path")
    alike = {Path(name).stem: name for name in beside[:1000] if Path(name).suffix == path.suffix}
    near = alike.get(nearest(path.stem, list(alike)) or "")  # without the ending, which makes all of them alike
    return whole_file(path, "there is no such file", f"a file {path.name}", "look at the name", near)


def decoded(content: bytes, path: Path) -> str:
    """Bytes as UTF-8 text. FileFault, with the place of the first byte that is none."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        mend = "save it as UTF-8 in your editor"
        raise FileFault([whole_file(path, "the file is UTF-16", "text in UTF-8", mend)])
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        line, column = before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
        text = content.split(b"\n")[line - 1].decode("utf-8", errors="replace").rstrip("\r")
        what = f"the byte 0x{content[error.start]:02x}, byte {error.start} of the file, is not UTF-8"
        mend = "save the file as UTF-8 in your editor"
        raise FileFault([Diagnostic(path, line, column, text, what, "text in UTF-8", mend)]) from None


def parse_model(text: str, path: Path, model: type[Model]) -> Model:
    """A TOML text as a model; `path` is the file it came from. FileFault, with every fault, if it cannot be."""
    table = read_table(text, path, model)
    if table.faults:
        raise FileFault([*table.faults, *table.misfits(model)])
    try:
        return model.model_validate(table.data)
    except ValidationError as error:
        raise FileFault(table.placed(error, model)) from None


@dataclass(frozen=True)
class Table:
    """A file read as TOML: its data, what is wrong with it so far, its text, and the part of it that is TOML."""

    path: Path
    data: dict[str, Any]
    faults: tuple[Diagnostic, ...]
    text: str
    rest: str

    def misfits(self, model: type[BaseModel], part: bool = False) -> list[Diagnostic]:
        """What of the data does not fit the model. In a `part` of a file, nothing is missing."""
        try:
            model.model_validate(self.data)
        except ValidationError as error:
            return self.placed(error, model, part)
        return []

    def placed(self, error: ValidationError, model: type[BaseModel], part: bool = False) -> list[Diagnostic]:
        """The faults against the model. Where lines were left out, what is missing may stand in one of them."""
        from coach.toml.model_faults import model_faults
        from coach.toml.source_positions import find_places

        torn = part or (bool(self.faults) and self.rest != self.text)
        lines, places = self.rest.split("\n"), find_places(self.rest)
        return list(model_faults(error, self.data, self.path, lines, places, model, torn=torn))


def read_table(text: str, path: Path, model: type[BaseModel]) -> Table:
    """A TOML text as the data of a model that it was written for. FileFault where no data can be had at all."""
    from coach.toml.fast_reader import read_fast

    text = text.replace("\r\n", "\n")
    found = read_fast(text)
    data, faults, rest = _parsed_with_care(text, path) if found is None else (found, list[Diagnostic](), text)
    if faults and not rest:
        raise FileFault(faults)
    try:
        data = _tuples(data)
    except RecursionError:
        faults.append(whole_file(path, "tables stand too deep in each other", "a few levels", "take dots away"))
        raise FileFault(faults) from None
    faults += _format_faults(data, text, path, model)
    return Table(path, data, tuple(faults), text, rest)


def _parsed_with_care(text: str, path: Path) -> tuple[dict[str, Any], list[Diagnostic], str]:
    from coach.toml.syntax_faults import parsed

    _refuse_what_no_parser_should_see(text, path)
    return parsed(text, path)


def _refuse_what_no_parser_should_see(text: str, path: Path) -> None:
    lines = text.split("\n")
    if text.startswith("\ufeff"):
        what = "the file begins with a byte-order mark, which cannot be seen"
        mend = "save it as UTF-8 without a byte-order mark (BOM)"
        raise FileFault([Diagnostic(path, 1, 1, lines[0], what, "plain UTF-8", mend)])
    if not text.strip():
        raise FileFault([whole_file(path, "the file is empty", "format = 1 and the keys of this file", "fill it in")])
    for number, line in enumerate(lines, 1):
        if "\0" in line:
            at = line.index("\0") + 1
            what = "a zero byte stands here; this may be no text file, or a torn one"
            mend = "put the file back from a copy"
            raise FileFault([Diagnostic(path, number, at, line, what, "plain text", mend)])
        if len(line) > _LONGEST_LINE:
            what = f"this line has {len(line)} characters"
            expected, mend = f"at most {_LONGEST_LINE} in a line", "write one key a line"
            raise FileFault([Diagnostic(path, number, 1, line[:200], what, expected, mend)])
        if line.count(".") > _MOST_DOTS:
            what = f"this line has {line.count('.')} dots"
            expected, mend = f"at most {_MOST_DOTS} in a line", "write one key and one value a line"
            raise FileFault([Diagnostic(path, number, line.index(".") + 1, line, what, expected, mend)])


def _format_faults(data: dict[str, Any], text: str, path: Path, model: type[BaseModel]) -> list[Diagnostic]:
    """A file without a format is told so. FileFault for a newer one: it is not judged by what this version knows."""
    if "format" not in model.model_fields:
        return []
    newest = max(get_args(model.model_fields["format"].annotation))
    if "format" not in data:
        if model.model_fields["format"].is_required():
            return []  # the model says so
        what, mend = "format is missing", f"write format = {newest} as the first line"
        return [Diagnostic(path, 1, 1, text.partition("\n")[0], what, f"format = {newest}", mend)]
    found = data["format"]
    if type(found) is not int or found <= newest:
        return []
    lines = text.split("\n")
    at = next((number for number, line in enumerate(lines) if line.lstrip().startswith("format")), 0)
    what = f"written by a newer Steady Arc (format {found if found < 10**6 else '…'}); left untouched"
    expected, mend = f"format {newest} or older", "use the newer Steady Arc"
    raise FileFault([Diagnostic(path, at + 1, 1, lines[at], what, expected, mend)])


def _tuples(value: Any) -> Any:
    """Lists as tuples, all the way down and in place: the models are frozen."""
    if isinstance(value, dict):
        for key, item in value.items():
            if isinstance(item, dict | list):
                value[key] = _tuples(item)
        return value
    return tuple(_tuples(item) if isinstance(item, dict | list) else item for item in value)
