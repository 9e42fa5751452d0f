"""The last page of a session: what was done, what follows, and when the next session is."""

from datetime import date

from coach.model.message_format import fill
from coach.model.programme.due_days import DueDays
from coach.model.record import Decision, Ended, SetDone
from coach.overview.coming_days import coming_days
from coach.overview.day_in_words import written_day
from coach.progression.decision_messages import load_placeholders, next_time_told
from coach.screens.client.exercise_lines import between_page, summary_lines
from coach.screens.client.key_bindings import PLAN, own_plan_asked
from coach.screens.client.page_types import Fact, TextPage
from coach.session.admission.bad_day import bad_day_lines
from coach.session.admission.stop_advice import call_text, reason_told, stopped_for_pain, without
from coach.session.phrases import answer_text, plan_line, why_line
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
    done, stopped, summary = _done(state), ended.how == "stopped", summary_lines(state)
    bad_day = bad_day_lines(plan.prescription, decision, plan.content)
    following = _what_next(state, ended.at.date()) if _goes_on(decision, bad_day) else ()
    told = "" if summary or decision.status == "review" else next_time_told(decision, plan.content)
    reason = without(reason_told(decision, plan.content), (told,))
    in_short = done if len(done) == 1 and not summary else ()
    return TextPage(
        title=titles[ended.how],
        lead=reason if stopped else _did(state),
        lines=(
            *((told,) if told else ()),
            *following,
            *(_what_for(plan) if done and not stopped else ()),
            *(() if stopped or summary else (reason,)),  # the summary says it of every exercise
            *in_short,
            *bad_day,
            *((why_line(plan, ended),) if state.why_shown else ()),
            messages.client.rehearsal.saved if plan.rehearsal else screens.saved,
            *_about_own_plan(state),
        ),
        list_title=messages.client.programme.summary_title if summary else screens.done if done[1:] else "",
        listed=summary or done[len(in_short) :],
        alert=call_text(decision, plan.content) or _after_pain(state, decision),
        strong=tuple(line for line in (told, *following[:1]) if line),
        facts=_changes(state, decision, told) if told else (),
    )


def _goes_on(decision: Decision, bad_day: tuple[str, ...]) -> bool:
    """Whether a day is said for the next session; after a stop the therapist's own word on it comes first."""
    return decision.status == "active" or (decision.status == "paused" and not bad_day)


def _after_pain(state: State, decision: Decision) -> str:
    """What to do after a stop for pain, as the handout says it; also where it stopped an exercise before the last."""
    decisions = state.file_session.ended.values() if state.several else ()
    stopped = stopped_for_pain(decision) or any(stopped_for_pain(one.decision) for one in decisions)
    return state.plan.content.messages.client.handout.pain_what_to_do if stopped else ""


def _done(state: State) -> tuple[str, ...]:
    """What was done: all sets on one line, or a line each where one was skipped."""
    messages, sets, skipped = state.plan.content.messages.client, state.record.sets_done, state.record.skipped
    goal = state.record.repetitions
    if sets and not skipped:
        each = ", ".join(str(one.repetitions) for one in sets)
        return (fill(messages.end.sets_line, {"each": each, "goal": goal}),)
    lines = {
        one.number: fill(messages.end.set_line, {"set": one.number, "repetitions": one.repetitions, "goal": goal})
        for one in sets
    }
    for number, reason in skipped.items():
        values = {"set": number, "reason": answer_text(reason, state.plan.content)}
        lines[number] = fill(messages.instead.skipped, values)
    return tuple(lines[number] for number in sorted(lines))


def _changes(state: State, decision: Decision, told: str) -> tuple[Fact, ...]:
    """What is another next time, to be drawn large in place of the sentence `told`: a load, or repetitions."""
    content, now, was, facts = state.plan.content, decision.load, state.record.rungs.step, list[Fact]()
    messages, words = content.messages.client.end, content.messages.client

    def add(value: str, what: str, changes: bool) -> None:
        about = fill(messages.next_is if changes else messages.as_today, {"what": what})
        facts.append(Fact(value, about, "" if facts else told))

    if decision.variable == "load":
        band = fill(words.today.band, load_placeholders(now, content))
        mark = words.today.underfoot if now.underfoot else words.drawing["mark"]
        add(now.grade, band, (now.grade, now.strands) != (was.grade, was.strands))
        add(f"{now.distance_cm} cm", mark, now.distance_cm != was.distance_cm)
    if decision.repetitions != state.record.repetitions:
        add(str(decision.repetitions), fill(messages.in_each_set, {"repetitions": decision.repetitions}), True)
    return tuple(facts)


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
    lead = messages.practice.stopped_first if ended.decision.status == "review" else lead
    alert = call_text(ended.decision, plan.content)
    return TextPage(messages.practice.title, lead, (messages.practice.saved,), alert=alert)


def _next_time(plan: Plan, today: date) -> str:
    """The day of the next session by its name: the next of the client's own days, else spread over the week."""
    messages, due = plan.content.messages.client.end, plan.due or DueDays(plan.prescription.dose.days_a_week)
    day = next(coming_days(plan.training, due, today, plan.trained_on))
    content = plan.content
    written = written_day(day, content.messages.language, content.clinic.locale)
    values = {"weekday": messages.weekday[day.weekday()], "date": written, "days": due.a_week}
    return fill(messages.next_time, values)
