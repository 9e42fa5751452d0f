"""What a page of a running session says about the session itself: not saved, or asked again after an absence."""

from msgspec.structs import replace

from coach.model import step_names
from coach.model.message_format import fill
from coach.model.record import SetDone
from coach.progression.pain_reports import said_nowhere
from coach.progression.state_machine import decide
from coach.screens.client.page_types import ScreenPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.question_pages import choice_left
from coach.screens.client.resume_prompts import kept_lines
from coach.screens.client.setup_context import SetupCache
from coach.session.admission.stop_advice import call_text, reason_told
from coach.session.plan import Plan
from coach.session.state import State
from coach.store.live_session import LiveSession, Opening

_MOST_SESSIONS = 3


def live_page(live: LiveSession, setups: SetupCache, why_shown: bool = False) -> ScreenPage:
    """The page to show now. It does not claim to be saved where it is not, and says why instead.

    `why_shown`: the end says its rule and source without being asked.
    """
    state = live.state._replace(why_shown=live.state.why_shown or why_shown)
    page = page_at(state, setups.of(state), live.now_s)
    if not isinstance(page, TextPage):
        return page
    messages = state.plan.content.messages.client
    ended = state.record.ended if not state.plan.practice and not state.another_follows else None
    if live.ended_why is not None:
        page = replace(page, lead=_left_open(live), lines=_what_then(live, page.lead), strong=(), facts=())
    elif ended is not None and ended.how != "stopped":
        page = _with_sessions_before(page, live, state.plan)
    lines = page.lines
    if live.unsaved:
        untrue = (messages.end.saved, messages.confirm.closes)
        lines = (*(line for line in lines if line not in untrue), *_unsaved_lines(live, state.plan))
    damaged, first = live.damaged_records, state.step.name == step_names.TODAY and not state.over
    if first and not state.record.part:
        lines = (*_closed_lines(live, state.plan), *live.arrived, *lines, *live.left_out)
    if damaged and first:
        lines = (fill(messages.offer.damaged, {"files": ", ".join(damaged)}), *lines)
    question = state.question if state.chosen is None else None
    if live.asked_again and question is not None and question.group == step_names.group_of(step_names.SIGN):
        lines = (*lines, messages.offer.asked_again)
    return replace(page, lines=lines)


def _unsaved_lines(live: LiveSession, plan: Plan) -> tuple[str, ...]:
    """That something is not saved, and why; after a stop that only the therapist ends, that it is not known then."""
    messages, record = plan.content.messages.client.offer, live.state.record
    said = fill(messages.unsaved, {"reason": live.unsaved})
    decision = record.ended.decision if record.ended is not None else None
    if decision is None and record.unconfirmed is not None:
        decision = decide(plan.before, record, plan.book)
    closes = decision is not None and decision.status == "review"
    return (said, messages.unsaved_stop) if closes else (said,)


def _left_open(live: LiveSession) -> str:
    """That a session was open for so long that it has ended, and nothing of it is lost."""
    messages, since = live.state.plan.content.messages.client.offer, live.state.record.last_at
    return fill(messages.left_open, {"since": since.strftime("%Y-%m-%d %H:%M")})


def _what_then(live: LiveSession, why_stopped: str = "") -> tuple[str, ...]:
    """Why there is no session today, and what to do; or how today's begins, unless this one was stopped."""
    messages, ended = live.state.plan.content.messages.client, live.state.record.ended
    stopped = why_stopped if ended is not None and ended.how == "stopped" else ""
    return (live.ended_why or stopped or messages.offer.left_open_again, messages.end.saved)


def _closed_lines(live: LiveSession, plan: Plan) -> tuple[str, ...]:
    """What became of the session before, if it was interrupted and closed: a pain left open, and sets that count."""
    closed, messages = live.closed, plan.content.messages
    done = sum(isinstance(one, SetDone) for one in closed.entry) if closed is not None else 0
    if closed is None:
        return ()
    offer = messages.client.offer
    told = (*((offer.closed_pain,) if said_nowhere(closed.entry) else ()), *((offer.closed,) if done else ()))
    if not told:
        return ()
    from coach.overview.day_in_words import written_day

    day = closed.started.date()
    values = {
        "weekday": messages.client.end.weekday[day.weekday()],
        "date": written_day(day, messages.language, plan.content.clinic.locale),
        "time": f"{closed.started:%H:%M}",
        "done": done,
    }
    return tuple(fill(one, values) for one in told)


def place_of(state: State) -> object:
    """What is the same as long as one page is shown, whatever moves on it."""
    return state.at_step, state.asking, state.paused, len(state.record.entry), state.step.name


def _with_sessions_before(page: TextPage, live: LiveSession, plan: Plan) -> TextPage:
    """The last page with the dated list of the sessions before this one."""
    from coach.overview.last_sessions import last_sessions, session_lines

    before = session_lines(last_sessions(live.earlier_records, _MOST_SESSIONS), plan.content.messages)
    return replace(page, before_title=plan.content.messages.client.end.sessions if before else "", before=before)


def farewell_of(live: LiveSession | None, opening: Opening) -> str:
    """The closing message: the decision, or what is kept of a session that was closed before it.

    What to do about a choice that was not confirmed stands before that.
    """
    plan = opening.plan if live is None else live.state.plan
    left = opening.interrupted.record if opening.interrupted is not None else None
    record = left if live is None else live.state.record
    alert = choice_left(plan, record)[0] if record is not None else ""
    return f"{alert}\n{_farewell(live, plan)}".strip()


def _farewell(live: LiveSession | None, plan: Plan) -> str:
    messages, ended = plan.content.messages.client, live.state.record.ended if live is not None else None
    if live is not None and live.ended_why is not None:
        why = reason_told(ended.decision, plan.content) if ended is not None else ""
        return "\n".join((_left_open(live), _what_then(live, why)[0], not_kept_line(live))).strip()
    if live is not None and ended is not None:
        urgent = call_text(ended.decision, plan.content)
        if plan.practice:
            return f"{urgent} {messages.practice.saved}".strip()
        stop = messages.offer.unsaved_stop if live.unsaved and ended.decision.status == "review" else ""
        return f"{urgent} {reason_told(ended.decision, plan.content)}\n{not_kept_line(live)} {stop}".strip()
    if plan.practice:
        return messages.practice.saved
    if plan.rehearsal:
        return messages.rehearsal.saved
    return messages.offer.kept if live is None else not_kept_line(live) or kept_lines(live.state)


def not_kept_line(live: LiveSession) -> str:
    """That not all of a session is saved, and why; empty if all of it is."""
    why = live.why_not_kept()
    return fill(live.state.plan.content.messages.client.offer.not_kept, {"reason": why}) if why else ""
