"""The decision table says what the session itself then decides."""

from coach.content_files.content_folder import content_folder, load_content
from coach.model.progress import Progress
from coach.reports.text.decision_table import decision_table, decision_table_text
from coach.reports.text.next_session import next_session
from coach.session.plan import Plan, plan_session
from tests.mechanics.clients import prescription, profile
from tests.plans import shown_everything
from tests.progression.records import START, standing


def plan() -> Plan:
    """A client at the top of the range who was ready once, and was asked about every fault lately."""
    content, set_by = load_content(content_folder(), "en"), prescription()
    client = profile(rest_m=0.75)
    top = set_by.dose.repetitions_max
    begun = plan_session(client, set_by, content, Progress(exercise="external_rotation", position="0", repetitions=8))
    before = standing(repetitions=top, ready_sessions=1).model_copy(update={"load": begun.ladder.steps[5]})
    return plan_session(client, set_by, content, shown_everything(before))


def test_each_kind_of_session_leads_where_the_rules_say() -> None:
    rules = {row.kind: row.decision.rule for row in decision_table(plan(), START)}
    assert rules == {
        "clean": "load_up",
        "no_two_more": "otherwise",
        "not_sure": "unclean",
        "fault_once": "unclean",
        "too_heavy": "band_too_heavy",
        "pain_at_limit": "pain_near_limit",
        "pain_over_limit": "pain_over_limit",
        "not_settled": "not_settled",
        "warning_sign": "warning_sign",
        "band_not_sound": "equipment_failed",
        "under_bottom": "unclean",
    }


def test_the_table_fits_the_page_and_names_every_kind() -> None:
    today = plan()
    text = decision_table_text(today, START)
    assert max(map(len, text.splitlines())) <= 80
    kinds = today.content.messages.therapist.decision_table.kind
    assert all(kind in text for kind in kinds.values())
    assert "_" not in text, "a rule by its name"
    assert set(kinds) == {row.kind for row in decision_table(today, START)}


def test_a_comparison_says_in_words_what_each_kind_of_session_leads_to() -> None:
    """No name of a rule, and what a number is; where training does not go on, that too."""
    today = plan()
    told = next_session(today.profile, today.prescription, today.before, today.content, START).decisions
    assert "clean, none to spare: hold, 2.96 Nm, 15 repetitions" in told
    assert "a warning sign: stop, 2.96 Nm, 15 repetitions, review" in told
    assert [line for line in told if "_" in line] == []
