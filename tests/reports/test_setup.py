"""The setup report: its numbers against a computation from the JSON, its flags, its ladder, its words."""

import json
import re
import subprocess
import sys
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from coach.model.band import BandGrade
from coach.model.prescription import FixedSetup
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.reports.tables.setup_json import setup_json
from coach.reports.text.setup import setup_text
from coach.session.plan import Plan, plan_session
from tests.mechanics.clients import grade, prescription, profile
from tests.reports.recomputed import mean_nm, recompute
from tests.reports.report_plans import content, plan

WORDS = content().messages.therapist.setup_report
LABELS = content().messages.client.drawing
POSITIONS = ["0", "45", "90"]


def section(text: str, title: str) -> list[str]:
    """The lines below a heading up to the next heading."""
    lines = text.split("\n")
    begin = next(number for number, line in enumerate(lines) if line.startswith(title)) + 2
    underlined = (number for number in range(begin, len(lines)) if set(lines[number]) == {"-"})
    return lines[begin : next(underlined, len(lines) + 1) - 1]


def numbers_beside(text: str, label: str) -> list[float]:
    """The numbers in the line that begins with a label."""
    (line,) = [line for line in text.split("\n") if line.startswith(label)]
    return [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", line.removeprefix(label))]


def steps_in(lines: list[str]) -> list[str]:
    """The lines of a ladder that hold a step: its distance and two torques."""
    return [line for line in lines if re.search(r" \d+ cm +\d+\.\d\d +\d\S+-\S+ +\d+\.\d\d ", line)]


def data(of: Plan) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(setup_json(of))
    return found


def step_now(found: dict[str, Any]) -> dict[str, Any]:
    step: dict[str, Any] = next(step for step in found["ladder"] if step["now"])
    return step


@pytest.mark.parametrize("position", POSITIONS)
@pytest.mark.parametrize("step", [0, 9, -1])
def test_no_line_is_wider_than_the_page_and_nothing_moves_the_terminal(position: str, step: int) -> None:
    text = setup_text(plan(position, step=step))
    assert max(map(len, text.split("\n"))) <= 80
    assert "{" not in text
    assert all(character == "\n" or character.isprintable() for character in text)


@pytest.mark.parametrize("position", POSITIONS)
def test_the_torques_are_those_of_the_formulas(position: str) -> None:
    of = plan(position, step=9)
    text, found = setup_text(of), data(of)
    rotations = np.array([degree["rotation_deg"] for degree in found["degrees"]])
    again = recompute(found, rotations, step_now(found))
    peak = int(again.torque_nm.argmax())
    for label, index in ((WORDS.start, 0), (WORDS.peak, peak), (WORDS.end, -1)):
        total, band, arm, rotation = numbers_beside(text, label)
        assert total == pytest.approx(again.torque_nm[index], abs=0.00501)
        assert band == pytest.approx(again.band_nm[index], abs=0.00501)
        assert arm == pytest.approx(again.arm_weight_nm[index], abs=0.00501)
        assert rotation == pytest.approx(rotations[index], abs=0.5)
    total, band, arm = numbers_beside(text, WORDS.mean)
    assert total == pytest.approx(mean_nm(found, step_now(found)), abs=0.00501)
    assert arm == pytest.approx(total - band, abs=0.0101)
    assert arm == pytest.approx(again.arm_weight_nm.mean(), abs=0.02)  # a plain mean over degrees is a little off
    turned = np.radians(rotations[-1] - rotations[0])
    assert numbers_beside(text, WORDS.work)[0] == pytest.approx(total * turned, abs=0.02)


@pytest.mark.parametrize("position", POSITIONS)
def test_the_setup_stands_in_whole_numbers(position: str) -> None:
    of = plan(position, step=9)
    text, found = setup_text(of), data(of)
    setup = found["setup"]
    distance_cm, feet = numbers_beside(text, WORDS.distance)[0], setup["distance_cm"] / 100 / found["body"]["foot_m"]
    assert distance_cm == setup["distance_cm"]
    assert f"{feet:.1f}" in " ".join(section(text, WORDS.setup_title))
    assert numbers_beside(text, WORDS.anchor)[0] == setup["anchor_height_cm"]
    assert numbers_beside(text, WORDS.turn)[0] == setup["body_turn_deg"]
    start, end = numbers_beside(text, WORDS.elongation)[:2]
    assert (start, end) == pytest.approx((setup["elongation_start"] * 100, setup["elongation_end"] * 100), abs=0.5)


def stiff(measured_to: float) -> Profile:
    """A client whose only band was measured up to this elongation."""
    whole = grade("only", 1.0, 0.75)
    points = tuple(point for point in whole.points if point.length_m <= 0.75 * (1 + measured_to) + 1e-9)
    band = BandGrade(name="only", looks="the only one", resting_length_m=0.75, points=points)
    return profile(bands=(band,), nearest_cm=80, farthest_cm=160)


def test_beyond_the_measured_points_it_says_extrapolated_and_where_to_measure() -> None:
    for measured_to, said in ((0.25, True), (2.5, False)):
        of = plan("0", stiff(measured_to), step=2)
        text = " ".join(setup_text(of).split())
        assert (WORDS.extrapolated.split(":")[0] in text) is said
        if said:
            most = max(degree["elongation"] for degree in data(of)["degrees"])
            assert f"up to 25 %. Measure it at {0.75 * (1 + most) * 100:.0f} cm" in text


def test_one_error_away_from_the_ceiling_it_says_so() -> None:
    ladder = plan("0", stiff(2.5)).ladder.steps
    for step, distance in enumerate(found.distance_cm for found in ladder):
        of = plan("0", stiff(2.5), step=step)
        farther = recompute(data(of), np.arange(-30.0, 78.0), step_now(data(of)), distance_cm=10)
        passes = bool(farther.elongation.max() > of.limits["elongation_max"])
        assert (WORDS.near_ceiling.split(":")[0] in setup_text(of)) is passes, distance
    assert len(ladder) > 5


@pytest.mark.parametrize("position", POSITIONS)
def test_three_curves_are_told_apart_and_given_in_numbers(position: str) -> None:
    of = plan(position, step=9)
    lines = section(setup_text(of), WORDS.curve_title)
    drawn = [line for line in lines if "│" in line or "┤" in line]
    assert [line.split()[-1] for line in drawn if line[-1].isalpha()] == ["harder", "this", "easier"]
    assert {"▀", "▄", "░"} <= set("".join(drawn))
    found, rungs = data(of), of.rungs(of.step)
    (rotations,) = [line for line in lines if line.startswith(WORDS.rotation)]
    degrees = np.array([float(number) for number in rotations.split()[2:]])
    assert (degrees[0], degrees[-1]) == (found["position"]["arc_start_deg"], found["position"]["arc_end_deg"])
    for mark, step in (("▄ ▄", rungs.next_step), ("▄▄▄", of.step), ("▖ ▖", rungs.easier)):
        assert step is not None
        (row,) = [line for line in lines if re.match(rf"{re.escape(mark)} +\d+\.\d\d ", line)]
        again = recompute(found, degrees, step.model_dump())
        assert [float(number) for number in re.findall(r"[\d.]+", row)] == pytest.approx(
            list(again.torque_nm), abs=0.00501
        )


@pytest.mark.parametrize(("step", "missing", "mark"), [(0, "easier", "▖ ▖ one"), (-1, "harder", "▄ ▄ one")])
def test_at_the_ends_of_the_ladder_it_says_that_there_is_no_such_step(step: int, missing: str, mark: str) -> None:
    lines = section(setup_text(plan("0", step=step)), WORDS.curve_title)
    assert {"easier": WORDS.curve_none["easier"], "harder": WORDS.curve_none["harder"]}[missing] in " ".join(lines)
    assert mark not in "".join(lines)


@pytest.mark.parametrize("step", [0, 9, -1])
def test_the_ladder_shows_the_steps_around_the_one_of_now(step: int) -> None:
    of = plan("45", step=step)
    part, whole = (section(setup_text(of, whole), "The load ladder") for whole in (False, True))
    for lines in (part, whole):
        (marked,) = [line for line in steps_in(lines) if line.startswith(">")]
        assert marked.split()[1] == of.step.grade
        assert f"{of.step.distance_cm} cm" in marked
        assert f" {of.step.mean_nm:.2f} " in marked
    assert len(steps_in(whole)) == len(of.ladder.steps) > len(steps_in(part))
    around = [other for other in (of.rungs(of.step).easier, of.rungs(of.step).next_step) if other]
    for other in around:
        assert any(other.grade in line and f" {other.distance_cm} cm " in line for line in steps_in(part))


def test_the_rise_beside_a_step_is_that_to_the_next_line() -> None:
    of = plan("0", step=9)
    rows = steps_in(section(setup_text(of, whole=True), "The load ladder"))
    steps = of.ladder.steps
    for row, here, following in zip(rows[:-1], steps[:-1], steps[1:], strict=True):
        assert int(row.split()[-3]) == pytest.approx((following.mean_nm / here.mean_nm - 1) * 100, abs=0.5)
        chance = of.ladder.comparison.chance_heavier(following, here)
        assert int(row.split()[-1]) == pytest.approx(np.clip(chance * 100, 1, 99), abs=0.5)
        assert f" {here.low_nm:.1f}-{here.high_nm:.1f} " in row
    assert rows[-1].endswith(" -")


def test_without_a_next_step_it_says_why_and_what_would_make_one() -> None:
    """2-10 %: ACSM position stand, Med Sci Sports Exerc 2009;41(3):687-708 (abstract). More is only offered."""
    client = profile(bands=(grade("only", 1.0, 0.75),), nearest_cm=80, farthest_cm=160)
    home = client.home.model_copy(update={"mark_every_cm": 40})
    of = plan("0", client.model_copy(update={"home": home}), step=0)
    offered = of.rungs(of.step).offered
    assert offered is not None
    assert offered.mean_nm > 1.1 * of.step.mean_nm
    text = " ".join(setup_text(of).split())
    assert "None rises by 10 % or less. A mark between, or another band, would make one." in text
    rise = (offered.mean_nm / of.step.mean_nm - 1) * 100
    assert f"the {offered.distance_cm} cm mark, rises by {rise:.1f} %. Only a signed instruction takes it." in text
    top = " ".join(setup_text(plan("0", step=-1)).split())
    assert WORDS.next_none["top"] in top


@pytest.mark.parametrize("position", POSITIONS)
def test_the_load_is_said_with_its_spread_and_the_next_step_with_its_chance(position: str) -> None:
    of = plan(position, step=9)
    text, rungs = " ".join(setup_text(of).split()), of.rungs(of.step)
    assert f"{of.step.low_nm:.1f} to {of.step.high_nm:.1f} Nm on average in nine of ten." in text
    assert WORDS.input["gap" if position == "0" else "lever"] in text
    assert f"{of.step.mean_nm:.2f} Nm on average, likely {of.step.low_nm:.1f} to {of.step.high_nm:.1f}" in text
    assert rungs.next_chance is not None
    assert f"heavier, {min(round(rungs.next_chance * 100), 99)} in 100" in text


@pytest.mark.parametrize("position", POSITIONS)
def test_what_a_wrong_setup_does_is_computed_and_said_in_words(position: str) -> None:
    of = plan(position, step=9)
    found, lines = data(of), section(setup_text(of), WORDS.wrong_title)[1:9]
    right = mean_nm(found, step_now(found))
    wrongs = [(what, change) for what in ("distance_cm", "height_cm", "turn_deg") for change in (-10, 10)]
    elbow = ("gap_cm", 5) if position == "0" else ("elevation_deg", 10)
    wrongs += [(elbow[0], -elbow[1]), elbow]
    for line, (what, change) in zip(lines, wrongs, strict=True):
        rise = mean_nm(found, step_now(found), **{what: change}) / right - 1
        (percent,) = re.findall(r"([+-]?\d+) %", line)
        assert int(percent) == pytest.approx(rise * 100, abs=0.5)
        effect = "hardly changes" if abs(rise) < 0.02 else "harder" if rise > 0 else "easier"
        assert effect in line
        assert ("near" in line or "low" in line or "small" in line or "narrow" in line) is (change < 0)
    assert "computed" in WORDS.wrong_title


def test_the_drawing_is_there_from_above_and_from_the_side() -> None:
    text = setup_text(plan("90"))
    for title in (WORDS.from_above, WORDS.from_the_side):
        drawn = "\n".join(section(text, title))
        assert LABELS["anchor"] in drawn
        assert set("▀▄█") & set(drawn)
        # Where the client faces lies along the floor, so it can be shown from above only.
        assert (LABELS["facing"] in drawn) is (title == WORDS.from_above)


def test_a_step_of_two_strands_is_called_so() -> None:
    client = profile(rest_m=1.5, strands=(2,), farthest_cm=160)
    assert "two strands" in setup_text(plan("0", client, step=3))


def test_a_limit_the_therapist_moved_is_the_one_that_is_said() -> None:
    of = plan("0", step=3)
    moved = replace(of, limits={**of.limits, "elongation_max": 1.2})
    assert "the ceiling is 120 %" in " ".join(setup_text(moved).split())


def test_reports_load_no_numpy_and_no_editor_of_toml() -> None:
    program = (
        "import sys; import coach.reports.text.setup, coach.reports.text.bands, coach.reports.tables.setup_json; "
        "import coach.store.therapist.bands_file; "
        "print([name for name in ('tomlkit', 'numpy') if name in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert shown.stdout == "[]\n"


def fixed_plan(**fixed: Any) -> Plan:
    """Heron's question at 90 degrees: a low anchor, fixed by the therapist."""
    client = profile(rest_m=0.75, heights_cm=(45, 90), farthest_cm=180)
    before = Progress(exercise="external_rotation", position="90", repetitions=10)
    made = plan_session(client, prescription(FixedSetup(position="90", **fixed)), content(), before)
    return replace(made, step=made.ladder.steps[len(made.ladder.steps) // 2])


def test_a_fixed_height_shows_its_price() -> None:
    of = fixed_plan(anchor_height_cm=45)
    found, text = data(of), " ".join(setup_text(of).split())
    options = {one["anchor_height_cm"]: one for one in found["other_places"] if one["body_turn_deg"] == 0}
    low, hip = options[45], options[90]
    assert (low["now"], hip["now"]) == (True, False)
    assert low["end_nm"] < hip["end_nm"]
    assert WORDS.why_height["fixed"] in text
    assert f"{low['end_nm']:.2f} Nm at the end instead of {hip['end_nm']:.2f} with 90 cm" in text
    assert f"{low['kept'] * 100:.0f} % of the peak kept instead of {hip['kept'] * 100:.0f} %" in text


def test_a_height_fixed_where_it_would_be_anyway_has_no_price() -> None:
    text = " ".join(setup_text(fixed_plan(anchor_height_cm=90)).split())
    assert "at no price: 90 cm" in text


def test_a_fixed_distance_says_what_is_left_of_the_ladder() -> None:
    of = fixed_plan(distance_cm=110)
    free = fixed_plan()
    text = " ".join(setup_text(of).split())
    assert {step.distance_cm for step in of.ladder.steps} == {110}
    assert f"{len(of.ladder.steps)} load steps instead of {len(free.ladder.steps)}" in text


@pytest.mark.parametrize("position", POSITIONS)
def test_the_first_screenful_holds_setup_load_and_next_step(position: str) -> None:
    """24 lines: the height of a terminal that nobody has made larger."""
    of = plan(position, step=9)
    screenful = "\n".join(setup_text(of).split("\n")[:24])
    for label in (WORDS.band, WORDS.distance, WORDS.anchor, WORDS.turn, WORDS.elongation, WORDS.mean, WORDS.next):
        assert f"\n{label}" in screenful


@pytest.mark.parametrize("position", POSITIONS)
def test_other_places_are_those_of_the_json(position: str) -> None:
    of = plan(position, step=9)
    found, lines = data(of), section(setup_text(of), WORDS.places_title)
    rows = [line for line in lines[1:] if line.strip() and line[0] in "> " and not line.startswith("> is")]
    assert len(rows) == len(found["other_places"])
    for row, option in zip(rows, found["other_places"], strict=True):
        assert row.startswith(">") is option["now"]
        if option["mean_nm"] is None:
            assert row.split()[-6:] == ["-"] * 6
            continue
        numbers = [float(number) for number in re.findall(r"-?\d+(?:\.\d+)?", row)[1:]]
        assert numbers[:4] == pytest.approx(
            [option["distance_cm"], option["mean_nm"], option["start_nm"], option["end_nm"]], abs=0.00501
        )
        assert numbers[4] == pytest.approx(option["kept"] * 100, abs=0.5)
