"""The coach's view of a real folder that is edited in the ways editors write files; polled by the tests."""

import shutil
from pathlib import Path

import pytest
from syrupy.assertion import SnapshotAssertion
from textual.pilot import Pilot

from coach.authoring.draft import EditedFolder
from coach.cli import main
from coach.commands.support.coach_content import coach_messages
from coach.commands.support.output import USAGE
from coach.content_files.content_folder import content_folder
from coach.drawing.block_lines import block_lines
from coach.model.messages.coach import ProofMessages
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.client.client_frame import ClientFrame
from coach.screens.coach import proof_app
from coach.screens.coach.proof_app import ProofApp
from coach.toml.reader import read_model
from tests.clocks import FakeClock
from tests.screens.capture import as_text, runs
from tests.screens.recorder import Recorder

STAND_IN = content_folder() / "stand_in"
EXERCISE = "en/external_rotation.toml"
OLD_CUE, NEW_CUE = "Keep the small gap at your elbow.", "Leave room for a fist at your elbow."
ELBOW = "cue.elbow_drifted.work"


@pytest.fixture(autouse=True)
def _polled_by_the_tests(monkeypatch: pytest.MonkeyPatch) -> None:
    """The view reads the folder when a test polls it, and not by itself."""
    monkeypatch.setattr(proof_app, "POLLS_PER_SECOND", 0.0001)


@pytest.fixture
def content(tmp_path: Path) -> Path:
    """A copy of the content, to be edited."""
    return Path(shutil.copytree(content_folder(), tmp_path / "content"))


def view_of(folder: Path) -> ProofApp:
    """The view as the command starts it."""
    profile = read_model(STAND_IN / "profile.toml", Profile)
    prescription = read_model(STAND_IN / "prescription.toml", Prescription)

    def messages_in(language: str) -> ProofMessages:
        return coach_messages(language).proof

    return ProofApp(EditedFolder(folder), profile, prescription, messages_in, FakeClock())


