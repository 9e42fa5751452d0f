"""What the pages say of the exercises of a session that has several, and the page between two of them."""

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from coach.mechanics.setup import Setup
from coach.model.message_format import fill
from coach.model.messages.several_exercises import Standing
from coach.model.programme.session_file import SessionFile, SessionPart, closes_every_exercise
from coach.model.record import Ended
from coach.screens.client.page_types import Drawing, Fact, TextPage
from coach.session.admission.bad_day import bad_day_lines
from coach.session.admission.stop_advice import call_text, reason_told, stopped_for_pain
from coach.session.next_exercise import coming_seconds, next_exercise
from coach.session.phrases import drawing_labels, exercise_line, setup_of, setup_values, why_line
from coach.session.plan import Plan
from coach.session.state import Instant, State

if TYPE_CHECKING:
    from coach.drawing.projection import Viewpoint
    from coach.drawing.shapes import Scene


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


def minutes_fact(state: State) -> Fact:
    """How long it takes, to be drawn large: of several exercises, all of them on the first page."""
    messages = state.plan.content.messages.client
    if _is_first_of_several(state):
        values = {"minutes": _whole_minutes(state), "count": len(state.coming) + 1}
        return Fact(str(values["minutes"]), fill(messages.programme.minutes, values))
    minutes = _minutes(state)
    spoken = _spoken_minutes(state, minutes)
    about = messages.today.minutes if spoken is None else messages.today.minutes_spoken
    return Fact(str(minutes), fill(about, {"minutes": minutes, "spoken": spoken}), duration_lines(state)[0])


def duration_lines(state: State) -> tuple[str, ...]:
    """How long it takes, also where it is said aloud; on the first page of several exercises, and which they are."""
    content, messages, minutes = state.plan.content, state.plan.content.messages.client, _minutes(state)
    if not _is_first_of_several(state) or state.session is None:
        spoken = _spoken_minutes(state, minutes)
        lasts = messages.today.lasts if spoken is None else messages.today.lasts_spoken
        return (fill(lasts, {"minutes": minutes, "spoken": spoken}),)
    programme, whole = messages.programme, _whole_minutes(state)
    named = [exercise_line(one.exercise, one.side, content) for one in state.session.exercises]
    spoken = _spoken_minutes(state, whole)
    values = {"minutes": minutes, "all": whole, "count": len(named), "spoken": spoken}
    lasts = programme.lasts if spoken is None else programme.lasts_spoken
    pairs = zip(named, named[1:], state.session.exercises[1:], strict=False)
    in_turn = [fill(programme.in_turn, {"one": one, "other": other}) for one, other, part in pairs if part.alternates]
    return fill(lasts, values), fill(programme.today, {"exercises": "; ".join(named)}), *in_turn


def _is_first_of_several(state: State) -> bool:
    """Whether a session of several exercises is at the first of them."""
    return state.several and not state.record.part


def _minutes(state: State) -> int:
    return round(state.script.seconds / 60)


def _whole_minutes(state: State) -> int:
    """How long the session takes, with the exercises that follow this one."""
    return round((state.script.seconds + (coming_seconds(state) if state.several else 0.0)) / 60)


def _spoken_minutes(state: State, minutes: int) -> int | None:
    """How long the same takes where its pages are also said; None where the client chose no voice."""
    if state.plan.profile.sound.voice is False:
        return None
    return round(minutes * state.plan.limits["spoken_longer"])


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
    closed = _all_closed(session)
    lines = []
    for part in session.exercises:
        ended = session.ended.get(part.name)
        what = exercise_line(part.exercise, part.side, state.plan.content)
        line = messages.left_out if ended is None else messages.summary
        reason = "" if ended is None else reason_told(ended.decision, state.plan.content, closed)
        lines.append(fill(line, {"what": what, "reason": reason}))
    return tuple(lines)


def _all_closed(session: SessionFile) -> bool:
    """Whether an exercise of the session ended so that the therapist has to let all of them go on."""
    ended = ((part, session.ended[part.name]) for part in session.exercises if part.name in session.ended)
    return any(closes_every_exercise(session.record(part), one.decision) for part, one in ended)


