"""Questions about the session itself: whether to resume an interrupted one, whether to end this one early."""

from collections.abc import Mapping

from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.model.record import Record
from coach.progression.pain_reports import said_nowhere
from coach.screens.client.key_bindings import PAIN
from coach.screens.client.key_help import to_answer
from coach.screens.client.page_types import AnswerOption, ScreenPage, TextPage, with_rehearsal_mark
from coach.screens.client.question_pages import choice_left
from coach.session.answer_keys import Choice, shown_key
from coach.session.interruptions import report_trouble
from coach.session.plan import Plan
from coach.session.runner import leave, tick
from coach.session.script import Work
from coach.session.state import State
from coach.store.clock import Clock
from coach.store.live_session import Key, LiveSession, Opening, start_session

_YES = Choice("y", "yes")

# What each answer to "end it here?" does; the answer no only lets time pass.
LEAVING: Mapping[str, Key] = {"y": leave, "n": tick, PAIN.key: report_trouble}
# Whether each answer resumes the interrupted session.
RESUMING: Mapping[str, bool] = {"y": True, "n": False, PAIN.key: True}


def start_as_answered(opening: Opening, clock: Clock, key: str) -> LiveSession:
    """The session after an answer to the question whether to resume; the pain key resumes it and asks about pain.

    Raises as `start_session`.
    """
    live = start_session(opening, clock, RESUMING[key])
    if key == PAIN.key:
        live.act(report_trouble)
    return live


def prompt_page(opening: Opening, live: LiveSession | None, not_kept: str) -> TextPage:
    """The question about the session itself: whether to resume before it runs, whether to end it once it does."""
    if live is not None:
        return leave_page_of(live.state, not_kept)
    left = opening.interrupted
    return leave_page(opening.plan, not_kept) if left is None else resume_page(opening.plan, left.record)


def leave_page_of(state: State, not_kept: str) -> TextPage:
    """The question whether to end a running session early, with what was chosen and is not confirmed."""
    return leave_page(state.plan, not_kept, len(state.coming), state.record)


def leave_page(plan: Plan, not_kept: str = "", coming: int = 0, record: Record | None = None) -> TextPage:
    """The question whether to end the session early; LEAVING has the effect of each answer.

    `not_kept` says that not all of it is saved, and stands in the place of the sentence that it is. Where other
    exercises are `coming`, this one ends and not the session. A choice in the `record` that is not confirmed counts
    once the session is ended, so what to do about it stays on the page, and so does a pain whose size was not said.
    """
    messages, rehearsal = plan.content.messages.client.offer, plan.content.messages.client.rehearsal
    programme = plan.content.messages.client.programme
    title, ends = (programme.leave_title, programme.leave) if coming else (messages.leave_title, messages.leave)
    question = rehearsal.leave if plan.rehearsal else ends
    if plan.practice:
        question = plan.content.messages.client.practice.saved
    alert, choice = ("", "") if record is None else choice_left(plan, record)
    chosen = (fill(messages.leave_chosen, {"answer": choice}),) if choice else ()
    left = record is not None and not plan.practice and said_nowhere(record.entry)
    pain_open = (messages.leave_pain,) if left else ()
    answers = _answers(plan, messages.leave_yes, messages.leave_no, bool(choice))
    page = TextPage(
        with_rehearsal_mark(title, plan), not_kept or question, (*chosen, *pain_open), choices=answers, alert=alert
    )
    return replace(page, now=to_answer(page, plan))


def resume_page(plan: Plan, left: Record) -> TextPage:
    """The question whether to resume an interrupted session; RESUMING has the meaning of each answer.

    What to do about a choice that was not confirmed stands first.
    """
    messages = plan.content.messages.client.offer
    values = {
        "time": left.started.strftime("%H:%M"),
        "done": len(left.sets_done),
        "sets": left.sets_today,
    }
    alert, choice = choice_left(plan, left)
    chosen = (fill(messages.resume_chosen, {"answer": choice}),) if choice else ()
    pain_open = (messages.resume_pain,) if said_nowhere(left.entry) else ()
    no = messages.resume_end if choice or pain_open else messages.resume_no
    lost = (messages.set_lost,) if len(left.sets_done) < left.sets_today else ()
    page = TextPage(
        messages.resume_title,
        fill(messages.resume, values),
        (*chosen, *pain_open, *lost),
        choices=_answers(plan, messages.resume_yes, no, bool(choice)),
        alert=alert,
    )
    return replace(page, now=to_answer(page, plan))


def _answers(plan: Plan, yes: str, no: str, is_chosen: bool) -> tuple[AnswerOption, ...]:
    """Yes, no and the pain key, which waits where a choice is to be confirmed first."""
    pain = AnswerOption(PAIN.key, plan.content.messages.client.keys.pain)
    both = (AnswerOption(shown_key(_YES, plan.content), yes), AnswerOption("n", no))
    return both if is_chosen else (*both, pain)


def too_small_page(content: Content, columns: int, rows: int, below: ScreenPage) -> TextPage:
    """The page of a window in which nothing fits but what stands above all else on the page `below`."""
    values = {"columns": columns, "rows": rows, "least_columns": LEAST_COLUMNS, "least_rows": LEAST_ROWS}
    alert = below.alert if isinstance(below, TextPage) else ""
    return TextPage("", fill(content.messages.client.offer.too_small, values), alert=alert)


def kept_lines(state: State) -> str:
    """That a session that was closed is kept, and which repetitions are not."""
    messages = state.plan.content.messages.client.offer
    moment = state.moment(state.seen_s)
    if not isinstance(state.step, Work) or moment is None or not moment.whole:
        return messages.kept
    lost = fill(messages.kept_set, {"set": state.step.number, "repetitions": moment.whole})
    return f"{messages.kept} {lost}"
