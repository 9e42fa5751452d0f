"""A client's own folder is no folder of clients, and what an upgrade has kept in it is no client."""

from pathlib import Path

import pytest

from coach.cli import main
from coach.store.client_paths import KEPT, clients_in
from coach.store.programme.upgrade import upgrade
from coach.toml.diagnostic import FileFault


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """A client after an upgrade."""
    upgrade(demo_profiles / "tern")
    assert (demo_profiles / "tern" / KEPT / "profile.toml").exists()
    return demo_profiles / "tern"


@pytest.mark.parametrize(
    "command",
    [
        ["caseload", "FOLDER"],
        ["audit", "FOLDER"],
        ["export", "--csv", "--all", "FOLDER", "--to", "NEW"],
    ],
)
def test_commands_for_all_clients_say_that_it_is_one(
    client: Path,
    command: list[str],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main([{"FOLDER": str(client), "NEW": str(tmp_path / "new")}.get(word, word) for word in command]) != 0
    said = capsys.readouterr()
    assert "this is a client's own folder" in said.out + said.err
    assert KEPT not in said.out + said.err


def test_what_an_upgrade_has_kept_is_no_client(client: Path) -> None:
    with pytest.raises(FileFault, match="own folder"):
        clients_in(client)
    (client / "profile.toml").unlink()
    with pytest.raises(FileFault, match="own folder"):
        clients_in(client)
    (client / KEPT).rename(client.parent / KEPT)
    assert KEPT not in clients_in(client.parent)


def test_a_stray_folder_of_records_hides_no_clients(demo_profiles: Path) -> None:
    (demo_profiles / "records").mkdir()
    assert "tern" in clients_in(demo_profiles)