def between_page(state: State, ended: Ended) -> TextPage:
    """The page of an exercise that has ended and that another one follows."""
    plan, messages = state.plan, state.plan.content.messages.client
    stopped, following = ended.how == "stopped", next_exercise(state, Instant(state.seen_s, ended.at))
    setup = None if following.over else setup_of(following.plan, following.record.current_rungs.step)
    done = messages.programme.done_title if state.record.sets_done else messages.programme.not_done_title
    title = messages.programme.stopped_title if stopped else done
    coming = _next(state, following.plan, setup)
    reason = reason_told(ended.decision, plan.content)
    after_pain = messages.programme.stopped_pain if stopped_for_pain(ended.decision) else ""
    return TextPage(
        fill(title, {"number": state.record.part + 1, "count": state.record.part + 1 + len(state.coming)}),
        reason if stopped else _did(state),
        (
            *((messages.programme.go_on,) if stopped else ()),
            *bad_day_lines(plan.prescription, ended.decision, plan.content),
            coming,
            _left(state),
            *(() if stopped else (reason,)),
            *((why_line(plan, ended),) if state.why_shown else ()),
            messages.rehearsal.saved if plan.rehearsal else messages.end.saved,
        ),
        list_title=messages.programme.summary_title,
        listed=tuple(_exercises(state)),
        alert=call_text(ended.decision, plan.content) or after_pain,
        drawing=None if setup is None else place_drawing(following.plan, setup),
        drawing_if_wide=True,
        strong=(coming,),
    )


def place_drawing(plan: Plan, setup: Setup) -> Drawing:
    """Where to stand, as a drawing."""
    from coach.drawing.cells.setup_on_screen import place_on_screen

    return _drawing(place_on_screen(setup, plan.profile.side), "from_above", plan, setup)


def arm_drawing(plan: Plan, setup: Setup) -> Drawing:
    """How to hold the arm, as a drawing."""
    from coach.drawing.cells.setup_on_screen import arm_on_screen

    return _drawing(arm_on_screen(setup, plan.profile.side), "from_the_side", plan, setup)


def seen_line(plan: Plan, setup: Setup, view: "Viewpoint") -> str:
    """From where a drawing shows the client."""
    from coach.drawing.projection import seen

    messages = plan.content.messages.client.setup
    return fill(messages.drawing_title, {"seen": messages.seen[seen(setup, view)]})


def _drawing(scene: "Scene", view: "Viewpoint", plan: Plan, setup: Setup) -> Drawing:
    return Drawing(seen_line(plan, setup, view), scene, drawing_labels(plan.content, setup_values(plan, setup)))


def _did(state: State) -> str:
    messages, done = state.plan.content.messages.client, state.record.sets_done
    what = exercise_line(state.record.exercise, state.plan.profile.side, state.plan.content)
    values = {"what": what, "sets": len(done), "repetitions": sum(one.repetitions for one in done)}
    return fill(messages.programme.did if done else messages.programme.left_out, values)


def _next(state: State, plan: Plan, setup: Setup | None) -> str:
    """Which exercise is next, and what changes for it: the band, the anchor, the mark, the side."""
    messages = state.plan.content.messages.client.programme
    what = fill(messages.next, {"what": exercise_line(plan.before.exercise, plan.profile.side, plan.content)})
    return what if setup is None else " ".join((what, *_changes(state, plan, setup)))


def _changes(state: State, plan: Plan, setup: Setup) -> Iterator[str]:
    change, before = (
        plan.content.messages.client.programme.change,
        setup_of(state.plan, state.record.current_rungs.step),
    )
    values = setup_values(plan, setup)
    same_band = (before.step.grade, before.step.strands) == (setup.step.grade, setup.step.strands)
    yield fill(change["band_same" if same_band else "band_other"], values)
    if plan.position.anchor == "foot":
        yield fill(change["underfoot"], values)
        return
    fixed = state.plan.position.anchor != "foot"
    same_anchor = fixed and before.anchor_height_cm == setup.anchor_height_cm
    yield fill(change["anchor_same" if same_anchor else "anchor_other"], values)
    same_mark = fixed and before.distance_cm == setup.distance_cm
    yield fill(change["mark_same" if same_mark else "mark_other"], values)
    if plan.profile.side != state.plan.profile.side:
        yield fill(change["side_other"], values)


def _left(state: State) -> str:
    """How many exercises are left, and how long they take."""
    minutes = max(1, round(coming_seconds(state) / 60))
    values = {"number": len(state.coming), "minutes": minutes}
    return fill(state.plan.content.messages.client.programme.left, values)


def _how_it_ended(session: SessionFile, part: SessionPart) -> Standing:
    ended = session.ended.get(part.name)
    if ended is not None and ended.how == "stopped":
        return "stopped"
    return "done" if session.record(part).sets_done else "not_done"


def _exercises(state: State) -> Iterator[str]:
    """Every exercise of the session, each with where it stands."""
    messages, session = state.plan.content.messages.client.programme, state.file_session
    coming = [plan.name for plan in state.coming]
    for part in session.exercises:
        if part.name in coming:
            place: Standing = "next" if part.name == coming[0] else "then"
        else:
            place = _how_it_ended(session, part)
        what = exercise_line(part.exercise, part.side, state.plan.content)
        yield fill(messages.standing[place], {"what": what})
