"""Writing TOML: values, whole files and single tables, as the program writes them and as a person would.

The program's own files are written by tomli_w, with each list and each table spread over lines. Files that a person
goes on editing get one key a line, with short lists and tables kept on that line.
"""

from collections.abc import Collection, Container, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import tomli_w

from coach.frozen import FromFile, Unfit


def values_to_write(one: FromFile, path: Path, exclude: Collection[str] = ()) -> dict[str, Any]:
    """The values of an object as the file `path` is to have them.

    Raises FileFault with each value that could not be read again: none of them is to be written then.
    """
    try:
        return one.as_written(exclude=exclude)
    except Unfit as unfit:
        raise _unwritten(one, path, unfit) from None


def _unwritten(one: FromFile, path: Path, unfit: Unfit) -> Exception:
    """What cannot be written, by the key that it stands under: there is no line of a file to name."""
    from msgspec.structs import replace

    from coach.toml.diagnostic import FileFault, whole_file
    from coach.toml.reader import parse_model

    why, fix = "nothing was written, because it could not be read again", "correct it where it comes from, and repeat"
    try:
        parse_model(dump(one.model_dump(exclude_none=True)), path, type(one))
    except FileFault as found:
        places = {"path": path, "line": 0, "column": 0, "text": "", "fix": fix}
        return FileFault(replace(fault, **places, what=f"{why}: {fault.what}") for fault in found.faults)
    return FileFault([whole_file(path, f"{why}: {unfit}", fix=fix)])


def dump(data: Mapping[str, Any], comment: str = "") -> str:
    """A whole file in the program's own form. `comment` is the text of one line above it."""
    heading = f"# {comment}\n" if comment else ""
    return heading + tomli_w.dumps(data)


def dump_item(name: str, values: Mapping[str, Any]) -> str:
    """One [[name]] table in the program's own form, to be added at the end of a file: tables in it come last."""
    flat = {key: value for key, value in values.items() if not isinstance(value, dict)}
    nested = {key: value for key, value in values.items() if isinstance(value, dict)}
    tables = tomli_w.dumps({name: nested}).removeprefix(f"[{name}]\n") if nested else ""
    return f"[[{name}]]\n{tomli_w.dumps(flat)}{tables}"


def dump_by_hand(data: Mapping[str, object]) -> str:
    """A whole file as a person would write it: a header for each table, one key a line."""
    lines = [_line(key, value) for key, value in data.items() if not _is_table(value)]
    for key, value in data.items():
        if isinstance(value, Mapping):
            lines += ["", f"[{key}]", *(_line(name, inner) for name, inner in value.items())]
        elif _is_table(value) and isinstance(value, list):
            for row in value:
                lines += ["", f"[[{key}]]", *(_line(name, inner) for name, inner in row.items())]
    return "\n".join(lines) + "\n"


def dump_item_by_hand(name: str, values: Mapping[str, object], spread: Container[str] = ()) -> str:
    """One [[name]] table as a person would write it. The lists named in `spread` get a line for each item."""
    lines = [f"[[{name}]]"]
    for key, value in values.items():
        if key in spread and isinstance(value, list | tuple):
            lines += [f"{key} = [", *(f"  {toml_value(item)}," for item in value), "]"]
        else:
            lines.append(_line(key, value))
    return "\n".join(lines) + "\n"


def toml_value(value: object) -> str:
    """A value as TOML on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(_line(key, item) for key, item in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(toml_value, value)) + "]"
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, str):
        return _quoted(value)
    return str(value).lower() if isinstance(value, bool) else str(value)


def _line(key: object, value: object) -> str:
    return f"{key} = {toml_value(value)}"


def _is_table(value: object) -> bool:
    """Whether a value is a table or a list of tables, which have headers of their own."""
    return isinstance(value, Mapping) or (isinstance(value, list) and bool(value) and isinstance(value[0], Mapping))


def _quoted(text: str) -> str:
    """A text in quotes: in single ones if that saves the reader a row of backslashes."""
    if '"' in text and "'" not in text and text.isprintable():
        return f"'{text}'"
    return tomli_w.dumps({"v": text}).removeprefix("v = ").rstrip("\n")
