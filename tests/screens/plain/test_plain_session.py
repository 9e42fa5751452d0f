"""The plain mode: a whole session in lines, by hand and from a file; the same record as on the screens."""

import re
import shutil
import unicodedata
from pathlib import Path

import pytest

from coach.model.answers_file import Answers
from coach.model.record import Answered, Entry, LoadChanged
from coach.reports.text.history import history_text
from coach.session.lessons.cautions import cautions_before
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.records import record_file
from tests.clocks import FakeClock
from tests.journeys.walk import Given, live, session_app, walk
from tests.plans import next_plan, plan_of, shipped
from tests.screens.plain.output_lines import (
    CLEAN_AFTER_SET,
    TO_THE_FIRST_SET,
    reason_lines,
    run_with_answers,
    told,
    without_times,
)

FAULTS: Given = {
    "pain_now": 2,
    "set_1.pain": 3,
    "set_1.range": "no",
    "set_1.range_often": "yes",
    "set_2.blade": "yes",
    "set_2.blade_often": "no",
    "set_2.elbow": "not_sure",
    "effort": 10,
    "two_more": "not_sure",
}


@pytest.mark.parametrize("given", [{}, FAULTS, {"set_2.pain": 6}, {"sign": "not_sure"}])
async def test_the_same_answers_give_the_same_record_as_the_screens(demo_profiles: Path, given: Given) -> None:
    """Clean, with faults and a step down, stopped by pain, stopped at the check-in: only the times differ.

    What ends the session is chosen and then confirmed by keys; answers from a file are sure."""
    on_screens, in_lines = demo_profiles / "tern", demo_profiles / "tern_in_lines"
    shutil.copytree(on_screens, in_lines)
    clock = FakeClock()
    app = session_app(on_screens, clock)
    async with app.run_test(size=(80, 24)) as pilot:
        await walk(pilot, app, clock, given)
        record = live(app).state.record
    lines: list[str] = []
    assert run_with_answers(in_lines, Answers(answer=dict(given)), lines.append)
    on_file = without_times(read_client_folder(in_lines).records[-1])
    assert on_file == [entry for entry in without_times(record) if entry["kind"] != "chosen"]
    assert record.ended is not None
    assert {*reason_lines(record.ended.decision)} <= {*lines}
    assert (in_lines / "progress.toml").read_text() != ""


def test_the_step_down_above_is_really_one() -> None:
    """The answers with faults do change the load, so that the comparison sees it."""
    from coach.session.rehearsal import rehearse

    record, _ = rehearse(plan_of("tern"), Answers(answer=dict(FAULTS)), FakeClock()().at)
    assert any(isinstance(entry, LoadChanged) for entry in record.entry)


def test_a_whole_session_by_typed_lines(demo_profiles: Path) -> None:
    """Key and Enter for everything; it ends with the decision, and the record is closed."""
    folder = demo_profiles / "tern"
    last = (*CLEAN_AFTER_SET, "5", "y")
    done = told(folder, [*TO_THE_FIRST_SET, *CLEAN_AFTER_SET, *CLEAN_AFTER_SET, *last])
    assert done.finished
    assert done.record.ended is not None
    assert done.record.ended.decision.rule == "not_all_asked"
    assert {*reason_lines(done.record.ended.decision)} <= {*done.after("Done for today")}
    assert [one.repetitions for one in done.record.sets_done] == [8, 8, 8]


def test_a_set_is_told_as_it_runs(demo_profiles: Path) -> None:
    """Count-in, then a short line a phase with the repetition, the last one named; ten seconds a repetition."""
    done = told(demo_profiles / "tern", TO_THE_FIRST_SET)
    begun = done.lines.index("Starting in 20 seconds.")
    assert done.lines[begun + 2 : begun + 14] == [
        "ready, 15",
        "ready, 10",
        "ready, 5",
        "ready, 3",
        "ready, 2",
        "ready, 1",
        "out, 1 of 8",
        "hold",
        "back",
        "wait",
        "out, 2 of 8",
        "hold",
    ]
    over = done.lines.index("The set is done.")
    assert done.lines[over - 3 : over] == ["out, the last one", "hold", "back"]
    assert max(map(len, done.lines[begun + 2 : over])) < 20


