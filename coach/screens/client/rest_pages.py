"""What the pages say between two sets and in a pause: of the form, of the next set, and of the rest."""

from coach.model import step_names
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.messages.setup import ChangeName
from coach.progression.decision_messages import load_placeholders
from coach.progression.timing import timing_is_off
from coach.screens.client.exercise_lines import rest_line
from coach.screens.client.key_bindings import CUE, TELL_BY_KEY
from coach.screens.client.page_types import RestPage, TextPage
from coach.session.form_feedback import feedback
from coach.session.phrases import by_hold
from coach.session.script import Ask, Rest, Trial, Work, changed_since_last_set
from coach.session.state import State

# Of a load: whether the band, the strands or the mark is another one.
_NAMES: dict[tuple[bool, bool, bool], ChangeName] = {
    (True, False, False): "band",
    (True, True, False): "band_strands",
    (False, True, False): "strands",
    (False, False, True): "mark",
    (True, False, True): "both",
    (True, True, True): "both",
    (False, True, True): "both",
}
_UNDERFOOT: dict[ChangeName, ChangeName] = {
    "band": "band_underfoot",
    "band_strands": "band_strands_underfoot",
    "strands": "strands_underfoot",
    "mark": "mark_underfoot",
    "both": "both_underfoot",
}


def about_form(state: State) -> tuple[str, ...]:
    """Praise after clean sets and the cue of the next set; or that no cue is shown, and the key that shows it."""
    messages, about = state.plan.content.messages.client, feedback(state.plan, state.record)
    values = {"sets": about.clean_sets, "cue": about.cue, "key": CUE.key}
    asked = _asked_after(state)
    if not about.shown and state.cue_asked_for != state.set_number:
        return (fill(messages.feedback.no_cue, values), *asked)
    clean = messages.feedback.clean_sets if about.clean_sets > 1 else messages.feedback.clean_set
    praise = about.praise or clean
    lines = (*([praise] if about.just_clean else []), messages.rest.next_cue)
    return (*(fill(line, values) for line in lines), *asked)


def begins_line(state: State) -> str:
    """How the count-in goes."""
    return fill(state.plan.content.messages.client.set.before, {"seconds": state.count_in_s})


def before_set_lines(state: State) -> tuple[str, ...]:
    """The cue and what will be asked, and that the client chooses how to tell."""
    screens, asks = state.plan.content.messages.client, bool(state.record.form) and any(state.record.form)
    chooses = (fill(screens.lesson.tell_by_key, {"key": TELL_BY_KEY.key}),) if asks and not state.tell_by else ()
    return (*about_form(state), *chooses)


def own_tempo_lines(state: State) -> tuple[str, ...]:
    """How the client's own tempo is timed, or how it compared; empty where it is not timed today."""
    trial, messages = state.step, state.plan.content.messages.client.own_tempo
    if not isinstance(trial, Trial):
        return ()
    timed = state.record.own_tempo
    if timed is None:
        values = {"repetitions": trial.repetitions}
        return (fill(messages.running if state.watch.since_s is not None else messages.before, values),)
    off = timing_is_off(timed, state.plan.limits)
    faster = timed.took_s < timed.right_s
    line = messages.right if not off else messages.too_fast if faster else messages.too_slow
    return (fill(line, {"took": round(timed.took_s), "right": round(timed.right_s)}),)


def _asked_after(state: State) -> tuple[str, ...]:
    """What the client will be asked about after the next set."""
    content, number = state.plan.content, state.set_number
    steps = (step for step in state.script.steps if isinstance(step, Ask) and step.set_number == number)
    about = [content.messages.form.question[step.question].about for step in steps if step.scale == "how_often"]
    return (fill(content.messages.client.lesson.asked_after, {"about": ", ".join(about)}),) if about else ()


def cue_is_due(state: State, phase: str) -> bool:
    """Whether the cue is shown in this phase of a repetition: in all of them, or in the one it is about."""
    return feedback(state.plan, state.record).phase in (None, phase)


def cue_shown(state: State) -> str:
    """The cue on the set screen; empty if it is only shown on request and has not been requested."""
    about = feedback(state.plan, state.record)
    return about.cue if about.shown or state.cue_asked_for == state.set_number else ""


