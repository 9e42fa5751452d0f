"""The last page of a session: what was done, what follows, and when the next session is."""

from datetime import date

from coach.model.message_format import fill
from coach.model.record import Ended
from coach.overview.coming_days import coming_days
from coach.screens.client.page_types import TextPage
from coach.session.admission.bad_day import bad_day_lines
from coach.session.phrases import answer_text, exercise_line, plan_line, urgency_text
from coach.session.plan import Plan
from coach.session.state import State


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
    why = (fill(screens.rule, {"rule": decision.rule, "source": decision.source}),) if state.why_shown else ()
    stopped, follows, summary = ended.how == "stopped", state.another_follows, _summary(state)
    return TextPage(
        title=_between_title(state, ended) or titles[ended.how],
        lead=decision.reason if stopped else _did(state),
        lines=(
            *(_what_for(plan) if done and not stopped and not follows else ()),
            *(_what_next(plan, ended.at.date()) if decision.status == "active" and not follows else ()),
            *(() if stopped else (decision.reason,)),
            *bad_day_lines(plan.prescription, decision, plan.content),
            *why,
            *_next_exercise(state),
            messages.client.rehearsal.saved if plan.rehearsal else screens.saved,
        ),
        list_title=messages.client.programme.summary_title if summary else screens.done if done else "",
        listed=summary or done,
        alert=urgency_text(decision, plan.content),
    )


def _between_title(state: State, ended: Ended) -> str:
    """The title of the page between two exercises; empty where none follows."""
    messages = state.plan.content.messages.client.programme
    if not state.another_follows:
        return ""
    return messages.stopped_title if ended.how == "stopped" else messages.done_title


def _next_exercise(state: State) -> tuple[str, ...]:
    """What the next exercise is, and after a stop that it may be left out; empty where none follows."""
    if not state.another_follows:
        return ()
    plan, ended = state.coming[0], state.record.ended
    messages = plan.content.messages.client.programme
    what = exercise_line(plan.before.exercise, plan.profile.side, plan.content)
    stopped = (messages.go_on,) if ended is not None and ended.how == "stopped" else ()
    return (*stopped, fill(messages.next, {"what": what, "grade": plan.step.grade}))


def _summary(state: State) -> tuple[str, ...]:
    """What follows from each exercise of the session, at its end; empty before that, and where it has only one."""
    if not state.several or state.another_follows:
        return ()
    messages, session = state.plan.content.messages.client.programme, state.file_session
    lines = []
    for part in session.exercises:
        ended = session.ended.get(part.name)
        what = exercise_line(part.exercise, part.side, state.plan.content)
        line = messages.left_out if ended is None else messages.summary
        lines.append(fill(line, {"what": what, "reason": "" if ended is None else ended.decision.reason}))
    return tuple(lines)


def _what_for(plan: Plan) -> tuple[str, ...]:
    """What the session is for: the first of the client's own activities, else the goal."""
    activity = (*plan.prescription.activities, plan.prescription.goal)[0]
    return (fill(plan.content.messages.client.end.for_what, {"activity": activity}),)


def _what_next(plan: Plan, today: date) -> tuple[str, ...]:
    """The day of the next session, and the client's own plan."""
    own = plan_line(plan.training, plan.content)
    return (_next_time(plan, today), *([own] if own else []))


def _did(state: State) -> str:
    """What the client did, before anything that follows from it."""
    messages, done = state.plan.content.messages.client.end, state.record.sets_done
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
    values = {"weekday": messages.weekday[day.weekday()], "date": day.isoformat(), "days": days}
    return fill(messages.next_time, values)
