"""What each screen of the session shows, as a frozen value: drawn by widgets, tested without them."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

from coach.drawing.moving_arm import arm_scene, best_view
from coach.drawing.projection import View
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import Scene
from coach.mechanics.setup import Setup
from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.session_screens import SetWords
from coach.model.record import Ended, Record
from coach.progression.decision_messages import load_placeholders
from coach.screens.client.key_bindings import CUE
from coach.session.answer_keys import choices
from coach.session.form_feedback import feedback
from coach.session.phrases import (
    cautions,
    label,
    option,
    position_words,
    said,
    setup_of,
    setup_values,
    what_to_do,
)
from coach.session.plan import Plan
from coach.session.script import Ask, Rest, SetupAgain, Work
from coach.session.set_words import set_words, tempo_values
from coach.session.state import State
from coach.session.tempo import Moment, SetTime

# At the hand this is less than half a quarter of a cell, also in a large window.
_ROTATION_STEP_DEG = 0.5


@dataclass(frozen=True)
class Shown:
    """One answer on the screen: its key, its words, and whether it was given before."""

    key: str
    words: str
    chosen: bool = False


@dataclass(frozen=True)
class Page:
    """A screen to read or to answer. `lead` is the one thing; `lines` say more; `alert` must not be overlooked.

    `large`: the lead is a word to be read from where the client stands.
    """

    title: str
    lead: str
    lines: tuple[str, ...] = ()
    list_title: str = ""
    listed: tuple[str, ...] = ()
    choices: tuple[Shown, ...] = ()
    low: str = ""
    high: str = ""
    alert: str = ""
    scene: Scene | None = None
    labels: tuple[tuple[str, str], ...] = ()
    large: bool = False


@dataclass(frozen=True)
class SetPage:
    """The set under way: what can be read at three metres, and the arm that moves at the tempo.

    `widest`: each word of this set with its longest count, so that one size of letters fits them all.
    """

    title: str
    word: str
    count: str
    repetition: str
    repetition_words: str
    cue: str
    part: float
    scene: Scene
    widest: tuple[str, ...]


@dataclass(frozen=True)
class RestPage:
    """The rest: the seconds left, and what to think of next."""

    title: str
    left: str
    lines: tuple[str, ...]
    part: float


@dataclass(frozen=True)
class Today:
    """What the pages of one load step share: worked out once, not at every frame."""

    plan: Plan
    setup: Setup

    def arm_at(self, rotation_deg: float) -> Scene:
        """The moving arm, in steps too small to be seen; each is worked out once, as every repetition is alike."""
        step = round(rotation_deg / _ROTATION_STEP_DEG)
        if step not in self._arms:
            self._arms[step] = arm_scene(self.setup, self.plan.profile.side, step * _ROTATION_STEP_DEG, self._view)
        return self._arms[step]

    @cached_property
    def _view(self) -> View:
        return best_view(self.setup)

    @cached_property
    def _arms(self) -> dict[int, Scene]:
        return {}

    @property
    def values(self) -> dict[str, object]:
        """The places of every line about the setup."""
        return setup_values(self.plan, self.setup)


def today_of(plan: Plan, record: Record) -> Today:
    """The setup of the load step in use."""
    return Today(plan, setup_of(plan, record.rungs_now.step))


class Setups:
    """The setup of each load step of a session, worked out when it is first in use."""

    def __init__(self) -> None:
        self._known: list[Today] = []

    def of(self, state: State) -> Today:
        """The setup that is in use in a state."""
        wanted = (state.record.rungs_now.step, state.plan)
        known = next((one for one in self._known if (one.setup.step, one.plan) == wanted), None)
        if known is None:
            known = today_of(state.plan, state.record)
            self._known.append(known)
        return known


def shown(state: State, today: Today, now_s: float) -> "Page | SetPage | RestPage":
    """What is to be seen at this moment; a rehearsal says on every page that it is one."""
    page = _page(state, today, now_s)
    return replace(page, title=marked(page.title, state.plan))


def marked(title: str, plan: Plan) -> str:
    """The title of a page, marked where the session is a rehearsal."""
    return fill(plan.content.words.screens.rehearsal.mark, {"title": title}) if plan.rehearsal else title


def _page(state: State, today: Today, now_s: float) -> "Page | SetPage | RestPage":
    moment = state.moment(now_s)
    if state.over or state.question is not None or (state.paused and moment is not None):
        return page_of(state, today)
    if isinstance(state.step, Work) and moment is not None:
        return set_page(state, state.step, moment, today)
    if isinstance(state.step, Rest):
        return rest_page(state, state.step, now_s)
    return page_of(state, today)


def page_of(state: State, today: Today) -> Page:
    """The page of a step that is read or answered."""
    if state.record.ended is not None:
        return _end_page(state, state.record.ended)
    if state.question is not None:
        return _question_page(state, state.question, today)
    if state.paused and isinstance(state.step, Work):
        return _paused_page(state, state.step)
    if isinstance(state.step, SetupAgain):
        return _setup_again_page(state, today)
    return _PAGES[state.step.name](state, today)


def _today_page(state: State, today: Today) -> Page:
    screens, record = state.plan.content.words.screens.today, state.record
    dose, words = record.dose, position_words(state.plan)
    values = {
        **today.values,
        "position": words.title,
        "minutes": round(state.script.seconds / 60),
        "sets": record.sets_today,
        "repetitions": record.repetitions,
        "rest": dose.rest_s,
        **tempo_values(state.plan.content, record.exercise, dose.tempo),
    }
    lines = [fill(line, values) for line in (screens.lasts, screens.dose, screens.tempo)]
    return Page(
        title=fill(screens.title, values),
        lead=words.purpose,
        lines=(words.why_here, *lines, screens.what_follows),
        list_title=screens.needs_title,
        listed=tuple(fill(line, values) for line in screens.needs),
        alert=screens.gaps if state.plan.content.words.gaps else "",
    )


def _cautions_page(state: State, _: Today) -> Page:
    first, *others = cautions(state.plan)
    return Page(state.plan.content.words.screens.today.cautions_title, first, listed=tuple(others))


def _place_page(state: State, today: Today) -> Page:
    words, plan = position_words(state.plan), state.plan
    lead, *lines = (fill(line, today.values) for line in words.place)
    scene = from_above(today.setup, plan.profile.side)
    return Page(plan.content.words.screens.setup.title, lead, tuple(lines), scene=scene, labels=_labels(today))


def _arm_page(state: State, today: Today) -> Page:
    words, plan = position_words(state.plan), state.plan
    lead, *lines = (fill(line, today.values) for line in words.arm)
    scene = from_the_side(today.setup, plan.profile.side)
    return Page(plan.content.words.screens.setup.title, lead, tuple(lines), scene=scene, labels=_labels(today))


def _labels(today: Today) -> tuple[tuple[str, str], ...]:
    """The words in a drawing, by the names that the drawing gives them."""
    screens = today.plan.content.words.screens.drawing
    return tuple((name, fill(text, today.values)) for name, text in screens.items())


def _reach_page(state: State, _: Today) -> Page:
    screens = state.plan.content.words.screens
    lines = (*_about_form(state), screens.set.before)
    return Page(screens.setup.reach_title, position_words(state.plan).reach, lines)


def _about_form(state: State) -> tuple[str, ...]:
    """Praise where it is due and the cue of the next set; or that there is none, and the key that shows it."""
    words, about = state.plan.content.words.screens, feedback(state.plan, state.record)
    values = {"sets": about.clean_sets, "cue": about.cue, "key": CUE.key}
    if not about.given and state.cue_asked_for != state.set_number:
        return (fill(words.feedback.no_cue, values),)
    praise = words.feedback.clean_sets if about.clean_sets > 1 else words.feedback.clean_set
    said = (*([praise] if about.just_clean else []), words.rest.next_cue)
    return tuple(fill(line, values) for line in said)


def _setup_again_page(state: State, today: Today) -> Page:
    screens = state.plan.content.words.screens.setup
    place = tuple(fill(line, today.values) for line in position_words(state.plan).place)
    sentence = state.verdict.sentence if state.verdict else ""
    return Page(
        title=screens.again_title,
        lead=fill(screens.again, today.values),
        lines=(*([sentence] if sentence else []), place[1]),
        scene=from_above(today.setup, state.plan.profile.side),
        labels=_labels(today),
    )


def _question_page(state: State, question: Ask, today: Today) -> Page:
    plan, words = state.plan, said(question, state.plan)
    given = state.record.answer(question.name)
    shown = choices(question, plan.content.signs)
    failed = question.group == step_names.CHECK and given == "no"
    return Page(
        title=words.title,
        lead=words.ask,
        list_title=plan.content.words.screens.setup.how_to_tell_title if words.how_to_tell else "",
        listed=words.how_to_tell,
        choices=tuple(
            Shown(choice.key, option(question, choice.value, plan), choice.value == given) for choice in shown
        ),
        low=words.low or "",
        high=words.high or "",
        alert=fill(plan.content.words.safety.check[question.question].mend, today.values) if failed else "",
    )


def _paused_page(state: State, work: Work) -> Page:
    screens = state.plan.content.words.screens.set
    values = {"left": work.time.repetitions - state.whole, "set": work.number, "sets": state.record.sets_today}
    return Page(fill(screens.title, values), screens.paused, (fill(screens.paused_why, values),), large=True)


def _end_page(state: State, ended: Ended) -> Page:
    words, plan = state.plan.content.words, state.plan
    screens, decision = words.screens.end, ended.decision
    titles = {"finished": screens.title, "stopped": screens.stopped_title, "left": screens.left_title}
    sets = {
        one.number: fill(
            screens.set_line, {"set": one.number, "repetitions": one.repetitions, "goal": state.record.repetitions}
        )
        for one in state.record.sets_done
    }
    for number, reason in state.record.skipped.items():
        sets[number] = fill(words.screens.instead.skipped, {"set": number, "reason": label(reason, plan.content)})
    done = tuple(sets[number] for number in sorted(sets))
    days = fill(screens.next_time, {"days": state.record.dose.days_a_week})
    rule = fill(screens.rule, {"rule": decision.rule, "source": decision.source})
    saved = words.screens.rehearsal.saved if plan.rehearsal else screens.saved
    return Page(
        title=titles[ended.how],
        lead=decision.reason,
        lines=(*([days] if decision.status == "active" else []), rule, saved),
        list_title=screens.done if done else "",
        listed=done,
        alert=what_to_do(decision, plan.content),
    )


def set_page(state: State, work: Work, moment: Moment, today: Today) -> SetPage:
    """One frame of a set."""
    plan, screens = state.plan, set_words(state.plan.content, state.plan.before.exercise)
    setup, total = today.setup, work.time.repetitions
    rotations = setup.arc.rotation_deg
    rotation_deg = rotations[0] + moment.out_part * (rotations[-1] - rotations[0])
    values = {
        "set": work.number,
        "sets": state.record.sets_today,
        "repetition": moment.repetition,
        "repetitions": total,
    }
    line = screens.last_repetition if moment.repetition == total else screens.repetition
    phases = screens.model_dump()
    return SetPage(
        title=f"{fill(screens.title, values)} · {load_placeholders(setup.step, plan.content)['load']}",
        word=str(phases["count_in" if moment.phase == "over" else moment.phase]),
        count=str(max(1, -int(-moment.left_s // 1))),
        repetition=f"{moment.repetition}/{total}",
        repetition_words=fill(line, values),
        cue=_cue_shown(state),
        part=moment.whole / total,
        scene=today.arm_at(rotation_deg),
        widest=_widest(work.time, screens),
    )


def _cue_shown(state: State) -> str:
    """The cue that stands on the set screen; empty where it is kept back."""
    about = feedback(state.plan, state.record)
    return about.cue if about.given or state.cue_asked_for == state.set_number else ""


def _widest(time: SetTime, words: SetWords) -> tuple[str, ...]:
    """Each word of a set with its longest count."""
    tempo = time.tempo
    phases = (
        (words.count_in, time.count_in_s),
        (words.out, tempo.out_s),
        (words.hold, tempo.hold_s),
        (words.back, tempo.back_s),
        (words.relax, tempo.relax_s),
    )
    return tuple(f"{word} {math.ceil(seconds)}" for word, seconds in phases if seconds)


def _too_much(state: State) -> tuple[str, ...]:
    """Too heavy, and nothing lighter at home: said here, because no new setup says it."""
    verdict = state.verdict
    return () if verdict is None or verdict.load is not None else (verdict.sentence,)


def rest_page(state: State, rest: Rest, now_s: float) -> RestPage:
    """One frame of a rest."""
    plan, record, screens = state.plan, state.record, state.plan.content.words.screens.rest
    left_s = state.rest_left_s(now_s)
    values = {
        **load_placeholders(record.rungs_now.step, plan.content),
        "set": rest.before_set,
        "sets": record.sets_today,
        "repetitions": record.repetitions,
    }
    changed = screens.same if record.rungs_now == record.rungs else screens.changed
    lines = (*_too_much(state), *_about_form(state), changed, screens.next_set)
    left = str(-int(-left_s // 1))
    return RestPage(
        fill(screens.title, values), left, tuple(fill(line, values) for line in lines), 1 - left_s / rest.seconds
    )


_PAGES: dict[str, Callable[[State, Today], Page]] = {
    step_names.TODAY: _today_page,
    step_names.CAUTIONS: _cautions_page,
    step_names.PLACE: _place_page,
    step_names.ARM: _arm_page,
    step_names.REACH: _reach_page,
}