def _too_much(state: State) -> tuple[str, ...]:
    """That the load was too heavy and there is nothing lighter; otherwise the page of the new setup says it."""
    verdict = state.verdict
    return () if verdict is None or verdict.load is not None else (verdict.sentence,)


def rest_page(state: State, rest: Rest, now_s: float) -> RestPage:
    """The page of a moment in a rest."""
    plan, record, screens = state.plan, state.record, state.plan.content.messages.client.rest
    left_s = state.rest_left_s(now_s)
    values = {
        **load_placeholders(record.current_rungs.step, plan.content),
        "set": rest.before_set,
        "sets": record.sets_today,
        "repetitions": record.repetitions,
    }
    left, part = str(-int(-left_s // 1)), 1 - left_s / rest.seconds
    if rest.name == step_names.BETWEEN:
        title = plan.content.messages.client.programme.rest_title
        return RestPage(title, left, (rest_line(state, values),), part, of_left=screens.left, word=screens.word)
    change, cue = change_line(state), cue_shown(state)
    setup = () if change else (screens.same,)
    lines = (*_too_much(state), *about_form(state), *setup, screens.next_set)
    return RestPage(
        fill(screens.title, values),
        left,
        tuple(fill(line, values) for line in lines),
        part,
        large=_what_changes(state) if change else cue,
        large_head=change or fill(screens.next_cue, {"cue": ""}).strip(),
        instead_of="" if change else fill(screens.next_cue, {"cue": cue}),
        done=_set_before(state, rest),
        of_left=screens.left,
        word=screens.word,
        change=change,
        takes_place=state.takes_place(now_s),
    )


def paused_page(state: State, work: Work) -> TextPage:
    """The page of a set that was paused."""
    screens = state.plan.content.messages.client.set
    values = {"left": work.time.repetitions - state.whole, "set": work.number, "sets": state.record.sets_today}
    why = by_hold(state.plan, screens.paused_why, screens.paused_why_underfoot)
    return TextPage(fill(screens.title, values), screens.paused, (fill(why, values),), large=True)


def _set_before(state: State, rest: Rest) -> str:
    """The repetitions of the set before this rest; empty if it was skipped."""
    of_last = next((one for one in state.record.sets_done if one.number == rest.before_set - 1), None)
    if of_last is None:
        return ""
    values = {"set": of_last.number, "repetitions": of_last.repetitions}
    return fill(state.plan.content.messages.client.rest.done, values)


def _load_before(state: State) -> LoadStep:
    """The load of the last set; before the first one, of the first page."""
    done = state.record.rungs_of_sets
    return (done[-1] if done else state.record.rungs).step


def _what_changes(state: State) -> str:
    """What is another since the last set: the band, its strands, the mark."""
    now, was = state.record.current_rungs.step, _load_before(state)
    others = (
        ("{grade}", now.grade != was.grade),
        ("{strands}", now.strands != was.strands),
        ("{distance_cm} cm", now.distance_cm != was.distance_cm),
    )
    words = ", ".join(word for word, differs in others if differs)
    return fill(words, load_placeholders(now, state.plan.content))


def change_line(state: State) -> str:
    """What to change since the last set, and what stays; empty if nothing has to be changed."""
    now, was, content = state.record.current_rungs.step, _load_before(state), state.plan.content
    name = _NAMES.get((now.grade != was.grade, now.strands != was.strands, now.distance_cm != was.distance_cm))
    if name is None or not changed_since_last_set(state.record):
        return ""
    before, values = load_placeholders(was, content), load_placeholders(now, content)
    before_values = {f"was_{key}": before[key] for key in ("grade", "strands", "distance_cm")}
    message = content.messages.client.setup.change[_UNDERFOOT[name] if now.underfoot else name]
    return fill(message, {**values, **before_values})


def mark_moved(state: State) -> bool:
    """Whether the client stands on another mark from now on, or stands on another length of the band."""
    now = state.record.current_rungs.step
    return now.underfoot is not None or now.distance_cm != _load_before(state).distance_cm
