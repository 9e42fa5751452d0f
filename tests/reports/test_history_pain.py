"""What the pain key was pressed for stands in the history."""

from collections.abc import Mapping

from coach.model.answers_file import Answers
from coach.model.record import Record
from coach.progression.state_machine import advance
from coach.reports.text.history import history_text
from coach.session.rehearsal import rehearse
from tests.clocks import START
from tests.plans import plan_of, shipped

WHERE: Mapping[str, int | str] = {
    "set_2.trouble": "sharp",
    "set_2.trouble_where": "back_of_shoulder",
    "set_2.trouble_pain": 3,
}


def history(record: Record) -> str:
    plan = plan_of("tern")
    judged = advance(plan.before, record, plan.book)
    return " ".join(history_text("tern", (judged,), "agrees", (), shipped()).split())


def test_what_kind_where_and_how_much_is_said() -> None:
    record, _ = rehearse(plan_of("tern"), Answers(answer=dict(WHERE)), START)
    said = "in set 2: A sharp pain, or a catch; The back of the shoulder, or the shoulder blade; 3/10."
    assert said in history(record)


def test_a_record_from_before_the_question_where_says_the_rest() -> None:
    record, _ = rehearse(plan_of("tern"), Answers(answer=dict(WHERE)), START)
    older = tuple(one for one in record.entry if getattr(one, "step", "") != "set_2.trouble_where")
    assert "in set 2: A sharp pain, or a catch; 3/10." in history(record.model_copy(update={"entry": older}))
