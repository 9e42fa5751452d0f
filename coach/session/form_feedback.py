"""Feedback on form before a set: a cue, given less and less often the longer the form stays clean.

Clients judge their own form before they get feedback, and fading feedback helps them retain what they learned: J Phys
Educ (knowledge of results with error estimation); Aoyagi 2019, J Phys Ther Sci 31:687 (abstracts). How fast it fades
is our own choice.
"""

from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from coach.model.content_entries import Fault
from coach.model.record import Record
from coach.progression.facts import SessionFacts, extract_facts
from coach.session.phrases import position_messages
from coach.session.plan import Plan


class Feedback(Struct, frozen=True):
    """The feedback before one set.

    `shown`: the cue is shown unasked, not only on request. `clean_sets`: sets of clean form in a row, over sessions.
    `just_clean`: the last set of today was one of them. `phase`: the phase in which the cue is shown; None for all.
    `praise`: what went right in it that went wrong before; empty where the content says nothing of it.
    """

    cue: str
    shown: bool
    clean_sets: int
    just_clean: bool = False
    phase: Literal["out", "hold", "back"] | None = None
    praise: str = ""


def feedback(plan: Plan, record: Record) -> Feedback:
    """The feedback before the next set of a record: the cue for the latest fault, else the position's first cue."""
    now = extract_facts(plan.before, record, plan.book, "session")
    just_clean = bool(now.sets) and now.sets[-1].clean_form
    about = _before_set(plan, now.clean_sets, len(now.sets), now.newest_fault, just_clean)
    return replace(about, praise=_praise(plan, record, now)) if just_clean else about


def _praise(plan: Plan, record: Record, now: SessionFacts) -> str:
    """What the content says of the fault named last, if the last set is the first that was asked about it since."""
    fault = now.newest_fault
    cue = position_messages(plan).cue_for(fault) if fault is not None else None
    if cue is None or cue.praise is None:
        return ""
    since = max((at + 1 for at, one in enumerate(now.sets) if one.faults), default=0)
    asked = [
        any(question.question.fault == fault for question in plan.book.asked_in_set(record, one.number))
        for one in now.sets[since:]
    ]
    return cue.praise if asked[-1] and not any(asked[:-1]) else ""


def feedback_if_clean(plan: Plan, number: int) -> Feedback:
    """The feedback before set `number` of today if every earlier set is clean."""
    earlier = number - 1
    return _before_set(plan, plan.before.clean_sets + earlier, earlier, plan.before.newest_fault, earlier > 0)


def _before_set(plan: Plan, clean_sets: int, earlier: int, fault: Fault | None, just_clean: bool) -> Feedback:
    """The feedback after `earlier` sets of today.

    At first the cue is shown before every set, later before the first of a session, in the end on request only. Its
    variants take turns from set to set and from session to session.
    """
    messages, limits = position_messages(plan), plan.limits
    learned = clean_sets >= limits["cue_first_set_until"]
    shown = clean_sets < limits["cue_each_set_until"] or (not earlier and not learned)
    cue = messages.first_cue if fault is None or learned else messages.cue(fault, plan.before.sessions + earlier)
    about = (one for one in plan.content.questions.values() if not learned and one.fault == fault)
    return Feedback(cue, shown, clean_sets, just_clean, next((one.cue_phase for one in about), None))
