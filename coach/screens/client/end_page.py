"""The last page of a session: what was done, what follows, and when the next session is."""

from datetime import date

from coach.model.message_format import fill
from coach.model.record import Ended, SetDone
from coach.overview.coming_days import coming_days
from coach.overview.day_in_words import written_day
from coach.screens.client.exercise_lines import between_page, summary_lines
from coach.screens.client.key_bindings import PLAN, own_plan_asked
from coach.screens.client.page_types import TextPage
from coach.session.admission.bad_day import bad_day_lines
from coach.session.phrases import answer_text, plan_line, urgency_text, why_line
from coach.session.plan import Plan
from coach.session.state import State


def end_page(state: State, ended: Ended) -> TextPage:
    """The page of a session that has ended."""
    messages, plan = state.plan.content.messages, state.plan
    if plan.practice:
        return _end_of_practice(plan, ended)
    if state.another_follows:
        return between_page(state, ended)
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
    stopped, summary = ended.how == "stopped", summary_lines(state)
    following = _what_next(state, ended.at.date()) if decision.status == "active" else ()
    return TextPage(
        title=titles[ended.how],
        lead=decision.reason if stopped else _did(state),
        lines=(
            *following,
            *(_what_for(plan) if done and not stopped else ()),
            *(() if stopped or summary else (decision.reason,)),  # the summary says it of every exercise
            *bad_day_lines(plan.prescription, decision, plan.content),
            *((why_line(plan, ended),) if state.why_shown else ()),
            messages.client.rehearsal.saved if plan.rehearsal else screens.saved,
            *_about_own_plan(state),
        ),
        list_title=messages.client.programme.summary_title if summary else screens.done if done else "",
        listed=summary or done,
        alert=urgency_text(decision, plan.content),
        strong=following[0] if following else "",
    )


def _what_for(plan: Plan) -> tuple[str, ...]:
    """What the session is for: the first of the client's own activities, else the goal."""
    activity = (*plan.prescription.activities, plan.prescription.goal)[0]
    return (fill(plan.content.messages.client.end.for_what, {"activity": activity}),)


def _what_next(state: State, today: date) -> tuple[str, ...]:
    """The day of the next session, and the client's own plan."""
    own = plan_line(state.plan.training, state.plan.content)
    return (_next_time(state.plan, today), *([own] if own else []))


def _about_own_plan(state: State) -> tuple[str, ...]:
    """Asks for the client's own plan where there is none yet, and whether it holds where it is old."""
    messages, own = state.plan.content.messages.client.plan, plan_line(state.plan.training, state.plan.content)
    asks = messages.ask_old if own else messages.ask_new
    return (fill(asks, {"key": PLAN.key}),) if own_plan_asked(state) else ()


def _did(state: State) -> str:
    """What the client did, before anything that follows from it."""
    messages, done = state.plan.content.messages.client.end, state.record.sets_done
    if state.several:  # all of the session, and not of one exercise
        done = tuple(one for one in state.file_entries if isinstance(one, SetDone))
    if not done:
        return messages.did_nothing
    return fill(messages.did, {"sets": len(done), "repetitions": sum(one.repetitions for one in done)})


def _end_of_practice(plan: Plan, ended: Ended) -> TextPage:
    """The end of the movement alone: of its load and form nothing is decided; a warning sign counts as ever."""
    messages = plan.content.messages.client
    lead = messages.practice.stopped if ended.how == "stopped" else messages.practice.done
    alert = urgency_text(ended.decision, plan.content)
    return TextPage(messages.practice.title, lead, (messages.practice.saved,), alert=alert)


def _next_time(plan: Plan, today: date) -> str:
    """The day of the next session by its name: the next of the client's own days, else spread over the week."""
    messages, days = plan.content.messages.client.end, plan.prescription.dose.days_a_week
    day = next(coming_days(plan.training, days, today))
    content = plan.content
    written = written_day(day, content.messages.language, content.clinic.locale)
    values = {"weekday": messages.weekday[day.weekday()], "date": written, "days": days}
    return fill(messages.next_time, values)
