"""The session script as text: what the client will see, step by step, with times."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import PurePath
from textwrap import wrap

from msgspec.structs import asdict

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.record import Decision, Record
from coach.overview.text_columns import text_columns
from coach.progression.decision_messages import load_placeholders, rule_label
from coach.session.admission.client_conditions import therapist_lines
from coach.session.form_feedback import feedback_if_clean
from coach.session.lessons.limit_lines import limit_lines
from coach.session.phrases import question_text, setup_of, setup_values, step_text, tempo_values
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask, Rest, SetupAgain, Show, Step, Teach, Trial, Work

_WIDTH = 80
_INDENT = " " * 9


def preview_text(plan: Plan, at: datetime) -> str:
    """The decision that led to today's session, and its script with the start of each step."""
    messages = plan.content.messages.therapist.preview
    record = open_record(plan, at)
    script = script_of(plan, record)
    lines = [fill(messages.title, {"profile": plan.profile.name}), ""]
    lines += [*no_session_lines(plan.no_session), *condition_lines(plan, at), *today_lines(plan, record)]
    lines += [*decision_lines(plan.before.decision, plan), ""]
    for start_s, texts in script_lines(plan, record):
        lines += timed_lines(start_s, texts)
    lines += end_lines(plan.content, script.seconds)
    return "\n".join(lines) + "\n"


def timed_lines(start_s: float, texts: Iterable[str]) -> list[str]:
    """The lines of a step with its start in minutes and seconds."""
    minutes, seconds = divmod(round(start_s), 60)
    first, *rest = [line for text in texts for line in _wrapped(text)]
    return [f"{minutes:>4}:{seconds:02}  {first}", *(_INDENT + line for line in rest)]


def end_lines(content: Content, seconds: float) -> list[str]:
    """The length of the session, what is the clinic's own, and what is missing in the client's language."""
    total = fill(content.messages.therapist.preview.total, {"minutes": round(seconds / 60)})
    return ["", *wrap(total, _WIDTH), *_clinics_own(content), *_gaps(content)]


def script_lines(plan: Plan, record: Record) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Each step of the script: its start in seconds and its lines, the heading first."""
    for start_s, step in script_of(plan, record).scheduled_steps():
        yield start_s, tuple(step_lines(step, plan, record))


def _clinics_own(content: Content) -> Iterator[str]:
    """The clinic's overrides of the shipped content."""
    messages, file = content.messages.therapist.preview, ""
    for own in content.overrides:
        if own.file != file:
            file = own.file
            yield from ("", *wrap(fill(messages.own, {"file": file}), _WIDTH))
        line = messages.own_line if own.shipped else messages.own_added
        yield from wrap(fill(line, asdict(own)), _WIDTH, initial_indent="  ", subsequent_indent="    ")


def _gaps(content: Content) -> Iterator[str]:
    """The messages that are missing in the client's language."""
    messages = content.messages
    if messages.gaps:
        lines = ", ".join(f"{PurePath(gap.file).name} {gap.key}".strip() for gap in messages.gaps)
        yield ""
        yield from wrap(
            fill(messages.therapist.preview.gaps, {"fallback": messages.fallback, "lines": lines}), _WIDTH
        )


def no_session_lines(why: str) -> list[str]:
    """Why no session may start, and an empty line; nothing where one may."""
    return [*wrap(why, text_columns()), ""] if why else []


def condition_lines(plan: Plan, at: datetime) -> list[str]:
    """The client's conditions and irritability for the therapist, and an empty line; nothing where there are none."""
    texts = conditions_of_plan(plan, at)
    return [*(line for text in texts for line in wrap(text, text_columns())), ""] if texts else []


def conditions_of_plan(plan: Plan, at: datetime) -> tuple[str, ...]:
    """The client's conditions and irritability for the therapist, one sentence each."""
    profile = plan.profile
    return therapist_lines(profile.condition, profile.irritability, plan.content, plan.limits, at.date())


def today_lines(plan: Plan, record: Record) -> list[str]:
    """Position, load and goal of the session."""
    values = {
        **load_placeholders(record.rungs.step, plan.content),
        "position": plan.content.position_label(record.position, record.exercise),
        "repetitions": record.repetitions,
        "sets": record.dose.sets,
    }
    return wrap(fill(plan.content.messages.therapist.preview.today, values), _WIDTH)


def decision_lines(decision: Decision | None, plan: Plan) -> list[str]:
    """The move, the rule and the reason of a decision; without one, a line saying so."""
    messages = plan.content.messages.therapist.preview
    if decision is None:
        return [messages.not_yet]
    moves = plan.content.messages.client.scale.move
    values = {
        "move": moves[decision.move],
        "rule": rule_label(decision.rule, plan.content),
        "reason": decision.reason,
    }
    return wrap(fill(messages.decided, values), _WIDTH)


def _wrapped(text: str) -> list[str]:
    return wrap(text, _WIDTH - len(_INDENT), subsequent_indent="  ") or [""]


def step_lines(step: Step, plan: Plan, record: Record) -> Iterator[str]:
    """The lines of one step, the heading first."""
    screens = plan.content.messages.client
    if isinstance(step, Trial):
        yield screens.own_tempo.title
        yield from limit_lines(plan)
        yield fill(screens.own_tempo.before, {"repetitions": step.repetitions})
    elif isinstance(step, Ask):
        yield question_text(step, plan).ask
    elif isinstance(step, Work):
        values = {"set": step.number, "sets": record.dose.sets}
        work = fill(plan.content.messages.therapist.preview.work, _work_values(step))
        yield f"{fill(screens.set.title, values)}: {work}"
        yield fill(screens.today.tempo, tempo_values(plan.content, record.exercise, step.time.tempo))
        yield _cue_line(step.number, plan)
    elif isinstance(step, Rest):
        title = fill(screens.rest.title, {"set": step.before_set, "sets": record.dose.sets})
        yield f"{title}: {round(step.seconds)} s"
    elif isinstance(step, SetupAgain):
        yield screens.setup.again_title
    elif isinstance(step, Teach):
        about = plan.content.messages.form.question[step.question]
        yield fill(screens.lesson.title, {"about": about.about})
        yield about.teach
    else:
        yield from _shown(step, plan, record)


def _cue_line(number: int, plan: Plan) -> str:
    """The cue of a set if every earlier set is clean, or a line saying that it is withheld."""
    about, messages = feedback_if_clean(plan, number), plan.content.messages
    line = messages.client.plain.cue if about.shown else messages.therapist.preview.no_cue
    return fill(line, {"cue": about.cue, "sets": about.clean_sets})


def _work_values(step: Work) -> dict[str, object]:
    under_load_s = step.time.repetitions * step.time.under_load_s
    return {
        "repetitions": step.time.repetitions,
        "count_in": round(step.time.count_in_s),
        "under_load": round(under_load_s),
    }


def _shown(step: Show, plan: Plan, record: Record) -> Iterator[str]:
    """The lines of a step without a question, the heading first."""
    text = step_text(step.name, plan, setup_values(plan, setup_of(plan, record.rungs.step)))
    yield text.title
    yield from text.lines
