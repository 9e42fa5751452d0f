"""The program as a wheel, to be installed on another computer: from what is installed here, or from the source tree.

A wheel is a ZIP file with the package, three files about it and a list of hashes (PyPA, Binary distribution format).
An installed program has all of them but is no wheel any more; each file is compared with the hash that was noted when
it was installed, so that nobody takes home what was changed since.
"""

import base64
import csv
import hashlib
import io
import json
import tomllib
import zipfile
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from msgspec import Struct

import coach
from coach import __version__
from coach.content_files.content_folder import shipped_folder
from coach.toml.diagnostic import FileFault, error_reason, whole_file

_NAME, _FILE_NAME, _TAG = "steady-arc", "steady_arc", "py3-none-any"
_ABOUT = ".dist-info"
# Written by the program that installs; another one writes its own.
_OF_THIS_INSTALLATION = ("INSTALLER", "REQUESTED", "RECORD", "direct_url.json", "uv_cache.json")
_DATE = (1980, 1, 1, 0, 0, 0)  # the earliest that a ZIP file knows: the same files give the same wheel


class OwnWheel(Struct, frozen=True):
    """A wheel of this program: its file name and bytes, and the source tree that it was made from, if it was."""

    name: str
    data: bytes
    tree: Path | None = None


def own_wheel() -> OwnWheel:
    """The wheel of the program that is running. Raises FileFault where it cannot be made."""
    package = Path(coach.__file__).parent
    tree = package.parent if (package.parent / "pyproject.toml").is_file() else None
    try:
        files = list(_of_the_tree(tree) if tree is not None else _installed(package))
    except OSError as error:
        what = f"the program cannot be read: {error_reason(error)}"
        raise FileFault([whole_file(package, what, "", "install the program again")]) from None
    return OwnWheel(f"{_FILE_NAME}-{__version__}-{_TAG}.whl", _packed(files), tree)


def _installed(package: Path) -> Iterator[tuple[str, bytes]]:
    """The files that were installed, as they were. Raises FileFault where one was changed."""
    try:
        found = distribution(_NAME)
    except PackageNotFoundError:
        raise _not_installed(package) from None
    here = Path(str(found.locate_file(package.name)))
    if _is_editable(found) or not found.files or not here.is_dir() or not here.samefile(package):
        raise _not_installed(package)
    for file in found.files:
        name = file.as_posix()
        top, _, inside = name.partition("/")
        outside = top not in (package.name, f"{_FILE_NAME}-{found.version}{_ABOUT}")
        if outside or "__pycache__" in file.parts or inside in _OF_THIS_INSTALLATION:
            continue
        path = Path(str(file.locate()))
        data = path.read_bytes()
        if file.hash is not None and _hash(data) != f"{file.hash.mode}={file.hash.value}":
            what = "this file of the program was changed since it was installed"
            raise FileFault([whole_file(path, what, "the program as it was installed", "install the program again")])
        yield name, data


def _is_editable(found: Distribution) -> bool:
    told = found.read_text("direct_url.json")
    return told is not None and bool(json.loads(told).get("dir_info", {}).get("editable"))


def _not_installed(package: Path) -> FileFault:
    what = "this program was not installed, so there is nothing to install at home"
    return FileFault([whole_file(package, what, "a program that pip installed", "install it from its wheel")])


def _of_the_tree(tree: Path) -> Iterator[tuple[str, bytes]]:
    """The files of a source tree, with what `pyproject.toml` says of them."""
    for folder, name in ((tree / "coach", "coach"), (shipped_folder(), "coach/content")):
        for path in sorted(folder.rglob("*")):
            inside = path.relative_to(folder)
            if path.is_file() and not any(_is_leftover(part) for part in inside.parts):
                yield f"{name}/{inside.as_posix()}", path.read_bytes()
    project = tomllib.loads((tree / "pyproject.toml").read_text("utf-8"))["project"]
    about = f"{_FILE_NAME}-{__version__}{_ABOUT}"
    described = [
        ("Metadata-Version", "2.4"),
        ("Name", project["name"]),
        ("Version", __version__),
        ("Summary", project["description"]),
        ("Requires-Python", project["requires-python"]),
        ("License-Expression", project["license"]),
        *(("License-File", name) for name in project["license-files"]),
        *(("Requires-Dist", needed) for needed in project["dependencies"]),
    ]
    yield f"{about}/METADATA", _lines(f"{key}: {value}" for key, value in described)
    wheel = ("Wheel-Version: 1.0", f"Generator: {_NAME} {__version__}", "Root-Is-Purelib: true", f"Tag: {_TAG}")
    yield f"{about}/WHEEL", _lines(iter(wheel))
    scripts = (f"{name} = {where}" for name, where in project["scripts"].items())
    yield f"{about}/entry_points.txt", _lines(iter(("[console_scripts]", *scripts)))
    for name in project["license-files"]:
        yield f"{about}/licenses/{name}", (tree / name).read_bytes()


def _is_leftover(part: str) -> bool:
    """Whether a file or a folder of this name is no part of the program."""
    return part.startswith(".") or part == "__pycache__" or part.endswith(("~", ".orig", ".rej"))


def _lines(lines: Iterator[str]) -> bytes:
    return "".join(f"{line}\n" for line in lines).encode()


def _packed(files: list[tuple[str, bytes]]) -> bytes:
    about = next(name.partition("/")[0] for name, _ in files if name.endswith(f"{_ABOUT}/METADATA"))
    out, listed = io.BytesIO(), io.StringIO()
    rows = csv.writer(listed, lineterminator="\n")
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files:
            _add(archive, name, data)
            rows.writerow((name, _hash(data), len(data)))
        rows.writerow((f"{about}/RECORD", "", ""))
        _add(archive, f"{about}/RECORD", listed.getvalue().encode())
    return out.getvalue()


def _add(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    entry = zipfile.ZipInfo(name, _DATE)
    entry.external_attr = 0o100644 << 16
    entry.compress_type = zipfile.ZIP_DEFLATED
    archive.writestr(entry, data)


def _hash(data: bytes) -> str:
    digest = base64.urlsafe_b64encode(hashlib.sha256(data).digest()).decode().rstrip("=")
    return f"sha256={digest}"
