"""The last page of a session: what was done, what follows, and when the next session is."""

from datetime import date, timedelta

from coach.model.message_format import fill
from coach.model.record import Ended
from coach.screens.client.page_types import TextPage
from coach.session.admission.bad_day import bad_day_lines
from coach.session.phrases import answer_text, urgency_text
from coach.session.plan import Plan
from coach.session.state import State

_WEEK_DAYS = 7


def end_page(state: State, ended: Ended) -> TextPage:
    """The page of a session that has ended."""
    messages, plan = state.plan.content.messages, state.plan
    if plan.practice:
        return _end_of_practice(plan, ended)
    screens, decision = messages.client.end, ended.decision
    titles = {"finished": screens.title, "stopped": screens.stopped_title, "left": screens.left_title}
    sets = {
        one.number: fill(
            screens.set_line, {"set": one.number, "repetitions": one.repetitions, "goal": state.record.repetitions}
        )
        for one in state.record.sets_done
    }
    for number, reason in state.record.skipped.items():
        sets[number] = fill(
            messages.client.instead.skipped, {"set": number, "reason": answer_text(reason, plan.content)}
        )
    done = tuple(sets[number] for number in sorted(sets))
    rule = fill(screens.rule, {"rule": decision.rule, "source": decision.source})
    saved = messages.client.rehearsal.saved if plan.rehearsal else screens.saved
    next_time = (_next_time(plan, ended.at.date()),) if decision.status == "active" else ()
    return TextPage(
        title=titles[ended.how],
        lead=decision.reason,
        lines=(*bad_day_lines(plan.prescription, decision, plan.content), *next_time, rule, saved),
        list_title=screens.done if done else "",
        listed=done,
        alert=urgency_text(decision, plan.content),
    )


def _end_of_practice(plan: Plan, ended: Ended) -> TextPage:
    """The end of the movement alone: of its load and form nothing is decided; a warning sign counts as ever."""
    messages = plan.content.messages.client
    lead = messages.practice.stopped if ended.how == "stopped" else messages.practice.done
    alert = urgency_text(ended.decision, plan.content)
    return TextPage(messages.practice.title, lead, (messages.practice.saved,), alert=alert)


def _next_time(plan: Plan, today: date) -> str:
    """The first day of the next session, so that the sessions of a week are spread evenly."""
    messages, days = plan.content.messages.client.end, plan.prescription.dose.days_a_week
    day = today + timedelta(days=max(1, _WEEK_DAYS // days))
    values = {"weekday": messages.weekday[day.weekday()], "date": day.isoformat(), "days": days}
    return fill(messages.next_time, values)
