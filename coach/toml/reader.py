"""Reading hand-written TOML into a model, with a diagnostic for everything that is wrong with it."""

import os
import re
import stat
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from msgspec import Struct

from coach.frozen import FromFile, Unfit
from coach.system import open_bytes
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file

if TYPE_CHECKING:
    from pydantic import ValidationError

Model = TypeVar("Model", bound=FromFile)

MAX_BYTES = 1024 * 1024  # far above any file of this program, and still parsed at once
MAX_LINE = 10_000
_MERGE_MARK = re.compile(r"(<{7}|>{7}|\|{7}) |={7}$")
MAX_DOTS = 200  # in a line; a TOML parser takes over a minute for a few keys with thousands of dots
# A date of a file may be of these years: days and weeks are counted from it, which ends in the years 1 and 9999.
FIRST_YEAR, LAST_YEAR = 1900, 2200
# Finds each text with a date of another year, and may find more; a test compares it with the bounds. The years of
# today are left out first.
MAYBE_OTHER_YEAR = re.compile(r"-(?<!2[01][0-9]{2}-)(?<=[0-9]{4}-)(?<!19[0-9]{2}-)[0-9]{2}-[0-9]{2}")


def read_model(path: Path, model: type[Model]) -> Model:
    """The file at `path` as a model. Raises FileFault with every fault in the file."""
    return parse_model(read_text(path), path, model)


def read_text(path: Path) -> str:
    """The text of a regular UTF-8 file of at most 1 MiB. Raises FileFault if it is none."""
    return decode_text(read_bytes(path), path)


def is_there(path: Path) -> bool:
    """Whether something has this name, even if it cannot be read: a link to nothing, or a circle of links.

    `Path.exists` takes such links for no file, and raises where a folder may not be opened.
    """
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError, ValueError):
        return False
    except OSError:
        return True
    return True


def read_bytes(path: Path) -> bytes:
    """The content of a regular file of at most 1 MiB. Raises FileFault if it is none."""
    try:
        name = str(path)  # asked for once: a Path makes it anew for each call of the system
        found = os.stat(name)  # noqa: PTH116  # before opening, as opening a pipe or a device may never return
        if not stat.S_ISREG(found.st_mode):
            what = "this is a folder, not a file" if stat.S_ISDIR(found.st_mode) else "this is not an ordinary file"
            raise FileFault([whole_file(path, what, "a text file", "name the file itself")])
        content = _content(name, found.st_size)
    except FileNotFoundError:
        raise FileFault([missing_file(path)]) from None
    except PermissionError:
        fix = "ask its owner, or change its permissions"
        raise FileFault([whole_file(path, "you may not read this file", "a file you may read", fix)]) from None
    except (OSError, ValueError) as error:  # ValueError: a path with a zero byte
        reason = (error.strerror if isinstance(error, OSError) else None) or "this is not a valid path"
        raise FileFault([whole_file(path, f"the file cannot be read: {reason.lower()}", "a text file")]) from None
    if len(content) > MAX_BYTES:
        fix = "check that this is the right file"
        raise FileFault([whole_file(path, "the file is larger than 1 MiB", "a file written by hand", fix)])
    return content


def _content(path: str, size: int) -> bytes:
    """The bytes of a file, of a larger one just more than 1 MiB; a file object would take half as long again.

    `size`: its size a moment ago, which it may have outgrown since.
    """
    opened = open_bytes(path, os.O_RDONLY)
    try:
        content = os.read(opened, min(size, MAX_BYTES) + 1)
        while len(content) not in (size, MAX_BYTES + 1):
            more = os.read(opened, MAX_BYTES + 1 - len(content))
            if not more:
                break
            content += more
    finally:
        os.close(opened)
    return content


def missing_file(path: Path) -> Diagnostic:
    """The fault of a file that does not exist, with the nearest name beside it."""
    from coach.toml.nearest_name import nearest_name

    try:
        siblings = [name.name for name in path.parent.iterdir()]
    except OSError:
        what = f"there is no folder {path.parent}"
        return whole_file(path, what, "a file in an existing folder", "check the path")
    by_stem = {Path(name).stem: name for name in siblings[:1000] if Path(name).suffix == path.suffix}
    near = by_stem.get(nearest_name(path.stem, by_stem) or "")  # the same suffix makes all names similar
    return whole_file(path, "there is no such file", f"a file {path.name}", "check the name", near)


