"""Questions about the session itself: go on with the one that was interrupted, end this one here."""

from collections.abc import Mapping

from coach.model.message_format import fill
from coach.model.record import Record
from coach.screens.client.key_bindings import PAIN
from coach.screens.client.pages import Page, Shown, marked
from coach.session.interruptions import trouble
from coach.session.plan import Plan
from coach.session.runner import leave, tick
from coach.store.live_session import Key

# What each answer to the question of leaving does; going on, only time passes.
LEAVING: Mapping[str, Key] = {"y": leave, "n": tick, PAIN.key: trouble}
# Whether the interrupted session goes on.
RESUMING: Mapping[str, bool] = {"y": True, "n": False}


def leave_page(plan: Plan) -> Page:
    """End it here? What the answers do stands in LEAVING."""
    words, rehearsal = plan.content.words.screens.offer, plan.content.words.screens.rehearsal
    pain = plan.content.words.screens.keys.pain
    answers = (Shown("y", words.leave_yes), Shown("n", words.leave_no), Shown(PAIN.key, pain))
    kept = rehearsal.leave if plan.rehearsal else words.leave
    return Page(marked(words.leave_title, plan), kept, choices=answers)


def resume_page(plan: Plan, left: Record) -> Page:
    """Go on where it was interrupted? What the answers mean stands in RESUMING."""
    words = plan.content.words.screens.offer
    values = {
        "time": left.started.strftime("%H:%M"),
        "done": len(left.sets_done),
        "sets": left.sets_today,
    }
    answers = (Shown("y", words.resume_yes), Shown("n", words.resume_no))
    return Page(words.resume_title, fill(words.resume, values), choices=answers)
