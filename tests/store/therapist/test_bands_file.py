"""A measured point goes into profile.toml, and nothing else of the file changes."""

import tomllib
from datetime import date
from difflib import ndiff
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.store.therapist.bands_file import force_from_kg, with_measurement, with_point
from coach.toml.diagnostic import FileFault

HEAD = """\
# Kept by hand: do not tidy.
format = 1
name   = "rowan"     # a pseudonym
side = "right"
stature_m = 1.720
mass_kg = 68
home = { anchor_heights_cm = [100,   120], nearest_cm = 60, farthest_cm = 250 }

"""
BROAD = """\
[[bands]]
name = "light"   # on the hook
looks = 'the thin one'
resting_length_m = 1.2
points = [
  # Tuesday
  { length_m = 1.80, force_n = 12.0 },   # twice
  { length_m = 2.40, force_n = 20 },
]

[[bands]]
name = "heavy"
looks = "the thick one"
resting_length_m = 1.20
points = [ {length_m=1.8,force_n=18.5} ]  # one only

# The end.
"""
LOOSE_ENDS = """\
[[bands]]
name = "light"
looks = "the thin one"
resting_length_m = 1.2
points = [
    { length_m = 1.80, force_n = 12.0 } # no comma
    # nothing after this
]

[[bands]]
name = "heavy"
looks = "the thick one"
resting_length_m = 1.2
points = [{ length_m = 1.8, force_n = 18.5 }]
"""
TABLES = """\
[[bands]]
name = "light"
looks = "the thin one"
resting_length_m = 1.2

[[bands.points]]
length_m = 1.8 # Tuesday
force_n = 12.0

[[bands]]
name = "heavy"
looks = "the thick one"
resting_length_m = 1.2

[[bands.points]]
length_m = 1.8
force_n = 18.5
"""
IN_ONE_LINE = (
    'bands = [ { name = "light", looks = "a", resting_length_m = 1.2, points = [{ length_m = 1.8, force_n = 12 }] }, '
    '{ name = "heavy", looks = "b", resting_length_m = 1.2, points = [{ length_m = 1.8, force_n = 18 }] } ] # both\n'
)
LAYOUTS = {"broad": BROAD, "loose ends": LOOSE_ENDS, "tables": TABLES, "one line": IN_ONE_LINE}