def edit(path: Path, old: str, new: str) -> None:
    """Save as many editors do: a new file moved over the old one."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    new_file = path.with_suffix(".new")
    new_file.write_text(text.replace(old, new), encoding="utf-8")
    new_file.replace(path)


async def poll(app: ProofApp, pilot: Pilot[None], times: int = 2) -> str:
    """Let the view read the folder a number of times and settle; return its text."""
    for _ in range(times):
        await app.poll()
    await app.workers.wait_for_complete()
    await pilot.pause()
    await until_checked(app, pilot)
    return as_text(runs(app))


async def until_checked(app: ProofApp, pilot: Pilot[None]) -> None:
    """Wait until the check that follows a reading is done."""
    for _ in range(200):
        if app.checked:
            break
        await pilot.pause()
    await pilot.pause()


async def go_to(app: ProofApp, pilot: Pilot[None], name: str) -> None:
    """Go to the screen before one, then to the next."""
    await until_checked(app, pilot)
    assert app._proof is not None
    names = app._proof.names
    await app._go_to(names[names.index(name) - 1])
    await pilot.press("right")
    await pilot.pause()
    assert f": {name} " in as_text(runs(app))


async def test_a_save_shows_at_the_next_poll_and_the_screen_in_view_stays(content: Path) -> None:
    app = view_of(content)
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to(app, pilot, ELBOW)
        assert OLD_CUE in as_text(runs(app))
        edit(content / EXERCISE, OLD_CUE, NEW_CUE)
        text = await poll(app, pilot, times=1)
        assert f": {ELBOW} " in text
        assert NEW_CUE in text
        assert OLD_CUE not in text
        assert "3 screens changed" in text
        assert "c changed" in text
        await pilot.press("c", "c")
        text = as_text(runs(app))
        assert ": cue.elbow_drifted.rest " in text
        large = [block_lines([NEW_CUE.split()], 76, rows) or ("not drawn",) for rows in (8, 12)]
        assert any(all(row.rstrip() in text for row in rows) for rows in large)


async def test_the_parts_are_gone_through_to_messages_that_no_session_draws(content: Path) -> None:
    """By one key, and an edit of such a message is found on its page."""
    app = view_of(content)
    async with app.run_test(size=(120, 40)) as pilot:
        for part in ("teach.blade", "end.clean", "rule.warning_sign.chest_pain", "messages.external_rotation.whole"):
            await pilot.press("g")
            assert f": {part} " in as_text(runs(app))
        edit(content / "en" / "therapist.toml", "This is a simulation and no promise.", "Simulated.")
        text = await poll(app, pilot, times=1)
        assert "1 screen changed" in text
        await pilot.press("c")
        assert ": messages.therapist.forecast " in as_text(runs(app))
        assert "coach forecast" in as_text(runs(app))


async def test_a_broken_file_leaves_the_last_good_screen_and_shows_the_fault(content: Path) -> None:
    app = view_of(content)
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to(app, pilot, ELBOW)
        edit(content / EXERCISE, f'text = "{OLD_CUE}"', f'text = "{OLD_CUE}')
        text = await poll(app, pilot)
        line = (content / EXERCISE).read_text(encoding="utf-8").split("\n").index(f'text = "{OLD_CUE}') + 1
        assert f"{EXERCISE}:{line}:{len(OLD_CUE) + 9}" in text
        assert "the text is not closed" in text
        assert OLD_CUE in text
        assert "1 fault" in text
        edit(content / EXERCISE, f'text = "{OLD_CUE}', f'text = "{NEW_CUE}"')
        text = await poll(app, pilot)
        assert NEW_CUE in text
        assert "fault" not in text.split("\n")[-2]
        assert "the text is not closed" not in text


async def test_a_save_under_way_is_no_fault_and_one_that_stands_still_is(content: Path) -> None:
    """Editors that write in place leave half a file for a moment."""
    app, path = view_of(content), content / EXERCISE
    whole = path.read_text(encoding="utf-8")
    async with app.run_test(size=(120, 40)) as pilot:
        for half in ("", whole[:700]):
            path.write_text(half, encoding="utf-8")
            assert "fault" not in await poll(app, pilot, times=1)
        path.write_text(whole, encoding="utf-8")
        assert "fault" not in await poll(app, pilot)
        path.write_text(whole[:700], encoding="utf-8")
        assert "1 fault" in await poll(app, pilot)


async def test_a_file_and_a_folder_may_go_and_come_back(content: Path, tmp_path: Path) -> None:
    app = view_of(content)
    async with app.run_test(size=(120, 40)) as pilot:
        for gone in (content / EXERCISE, content / "en", content):
            gone.rename(tmp_path / "elsewhere")
            text = await poll(app, pilot)
            assert "fault" in text
            assert "You train the small muscles" in text
            (tmp_path / "elsewhere").rename(gone)
            assert "fault" not in await poll(app, pilot)


async def test_files_that_do_not_fit_each_other_leave_the_last_good_screen(content: Path) -> None:
    """Each file is valid by itself; together they have no text for a question."""
    app = view_of(content)
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to(app, pilot, "set_1.elbow")
        edit(content / "en" / "form.toml", "[question.elbow]", "[question.elbo]")
        text = await poll(app, pilot)
        assert "set_1.elbow" in text
        assert "How to tell: arrow down" in text  # the page of the question, in large letters
        assert "| [question.elbo]" in text
        edit(content / "exercises" / "external_rotation.toml", "anchor_landmark", "anchor_landmarks")
        assert "nearest: anchor_landmark" in await poll(app, pilot)


async def test_content_broken_from_the_start_shows_its_fault_and_the_screens_appear_once_it_is_fixed(
    content: Path,
) -> None:
    edit(content / EXERCISE, "format = 1", "format = 0")
    app = view_of(content)
    async with app.run_test(size=(80, 24)) as pilot:
        text = await poll(app, pilot)
        assert "No screen can be shown" in text
        assert "as of" not in text
        assert "format = 0 is not one of the choices" in text
        await pilot.press("right", "c", "p", "e", "s", "down", "pagedown", "shift+down", "shift+up")
        edit(content / EXERCISE, "format = 0", "format = 1")
        assert "1 of " in await poll(app, pilot)


async def test_the_keys_change_position_language_and_size(content: Path) -> None:
    shutil.copytree(content / "en", content / "fr")
    edit(content / "fr" / "external_rotation.toml", "Arm halfway up", "Bras à mi-hauteur")
    app = view_of(content)

    def framed() -> tuple[int, int]:
        return app.query_one(ClientFrame).size.width, app.query_one(ClientFrame).size.height

    async with app.run_test(size=(130, 50)) as pilot:
        await pilot.press("P")  # with Caps Lock
        await until_checked(app, pilot)
        assert "Arm halfway up" in as_text(runs(app))
        while "Bras à mi-hauteur" not in as_text(runs(app)):
            await pilot.press("l")
            await until_checked(app, pilot)
        assert " · fr · " in as_text(runs(app))
        sizes = set()
        for _ in range(3):
            await pilot.press("s")
            await pilot.pause()
            sizes.add(framed())
            assert f"{framed()[0]} by {framed()[1]}" in as_text(runs(app))
        assert sizes == {(60, 20), (80, 24), (120, 40)}


async def test_the_text_around_the_screen_is_in_the_language_of_the_content(content: Path) -> None:
    """German content has German around it; a language that the program does not have has English."""
    shutil.copytree(content / "en", content / "fr")
    app = view_of(content)
    async with app.run_test(size=(130, 50)) as pilot:
        for language, word in (("de", "Ende"), ("en", "leave"), ("fr", "leave")):
            while f" · {language} · " not in as_text(runs(app)):
                await pilot.press("l")
                await until_checked(app, pilot)
            assert word in as_text(runs(app)).split("\n")[-2]


async def test_a_clinic_overlay_is_shown_on_top_of_the_shared_content(tmp_path: Path) -> None:
    clinic = tmp_path / "clinic"
    (clinic / "en").mkdir(parents=True)
    own = clinic / "en" / "external_rotation.toml"
    own.write_text('format = 1\n\n[position.0]\nfirst_cue = "Out, slowly."\n', encoding="utf-8")
    app = view_of(clinic)
    async with app.run_test(size=(120, 40)) as pilot:
        await go_to(app, pilot, "set_1.work.out")
        assert "Out, slowly." in as_text(runs(app))
        edit(own, "Out, slowly.", "Out, and slowly.")
        assert "Out, and slowly." in await poll(app, pilot)


def test_without_a_terminal_it_says_so(content: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["proof", str(content)]) == USAGE
    assert "terminal" in capsys.readouterr().err


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_how_it_looks(content: Path, size: tuple[int, int], snapshot: SnapshotAssertion) -> None:
    app, recorder = view_of(content), Recorder("proof", size)
    async with app.run_test(size=size) as pilot:
        await go_to(app, pilot, ELBOW)
        edit(content / EXERCISE, OLD_CUE, NEW_CUE)
        await poll(app, pilot)
        await recorder.record("changed", app, pilot)
        edit(content / EXERCISE, "why_here", "why_her")
        await poll(app, pilot)
        await recorder.record("broken", app, pilot)
    recorder.assert_as_kept(snapshot)
