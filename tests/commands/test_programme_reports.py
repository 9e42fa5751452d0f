"""Every command that reads, for a client with several exercises: all of them in order, or the one that is named."""

import csv
import json
import re
import shutil
from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle
from pypdf import PdfReader

from coach.cli import main
from coach.commands.support.output import FAULTS, FINE, USAGE
from coach.content_files.content_folder import content_folder
from coach.model.answers_file import Answers, ExerciseAnswers
from coach.reports.pdf.pdf_page import PdfPage, PositionMm
from coach.session.state import Instant
from coach.store.client_store import ClientStore
from coach.store.records.record_damage import FINGERPRINT
from tests.demo.forearm_table import table_of
from tests.demo.pristine import DEMO
from tests.motion_capture.simulated import Person
from tests.reports.programme_client import live_steps, play

NAMES = ("outward_right", "outward_left", "inward_right", "row_right")
MONDAY = datetime(2026, 11, 9, 18, 0, tzinfo=timezone(timedelta(hours=1)))
WEDNESDAY, TUESDAY = MONDAY + timedelta(days=9), MONDAY + timedelta(days=8)
ACHE: dict[str, int | str] = {"set_1.trouble": "ache", "set_1.trouble_where": "upper_arm", "set_1.trouble_pain": 7}
STOPPED_ON_THE_LEFT = Answers(answer={"pain_now": 2}, exercise={"outward_left": ExerciseAnswers(answer=ACHE)})

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="module")
def trained(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The client after three sessions, of which the last was stopped in the second exercise; only to be read."""
    folder = tmp_path_factory.mktemp("clients") / "curlew"
    shutil.copytree(DEMO / "curlew", folder, ignore=shutil.ignore_patterns("records", "progress*"))
    play(folder, MONDAY)
    play(folder, MONDAY + timedelta(days=2))
    play(folder, MONDAY + timedelta(days=4), STOPPED_ON_THE_LEFT)
    return folder


@pytest.fixture
def curlew(trained: Path, tmp_path: Path) -> Path:
    """As `trained`, to be written to."""
    return Path(shutil.copytree(trained, tmp_path / "curlew"))


@pytest.fixture(autouse=True)
def _one_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coach.reports.text.forecast.LIVES", 1)
    monkeypatch.setattr("coach.reports.text.forecast.forecast_text", lambda plan, *_, **__: f"{plan.name} foretold\n")
    _set_clock(monkeypatch, WEDNESDAY)


def _set_clock(monkeypatch: pytest.MonkeyPatch, at: datetime) -> None:
    monkeypatch.setattr("coach.store.clock.now", lambda: Instant(0.0, at))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command; its exit code, what it printed, and what it printed on standard error."""

    def ran(*words: object) -> tuple[int, str, str]:
        code = main([str(word) for word in words])
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    return ran


# What is said below the heading of each exercise.
COMMANDS: dict[str, tuple[tuple[str, ...], str]] = {
    "preview": (("--text",), "Find your line, without the band"),
    "preview, decisions": (("--decisions",), "a warning sign"),
    "setup": ((), "The setup in numbers"),
    "setup, ladder": (("--ladder",), "The load ladder"),
    "history": ((), "2026-11-13 18:00"),
    "history, charts": (("--pictures",), "Repetitions"),
    "progress": ((), "What you have done"),
    "forecast": ((), "foretold"),
}


def _headings(text: str) -> list[str]:
    return re.findall(r"^Exercise (\d) of 4: .*\n-+$", text, re.MULTILINE)


@pytest.mark.parametrize("what", COMMANDS)
def test_each_exercise_has_its_heading_in_order(what: str, trained: Path, run: Run) -> None:
    options, _ = COMMANDS[what]
    code, said, _ = run(what.split(",")[0], trained, *options)
    assert code == FINE
    assert _headings(said) == ["1", "2", "3", "4"]
    assert max(map(len, said.splitlines())) <= (80 if "history" not in what else 130)


@pytest.mark.parametrize("what", [one for one in COMMANDS if one != "preview"])
def test_one_exercise_is_as_it_stands_among_all(what: str, trained: Path, run: Run) -> None:
    options, _ = COMMANDS[what]
    command = what.split(",")[0]
    every = run(command, trained, *options)[1]
    one = run(command, trained, *options, "--exercise", "inward_right")[1]
    assert _headings(one) == ["3"]
    assert one in every
    assert len(one) < len(every) / 2


COMMANDS_WITH_A_FILE = (("handout",), ("export", "--fhir"), ("export", "--csv"))


@pytest.mark.parametrize("words", [(what.split(",")[0], *COMMANDS[what][0]) for what in COMMANDS])
def test_a_misspelt_exercise_is_told_with_the_nearest(words: tuple[str, ...], trained: Path, run: Run) -> None:
    code, said, error = run(words[0], trained, *words[1:], "--exercise", "outwrd_left")
    assert (code, said) == (USAGE, "")
    assert "outwrd_left: curlew has no exercise of that name" in error
    assert f"one of {', '.join(NAMES)}" in error
    assert "nearest: outward_left" in error


@pytest.mark.parametrize("words", COMMANDS_WITH_A_FILE)
def test_no_file_is_written_for_a_misspelt_exercise(
    words: tuple[str, ...], trained: Path, tmp_path: Path, run: Run
) -> None:
    code, _, error = run(words[0], trained, *words[1:], "--to", tmp_path / "out", "--exercise", "rows_right")
    assert code == USAGE
    assert "nearest: row_right" in error
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("words", [("preview", "--text"), ("setup",), ("history",), ("progress",)])
def test_a_client_with_one_exercise_may_name_it(words: tuple[str, ...], demo_profiles: Path, run: Run) -> None:
    """And hears what is said without its name."""
    client = demo_profiles / "tern"
    assert run(words[0], client, *words[1:], "--exercise", "external_rotation") == run(words[0], client, *words[1:])
    assert run(words[0], client, *words[1:], "--exercise", "row")[0] == USAGE


# --- preview


def _previewed(run: Run, client: Path, *words: object) -> dict[str, object]:
    code, said, _ = run("preview", client, "--json", *words)
    assert code == FINE
    found: dict[str, object] = json.loads(said)
    return found


def test_the_preview_goes_through_the_steps_of_the_session(curlew: Path, run: Run) -> None:
    """Against a session that is run second by second, with its record on the disk."""
    previewed = _previewed(run, curlew)["exercises"]
    assert isinstance(previewed, list)
    shown = [(exercise["name"], step["name"]) for exercise in previewed for step in exercise["steps"]]
    assert shown == live_steps(curlew, WEDNESDAY)


def test_between_two_exercises_are_the_page_that_says_so_and_a_rest(trained: Path, run: Run) -> None:
    said = run("preview", trained, "--text")[1]
    assert said.count("How much pain is in your shoulders now?") == 1
    ends = [f"Exercise {number} of 4 is done" for number in (1, 2, 3)]
    assert [said.count(end) for end in ends] == [1, 1, 1]
    between = " ".join(said.partition(ends[0])[2].partition("Exercise 2 of 4")[0].split())
    assert between == "Next: External rotation with a band, left."
    assert "Next: External rotation with a band, left, with the striped band. 60 s" in said
    assert said.count("What you read at the beginning still holds. New with this exercise:") == 2
    starts = [60 * int(minutes) + int(s) for minutes, s in re.findall(r"^ *(\d+):(\d\d)  ", said, re.MULTILINE)]
    assert starts == sorted(starts)
    total = re.search(r"(\d+) minutes", said)
    assert total is not None
    assert starts[-1] <= 60 * int(total[1]) + 30


def test_an_exercise_of_other_days_is_named_and_left_out(
    trained: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    _set_clock(monkeypatch, TUESDAY)
    said = run("preview", trained, "--text")[1]
    assert _headings(said) == ["1", "2", "3"]
    assert "Not due today: Pulling to the side (row), right, only on Monday, Wednesday," in said
    assert len(str(_previewed(run, trained)["not_today"])) > 20


def test_what_if_of_one_exercise_stops_that_one_alone(demo_profiles: Path, tmp_path: Path, run: Run) -> None:
    curlew = demo_profiles / "curlew"  # without the stop of the others: a second one would end the day
    answers = tmp_path / "answers.toml"
    lines = (f'"{step}" = {json.dumps(value)}' for step, value in ACHE.items())
    answers.write_text("\n".join(["format = 1", "[exercise.inward_right.answer]", *lines]), encoding="utf-8")
    found = _previewed(run, curlew, "--answers", answers)["what_if"]
    assert isinstance(found, dict)
    moves = {one["name"]: one["decision"]["move"] for one in found["exercises"]}
    assert moves.pop("inward_right") == "stop"
    assert set(moves) == {*NAMES} - {"inward_right"}
    assert "stop" not in moves.values()


def test_a_sign_ends_the_session_and_the_others_are_not_done(trained: Path, tmp_path: Path, run: Run) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text('format = 1\n[answer]\nsign = "lump"\n', encoding="utf-8")
    found = _previewed(run, trained, "--answers", answers)["what_if"]
    assert isinstance(found, dict)
    assert [one["decision"] and one["decision"]["rule"] for one in found["exercises"]] == [
        "warning_sign",
        None,
        None,
        None,
    ]
    assert {one["status"] for one in found["exercises"]} == {"review"}
    said = run("preview", trained, "--text", "--answers", answers)[1]
    assert _headings(said) == ["1", "2", "3", "4"]
    assert said.count("not done today") == 3


def test_answers_for_an_exercise_that_is_not_there_are_refused(trained: Path, tmp_path: Path, run: Run) -> None:
    answers = tmp_path / "answers.toml"
    answers.write_text("format = 1\n[exercise.outward_lft.repetitions]\n1 = 3\n", encoding="utf-8")
    code, _, error = run("preview", trained, "--text", "--answers", answers)
    assert code == USAGE
    assert "nearest: outward_left" in error


def test_in_review_the_whole_session_is_shown_below_why_it_may_not_start(curlew: Path, run: Run) -> None:
    play(curlew, MONDAY + timedelta(days=7), Answers(answer={"sign": "lump"}))
    code, said, _ = run("preview", curlew, "--text")
    assert code == FINE
    assert _headings(said) == ["1", "2", "3", "4"]
    assert said.index("Stop now.") < said.index("Exercise 1 of 4")


def _repaired_lately(client: Path) -> None:
    """A repair from the day before yesterday, as if the surgeon had just written."""
    on = (WEDNESDAY - timedelta(days=2)).date()
    programme = client / "programme" / "0001.toml"
    text = programme.read_text(encoding="utf-8")
    programme.write_text(text.replace("[dose]", f"repaired_on = {on}\n\n[dose]", 1), encoding="utf-8")


def _long_away(client: Path) -> None:
    """Nothing: the sessions of the demo client are from long before the day of the test."""
    assert max(record.last_at for record in ClientStore.read(client).records) < WEDNESDAY + timedelta(days=57)


@pytest.mark.parametrize(("change", "days"), [(_repaired_lately, 0), (_long_away, 119)])
def test_every_exercise_is_shown_where_a_rule_would_stop_the_session_at_the_check_in(
    change: Callable[[Path], None], days: int, curlew: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = _steps(_shown(run, curlew))
    change(curlew)
    _set_clock(monkeypatch, WEDNESDAY + timedelta(days=days))
    exercises = _shown(run, curlew)
    assert [one["name"] for one in exercises] == list(NAMES)
    assert _steps(exercises) == steps
    starts = [step["at_s"] for one in exercises for step in one["steps"]]
    assert starts == sorted(starts)
    code, said, _ = run("preview", curlew, "--text")
    assert (code, _headings(said)) == (FINE, ["1", "2", "3", "4"])
    assert said.count("How much pain is in your shoulders now?") == 1


def _steps(exercises: list[dict[str, Any]]) -> list[list[str]]:
    """The steps of each exercise. After a long break it is asked about, and not how the shoulder settled."""
    return [[step["name"].replace("gap", "settled") for step in one["steps"]] for one in exercises]


def _shown(run: Run, client: Path) -> list[dict[str, Any]]:
    exercises = _previewed(run, client)["exercises"]
    assert isinstance(exercises, list)
    return exercises


# --- setup


def test_the_setups_as_json_stand_in_a_list(trained: Path, run: Run) -> None:
    found = json.loads(run("setup", trained, "--json")[1])
    assert [(one["name"], one["side"]) for one in found["exercises"]] == [
        (name, name.rpartition("_")[2]) for name in NAMES
    ]


@pytest.mark.parametrize("words", [("--drawing", "TO"), ("--position", "0")])
def test_what_is_of_one_exercise_asks_for_its_name(
    words: tuple[str, ...], trained: Path, tmp_path: Path, run: Run
) -> None:
    to = tmp_path / "out.svg"
    options = [to if word == "TO" else word for word in words]
    code, _, error = run("setup", trained, *options)
    assert code == USAGE
    assert "name one with --exercise" in error
    assert run("setup", trained, *options, "--exercise", "outward_left")[0] == FINE
    assert to.exists() == ("TO" in words)


_NO_STEP = 'first_step = { grade = "woven", strands = 2, distance_cm = 175 }\n'


def test_one_exercise_without_a_load_leaves_the_others(curlew: Path, run: Run) -> None:
    programme = curlew / "programme" / "0001.toml"
    text = programme.read_text(encoding="utf-8")
    left = re.compile(r'(side = "left"\npositions = \["0"\]\n)first_step = .*\n')
    assert left.search(text)
    programme.write_text(left.sub(r"\1" + _NO_STEP, text), encoding="utf-8")
    shutil.rmtree(curlew / "records")
    (curlew / "progress.toml").unlink()
    (curlew / FINGERPRINT).unlink(missing_ok=True)  # it would miss the records
    code, said, error = run("setup", curlew)
    assert code == FAULTS
    assert _headings(said) == ["1", "2", "3", "4"]
    assert said.count("The setup in numbers") == 3
    assert "which is no load step at 0 degrees" in error


# --- history, progress, forecast, bands


def test_a_history_holds_the_sessions_of_its_exercise_alone(trained: Path, run: Run) -> None:
    parts = run("history", trained)[1].split("Exercise ")[1:]
    assert [part.count("Rule: pain over the limit.") for part in parts] == [0, 1, 0, 0]
    assert [len(re.findall(r"^2026-11-\d\d 18:00", part, re.MULTILINE)) for part in parts] == [3, 3, 3, 3]


def test_rebuilt_is_the_progress_of_every_exercise(curlew: Path, run: Run) -> None:
    before = (curlew / "progress.toml").read_bytes()
    (curlew / "progress.toml").unlink()
    assert run("history", curlew, "--rebuild", "--exercise", "row_right")[0] == FINE
    assert (curlew / "progress.toml").read_bytes() == before


def test_the_clients_own_plan_stands_once(curlew: Path, run: Run) -> None:
    plan = 'format = 1\ndays = ["monday", "wednesday"]\nwhen = "after breakfast"\n'
    (curlew / "plan.toml").write_text(plan, encoding="utf-8")
    assert run("progress", curlew)[1].count("after breakfast") == 1
    assert "outward_right" not in run("progress", curlew)[1]


def test_a_calendar_has_the_minutes_of_the_whole_session(trained: Path, tmp_path: Path, run: Run) -> None:
    seconds = _previewed(run, trained)["seconds"]
    assert isinstance(seconds, float)
    to = tmp_path / "curlew.ics"
    assert run("progress", trained, "--calendar", to)[0] == FINE
    assert f"about {round(seconds / 60)} minutes" in to.read_text(encoding="utf-8").replace("\r\n ", "")


def test_a_forecast_says_what_it_leaves_out(trained: Path, run: Run) -> None:
    said = run("forecast", trained)[1]
    assert [f"{name} foretold" in said for name in NAMES] == [True] * 4
    assert "Each exercise was simulated by itself" in said
    assert "Each exercise was simulated" not in run("forecast", trained, "--exercise", "row_right")[1]


def test_bands_are_the_clients_and_are_reported_once(trained: Path, run: Run) -> None:
    said = run("bands", trained)[1]
    assert said.count("Bands of curlew") == 1
    assert "Exercise 1" not in said


def test_the_strictest_limit_of_the_exercises_counts_for_the_bands(curlew: Path, run: Run) -> None:
    programme = curlew / "programme" / "0001.toml"
    text = programme.read_text(encoding="utf-8")
    programme.write_text(text + "limits = { elongation_max = 1.2 }\n", encoding="utf-8")
    assert "120 %" in run("bands", curlew)[1]
    assert "120 %" not in run("bands", DEMO / "curlew")[1]


# --- handout


def _pages(client: Path, tmp_path: Path, run: Run, *words: str) -> list[str]:
    to = tmp_path / "curlew.pdf"
    assert run("handout", client, *words, "--to", to)[0] == FINE
    return [" ".join(page.extract_text().split()) for page in PdfReader(to).pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_handout_says_once_what_all_exercises_share(paper: str, trained: Path, tmp_path: Path, run: Run) -> None:
    overview, *pages = _pages(trained, tmp_path, run, "--paper", paper)
    assert len(pages) == {"a4": 2, "letter": 3}[paper]
    rest = " ".join(pages)
    assert "Stop, and what to do then" in overview
    assert "Stop, and what to do then" not in rest
    for number, name in enumerate(("External rotation with a band, right", "External rotation with a band, left"), 1):
        assert overview.count(f"{number}. {name}") == 2  # in the list and in the log
        assert rest.count(f"{number}. {name}") == 1
    assert rest.count("Check before the first repetition") == rest.count("Setup") == rest.count("From above") == 4
    assert overview.count("as far as your hand goes easily") == 1
    assert "as far as your hand goes easily" not in rest
    assert "on Monday, Wednesday, Friday, Saturday" in overview
    if paper == "a4":  # two exercises share a page
        assert [len(re.findall(r"\b\d\. ", page)) for page in pages] == [2, 2]


def test_a_handout_in_german_keeps_within_the_page(
    curlew: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its words are longer: every exercise is there, and every line ends before the margin."""
    ends: list[float] = []
    write = PdfPage.write

    def noted(
        page: PdfPage, at: PositionMm, text: str, size_pt: float, bold: bool = False, white: bool = False
    ) -> None:
        ends.append(at[0] + page.text_width_mm(text, size_pt, bold) - page.width_mm)
        write(page, at, text, size_pt, bold, white)

    monkeypatch.setattr(PdfPage, "write", noted)
    profile = curlew / "profile.toml"
    profile.write_text(profile.read_text("utf-8").replace('language = "en"', 'language = "de"'), encoding="utf-8")
    overview, *pages = _pages(curlew, tmp_path, run, "--paper", "letter")
    found = [number for page in pages for number in re.findall(r"\b(\d)\. (?:\w+rotation|Ziehen)", page)]
    assert found == ["1", "2", "3", "4"]
    assert "Ihre Übungen" in overview
    assert max(ends) <= -8.0


def test_one_exercise_is_a_whole_page_with_its_side(trained: Path, tmp_path: Path, run: Run) -> None:
    (page,) = _pages(trained, tmp_path, run, "--exercise", "outward_left")
    assert "External rotation with a band, left" in page
    assert "Stop, and what to do then" in page


def test_the_lowest_limit_of_pain_is_the_one_said(curlew: Path, tmp_path: Path, run: Run) -> None:
    programme = curlew / "programme" / "0001.toml"
    text = programme.read_text(encoding="utf-8")
    programme.write_text(text + "limits = { pain_max = 3 }\n", encoding="utf-8")
    assert "Pain over 3 of 10 in a set" in _pages(curlew, tmp_path, run)[0]


# --- changed


def test_what_an_edit_changes_says_for_which_exercise(
    trained: Path, tmp_path: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("coach.reports.text.changed.content_parts", lambda *_: ())
    edited = Path(shutil.copytree(content_folder(), tmp_path / "content"))
    file = edited / "en" / "internal_rotation.toml"
    text = file.read_text(encoding="utf-8")
    title = re.search(r'^first_cue = "(.*)"$', text, re.MULTILINE)
    assert title is not None
    file.write_text(text.replace(title[1], "Turn in slowly.", 1), encoding="utf-8")
    code, said, _ = run("changed", content_folder(), edited, "--clients", trained)
    assert code == FINE
    of_client = said.partition("for each client")[2]
    assert set(_headings(of_client) or re.findall(r"Exercise (\d) of 4", of_client)) == {"3"}
    assert "Turn in slowly." in of_client


# --- export


def test_a_table_names_exercise_and_side(trained: Path, tmp_path: Path, run: Run) -> None:
    to = tmp_path / "curlew.csv"
    assert run("export", trained, "--csv", "--to", to)[0] == FINE
    with to.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {(row["programme_exercise"], row["side"]) for row in rows} == {
        (name, name.rpartition("_")[2]) for name in NAMES
    }
    left = [row for row in rows if row["programme_exercise"] == "outward_left"]
    assert [row["trouble"] for row in left] == ["", "", "", "", "ache"]
    one = tmp_path / "one.csv"
    assert run("export", trained, "--csv", "--to", one, "--exercise", "outward_left")[0] == FINE
    with one.open(encoding="utf-8-sig", newline="") as file:
        assert list(csv.DictReader(file)) == left


def _bundle(client: Path, to: Path, run: Run, *words: str) -> dict[str, list[dict[str, Any]]]:
    """The resources of a bundle that is valid, by their kind."""
    assert run("export", client, "--fhir", "--to", to, *words)[0] == FINE
    bundle = json.loads(to.read_text(encoding="utf-8"))
    assert json.loads(Bundle.model_validate_json(json.dumps(bundle)).model_dump_json()) == bundle
    addresses = [entry["fullUrl"] for entry in bundle["entry"]]
    assert len(set(addresses)) == len(addresses)
    found: dict[str, list[dict[str, Any]]] = {}
    for entry in bundle["entry"]:
        found.setdefault(entry["resource"]["resourceType"], []).append(entry["resource"])
    return found


def _asked(responses: list[dict[str, Any]]) -> list[str]:
    return [item["linkId"] for one in responses for group in one["item"] for item in group["item"]]


def test_a_bundle_holds_one_plan_with_an_activity_for_each_exercise(trained: Path, tmp_path: Path, run: Run) -> None:
    (plan,) = _bundle(trained, tmp_path / "curlew.json", run)["CarePlan"]
    details = [one["detail"] for one in plan["activity"]]
    assert [one["code"]["text"] for one in details] == [
        "External rotation with a band, right",
        "External rotation with a band, left",
        "Internal rotation with a band, right",
        "Pulling to the side (row), right",
    ]
    assert details[0]["scheduledTiming"]["repeat"] == {"frequency": 3, "period": 1, "periodUnit": "wk"}
    assert details[3]["scheduledTiming"]["repeat"] == {"dayOfWeek": ["mon", "wed", "fri", "sat"]}


def test_a_bundle_holds_each_exercise_of_a_session_and_its_check_in_once(
    trained: Path, tmp_path: Path, run: Run
) -> None:
    found = _bundle(trained, tmp_path / "curlew.json", run)
    assert len(found["Procedure"]) == 12
    sides = Counter(one["bodySite"][0]["coding"][0]["code"] for one in found["Procedure"])
    assert sides == {"right_shoulder": 9, "left_shoulder": 3}
    asked = Counter(_asked(found["QuestionnaireResponse"]))
    assert asked["check_in.pain_now"] == asked["check_in.sign"] == 3
    assert asked["set_1.pain"] == 11  # and one set was stopped
    pains = [one for one in found["Observation"] if "pain_now" in str(one["code"])]
    assert len(pains) == 3


def test_the_export_of_one_exercise_holds_the_check_in(trained: Path, tmp_path: Path, run: Run) -> None:
    found = _bundle(trained, tmp_path / "left.json", run, "--exercise", "outward_left")
    assert len(found["Procedure"]) == 3
    assert Counter(_asked(found["QuestionnaireResponse"]))["check_in.pain_now"] == 3
    assert {one["bodySite"][0]["coding"][0]["code"] for one in found["Procedure"]} == {"left_shoulder"}


def test_what_was_measured_of_either_shoulder_is_in_the_bundle(trained: Path, tmp_path: Path, run: Run) -> None:
    found = _bundle(trained, tmp_path / "curlew.json", run)["Observation"]
    exams = [one for one in found if one["category"][0]["coding"][0]["code"] == "exam"]
    sites = Counter(one["bodySite"]["coding"][0]["code"] for one in exams)
    assert sites == {"right_shoulder": 3, "left_shoulder": 2}


# --- measured


@pytest.fixture(scope="module")
def table(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sensor saw a set of eight repetitions of the left arm."""
    path = tmp_path_factory.mktemp("sensor") / "forearm.csv"
    path.write_text(table_of(Person(side="left")), encoding="utf-8")
    return path


def test_a_set_that_may_be_of_several_exercises_is_asked_about(curlew: Path, table: Path, run: Run) -> None:
    code, _, error = run("measured", curlew, table, "--session", "2026-11-11", "--set", "1", "--yes")
    assert code == USAGE
    assert "sets of 4 exercises were done in this session" in error
    assert f"one of {', '.join(NAMES)}" in error
    assert not (curlew / "measured").exists()


def test_a_measured_set_stands_beside_its_exercise_alone(curlew: Path, table: Path, tmp_path: Path, run: Run) -> None:
    which = ("--session", "2026-11-11", "--set", "1", "--exercise", "outward_left", "--yes")
    code, said, _ = run("measured", curlew, table, *which)
    assert code == FINE
    assert said.startswith("Exercise 2 of 4: External rotation with a band, left (outward_left)\n---")
    kept = list((curlew / "measured").iterdir())
    assert [path.name for path in kept] == ["2026-11-11T180000-outward_left-set1.toml"]
    parts = run("history", curlew)[1].split("Exercise ")[1:]
    assert [part.count("Set 1, measured: 8 repetitions") for part in parts] == [0, 1, 0, 0]
    to = tmp_path / "curlew.csv"
    assert run("export", curlew, "--csv", "--to", to)[0] == FINE
    with to.open(encoding="utf-8-sig", newline="") as file:
        beside = [row["programme_exercise"] for row in csv.DictReader(file) if row["measured_repetitions"]]
    assert beside == ["outward_left"]


def test_the_time_of_day_in_a_table_says_which_exercise_it_is_of(curlew: Path, tmp_path: Path, run: Run) -> None:
    ends = {
        one.record.name: one.record.sets_done[0].at.timestamp()
        for store in ClientStore.read(curlew).exercises
        for one in store.sessions[:1]
    }
    path = tmp_path / "forearm.csv"
    path.write_text(table_of(Person(side="left"), began_at=ends["outward_left"] - 60), encoding="utf-8")
    code, said, _ = run("measured", curlew, path, "--set", "1", "--yes")
    assert code == FINE
    assert "Exercise 2 of 4" in said
    assert [path.name for path in (curlew / "measured").iterdir()] == ["2026-11-09T180000-outward_left-set1.toml"]
