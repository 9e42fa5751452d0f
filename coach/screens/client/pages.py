"""What each screen of the session shows, as frozen data that widgets draw and tests read.

What no session begins with is loaded when it comes: drawings, lessons, and the last page.
"""

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from msgspec.structs import replace

from coach.mechanics.setup import Setup
from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.client import SetMessages
from coach.progression.decision_messages import load_placeholders
from coach.screens.client.exercise_lines import (
    arm_drawing,
    duration_lines,
    exercise_and,
    minutes_fact,
    part_title,
    place_drawing,
    seen_line,
)
from coach.screens.client.key_bindings import PAIN, PRACTISE
from coach.screens.client.key_help import now_line
from coach.screens.client.page_types import Drawing, Fact, ScreenPage, SetPage, TextPage, with_rehearsal_mark
from coach.screens.client.question_pages import confirm_page, question_page, with_pain_within_limit
from coach.screens.client.rest_pages import (
    before_set_lines,
    begins_line,
    change_line,
    cue_is_due,
    cue_shown,
    mark_moved,
    own_tempo_lines,
    paused_page,
    rest_page,
)
from coach.screens.client.setup_context import PLACES, SetupContext
from coach.session.lessons.cautions import cautions_before
from coach.session.lessons.limit_lines import limit_lines
from coach.session.lessons.pacing import is_paced
from coach.session.phrases import (
    by_hold,
    exercise_line,
    place_lines,
    position_messages,
    set_messages,
    step_text,
    stops_line,
    tempo_values,
)
from coach.session.plan import Plan
from coach.session.script import (
    Rest,
    SetupAgain,
    Teach,
    Trial,
    Work,
    another_band_since_last_set,
    changed_since_last_set,
    checks_of_another_band,
)
from coach.session.state import State
from coach.session.tempo import SetMoment, SetTiming

if TYPE_CHECKING:
    from coach.drawing.shapes import Scene

# Of the count-in: by then every place of the arm is drawn.
_DRAWN_BY = 0.9
# Of the time for one of them, before it is drawn: the arm is worked out in it.
_MAKING = 0.15


def page_at(state: State, context: SetupContext, now_s: float) -> ScreenPage:
    """The page to show at a moment, `now_s` on the session's clock; in a rehearsal its title says so."""
    page = with_pain_within_limit(_page(state, context, now_s), state)
    return replace(page, title=with_rehearsal_mark(page.title, state.plan), now=now_line(page, state))


def _page(state: State, context: SetupContext, now_s: float) -> ScreenPage:
    moment = state.moment(now_s)
    if state.over or state.chosen is not None or state.question is not None or (state.paused and moment is not None):
        return page_of(state, context)
    if isinstance(state.step, Work) and moment is not None:
        return set_page(state, state.step.number, state.step.time, moment, context)
    if state.practising and moment is not None and state.remaining_set is not None:
        return _practice_page(state, state.remaining_set, moment, context)
    if isinstance(state.step, Rest):
        return rest_page(state, state.step, now_s)
    if isinstance(state.step, Teach):
        from coach.screens.client.lesson_pages import lesson_page

        return lesson_page(state, state.step, context.lesson(state.step.question), now_s)
    return page_of(state, context)


def page_of(state: State, context: SetupContext) -> TextPage:
    """The page of a step that is read or answered, or of a session that has ended."""
    if state.record.ended is not None:
        from coach.screens.client.end_page import end_page

        return end_page(state, state.record.ended)
    if state.chosen is not None:
        return confirm_page(state, state.chosen)
    if state.question is not None:
        return question_page(state, state.question, context.values, context.setup)
    if state.paused and isinstance(state.step, Work):
        return paused_page(state, state.step)
    if isinstance(state.step, SetupAgain):
        return _setup_again_page(state, context)
    return _PAGES[state.step.name](state, context)


