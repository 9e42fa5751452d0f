"""Files that are each right and do not fit each other."""

import shutil
from pathlib import Path

import pytest

from coach.authoring.check import check_folder
from coach.authoring.check_content import check_content
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.model.content import Content
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import FileFault, render
from tests.store.good_files import PRESCRIPTION, PROFILE


@pytest.fixture(scope="module")
def content() -> Content:
    """The content that comes with the program."""
    return load_content(content_folder(), "en")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the content in one language, to be spoilt."""
    others = shutil.ignore_patterns(*(language for language in languages(content_folder()) if language != "en"))
    return Path(shutil.copytree(content_folder(), tmp_path / "content", ignore=others))


@pytest.fixture
def client(tmp_path: Path) -> Path:
    """A client's folder, to be spoilt."""
    path = tmp_path / "rowan"
    path.mkdir()
    (path / "profile.toml").write_text(PROFILE, encoding="utf-8")
    (path / "prescription.toml").write_text(PRESCRIPTION, encoding="utf-8")
    return path


def spoil(path: Path, old: str, new: str) -> None:
    """Change the first place where a text stands in a file."""
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize("name", [".row.toml.swp", ".~lock.row.toml#", "#row.toml#", ".#row.toml", "row.toml~"])
def test_what_an_editor_keeps_beside_an_open_file_is_left_alone(folder: Path, name: str) -> None:
    (folder / "en" / name).write_bytes(b"\0\1 not for us")
    (folder / name).write_bytes(b"\0\1 not for us")
    assert check_folder(folder) == ()


def place_of(path: Path, text: str) -> tuple[int, int]:
    """Line and column, from 1, of the first place where a text stands in a file."""
    for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
        if text in line:
            return number, line.index(text) + 1
    raise AssertionError(text)


def test_the_content_that_comes_with_the_program_is_right() -> None:
    assert [render(fault) for fault in check_folder(content_folder())] == []


def test_a_right_client_is_right(client: Path, content: Content) -> None:
    assert check_profile(client, content, languages(content_folder())) == ()
    assert check_folder(client) == ()
    assert check_folder(client.parent) == ()


# file, what is changed, the text at which the fault stands afterwards, and a phrase
CONTENT: tuple[tuple[str, str, str, str, str], ...] = (
    ("exercises/external_rotation.toml", '"blade"', '"blad"', '"blad"', "there is no question blad"),
    ("exercises/external_rotation.toml", '"band_sound"', '"bandsound"', '"bandsound"', "nearest: band_sound"),
    ("exercises/external_rotation.toml", "abduction_deg = 45", "abduction_deg = 0", "[position.45]", "position 45"),
    ("exercises/external_rotation.toml", '"external_rotation"', '"rotation"', '"rotation"', "name of the file"),
    (
        "exercises/internal_rotation.toml",
        '"exercising"',
        '"other"',
        '"other"',
        "degrees of the motion the band helps instead of resisting",
    ),
    (
        # The band resists on average and pushes outward in the hold: it was called fine.
        "exercises/external_rotation.toml",
        "available_deg = 77",
        "available_deg = 110",
        '"other"',
        "degrees of the motion the band helps instead of resisting",
    ),
    (
        # A mean of nearly nothing: the band is hardly longer at the end of the arc than at its start.
        "exercises/external_rotation.toml",
        "body_turn_deg = 90",
        "body_turn_deg = 164",
        '"other"',
        "degrees of the motion the band helps instead of resisting",
    ),
    ("exercises/external_rotation.toml", '"external"', '"outward"', '"outward"', 'one of "external", "internal"'),
    ("exercises/internal_rotation.toml", "arc_start_deg = -30", "arc_start_deg = 70", "", "where the arc starts"),
    ("rules.toml", '"pain_max"', '"pain_limit"', '"pain_limit"', "there is no limit pain_limit"),
    ("rules.toml", 'when = "long_gap"', 'when = "longgap"', '"longgap"', "nearest: long_gap"),
    (
        "rules.toml",
        'levels = ["check_in"]\nthen = "stop_and_review"',
        'levels = ["set", "check_in"]\nthen = "stop_and_review"',
        '["set", "check_in"]',
        "depends on more than one set",
    ),
    (
        "rules.toml",
        'name = "long_gap"',
        'name = "gap"',
        '"gap"',
        "the rule is called gap here and long_gap",
    ),
    ("limits.toml", 'name = "pain_max"', 'name = "gap_s"', "", "a second limit is called gap_s"),
    ("limits.toml", "value = 0.05", "value = 5", "5", "value 5 of taut_at_start is outside its own bounds"),
    ("form.toml", '"blade_often"', '"elbow"', '"elbow"', "elbow is a question of its own"),
    ("safety.toml", 'name = "lump"', 'name = "bump"', '"bump"', "the sign is called bump here and lump everywhere"),
    ("safety.toml", 'sign = "chest_pain"', 'sign = "chestpain"', '"chestpain"', "nearest: chest_pain"),
    ("safety.toml", 'name = "neck"', 'name = "nape"', "neck =", "there is no region neck"),
    ("en/rules.toml", "{pain} of 10, over", "{pian} of 10, over", '"Your pain was {pian}', "nearest: pain"),
    (
        "en/external_rotation.toml",
        "{distance_cm}",
        "distance_cm}",
        '"Mark the floor distance_cm}',
        "this brace has no partner",
    ),
    ("en/form.toml", "{hand_breadth_cm}", "{hand_breadth_cm", '"Short', "this brace has no partner"),
    ("en/rules.toml", "[rule.long_gap]", "[rule.longgap]", "[rule.longgap]", "there is no rule longgap"),
    ("en/rules.toml", 'hip = "hip height"\n', "", "[landmark]", "hip is missing in landmark"),
    ("en/form.toml", 'band_slack = "the band went slack"\n', "", "[fault]", "the fault band_slack has no message"),
    ("en/form.toml", "[question.slack]", "[question.slacker]", "[question.slacker]", "nearest: slack"),
    ("en/safety.toml", "[check.face_clear]", "[check.face]", "[check.face]", "there is no check face"),
    ("en/external_rotation.toml", 'fault = "elbow_drifted"', 'fault = "elbow_behind"', "[position.0]", "no cue"),
    ("en/external_rotation.toml", '"elbow_drifted"', '"elbow_drift"', '"elbow_drift"', "nearest: elbow_drifted"),
)


