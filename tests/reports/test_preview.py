"""What the therapist reads of a session before the client does."""

from coach.model.message_format import fill
from coach.reports.text.preview import preview_text
from tests.clocks import START
from tests.plans import plan_of


def test_every_caution_of_the_client_is_in_the_script() -> None:
    """Those of every session, and those of the position."""
    plan = plan_of("tern")
    messages = plan.content.messages
    read = " ".join(preview_text(plan, START).split())
    safety = [fill(line, {"pain_max": 5}) for line in (*messages.safety.cautions_stop, *messages.safety.cautions)]
    asked = (*safety, *messages.exercises["external_rotation"].at("0").cautions)
    assert [caution for caution in asked if caution not in read] == []
