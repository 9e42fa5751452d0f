"""What is said about form before a set: a cue, and fewer of them the longer the form stays clean.

The client's own judgement is asked first, and less feedback over time keeps what was learned: J Phys Educ (knowledge
of results with error estimation); Aoyagi 2019, J Phys Ther Sci 31:687 (abstracts). How fast it gets less is ours.
"""

from dataclasses import dataclass

from coach.model.content_entries import Fault
from coach.model.record import Record
from coach.progression.facts import extract_facts
from coach.session.phrases import position_words
from coach.session.plan import Plan


@dataclass(frozen=True)
class Feedback:
    """Before one set: the cue, whether it is given or only shown when asked for, and what may be praised.

    `clean_sets`: in a row up to now, over sessions. `just_clean`: a set of today was the last of them.
    """

    cue: str
    given: bool
    clean_sets: int
    just_clean: bool = False


def feedback(plan: Plan, record: Record) -> Feedback:
    """Before the next set of a record: the cue against the fault named last, else the first one of the position."""
    now = extract_facts(plan.before, record, plan.book, "session")
    just_clean = bool(now.sets) and now.sets[-1].clean_form
    return _before_set(plan, now.clean_sets, not now.sets, now.newest_fault, just_clean)


def feedback_if_clean(plan: Plan, number: int) -> Feedback:
    """Before set `number` of today, if every set before it is clean."""
    earlier = number - 1
    return _before_set(plan, plan.before.clean_sets + earlier, not earlier, plan.before.newest_fault, earlier > 0)


def _before_set(plan: Plan, clean_sets: int, first: bool, fault: Fault | None, just_clean: bool) -> Feedback:
    """Given before every set at first; later before the first set of a session; at last only when asked for."""
    words, limits = position_words(plan), plan.limits
    learned = clean_sets >= limits["cue_first_set_until"]
    given = clean_sets < limits["cue_each_set_until"] or (first and not learned)
    cue = words.first_cue if fault is None or learned else words.cue(fault)
    return Feedback(cue, given, clean_sets, just_clean)
