"""What the therapist set beforehand for a bad day: after a stop, and while the client is in review."""

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.record import Decision


def bad_day_lines(prescription: Prescription, decision: Decision | None, content: Content) -> tuple[str, ...]:
    """What may be done, what soreness is expected, when to begin again and whom to ring; one line each.

    Empty where the therapist set nothing, where nothing was stopped, and always after a warning sign: then only what
    its urgency asks for is said.
    """
    if decision is None or "sign" in decision.numbers:
        return ()
    stopped = decision.move == "stop" or decision.status == "review"
    return bad_day_plan(prescription, content) if stopped else ()


def bad_day_plan(prescription: Prescription, content: Content) -> tuple[str, ...]:
    """The same lines as they stand on the handout, before anything was stopped."""
    own = prescription.bad_day
    if own is None:
        return ()
    messages = content.messages.client.bad_day
    values = {"soreness": own.soreness, "again": own.again, "ring": own.ring, "answered": own.answered}
    lines = (messages.may_do[own.may_do], messages.soreness, messages.again, messages.ring)
    return tuple(fill(line, values) for line in lines)