def _today_page(state: State, context: SetupContext) -> TextPage:
    screens, record = state.plan.content.messages.client.today, state.record
    dose, text = record.dose, step_text(step_names.TODAY, state.plan, context.values)
    values = {
        **context.values,
        "sets": record.sets_today,
        "repetitions": record.repetitions,
        "rest": dose.rest_s,
        **tempo_values(state.plan.content, record.exercise, dose.tempo),
    }
    asked = screens.dose_one_set if record.sets_today == 1 else screens.dose
    lines = (*duration_lines(state), fill(asked, values), fill(screens.tempo, values))
    on_foot = state.plan.position.anchor == "foot"
    needs = screens.needs_underfoot if on_foot else screens.needs
    listed = tuple(fill(line, values) for line in needs)
    facts = (
        minutes_fact(state),
        Fact(context.setup.step.grade, fill(screens.band, values)),
        Fact(f"{context.setup.distance_cm} cm", screens.underfoot if on_foot else screens.mark, listed[0]),
    )
    return TextPage(
        title=part_title(state) or text.title,
        lead=exercise_and(state, fill(screens.ready_underfoot if on_foot else screens.ready, values)),
        lines=(*lines, *([] if record.part else [screens.what_follows]), " ".join(text.lines)),
        list_title=screens.needs_title,
        listed=listed,
        alert=" ".join(_alerts(state)),
        facts=facts,
    )


def _alerts(state: State) -> Iterator[str]:
    """What has to be known before anything else: what was done or stopped today, what waits, other languages."""
    messages, last = state.plan.content.messages, state.plan.before.last_session
    today = state.record.started.date()
    if state.plan.before.rests_on(today) and not state.record.part:
        yield messages.client.today.stopped_today
    elif last is not None and last.date() == today:
        yield messages.client.today.second_today
    if state.plan.before.pending:
        yield messages.client.programme.pending
    if messages.gaps:
        yield messages.client.today.gaps


def _cautions_page(state: State, context: SetupContext) -> TextPage:
    """All cautions before the first exercise; before another one only what it adds."""
    messages, found = (
        state.plan.content.messages.client,
        cautions_before(state.plan, state.session, state.record.part),
    )
    if state.record.part:
        return TextPage(messages.today.cautions_title, messages.programme.new_cautions, listed=found.always)
    text, stops = step_text(step_names.CAUTIONS, state.plan, context.values), 1 + len(found.stop)
    return TextPage(
        text.title,
        text.lines[0],
        stops=text.lines[1:stops],
        listed=text.lines[stops:],
        heads=found.heads(messages.today.cautions_head),
        at_first=len(found.at_first[1:]),
    )


def _warm_up_page(state: State, context: SetupContext) -> TextPage:
    text = step_text(step_names.WARM_UP, state.plan, context.values)
    return TextPage(text.title, text.lines[0], text.lines[1:])


def _setup_page(name: str, drawn: Callable[[Plan, Setup], Drawing], _: State, context: SetupContext) -> TextPage:
    """A page of the setup, with its drawing."""
    text = step_text(name, context.plan, context.values)
    lead, *lines = (*text.lines, *_asked_next(name, context.plan))
    drawing = drawn(context.plan, context.setup)
    return TextPage(
        text.title, lead, tuple(lines), drawing=drawing, steps=True, more_steps=_more_steps(context.plan, len(lines))
    )


def _more_steps(plan: Plan, after_first: int) -> str:
    """What is said of a page whose last steps are below the window."""
    return fill(plan.content.messages.client.keys.more_steps, {"steps": 1 + after_first})


def _asked_next(page: str, plan: Plan) -> tuple[str, ...]:
    """The checks that follow a page of the setup, so that they are made on the same walk."""
    where, messages = "anchor" if page == step_names.PLACE else "mark", plan.content.messages.client.setup
    names = tuple(name for name in plan.position.checks if plan.content.checks[name].where == where)
    return _stated(names, messages.next_checks, plan) if where == "anchor" else _stated_at_mark(names, plan)


def _stated_at_mark(names: tuple[str, ...], plan: Plan) -> tuple[str, ...]:
    """These checks in a line, which ends at the mark with the band in the hand."""
    messages = plan.content.messages.client.setup
    return _stated(names, by_hold(plan, messages.next_checks_mark, messages.next_checks_underfoot), plan)


