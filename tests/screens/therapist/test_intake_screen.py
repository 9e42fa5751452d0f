"""Intake on screen: from nothing to a client whose first session can be previewed; the keys are counted."""

import shutil
import tomllib
from collections.abc import Mapping
from pathlib import Path

import pytest
from textual.events import Key
from textual.widgets import Input

from coach.cli import main
from coach.screens.therapist.intake_form import intake_fields
from coach.screens.therapist.intake_screen import IntakeScreen
from coach.screens.therapist.therapist_app import TherapistApp
from coach.screens.widgets.form import InputForm
from coach.store.client_folder import read_client_folder
from coach.store.therapist.check_client import check_profile
from coach.toml.typed_values import unit_of
from tests.demo.pristine import DEMO
from tests.plans import shipped
from tests.screens.therapist.new_client import TYPED
from tests.screens.therapist.therapist_pages import NOW, press, stop_the_clock
from tests.store.good_programme import PROGRAMME

# 40 words of five letters a minute: a common speed at a keyboard (common practice, no source).
_KEYS_A_MINUTE = 200


@pytest.fixture(autouse=True)
def _one_day(monkeypatch: pytest.MonkeyPatch) -> None:
    stop_the_clock(monkeypatch)


def app_of(folder: Path) -> tuple[TherapistApp, IntakeScreen]:
    screen = IntakeScreen(folder, shipped(), NOW.date())
    return TherapistApp(screen), screen


def fill_in(form: InputForm, typed: Mapping[str, str]) -> None:
    """These entries by the keys of their fields; the others stay."""
    for field, entry in form._entries():
        entry.value = typed.get(field.key, entry.value)