@pytest.mark.parametrize(("file", "old", "new", "at", "phrase"), CONTENT)
def test_content_that_does_not_fit_is_told(folder: Path, file: str, old: str, new: str, at: str, phrase: str) -> None:
    spoil(folder / file, old, new)
    faults = check_content(folder)
    told = [fault for fault in faults if phrase in render(fault)]
    assert told, "\n".join(render(fault) for fault in faults)
    assert all(fault.line for fault in faults)
    if at:
        assert place_of(told[0].path, at) == (told[0].line, told[0].column), render(told[0])


@pytest.mark.parametrize(
    ("file", "old", "new", "there"),
    [
        ("exercises/external_rotation.toml", '"face_clear"]', '"band_sounds"]', "band_sound"),
        ("rules.toml", '"usual_share"]', '"usual_dayz"]', "usual_days"),
        ("rules.toml", 'numbers = ["pain", "limit"]', 'numbers = ["pain", "pains"]', "pain"),
        ("en/form.toml", "[question.blade]", '[question.blades]\nask = "Did it?"\n[question.blade]', "blade"),
        ("de/client.toml", "[question.sign]", '[question.signs]\nask = "Wirklich?"\n[question.sign]', "sign"),
        ("de/external_rotation.toml", 'fault = "elbow_drifted"', 'fault = "blade_forwards"', "blade_forward"),
        ("caseload.toml", "[[need]]", "needs = 1\n[[need]]", "need"),
        ("exercise/other.toml", "", "format = 1\n", "exercises"),
        ("forms.toml", "", "format = 1\n", "form.toml"),
        ("en/external_rotations.toml", "", "format = 1\n", "external_rotation.toml"),
    ],
)
def test_a_name_that_is_there_already_is_not_offered_once_more(
    folder: Path, file: str, old: str, new: str, there: str
) -> None:
    path = folder / file
    shutil.copytree(content_folder() / "de", folder / "de")
    if old:
        spoil(path, old, new)
    else:
        path.parent.mkdir(exist_ok=True)
        path.write_text(new, encoding="utf-8")
    faults = check_content(folder)
    assert faults
    assert there not in [fault.nearest for fault in faults]
    assert f"write {there}" not in [fault.fix for fault in faults]


