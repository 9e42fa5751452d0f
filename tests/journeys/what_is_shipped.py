"""What a built package holds: `python -m tests.journeys.what_is_shipped FOLDER`, of one wheel and one source archive.

Whatever the program reads lies in both, its content too, and both say the version and the licence.
"""

import subprocess
import sys
import tarfile
from email.parser import Parser
from pathlib import Path
from zipfile import ZipFile

from coach import __version__
from tests.demo.pristine import TREE

BESIDES = ("coach/LICENSE", "coach/CHANGELOG.md", "coach/py.typed")


def main(folder: Path) -> None:
    """AssertionError with what is missing."""
    (wheel,), (archive,) = folder.glob("*.whl"), folder.glob("*.tar.gz")
    tracked = _tracked("coach", "content")
    assert set(BESIDES) <= set(tracked)
    with ZipFile(wheel) as inside:
        held = set(inside.namelist())
        (about,) = (name for name in held if name.endswith(".dist-info/METADATA"))
        metadata = Parser().parsestr(inside.read(about).decode())
    in_package = {name if name.startswith("coach/") else f"coach/{name}" for name in tracked}
    assert in_package <= held, sorted(in_package - held)
    assert about.replace("METADATA", "licenses/coach/LICENSE") in held
    said = [metadata["Version"], metadata["License-Expression"], metadata["License-File"]]
    assert said == [__version__, "MIT", "coach/LICENSE"], said
    with tarfile.open(archive) as inside_archive:
        unpacked = {name.partition("/")[2] for name in inside_archive.getnames()}
    whole = {name for name in _tracked(".") if not name.startswith(".")}
    assert whole <= unpacked, sorted(whole - unpacked)
    print(f"{wheel.name} holds {len(in_package)} files of the program, {archive.name} all {len(whole)} of the tree")


def _tracked(*folders: str) -> list[str]:
    """The files of the tree that are kept in its history, by their paths."""
    told = subprocess.run(["git", "ls-files", "-z", *folders], cwd=TREE, capture_output=True, text=True, check=True)
    return told.stdout.rstrip("\0").split("\0")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
