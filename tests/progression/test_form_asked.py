"""Form questions run the same way, older answers are read on, and what was not asked lately lets nothing rise."""

import pytest

from coach.model.record import Record
from tests.progression.records import book, judge, session, standing

ALL = ("blade", "elbow", "range", "slack", "tempo")
FORM = (("blade", "elbow", "range"), ("blade", "elbow", "slack"), ("blade", "elbow", "tempo"))
NEVER = dict.fromkeys(ALL, "never")


def asked(form: tuple[tuple[str, ...], ...] = FORM, **given: str) -> Record:
    """A session in which each set was followed by the questions that its record names."""
    planned = {f"set_{number}.{name}" for number, names in enumerate(form, start=1) for name in names}
    every = {f"set_{number}.{name}": None for number in (1, 2, 3) for name in ALL}
    answers = {step: "never" if step in planned else None for step in every}
    answers |= {step.replace("__", "."): value for step, value in given.items()}
    return session(given=answers).model_copy(update={"form": form})


@pytest.mark.parametrize(
    ("question", "answer", "follow_up", "often"),
    [
        ("blade", "never", None, "never"),
        ("blade", "more_than_once", None, "more_than_once"),
        ("blade", "not_sure", None, "not_sure"),
        ("blade", "yes", "yes", "more_than_once"),
        ("blade", "yes", "no", "once"),
        ("blade", "no", None, "never"),
        ("range", "no", "yes", "more_than_once"),
        ("range", "yes", None, "never"),
        ("elbow", "yes", None, "at_least_once"),
        ("tempo", "yes", None, None),
        ("blade", None, None, None),
    ],
)
def test_older_answers_are_read_as_how_often(
    question: str, answer: str | None, follow_up: str | None, often: str | None
) -> None:
    """In older records yes named the fault in most questions and denied it in one."""
    assert book().content.questions[question].how_often(answer, follow_up) == often


def test_what_takes_turns_is_not_missing_where_it_was_not_due() -> None:
    assert judge(asked()).decision.rule == "repetitions_up"


def test_a_question_that_was_due_and_left_open_is_unknown() -> None:
    open_one = asked().model_copy(update={"form": (*FORM[:2], (*FORM[2], "range"))})
    assert judge(open_one).decision.rule == "unclean"


@pytest.mark.parametrize(
    ("ago", "rule"), [({"tempo": 0}, "repetitions_up"), ({"tempo": 1}, "not_all_asked"), ({}, "not_all_asked")]
)
def test_nothing_rises_where_a_question_was_not_asked_within_two_sessions(ago: dict[str, int], rule: str) -> None:
    """Two sessions are ours: unasked is unknown."""
    without = asked((("blade", "elbow", "range"), ("blade", "elbow", "slack"), ("blade", "elbow")))
    judged = judge(without, standing(repetitions=10, form_asked=ago))
    assert judged.decision.rule == rule
    assert judged.after.form_asked.get("tempo") == (ago["tempo"] + 1 if ago else None)
    assert judged.after.form_asked["range"] == 0


def test_the_client_is_not_told_the_name_of_what_was_not_asked() -> None:
    """It may not have been shown yet."""
    decision = judge(asked((("blade",),) * 3), standing(repetitions=10)).decision
    assert decision.rule == "not_all_asked"
    assert "elbow" not in decision.reason
    assert decision.numbers["what"] == "elbow"


def test_a_session_with_questions_not_asked_lately_counts_for_no_rise_of_load() -> None:
    short = asked((("blade", "elbow"),) * 3).model_copy(update={"repetitions": 15})
    assert judge(short, standing(repetitions=15)).after.ready_sessions == 0


@pytest.mark.parametrize(("often", "rule"), [("once", "unclean"), ("more_than_once", "band_too_heavy")])
def test_more_than_once_is_what_makes_the_load_too_heavy(often: str, rule: str) -> None:
    assert judge(asked(set_1__blade=often)).decision.rule == rule


def test_more_than_once_of_a_fault_that_does_not_come_from_the_load_only_holds() -> None:
    assert judge(asked(set_1__elbow="more_than_once")).decision.rule == "unclean"


def test_an_older_record_counts_what_it_asked_about_as_shown() -> None:
    older = session()
    assert not older.form
    known = judge(older).after.taught["external_rotation"]
    assert {"blade_pulled_back", "elbow_drifted", "end_range_lost", "band_slack"} == set(known)