def test_a_second_language_lacks_a_line_and_a_file(folder: Path) -> None:
    shutil.copytree(folder / "en", folder / "nl")
    spoil(folder / "nl" / "safety.toml", 'lump = "', 'lumps = "')
    (folder / "nl" / "extern_rotation.toml").write_text("format = 1\n", encoding="utf-8")
    told = [(fault.path.name, fault.what) for fault in check_content(folder)]
    assert told == [
        ("extern_rotation.toml", "there is no exercise and no message file called extern_rotation"),
        ("safety.toml", "there is no sign lumps"),
    ]
    (folder / "nl" / "extern_rotation.toml").unlink()
    spoil(folder / "nl" / "safety.toml", 'lumps = "', 'lump = "')
    (folder / "nl" / "form.toml").unlink()
    spoil(folder / "nl" / "external_rotation.toml", 'first_cue = "Raise', '# first_cue = "Raise')
    faults = check_content(folder)
    assert [(fault.path.name, fault.what) for fault in faults] == [
        ("external_rotation.toml", "there is no message position.90.first_cue"),
        ("form.toml", "there is no such file, so its messages are shown in en"),
    ]
    assert place_of(faults[0].path, "[position.90]") == (faults[0].line, faults[0].column)


def test_a_fault_in_a_shared_file_is_said_once(folder: Path) -> None:
    shutil.copytree(folder / "en", folder / "nl")
    spoil(folder / "limits.toml", "format = 1", "format = 0")
    assert len(check_content(folder)) == 1


def test_an_unknown_language_names_those_there_are(folder: Path) -> None:
    (folder / "notes").mkdir()
    shutil.copytree(folder / "en", folder / "fr")
    assert set(languages(folder)) >= {"en", "fr"}
    with pytest.raises(FileFault, match=r"expected: one of .*en, fr"):
        load_content(folder, "nl")


SETUP = "[[setups]]\nposition"

# file, what is changed, line and column afterwards, and a phrase
CLIENT: tuple[tuple[str, str, str, int, int, str], ...] = (
    ("prescription.toml", "pain_max = 4", "pain_max = 7", 23, 12, "pain_max = 7 is above the hard bound 5"),
    ("prescription.toml", "pain_max = 4", "pain_max = -1", 23, 12, "pain_max = -1 is below the hard bound 0"),
    ("prescription.toml", "pain_max = 4", "pain_maks = 4", 23, 1, "nearest: pain_max"),
    ("prescription.toml", '"external_rotation"', '"externel_rotation"', 2, 12, "nearest: external_rotation"),
    ("prescription.toml", "[0, 45]", "[0, 45, 60]", 4, 21, "no position at 60 degrees"),
    ("prescription.toml", '"light"', '"lite"', 26, 9, "there is no band lite"),
    ("prescription.toml", "strands = 1", "strands = 2", 27, 11, "is not how the client holds the band"),
    ("prescription.toml", "distance_cm = 150", "distance_cm = 300", 28, 15, "from 60 to 250 cm"),
    ("prescription.toml", f'{SETUP} = "45"', f"{SETUP} = 90", 38, 12, "this setup is never used"),
    ("prescription.toml", "height_cm = 100", "height_cm = 90", 39, 20, "there is no anchor at 90 cm"),
    ("prescription.toml", "height_cm = 100", "height_cm = 100\ndistance_cm = 300", 40, 15, "stand at 300 cm"),
    ("prescription.toml", f'{SETUP} = "45"', f"{SETUP} = 0\ndistance_cm = 140", 28, 15, "fixed at 140 cm"),
    ("profile.toml", 'position = "0"', "position = 30", 28, 12, "no position at 30 degrees"),
    ("profile.toml", 'side = "right"', 'side = "right"\nlanguage = "xx"', 4, 12, "no words in the language xx"),
    ("profile.toml", 'side = "right"', 'side = "up"', 3, 8, "one of"),
)


@pytest.mark.parametrize(("file", "old", "new", "line", "column", "phrase"), CLIENT)
def test_a_client_that_does_not_fit_is_told(
    client: Path, content: Content, file: str, old: str, new: str, line: int, column: int, phrase: str
) -> None:
    spoil(client / file, old, new)
    (fault,) = check_profile(client, content, languages(content_folder()))
    assert (fault.path, fault.line, fault.column) == (client / file, line, column)
    assert phrase in render(fault)
    assert check_folder(client) == (fault,)


