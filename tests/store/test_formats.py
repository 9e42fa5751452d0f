"""Files of the first format are read for ever; those of a newer one are refused and left as they are.

`format_1` holds a client as the first format wrote one, with every kind of entry. It is never made again: where it no
longer reads, or no longer folds, the program has broken a promise.
"""

import hashlib
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.toml.diagnostic import FileFault
from tests.demo.pristine import TREE
from tests.plans import shipped

FIRST = Path(__file__).parent / "format_1"
AS_FROZEN = "dee72fa75385f844eebbd1444a4c99eeb883a141289c6f946dc67217fb130c81"
WRITTEN = ("profile.toml", "prescription.toml", "progress.toml", "records/2026-07-06T180100.toml")


def bytes_of(folder: Path) -> dict[str, bytes]:
    """Every file but the lock."""
    found = (path for path in sorted(folder.rglob("*")) if path.is_file() and path.name != ".lock")
    return {str(path.relative_to(folder)): path.read_bytes() for path in found}


def hash_of(folder: Path) -> str:
    """One hash over the names and the bytes."""
    found = bytes_of(folder).items()
    return hashlib.sha256(b"".join(name.encode() + b"\0" + data + b"\0" for name, data in found)).hexdigest()


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A copy of the client of the first format."""
    return Path(shutil.copytree(FIRST, tmp_path / "heron"))


def test_nobody_has_changed_the_frozen_files() -> None:
    assert hash_of(FIRST) == AS_FROZEN


def test_the_first_format_is_read_and_folds(client: Path) -> None:
    """Whole, with every kind of entry, nothing mended, and each decision as it was written."""
    folder = read_client_folder(client)
    assert folder.saved is not None
    kinds = {entry.kind for record in folder.records for entry in record.entry}
    assert kinds == {"answer", "set", "load", "band", "end"}
    assert [record.ended.decision.move for record in folder.records if record.ended is not None] == [
        "progress", "regress", "hold", "hold",
    ]  # fmt: skip
    store = ClientStore(folder, shipped())
    progress, decisions = store.folded_progress, store.sessions
    assert (len(decisions), progress.sessions) == (4, 4)
    assert hash_of(client) == AS_FROZEN


@pytest.mark.parametrize("name", WRITTEN)
def test_a_newer_format_is_refused_and_left_untouched(client: Path, name: str) -> None:
    """By every command, however much else in the file is new. progress.toml is derived: it keeps nobody from
    anything, and is put aside byte for byte when it is written again."""
    file = client / name
    file.write_text(file.read_text().replace("format = 1", 'format = 3\nnew_key = { anything = ["at", "all"] }', 1))
    before = bytes_of(client)
    if name == "progress.toml":
        assert "newer Steady Arc (format 3)" in read_client_folder(client).saved_faults[0].what
    else:
        with pytest.raises(FileFault, match=r"newer Steady Arc \(format 3\); left untouched"):
            _ = read_client_folder(client).records
    for arguments in (["session", client, "--plain"], ["history", client, "--rebuild"], ["preview", client]):
        subprocess.run(
            [sys.executable, "-m", "coach", *map(str, arguments)], cwd=TREE, capture_output=True, check=False
        )
    after = bytes_of(client)
    if name == "progress.toml":
        assert before.pop(name) in after.values()
    assert set(before.values()) <= set(after.values())  # an upgrade moves prescription.toml, and changes nothing