def decode_text(content: bytes, path: Path) -> str:
    """Bytes as UTF-8 text. Raises FileFault with the position of the first byte that is not UTF-8."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        fix = "save it as UTF-8 in your editor"
        raise FileFault([whole_file(path, "the file is UTF-16", "text in UTF-8", fix)])
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        before = content[: error.start].decode("utf-8")
        line, column = before.count("\n") + 1, len(before) - (before.rfind("\n") + 1) + 1
        text = content.split(b"\n")[line - 1].decode("utf-8", errors="replace").rstrip("\r")
        what = f"the byte 0x{content[error.start]:02x}, byte {error.start} of the file, is not UTF-8"
        fix = "save the file as UTF-8 in your editor"
        raise FileFault([Diagnostic(path, line, column, text, what, "text in UTF-8", fix)]) from None


def parse_model(text: str, path: Path, model: type[Model]) -> Model:
    """A TOML text as a model; `path` is the file it came from. Raises FileFault with every fault."""
    built = _built_at_once(text, model)
    return parse_table(text, path, model).as_model(model) if built is None else built


def _built_at_once(text: str, model: type[Model]) -> Model | None:
    """A text as a model; None where it does not fit, or may not: it is then read with care."""
    from coach.toml.fast_reader import read_fast

    data = read_fast(text.replace("\r\n", "\n") if "\r" in text else text)
    if data is None or ("format" in model.model_fields and "format" not in data):
        return None
    try:
        return model.of_clean(data)
    except Unfit:
        return None


def fitted(
    data: object, model: type[Model], text_of: Callable[[str], str] | None = None
) -> "Model | ValidationError":
    """Data as an object of a class, or everything that keeps it from being one. `text_of` is applied to its texts."""
    try:
        return model.model_validate(data, text_of)
    except Unfit:
        from coach.toml.explained import explained

        return explained(data, model, text_of)


class ParsedFile(Struct, frozen=True):
    """A file read as TOML. `faults` are those found so far, `valid_text` is the text without the lines of these."""

    path: Path
    data: dict[str, Any]
    faults: tuple[Diagnostic, ...]
    text: str
    valid_text: str

    def as_model(self, model: type[Model]) -> Model:
        """The file as a model. Raises FileFault with every fault."""
        if self.faults:
            raise FileFault([*self.faults, *self.mismatches(model)])
        found = fitted(self.data, model)
        if isinstance(found, FromFile):
            return found
        raise FileFault(self.diagnostics(found, model))

    def mismatches(self, model: type[FromFile], partial: bool = False) -> list[Diagnostic]:
        """Everything in the data that does not fit the model. In a `partial` file, a missing key is no fault."""
        found = fitted(self.data, model)
        return [] if isinstance(found, FromFile) else self.diagnostics(found, model, partial)

    def diagnostics(self, error: "ValidationError", model: type[FromFile], partial: bool = False) -> list[Diagnostic]:
        """The errors of a validation with their positions. If lines were left out, missing keys may be in them."""
        from coach.toml.model_faults import model_faults

        incomplete = partial or (bool(self.faults) and self.valid_text != self.text)
        return list(model_faults(error, self.data, self.path, self.valid_text, model, incomplete=incomplete))


def parse_table(text: str, path: Path, model: type[FromFile]) -> ParsedFile:
    """A TOML text as the data of the model that it was written for. Raises FileFault if none of it can be read."""
    from coach.toml.fast_reader import read_fast

    text = text.replace("\r\n", "\n")
    _refuse_unparsable(text, path)
    found = read_fast(text)
    data, faults, valid_text = _parse_with_care(text, path) if found is None else (found, list[Diagnostic](), text)
    if faults and not valid_text:
        raise FileFault(faults)
    try:
        data = _tuples(data)
    except RecursionError:
        faults.append(whole_file(path, "tables are nested too deeply", "a few levels", "take dots away"))
        raise FileFault(faults) from None
    faults += _format_faults(data, text, path, model)
    if MAYBE_OTHER_YEAR.search(valid_text) and (years := list(_year_faults(data, valid_text, path))):
        raise FileFault([*faults, *years])  # no model has to count with such a date
    return ParsedFile(path, data, tuple(faults), text, valid_text)


def _parse_with_care(text: str, path: Path) -> tuple[dict[str, Any], list[Diagnostic], str]:
    from coach.toml.syntax_faults import parse_tolerantly

    return parse_tolerantly(text, path)


def _refuse_unparsable(text: str, path: Path) -> None:
    lines = text.split("\n")
    if text.startswith("\ufeff"):
        what = "the file begins with a byte-order mark, which is invisible"
        fix = "save it as UTF-8 without a byte-order mark (BOM)"
        raise FileFault([Diagnostic(path, 1, 1, lines[0], what, "plain UTF-8", fix)])
    if not text.strip():
        fix = "wait if another program has yet to bring it; else restore it from a copy, or fill it in"
        raise FileFault([whole_file(path, "the file is empty", "format = 1 and the keys of this file", fix)])
    for number, line in enumerate(lines, 1):
        if _MERGE_MARK.match(line):
            what = "this line is the mark of a merge that was not finished"
            fix = "keep one of the two versions, and remove the lines <<<<<<<, ======= and >>>>>>>"
            raise FileFault([Diagnostic(path, number, 1, line, what, "one of the two versions", fix)])
        if "\0" in line:
            at = line.index("\0") + 1
            what = "a zero byte stands here; this may not be a text file, or only part of one"
            fix = "restore the file from a copy"
            raise FileFault([Diagnostic(path, number, at, line, what, "plain text", fix)])
        if len(line) > MAX_LINE:
            what = f"this line has {len(line)} characters"
            expected, fix = f"at most {MAX_LINE} in a line", "write one key a line"
            raise FileFault([Diagnostic(path, number, 1, line[:200], what, expected, fix)])
        if line.count(".") > MAX_DOTS:
            what = f"this line has {line.count('.')} dots"
            expected, fix = f"at most {MAX_DOTS} in a line", "write one key and one value a line"
            raise FileFault([Diagnostic(path, number, line.index(".") + 1, line, what, expected, fix)])


def _format_faults(data: dict[str, Any], text: str, path: Path, model: type[FromFile]) -> list[Diagnostic]:
    """The fault of a missing format. Raises FileFault for a newer format, which this version cannot check."""
    if "format" not in model.model_fields:
        return []
    newest = max(get_args(model.model_fields["format"].annotation))
    if "format" not in data:
        if model.model_fields["format"].is_required:
            return []  # the model reports it
        what, fix = "format is missing", f"write format = {newest} as the first line"
        return [Diagnostic(path, 1, 1, text.partition("\n")[0], what, f"format = {newest}", fix)]
    found = data["format"]
    if type(found) is not int or found <= newest:
        return []
    lines = text.split("\n")
    at = next((number for number, line in enumerate(lines) if line.lstrip().startswith("format")), 0)
    what = f"written by a newer Steady Arc (format {found if found < 10**6 else '…'}); left untouched"
    expected, fix = f"format {newest} or older", "use the newer Steady Arc"
    raise FileFault([Diagnostic(path, at + 1, 1, lines[at], what, expected, fix, newer=True)])


def is_year(year: int) -> bool:
    """Whether a date of this year is taken."""
    return FIRST_YEAR <= year <= LAST_YEAR


def _year_faults(data: dict[str, Any], text: str, path: Path) -> Iterator[Diagnostic]:
    from coach.toml.source_positions import find_positions

    positions, lines = find_positions(text), text.split("\n")
    for key, day in _dates((), data):
        if not is_year(day.year):
            at = positions.of_value(key)
            name = next(str(part) for part in reversed(key) if isinstance(part, str))
            what = f"{name} is in the year {day.year}"
            expected, fix = f"a date of the years {FIRST_YEAR} to {LAST_YEAR}", "write the year that is meant"
            yield Diagnostic(path, at.line, at.column, lines[at.line - 1], what, expected, fix)


def _dates(key: tuple[str | int, ...], value: Any) -> Iterator[tuple[tuple[str | int, ...], date]]:
    """Every date in the data, with its key."""
    if isinstance(value, date):  # or a datetime
        yield key, value
    elif isinstance(value, dict | tuple):
        for part, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from _dates((*key, part), item)


_NESTED = (dict, list)


def _tuples(value: Any) -> Any:
    """Lists as tuples at every level, as the models are frozen; tables are changed in place."""
    if isinstance(value, dict):
        for key, item in value.items():
            if isinstance(item, _NESTED):
                value[key] = _tuples(item)
        return value
    return tuple([_tuples(item) if isinstance(item, _NESTED) else item for item in value])
