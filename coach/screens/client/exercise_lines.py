"""What the pages say of the exercises of a session that has several."""

from coach.model.message_format import fill
from coach.model.record import Ended
from coach.session.phrases import exercise_line
from coach.session.state import State


def part_title(state: State) -> str:
    """Which exercise of the session it is; empty where there is only one."""
    if state.session is None or not state.several:
        return ""
    values = {"number": state.record.part + 1, "count": len(state.session.exercises)}
    return fill(state.plan.content.messages.client.programme.part, values)


def exercise_and(state: State, purpose: str) -> str:
    """What an exercise is for; where the session has several, after its name and side."""
    if not state.several:
        return purpose
    return f"{exercise_line(state.record.exercise, state.plan.profile.side, state.plan.content)}. {purpose}"


def between_title(state: State, ended: Ended) -> str:
    """The title of the page between two exercises; empty where none follows."""
    messages = state.plan.content.messages.client.programme
    if not state.another_follows:
        return ""
    return messages.stopped_title if ended.how == "stopped" else messages.done_title


def next_exercise_lines(state: State) -> tuple[str, ...]:
    """What the next exercise is, and after a stop that it may be left out; empty where none follows."""
    if not state.another_follows:
        return ()
    plan, ended = state.coming[0], state.record.ended
    messages = plan.content.messages.client.programme
    what = exercise_line(plan.before.exercise, plan.profile.side, plan.content)
    stopped = (messages.go_on,) if ended is not None and ended.how == "stopped" else ()
    return (*stopped, fill(messages.next, {"what": what, "grade": plan.step.grade}))


def summary_lines(state: State) -> tuple[str, ...]:
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
