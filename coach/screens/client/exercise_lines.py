"""What the pages say of the exercises of a session that has several."""

from collections.abc import Mapping

from coach.model.message_format import fill
from coach.session.next_exercise import coming_seconds
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


def is_first_of_several(state: State) -> bool:
    """Whether a session of several exercises is at the first of them."""
    return state.several and not state.record.part


def whole_minutes(state: State) -> int:
    """How long the session takes, with the exercises that follow this one."""
    return round((state.script.seconds + (coming_seconds(state) if state.several else 0.0)) / 60)


def first_lines(state: State, minutes: int) -> tuple[str, ...]:
    """On the first page of several exercises: how long they take, and which they are; empty on any other."""
    if not is_first_of_several(state) or state.session is None:
        return ()
    content, messages = state.plan.content, state.plan.content.messages.client.programme
    named = [exercise_line(one.exercise, one.side, content) for one in state.session.exercises]
    values = {"minutes": minutes, "all": whole_minutes(state), "count": len(named)}
    pairs = zip(named, named[1:], state.session.exercises[1:], strict=False)
    in_turn = [fill(messages.in_turn, {"one": one, "other": other}) for one, other, part in pairs if part.alternates]
    return fill(messages.lasts, values), fill(messages.today, {"exercises": "; ".join(named)}), *in_turn


def rest_line(state: State, values: Mapping[str, object]) -> str:
    """What the rest before an exercise is for; `values` are those of its load."""
    plan = state.plan
    what = exercise_line(state.record.exercise, plan.profile.side, plan.content)
    return fill(plan.content.messages.client.programme.rest, {**values, "what": what})


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