def _stated(names: tuple[str, ...], line: str, plan: Plan) -> tuple[str, ...]:
    """These checks in a line; none where there are none."""
    asked = (plan.content.messages.safety.check[name] for name in names)
    checks = " ".join(check.stated or check.ask for check in asked)
    return (fill(line, {"checks": checks}),) if names else ()


def _reach_page(state: State, context: SetupContext) -> TextPage:
    text = step_text(step_names.REACH, state.plan, context.values)
    timing, screens = own_tempo_lines(state), state.plan.content.messages.client
    if isinstance(state.step, Trial) and state.record.own_tempo is None:
        title = screens.own_tempo.title
        running = state.watch.since_s is not None
        return TextPage(title, timing[0]) if running else TextPage(title, text.lines[0], (*text.lines[1:], *timing))
    if timing:
        return TextPage(
            screens.own_tempo.title,
            timing[0],
            (
                *limit_lines(state.plan)[:1],
                begins_line(state),
                stops_line(state.plan, PAIN.key),
                *before_set_lines(state),
            ),
        )
    values = {"repetitions": state.practice_repetitions, "key": PRACTISE.key}
    if state.plan.practice:
        return TextPage(text.title, text.lines[0], (*text.lines[1:], fill(screens.practice.before, values)))
    led = fill(screens.practice.offer, values)
    sensor = [screens.measured.strap] if state.plan.measures else []
    first, *then = (*sensor, *text.lines, begins_line(state))
    return TextPage(
        text.title,
        first,
        tuple(then),
        list_title=screens.setup.reach_more,
        listed=(*before_set_lines(state), led),
        remark=stops_line(state.plan, PAIN.key),
        steps=True,
        drawing_if_wide=True,
        drawing=Drawing(seen_line(context.plan, context.setup, context.view), _without_band(context.arm_at(1.0))),
    )


def _setup_again_page(state: State, context: SetupContext) -> TextPage:
    screens = state.plan.content.messages.client.setup
    place = tuple(fill(line, context.values) for line in place_lines(state.plan, context.values))
    if isinstance(state.step, SetupAgain) and state.step.turn:
        return _turn_page(state, state.step, context, place[1:])
    sentence = state.verdict.sentence if state.verdict else ""
    if isinstance(state.step, SetupAgain) and state.step.before_set == 1:
        before = load_placeholders(state.record.rungs.step, state.plan.content)["load"]
        line = screens.changed_here if state.record.part else screens.changed
        lead = fill(line, {**context.values, "before": before})
        return TextPage(screens.changed_title, exercise_and(state, lead), (sentence,) if sentence else ())
    messages = state.plan.content.messages.client
    lines = (*(place[1:2] if mark_moved(state) else ()), *_checks_of_another_band(state))
    return TextPage(
        title=screens.again_title,
        lead=change_line(state) or fill(messages.rest.same, context.values),
        lines=lines,
        remark=sentence,
        steps=bool(lines),
        more_steps=_more_steps(state.plan, len(lines)) if lines else "",
        drawing=place_drawing(context.plan, context.setup),
    )


def _checks_of_another_band(state: State) -> tuple[str, ...]:
    """What to look at before another band is pulled on; nothing where the band stays the same."""
    if not another_band_since_last_set(state.record):
        return ()
    plan = state.plan
    return _stated_at_mark(checks_of_another_band(plan.position, plan.content.checks), plan)


def _turn_page(state: State, step: SetupAgain, context: SetupContext, place: tuple[str, ...]) -> TextPage:
    """Where to stand and what to hold for the exercise whose turn it is, of two that are done in turn."""
    messages, plan = state.plan.content.messages.client, state.plan
    arm = position_messages(plan).arm[0]
    what = exercise_line(state.record.exercise, plan.profile.side, plan.content)
    changed = (messages.setup.again_title,) if changed_since_last_set(state.record) else ()
    return TextPage(
        title=fill(messages.programme.turn_title, {"set": step.before_set, "sets": state.record.sets_today}),
        lead=fill(messages.programme.turn, {"what": what}),
        lines=(*changed, *place, fill(arm, context.values)),
        drawing=place_drawing(plan, context.setup),
    )


