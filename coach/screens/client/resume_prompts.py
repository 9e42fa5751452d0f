"""Questions about the session itself: whether to resume an interrupted one, whether to end this one early."""

from collections.abc import Mapping

from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.layout_limits import LEAST_COLUMNS, LEAST_ROWS
from coach.model.record import Record
from coach.screens.client.key_bindings import PAIN
from coach.screens.client.key_help import to_answer
from coach.screens.client.page_types import AnswerOption, TextPage, with_rehearsal_mark
from coach.session.answer_keys import Choice, shown_key
from coach.session.interruptions import report_trouble
from coach.session.plan import Plan
from coach.session.runner import leave, tick
from coach.session.script import Work
from coach.session.state import State
from coach.store.live_session import Key

_YES = Choice("y", "yes")

# What each answer to "end it here?" does; the answer no only lets time pass.
LEAVING: Mapping[str, Key] = {"y": leave, "n": tick, PAIN.key: report_trouble}
# Whether each answer resumes the interrupted session.
RESUMING: Mapping[str, bool] = {"y": True, "n": False}


def leave_page(plan: Plan, not_kept: str = "", coming: int = 0) -> TextPage:
    """The question whether to end the session early; LEAVING has the effect of each answer.

    `not_kept` says that not all of it is saved, and stands in the place of the sentence that it is. Where other
    exercises are `coming`, this one ends and not the session.
    """
    messages, rehearsal = plan.content.messages.client.offer, plan.content.messages.client.rehearsal
    pain = plan.content.messages.client.keys.pain
    answers = (
        AnswerOption(shown_key(_YES, plan.content), messages.leave_yes),
        AnswerOption("n", messages.leave_no),
        AnswerOption(PAIN.key, pain),
    )
    programme = plan.content.messages.client.programme
    title, ends = (programme.leave_title, programme.leave) if coming else (messages.leave_title, messages.leave)
    question = rehearsal.leave if plan.rehearsal else ends
    if plan.practice:
        question = plan.content.messages.client.practice.saved
    page = TextPage(with_rehearsal_mark(title, plan), not_kept or question, choices=answers)
    return replace(page, now=to_answer(page, plan))


def resume_page(plan: Plan, left: Record) -> TextPage:
    """The question whether to resume an interrupted session; RESUMING has the meaning of each answer."""
    messages = plan.content.messages.client.offer
    values = {
        "time": left.started.strftime("%H:%M"),
        "done": len(left.sets_done),
        "sets": left.sets_today,
    }
    yes = shown_key(_YES, plan.content)
    answers = (AnswerOption(yes, messages.resume_yes), AnswerOption("n", messages.resume_no))
    lost = (messages.set_lost,) if len(left.sets_done) < left.sets_today else ()
    page = TextPage(messages.resume_title, fill(messages.resume, values), lost, choices=answers)
    return replace(page, now=to_answer(page, plan))


def too_small_page(content: Content, columns: int, rows: int) -> TextPage:
    """The page of a window in which nothing else fits."""
    values = {"columns": columns, "rows": rows, "least_columns": LEAST_COLUMNS, "least_rows": LEAST_ROWS}
    return TextPage("", fill(content.messages.client.offer.too_small, values))


def kept_lines(state: State) -> str:
    """That a session that was closed is kept, and which repetitions are not."""
    messages = state.plan.content.messages.client.offer
    moment = state.moment(state.seen_s)
    if not isinstance(state.step, Work) or moment is None or not moment.whole:
        return messages.kept
    lost = fill(messages.kept_set, {"set": state.step.number, "repetitions": moment.whole})
    return f"{messages.kept} {lost}"