async def test_from_nothing_to_a_first_session_in_under_five_minutes_of_typing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every key counts: each letter, and enter once for each field."""
    app, screen = app_of(tmp_path / "wren")
    keys = len(f"coach intake {tmp_path.name}/wren\n")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        for field in (one for one in screen._fields if one.key):
            if field.key in TYPED:
                entry = app.focused
                assert isinstance(entry, Input)
                entry.value = TYPED[field.key]
                keys += len(TYPED[field.key])
            if field.key == "profile.strengths.0.lever_m":
                break
            await pilot.press("enter")
            keys += 1
        text = await press(pilot, "end")
        assert "First session: " in text
        asked = " ".join((await press(pilot, "ctrl+s")).replace("│", " ").split())
        assert "Save this client in" in asked
        assert "First session: " in asked
        await pilot.press("y")
        keys += 2
    keys += len("coach preview wren\n")
    assert screen.saved
    assert keys / _KEYS_A_MINUTE < 5
    client = tmp_path / "wren"
    assert check_profile(client, shipped(), ("en",)) == ()
    assert {str(path.relative_to(client)): oct(path.stat().st_mode & 0o777) for path in client.rglob("*")} == {
        "profile.toml": "0o600",
        "programme": "0o700",
        "programme/0001.toml": "0o600",
    }
    programme = tomllib.loads((client / "programme" / "0001.toml").read_text(encoding="utf-8"))
    assert programme["exercises"] == [{"exercise": "external_rotation", "positions": ["0"]}], "as simple as before"
    assert oct(client.stat().st_mode & 0o777) == "0o700"
    assert list(tmp_path.iterdir()) == [client]
    assert main(["preview", str(client)]) == 0
    assert "3 sets" in capsys.readouterr().out
    print(f"{keys} keys, {keys / _KEYS_A_MINUTE:.1f} minutes at {_KEYS_A_MINUTE} a minute")


async def test_faults_are_shown_while_typing(tmp_path: Path) -> None:
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        text = await press(pilot, "down", "down", "6", "8")
        assert "68 can be inches" in text
        assert "write the unit: 68 in" in text
        assert ">! Stature" in text
        assert "is missing" in await press(pilot, "ctrl+s")  # nothing is saved
    assert not screen.saved
    assert list(tmp_path.iterdir()) == []


async def test_what_was_typed_is_checked_once_however_the_focus_moves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app, screen = app_of(tmp_path / "wren")
    checked, check = list[Mapping[str, str]](), screen.check

    def counted(typed: Mapping[str, str]) -> object:
        checked.append(typed)
        return check(typed)

    monkeypatch.setattr(screen, "check", counted)
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot, "down", "down", "up")
        assert len(checked) == 1
        await press(pilot, "x", "down")
        assert len(checked) == 2


async def test_saving_too_early_goes_to_the_first_field_that_is_wrong_and_says_what_is(tmp_path: Path) -> None:
    """A name of a band is not the pseudonym; a field that was left out is told where it is, not by its neighbour."""
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        form = screen.query_one(InputForm)
        fill_in(form, {**TYPED, "profile.bands.1.name": "Grey band", "prescription.goal": ""})
        text = await press(pilot, "ctrl+s")
        assert form.focused_field.key == "profile.bands.1.name"
        assert "nearest: grey_band" in text
        fill_in(form, {"profile.bands.1.name": "striped"})
        text = await press(pilot, "end", "ctrl+s")
        assert form.focused_field.key == "prescription.goal"
        assert "Goal is missing" in text
        assert ">! Goal" in text


async def test_a_forgotten_mark_between_two_points_is_no_fault(tmp_path: Path) -> None:
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        points_typed = {"profile.bands.1.points": "2.25 15 3.0 23", "profile.bands.1.resting_length_m": "1.5"}
        fill_in(screen.query_one(InputForm), {**TYPED, **points_typed})
        await press(pilot, "ctrl+s")
        await pilot.press("y")
    points = read_client_folder(tmp_path / "wren").profile.bands[0].points
    assert [(point.length_m, point.force_n) for point in points] == [(2.25, 15), (3.0, 23)]


async def test_another_exercise_is_taken_on_with_what_was_measured_in_its_direction(tmp_path: Path) -> None:
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        form = screen.query_one(InputForm)
        fill_in(form, {**TYPED, "prescription.exercise": "internal"})
        form.focus_field("prescription.exercise")
        assert "there is no exercise internal" in await press(pilot, "end")
        fill_in(form, {"prescription.exercise": "internal_rotation"})
        assert "one of external_rotation, internal_rotation" in await press(pilot, "end")
        assert "First session: " in await press(pilot, "ctrl+s")
        await pilot.press("y")
    folder = read_client_folder(tmp_path / "wren")
    assert folder.prescription.exercise == "internal_rotation"
    assert [one.direction for one in folder.profile.ranges] == ["internal"]
    assert [one.direction for one in folder.profile.strengths] == ["internal"]


SEVERAL = {
    **TYPED,
    "prescription.limits.pain_max": "4",
    "prescription.exercises.2.exercise": "external_rotation",
    "prescription.exercises.2.side": "left",
    "prescription.exercises.2.positions": "0 45",
    "profile.exercises.2.available_deg": "55",
    "profile.exercises.2.force_n": "48",
    "profile.exercises.2.lever_m": "0.26",
    "prescription.exercises.4.exercise": "internal_rotation",
    "prescription.exercises.4.positions": "0",
    "profile.exercises.4.available_deg": "60",
}


async def test_several_exercises_are_taken_on_in_their_order(tmp_path: Path) -> None:
    """One row is left empty; the dose and the limits are those of the first."""
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        fill_in(screen.query_one(InputForm), SEVERAL)
        asked = " ".join((await press(pilot, "ctrl+s")).replace("│", " ").split())
        for title in ("External rotation with a band, left: First", "Internal rotation with a band, right: First"):
            assert title in asked
        await pilot.press("y")
    client = tmp_path / "wren"
    assert check_profile(client, shipped(), ("en",)) == ()
    programme = read_client_folder(client).prescribed.programme
    assert programme is not None
    assert [(one.name, one.side, one.positions, one.limits, one.dose.sets) for one in programme.exercises] == [
        ("external_rotation_right", "right", ("0",), {"pain_max": 4}, 3),
        ("external_rotation_left", "left", ("0", "45"), {"pain_max": 4}, 3),
        ("internal_rotation_right", "right", ("0",), {"pain_max": 4}, 3),
    ]
    profile = read_client_folder(client).own_profile
    further = [(one.position, one.side, one.direction, one.available_deg) for one in profile.ranges[1:]]
    assert further == [("0", "left", "external", 55), ("0", None, "internal", 60)]
    assert [(one.side, one.force_n) for one in profile.strengths if one.side] == [("left", 48)]
    assert profile.on_side("left").available_deg("0", "external") == 55


@pytest.mark.parametrize(
    ("typed", "field", "told"),
    [
        ({"prescription.exercises.2.exercise": "externel_rotation"}, "exercises.2.exercise", "nearest: external_rot"),
        (
            {"prescription.exercises.4.positions": "60"},
            "exercises.4.positions",
            "internal_rotation has no position at 60 degrees",
        ),
        ({"prescription.exercises.2.side": "lef"}, "exercises.2.side", "nearest: left"),
        ({"prescription.exercises.4.exercise": ""}, "exercises.4.exercise", "Exercise is missing"),
        ({"prescription.exercise": "row", "prescription.positions": "45"}, "positions", "row has no position at 45"),
        ({"prescription.dose.sets": "20"}, "dose.sets", "Sets = 20 is too large"),
        ({"profile.exercises.2.force_n": "4800"}, "profile.exercises.2.force_n", "Strength, N = 4800"),
    ],
)
async def test_a_fault_of_an_exercise_is_shown_at_its_own_field(
    tmp_path: Path, typed: dict[str, str], field: str, told: str
) -> None:
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        form = screen.query_one(InputForm)
        fill_in(form, {**SEVERAL, **typed})
        text = await press(pilot, "ctrl+s")
        assert form.focused_field.key in (field, f"prescription.{field}")
        assert told in " ".join(text.split())


@pytest.mark.parametrize("name", ["tern", "curlew"])
def test_hand_written_files_of_both_formats_are_taken(tmp_path: Path, name: str) -> None:
    client = tmp_path / "siskin"
    assert main(["intake", str(client), "--from", str(DEMO / name)]) == 0
    assert check_profile(client, shipped(), ("en",)) == ()
    files = {str(path.relative_to(client)) for path in client.rglob("*.toml")}
    assert files == {"profile.toml", "programme/0001.toml" if name == "curlew" else "prescription.toml"}


def test_of_several_versions_the_newest_is_taken_and_told_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drafts = tmp_path / "drafts"
    shutil.copytree(DEMO / "curlew", drafts)
    newest = drafts / "programme" / "0002.toml"
    newest.write_text(PROGRAMME.replace("positions = [0, 45]", "positions = [0, 60]"), encoding="utf-8")
    assert main(["intake", str(tmp_path / "siskin"), "--from", str(drafts)]) == 1
    assert f"{newest}:27:17" in capsys.readouterr().err
    assert not (tmp_path / "siskin").exists()


def typed_ahead(app: TherapistApp, *keys: str) -> None:
    """Keys that have all arrived before the first of them is handled, as on a busy machine."""
    for key in keys:
        app.post_message(Key(key, key if len(key) == 1 else None))


async def test_keys_typed_ahead_land_in_no_other_field(tmp_path: Path) -> None:
    """Without a delay between any two keys: each belongs to the field that the keys before it have gone to."""
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        typed_ahead(
            app, "down", "l", "e", "f", "t", "down", "9", "ctrl+u", "1", ".", "6", "enter", "ctrl+u", "7", "4"
        )
        typed_ahead(app, "up", "8", "up", "home", "x", "shift+tab", "y", "tab", "tab", "end", "9")
        await press(pilot)
        values = screen.query_one(InputForm).values
    assert {key: values[f"profile.{key}"] for key in ("name", "side", "stature_m", "mass_kg")} == {
        "name": "wreny",
        "side": "xleft",
        "stature_m": "1.689",
        "mass_kg": "74",
    }


def test_the_unit_stands_beside_every_field_that_has_one() -> None:
    """As in the messages of the file: a number in metres is asked for as m."""
    shown = {"deg": ("degrees",)}
    for field in intake_fields(shipped(), "wren"):
        unit = unit_of(field.key.rpartition(".")[2])
        assert not unit or any(one in field.label for one in shown.get(unit, (unit,))), field.label


async def test_saving_waits_for_the_keys_pressed_before_it(tmp_path: Path) -> None:
    app, screen = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        await press(pilot)
        form = screen.query_one(InputForm)
        fill_in(form, {**TYPED, "profile.mass_kg": ""})
        form.focus_field("profile.mass_kg")
        await press(pilot)
        typed_ahead(app, "6", "4", ",", "5", "ctrl+s")
        asked = " ".join((await press(pilot)).replace("│", " ").split())
        assert "Save this client in" in asked
        typed_ahead(app, "y")
        await press(pilot)
    assert read_client_folder(tmp_path / "wren").profile.mass_kg == 64.5


@pytest.mark.parametrize("key", ["escape", "ctrl+c"])
async def test_leaving_asks_and_leaves_nothing_behind(tmp_path: Path, key: str) -> None:
    app, _ = app_of(tmp_path / "wren")
    async with app.run_test(size=(80, 24)) as pilot:
        assert "Leave?" in await press(pilot, "x", key)
        assert "wren: new client" in await press(pilot, "n")
        await press(pilot, key)
        await pilot.press("y")
    assert app.return_code == 0
    assert list(tmp_path.iterdir()) == []


def test_files_by_hand_are_checked_and_put_in_place_as_they_are(
    tmp_path: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drafts, folder = demo_profiles / "tern", tmp_path / "wren"
    assert main(["intake", str(folder), "--from", str(drafts)]) == 0
    assert "First session: knotted band, one strand, the 85 cm mark" in capsys.readouterr().out
    for name in ("profile.toml", "prescription.toml"):
        assert (folder / name).read_bytes() == (drafts / name).read_bytes()
    assert main(["intake", str(folder), "--from", str(drafts)]) == 1
    assert "is not overwritten" in capsys.readouterr().err


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="no folder here that takes nothing from anybody")
def test_where_nothing_can_be_written_it_is_said_so(demo_profiles: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["intake", "/proc/wren", "--from", str(demo_profiles / "tern")]) == 1
    assert "/proc/wren: it cannot be written" in capsys.readouterr().err


def test_a_wrong_draft_is_told_at_its_place_and_nothing_is_made(
    tmp_path: Path, demo_profiles: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drafts = demo_profiles / "tern"
    file = drafts / "profile.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("stature_m = 1.68", "stature_m = 168"), encoding="utf-8")
    assert main(["intake", str(tmp_path / "wren"), "--from", str(drafts)]) == 1
    told = capsys.readouterr().err
    assert "profile.toml:" in told
    assert "stature_m = 168 is too large" in told
    assert not (tmp_path / "wren").exists()