def _practice_page(state: State, time: SetTiming, moment: SetMoment, context: SetupContext) -> SetPage:
    """A moment of the movement without the band: as in a set, and no band is drawn."""
    page = set_page(state, 0, time, moment, context)
    ahead = _without_band(page.ahead) if page.ahead is not None else None
    title = state.plan.content.messages.client.practice.title
    return replace(page, title=title, cue="", scene=_without_band(page.scene), ahead=ahead)


def _without_band(scene: "Scene") -> "Scene":
    return replace(scene, strokes=tuple(one for one in scene.strokes if one.role not in ("band_now", "anchor")))


def set_page(state: State, number: int, time: SetTiming, moment: SetMoment, context: SetupContext) -> SetPage:
    """The page of a moment in a set."""
    plan, screens = state.plan, set_messages(state.plan.content, state.plan.before.exercise)
    setup, total = context.setup, time.repetitions
    values = {
        "set": number,
        "sets": state.record.sets_today,
        "repetition": moment.repetition,
        "repetitions": total,
    }
    line = screens.last_repetition if moment.repetition == total else screens.repetition
    phases, pace = screens.model_dump(), state.pace
    led = moment.phase == "count_in" or is_paced(pace, moment.repetition, total)
    word = str(phases["count_in" if moment.phase == "over" else moment.phase])
    counting_in = moment.phase == "count_in"
    counted = led and (pace == "seconds" or counting_in)
    ahead = (1 - moment.left_s / time.count_in_s) / _DRAWN_BY * (PLACES + 1) if counting_in else 0.0
    return SetPage(
        title=f"{fill(screens.title, values)} · {load_placeholders(setup.step, plan.content)['load']}",
        word=word if led else screens.own_pace,
        count=str(max(1, -int(-moment.left_s // 1))) if counted else "",
        repetition=f"{moment.repetition}/{total}" if led else str(total),
        repetition_words=fill(line if led else screens.unled, values),
        of_count=plan.content.messages.client.rest.left if counted else "",
        of_large_number=screens.repetition_done if led and moment.repetition < total else "",
        cue=cue_shown(state),
        done=moment.whole if led else 0,
        repetitions=total,
        seen=seen_line(plan, setup, context.view),
        line=plan.content.messages.client.drawing["line"],
        scene=context.arm_at(moment.arc_fraction if led else 0.0),
        alike=_alike(time, screens, led, counting_in),
        counting_in=counting_in,
        cue_due=counting_in or not led or cue_is_due(state, moment.phase),
        ahead=context.arm_at(min(int(ahead), PLACES) / PLACES) if counting_in else None,
        ahead_part=min(1.0, max(0.0, (ahead - min(int(ahead), PLACES) - _MAKING) / (1 - _MAKING))),
    )


def _alike(time: SetTiming, messages: SetMessages, led: bool, counting_in: bool) -> tuple[str, ...]:
    """The words whose letters are of one width, each with its longest count: those of a repetition together."""
    words = {messages.count_in: time.count_in_s} if counting_in else {messages.own_pace: 1.0}
    if led and not counting_in:
        phases = messages.model_dump()
        words = {phases[phase]: length_s for phase, _, length_s in time.phases if length_s}
    # A point between them, the narrowest sign, is the least gap.
    return tuple(f"{word}.{math.ceil(seconds)}" for word, seconds in words.items())


_PAGES: dict[str, Callable[[State, SetupContext], TextPage]] = {
    step_names.TODAY: _today_page,
    step_names.CAUTIONS: _cautions_page,
    step_names.WARM_UP: _warm_up_page,
    step_names.PLACE: partial(_setup_page, step_names.PLACE, place_drawing),
    step_names.ARM: partial(_setup_page, step_names.ARM, arm_drawing),
    step_names.REACH: _reach_page,
}
