"""What a client has to know first after a stop, and the reason of a decision without what does not hold after it."""

from collections.abc import Iterable

from coach.model.content import Content
from coach.model.record import Decision
from coach.progression.decision_messages import next_time_told
from coach.session.phrases import urgency_text

_CALLS = "pain_stop_again"


def call_text(decision: Decision, content: Content) -> str:
    """Whom to call, and how soon: after a warning sign, severe pain or a further stop for pain; else empty."""
    calls = any(rule.when == _CALLS and rule.name in decision.tell for rule in content.rules)
    return urgency_text(decision, content) or (content.messages.client.end.call_now if calls else "")


def stopped_for_pain(decision: Decision) -> bool:
    """Whether pain over the limit stopped it."""
    return decision.move == "stop" and "pain" in decision.numbers


def told_after_a_stop(decision: Decision, content: Content) -> str:
    """What to do after a stop that lets the client go on another day, and then why."""
    to_do = content.messages.client.handout.pain_what_to_do if stopped_for_pain(decision) else ""
    return f"{to_do} {decision.reason}".strip()


def reason_told(decision: Decision, content: Content, closed: bool = False) -> str:
    """Why it was decided, without whom to call, which is said first.

    While the therapist has to look first, or where another exercise has closed them all, no load of a next session.
    """
    waits = closed or decision.status == "review"
    told = next_time_told(decision, content) if waits else ""
    return without(decision.reason, (call_text(decision, content), told))


def without(text: str, sentences: Iterable[str]) -> str:
    """A text without these sentences, where it has them."""
    for sentence in filter(None, sentences):
        text = " ".join(text.replace(sentence, " ").split())
    return text