def test_waiting_is_neither_spinning_nor_a_gap(demo_profiles: Path) -> None:
    """Every wait is at most a second, shorter than the gap that pauses, and there are about as many as seconds."""
    done = told(demo_profiles / "tern", TO_THE_FIRST_SET)
    assert max(done.typist.waits) <= 1.0
    assert len(done.typist.waits) <= 1.2 * done.typist.clock.s
    assert not any("Paused" in line for line in done.lines)


def test_the_rest_says_what_is_left_every_quarter_of_a_minute(demo_profiles: Path) -> None:
    done = told(demo_profiles / "tern", [*TO_THE_FIRST_SET, *CLEAN_AFTER_SET])
    left = [line for line in done.lines if " seconds left" in line]
    take_place = "15 seconds left: take your place with the band."
    assert left[:4] == ["60 seconds left", "45 seconds left", "30 seconds left", take_place]
    assert "The rest is over." in done.lines


@pytest.mark.parametrize("typed", [" ", "space", "   "])
def test_typing_while_a_set_runs_pauses_and_goes_on(demo_profiles: Path, typed: str) -> None:
    """35 s after the set began: one repetition is whole; Enter goes on with a new count-in and seven left."""
    done = told(demo_profiles / "tern", [*TO_THE_FIRST_SET, ""], {35.0: typed})
    paused = done.after("Paused")
    assert paused[0].endswith("7 repetitions are left.")
    assert "7 repetitions." in paused
    assert next(line for line in paused if line.startswith("out")) == "out, 2 of 8"
    assert done.record.sets_done[0].repetitions == 8


def test_pain_in_a_set_is_one_key_and_leads_to_the_rule(demo_profiles: Path) -> None:
    """p, what it is, where, how much: over the limit the session is over, with what was done."""
    done = told(demo_profiles / "tern", [*TO_THE_FIRST_SET, "1", "The neck", "10", "y"], {35.0: "p"})
    assert done.finished
    assert done.record.ended is not None
    assert (done.record.ended.how, done.record.ended.decision.rule) == ("stopped", "pain_over_limit")
    assert done.record.answer("set_1.trouble_where") == "neck"
    assert done.record.answer("set_1.trouble_pain") == 10
    assert [one.end for one in done.record.sets_done] == ["halted"]


def test_a_wrong_key_names_the_keys_and_asks_again(demo_profiles: Path) -> None:
    """Control characters in the input are not sent back to the terminal."""
    done = told(demo_profiles / "tern", ["", "", "eleven", "\x1b]0;\x07", "x", "y"])
    said = done.after("eleven is no key here.")
    assert said[0].startswith("Keys, with Enter after each: 0 to 10; p: pain or trouble")
    assert "]0; is no key here." in said
    assert [entry.value for entry in done.record.entry if isinstance(entry, Answered)] == [10]


@pytest.mark.parametrize(("typed", "value"), [("10", 10), ("X", 10), (" 7 ", 7)])
def test_a_number_may_be_typed_in_full(demo_profiles: Path, typed: str, value: int) -> None:
    done = told(demo_profiles / "tern", ["", "", typed, "y"])
    assert done.record.answer("check_in.pain_now") == value


def test_the_end_of_the_input_keeps_the_session(demo_profiles: Path) -> None:
    """It is reported, every answer is kept, and the next start offers to resume and does."""
    folder = demo_profiles / "tern"
    cut = told(folder, ["", "", "0"])
    assert not cut.finished
    assert cut.lines[-2] == "The input ended before the session did."
    assert cut.record.ended is None
    again = told(folder, ["maybe", "y", "1", "n"])
    assert "Go on where you were?" in again.lines
    assert "maybe is no key here." in again.lines
    assert len(read_client_folder(folder).records) == 1
    assert again.record.answers == {"check_in.pain_now": 0, "check_in.relief": "none", "check_in.sign": "none"}


def test_leaving_is_asked_and_may_be_taken_back(demo_profiles: Path) -> None:
    done = told(demo_profiles / "tern", ["q", "no", "", "q", "yes"])
    assert done.lines.count("End the session here?") == 2
    assert done.finished
    assert done.record.ended is not None
    assert done.record.ended.how == "left"