def test_a_client_without_any_load_is_told_with_what_would_mend_it(client: Path, content: Content) -> None:
    """Every file is right, they fit each other, and the shelf does not fit the home."""
    for _ in ("light", "heavy"):
        spoil(client / "profile.toml", "resting_length_m = 1.2", "resting_length_m = 0.3")
    told = check_profile(client, content, languages(content_folder()))
    assert {(fault.path.name, fault.line) for fault in told} == {("profile.toml", 7)}
    assert [fault.what.split(",")[0] for fault in told] == ["no load step at 0 degrees", "no load step at 45 degrees"]
    assert all("longer band" in fault.fix for fault in told)


def _not_begun(client: Path, *, first_step: bool = True) -> None:
    """Take out the instruction that clears 45 degrees, and the first step if it is not wanted."""
    file = client / "prescription.toml"
    text = file.read_text(encoding="utf-8").partition("[[sign_offs]]")[0]
    file.write_text(text if first_step else text.partition("[first_step]")[0], encoding="utf-8")


def test_a_first_step_off_the_ladder_is_told_with_the_nearest_on_it(client: Path, content: Content) -> None:
    """It was replaced in silence."""
    spoil(client / "prescription.toml", "distance_cm = 150", "distance_cm = 152")
    _not_begun(client)
    (fault,) = check_profile(client, content, languages(content_folder()))
    assert (fault.path.name, fault.line) == ("prescription.toml", 25)
    assert "the first step is the light band, strands 1, at 152 cm, which is no load step" in fault.what
    assert "at 150 cm" in fault.expected


@pytest.mark.parametrize(
    ("first_step", "file", "what"),
    [
        (True, "prescription.toml", "the light band at 150 cm reaches"),
        (False, "profile.toml", "the lightest load step at 0 degrees reaches"),
    ],
)
def test_a_load_above_the_share_of_measured_strength_is_told(
    client: Path, content: Content, first_step: bool, file: str, what: str
) -> None:
    """A client measured at 3.1 Nm was started at 4.3."""
    with (client / "profile.toml").open("a", encoding="utf-8") as profile:
        profile.write("\n[[strengths]]\nposition_deg = 0\nforce_n = 4\nlever_m = 0.25\non = 2026-03-01\n")
    _not_begun(client, first_step=first_step)
    (fault,) = check_profile(client, content, languages(content_folder()))
    assert fault.path.name == file
    assert fault.what.startswith(what)
    assert "above 40 % of the measured 1.0 Nm" in fault.what


def test_a_mark_inside_the_body_is_told_at_its_line(client: Path, content: Content) -> None:
    spoil(client / "profile.toml", "nearest_cm = 60", "nearest_cm = 20")
    spoil(client / "profile.toml", "[home]", "[lengths]\nhalf_biacromial_m = 0.24\n\n[home]")
    told = check_profile(client, content, languages(content_folder()))
    line, column = place_of(client / "profile.toml", "nearest_cm = 20")
    assert {(fault.line, fault.column) for fault in told} == {(line, column + len("nearest_cm = "))}
    assert all("inside the body" in fault.what for fault in told)


def test_faults_of_all_clients_come_together(client: Path) -> None:
    other = Path(shutil.copytree(client, client.parent / "alder"))
    (client / "prescription.toml").unlink()
    spoil(other / "profile.toml", "68", "680")
    (other / "progress.toml").write_text("format = 1\n", encoding="utf-8")
    told = [(fault.path.parent.name, fault.path.name) for fault in check_folder(client.parent)]
    assert told[0] == ("alder", "profile.toml")
    assert ("alder", "progress.toml") in told
    assert told[-1] == ("rowan", "prescription.toml")


def test_a_place_with_nothing_to_check_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text("", encoding="utf-8")
    assert check_folder(tmp_path)[0].what == "there is nothing here to check"
    assert check_folder(tmp_path / "none")[0].what == "there is no such folder"
    assert "only whole folders are checked" in check_folder(tmp_path / "a.toml")[0].what


def test_a_file_with_a_wrong_name_is_told_with_the_right_one(folder: Path) -> None:
    """Not with a file that has messages of its own."""
    shutil.copytree(folder / "en", folder / "nl")
    (folder / "nl" / "form.toml").rename(folder / "nl" / "forms.toml")
    assert ("forms.toml", "form.toml") in {(fault.path.name, fault.nearest) for fault in check_content(folder)}
    (folder / "en" / "form.toml").unlink()
    assert [fault.nearest for fault in check_content(folder) if fault.path.parent.name == "en"] == [None]


def test_the_folder_of_one_language_is_checked_with_all_the_rest(folder: Path) -> None:
    assert str(folder) in check_folder(folder / "en")[0].fix