@pytest.fixture(name="profile_toml")
def _profile_toml(tmp_path: Path) -> Path:
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + BROAD, encoding="utf-8", newline="")
    return path


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("band", ["light", "heavy"])
def test_the_point_is_added_and_every_other_value_stays(layout: str, newline: str, band: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    text = (HEAD + LAYOUTS[layout]).replace("\n", newline)
    path.write_bytes(text.encode())
    after = tomllib.loads(with_point(path, band, 2.1, 16.25))
    expected = tomllib.loads(text)
    bands = {one["name"]: one for one in expected["bands"]}
    bands[band]["points"].append({"length_m": 2.1, "force_n": 16.25})
    for one in (*after["bands"], *expected["bands"]):
        one["points"].sort(key=lambda point: point["length_m"])  # their order means nothing
    assert after == expected
    assert path.read_bytes() == text.encode()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_comments_and_layout_stay(layout: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    text = HEAD + LAYOUTS[layout]
    path.write_text(text, encoding="utf-8", newline="")
    new = with_point(path, "light", 2.1, 16.25)
    changed = [line for line in ndiff(text.split("\n"), new.split("\n")) if line[0] in "+-" and line[2:].strip()]
    gone = [line[2:] for line in changed if line[0] == "-"]
    come = [line[2:] for line in changed if line[0] == "+"]
    # At most one line is written again: the one that wants a comma now, or the one that holds the whole list.
    assert len(gone) <= 1
    assert len(come) - len(gone) <= (3 if layout == "tables" else 1)
    for comment in ("# Kept by hand: do not tidy.", "# a pseudonym", "[100,   120]", "stature_m = 1.720"):
        assert comment in new
    for comment in (part for part in text.split("\n") if "#" in part):
        assert comment[comment.index("#") :] in new


@pytest.mark.parametrize("layout", LAYOUTS)
def test_lines_that_come_end_as_those_of_the_file_do(layout: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_bytes((HEAD + LAYOUTS[layout]).replace("\n", "\r\n").encode())
    for new in (
        with_point(path, "light", 2.1, 16.25),
        with_measurement(path, "light", 1.21, AGAIN, date(2026, 4, 1)),
    ):
        assert new.count("\n") == new.count("\r") == new.count("\r\n") > HEAD.count("\n")


def test_a_point_looks_as_the_others_do(profile_toml: Path) -> None:
    assert "  { length_m = 2.40, force_n = 20 },\n  { length_m = 2.1, force_n = 16.25 },\n]" in with_point(
        profile_toml, "light", 2.1, 16.25
    )


@given(length_m=st.floats(1.21, 9.9), kg=st.floats(0.05, 100))
def test_what_the_scale_says_comes_back(tmp_path_factory: pytest.TempPathFactory, length_m: float, kg: float) -> None:
    path = tmp_path_factory.mktemp("rowan") / "profile.toml"
    path.write_text(HEAD + LOOSE_ENDS, encoding="utf-8", newline="")
    if abs(length_m - 1.8) < 0.001:
        return
    points = tomllib.loads(with_point(path, "light", length_m, force_from_kg(kg)))["bands"][0]["points"]
    (point,) = [point for point in points if point["length_m"] != 1.8]
    assert point["length_m"] == pytest.approx(length_m, abs=0.0001)
    assert point["force_n"] / 9.80665 == pytest.approx(kg, abs=0.001)


def test_a_scale_in_kilograms_means_standard_gravity() -> None:
    """9.80665 m/s2: 3rd General Conference on Weights and Measures, 1901 (from memory); SciPy keeps it as g."""
    from scipy.constants import g

    assert force_from_kg(1.0) == g
    assert force_from_kg(1.62) == pytest.approx(1.62 * g)


@pytest.mark.parametrize(
    ("band", "length_m", "force_n", "phrase"),
    [
        ("ligth", 2.1, 16.0, "nearest: light"),
        ("light", 1.2, 16.0, "not longer than the resting length"),
        ("light", 2.4, 16.0, "two points at one length"),
        ("light", 2.40001, 16.0, "two points at one length"),
        ("light", 2.1, 0.0, "force_n = 0"),
        ("light", 2.1, -4.0, "force_n = -4"),
        ("light", 2.1, float("nan"), "force_n = nan"),
        ("light", float("inf"), 4.0, "length_m"),
        ("light", 210.0, 4.0, "length_m = 210"),
    ],
)
def test_a_point_that_cannot_be_is_refused_in_words(
    profile_toml: Path, band: str, length_m: float, force_n: float, phrase: str
) -> None:
    with pytest.raises(FileFault) as refused:
        with_point(profile_toml, band, length_m, force_n)
    assert phrase in str(refused.value)
    assert profile_toml.read_text(encoding="utf-8") == HEAD + BROAD


def test_where_the_library_would_spoil_the_list_the_point_goes_before_the_last(profile_toml: Path) -> None:
    """Appending to a list whose last item has no comma and a comment below it leaves the comma out (tomlkit 0.15);
    where a comment follows on the same line and an empty line, the new item would land inside the comment."""
    for end in ("# no comma\n  # below it\n", "# and then nothing\n\n"):
        items = "{ length_m = 1.8, force_n = 12.0 }\n  , { length_m = 2.4, force_n = 20 } "
        head, tail = BROAD.split("  # Tuesday", 1)
        text = HEAD + head + items + end + "]" + tail.split("]", 1)[1]
        profile_toml.write_text(text, encoding="utf-8", newline="")
        points = tomllib.loads(with_point(profile_toml, "light", 2.1, 16.0))["bands"][0]["points"]
        assert [point["length_m"] for point in points] == [1.8, 2.1, 2.4]


def test_a_list_that_cannot_be_extended_is_left_to_its_owner(
    profile_toml: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import tomlkit

    for spoilt in (HEAD + BROAD, "points = ["):
        monkeypatch.setattr(tomlkit, "dumps", lambda _, text=spoilt: text)
        with pytest.raises(FileFault, match=r"add it by hand: \{ length_m = 2.1, force_n = 16.0 \}"):
            with_point(profile_toml, "light", 2.1, 16.0)


def test_a_file_that_is_wrong_already_is_left_alone(profile_toml: Path) -> None:
    profile_toml.write_text(HEAD.replace("side", "sied") + BROAD, encoding="utf-8", newline="")
    with pytest.raises(FileFault, match="sied"):
        with_point(profile_toml, "light", 2.1, 16.0)


AGAIN = [(1.83, 10.4), (2.44, 17.25)]


@pytest.mark.parametrize("bands", [BROAD, LOOSE_ENDS, TABLES, IN_ONE_LINE])
def test_a_band_measured_again_keeps_what_was_measured_before(bands: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + bands, encoding="utf-8", newline="")
    before = tomllib.loads(HEAD + bands)["bands"]
    for day in (date(2026, 4, 1), date(2026, 7, 1)):
        path.write_text(with_measurement(path, "light", 1.21, AGAIN, day), encoding="utf-8", newline="")
    after = tomllib.loads(path.read_text(encoding="utf-8"))["bands"]
    new = [{"length_m": length_m, "force_n": force_n} for length_m, force_n in AGAIN]
    assert after[1] == before[1]
    assert {key: after[0][key] for key in ("measured_on", "resting_length_m", "points")} == {
        "measured_on": date(2026, 7, 1),
        "resting_length_m": 1.21,
        "points": new,
    }
    assert after[0]["earlier"] == [
        {"resting_length_m": 1.2, "points": before[0]["points"]},
        {"measured_on": date(2026, 4, 1), "resting_length_m": 1.21, "points": new},
    ]


def test_a_band_measured_again_keeps_the_comments_of_the_file(tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + BROAD, encoding="utf-8", newline="")
    changed = with_measurement(path, "light", 1.21, AGAIN, date(2026, 4, 1))
    for comment in (
        "# Kept by hand: do not tidy.",
        "# on the hook",
        "# Tuesday",
        "# twice",
        "# one only",
        "# The end.",
    ):
        assert comment in changed


@pytest.mark.parametrize(
    ("band", "rest_m", "pulls", "named"),
    [
        ("light", 1.2, [(1.8, 12.0)], "fewer than two lengths"),
        ("light", 1.2, [(1.8, 12.0), (1.1, 5.0)], "not longer than the resting length"),
        ("lihgt", 1.2, AGAIN, "no band is called 'lihgt' here"),
    ],
)
def test_what_is_no_measurement_is_refused(
    band: str, rest_m: float, pulls: list[tuple[float, float]], named: str, tmp_path: Path
) -> None:
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + BROAD, encoding="utf-8", newline="")
    with pytest.raises(FileFault) as refused:
        with_measurement(path, band, rest_m, pulls, date(2026, 4, 1))
    assert named in refused.value.faults[0].what
    assert path.read_text(encoding="utf-8") == HEAD + BROAD


def test_a_measurement_before_an_earlier_one_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_text(HEAD + BROAD, encoding="utf-8", newline="")
    path.write_text(with_measurement(path, "light", 1.21, AGAIN, date(2026, 7, 1)), encoding="utf-8", newline="")
    with pytest.raises(FileFault, match="listed after"):
        with_measurement(path, "light", 1.2, AGAIN, date(2026, 4, 1))