def test_an_answer_that_cannot_be_saved_is_said_and_asked_again(
    demo_profiles: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With a full disk: the message, the question again, and no answer recorded."""

    def full(_: record_file.RecordAppender, entries: tuple[Entry, ...]) -> None:
        if entries:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(record_file.RecordAppender, "append", full)
    done = told(demo_profiles / "tern", ["", "", "4"])
    assert sum("could not be written: no space left on device" in line for line in done.lines) == 1
    assert done.lines.count("How much pain is in your shoulder now?") == 2
    assert done.record.entry == ()


def test_no_line_holds_what_only_an_eye_or_a_terminal_understands(demo_profiles: Path) -> None:
    """No escape codes, no boxes or blocks, no arrows: words, for every position of the demo clients."""
    lines: list[str] = []
    for name in ("tern", "plover", "heron", "avocet"):
        assert run_with_answers(demo_profiles / name, Answers(answer=dict(FAULTS)), lines.append)
    text = "\n".join(lines)
    assert not re.search(r"[\u2190-\u2bff\u00b7]", text)
    assert {unicodedata.category(one) for one in text.replace("\n", "")} <= {
        *("Lu", "Ll", "Nd"),
        *("Po", "Pd", "Ps", "Pe", "Pc"),
        *("Zs", "Sm"),
    }
    assert "{" not in text


def test_the_drawing_is_told_in_sentences_with_the_numbers_of_its_geometry(demo_profiles: Path) -> None:
    """Tern exercises the right arm side-on: the anchor is to her left; the band is level at elbow height."""
    done = told(demo_profiles / "tern", TO_THE_FIRST_SET)
    above = next(line for line in done.lines if line.startswith("Seen from above"))
    assert "to your left, at 9:00" in above
    distance_cm = plan_of("tern").step.distance_cm
    assert f"It is {distance_cm} cm from your mark along the floor. You stand side-on to the anchor." in done.lines
    start = next(line for line in done.lines if line.startswith("At the start your hand is"))
    assert "runs level from it" in start


def test_every_page_of_the_screens_is_told(demo_profiles: Path) -> None:
    """Each caution of the content stands in the lines, word for word, and so does each check."""
    done = told(demo_profiles / "tern", TO_THE_FIRST_SET)
    messages = shipped().messages
    for caution in cautions_before(next_plan(demo_profiles / "tern")).always:
        assert any(line.removeprefix("- ") == caution for line in done.lines), caution
    position = shipped().exercise("external_rotation").position("0")
    assert len(position.checks) > 2
    for check in position.checks:
        assert messages.safety.check[check].ask in done.lines


def test_not_as_planned_by_hand_is_on_the_disk_and_in_the_history(demo_profiles: Path) -> None:
    """Two sets, another band, set 1 skipped: read back from the record, and shown in the history."""
    folder = demo_profiles / "tern"
    keys = ["f", "2", "", "", "0", "1", "n", "o", "1", "", "y", "y", "y", "", "y", "", "", "k", "2", ""]
    done = told(folder, [*keys, *CLEAN_AFTER_SET, "5", "y"])
    assert done.finished
    assert (done.record.sets_today, done.record.skipped, done.record.other_band) == (2, {1: "too_tired"}, True)
    assert done.record.current_rungs.step == plan_of("tern").substitute_steps(plan_of("tern").step)["striped"]
    assert "- Set 1: skipped, too tired" in done.lines
    assert done.record.ended is not None
    assert done.record.ended.decision.load == plan_of("tern").step
    client = ClientStore.read(folder, shipped())
    decisions = client.sessions
    history = history_text(client.profile.name, decisions, "agrees", (), shipped())
    assert "Not every set was complete, clean" in " ".join(history.split())


def test_every_key_of_the_last_page_is_shown_there(demo_profiles: Path) -> None:
    ran = told(demo_profiles / "tern", ["q", "y", "?", "enter"])
    assert ran.finished
    assert "question mark is no key here." not in ran.lines
    assert "? is no key here." not in ran.lines
    shown = ran.lines[ran.lines.index("The keys") :]
    assert any("the reason why" in line for line in shown)
    assert shipped().messages.client.keys.help_close not in shown  # in lines nothing was opened
    closing = next(line for line in ran.lines if line.startswith("Keys") and "close" in line)
    assert "?: all keys" in closing
