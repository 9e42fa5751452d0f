"""The session script as text: what the client will see, step by step, with its times."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import PurePath
from textwrap import wrap

from coach.model import step_names
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.preview import PreviewWords
from coach.model.record import Decision, Record
from coach.progression.decision_messages import load_placeholders
from coach.session.form_feedback import feedback_if_clean
from coach.session.phrases import cautions, position_words, said, setup_of, setup_values
from coach.session.plan import Plan, open_record, script_of
from coach.session.script import Ask, Rest, SetupAgain, Show, Step, Work
from coach.session.set_words import tempo_values

_WIDTH = 80
_INDENT = " " * 9


def preview_text(plan: Plan, at: datetime) -> str:
    """Today's script, each step with its start; and the decision that led to it."""
    words = plan.content.words.of(PreviewWords)
    record = open_record(plan, at)
    script = script_of(plan, record)
    lines = [fill(words.title, {"profile": plan.profile.name}), ""]
    lines += [*_today(plan, record), *decided_lines(plan.before.decision, plan), ""]
    for start_s, texts in script_lines(plan, record):
        minutes, seconds = divmod(round(start_s), 60)
        first, *rest = [line for text in texts for line in _wrapped(text)]
        lines += [f"{minutes:>4}:{seconds:02}  {first}", *(_INDENT + line for line in rest)]
    lines += ["", *wrap(fill(words.total, {"minutes": round(script.seconds / 60)}), _WIDTH)]
    lines += [*_clinics_own(plan.content), *_gaps(plan.content)]
    return "\n".join(lines) + "\n"


def script_lines(plan: Plan, record: Record) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Each step of the script that is gone through: its start in seconds, and what it says, the heading first."""
    for start_s, step in script_of(plan, record).timeline():
        yield start_s, tuple(_step_lines(step, plan, record))


def _clinics_own(content: Content) -> Iterator[str]:
    """What the client reads, or is judged by, otherwise than the content that came with the program."""
    words, file = content.words.of(PreviewWords), ""
    for own in content.overrides:
        if own.file != file:
            file = own.file
            yield from ("", *wrap(fill(words.own, {"file": file}), _WIDTH))
        line = words.own_line if own.shipped else words.own_added
        yield from wrap(fill(line, vars(own)), _WIDTH, initial_indent="  ", subsequent_indent="    ")


def _gaps(content: Content) -> Iterator[str]:
    """Lines of the session that are said in another language than the client's."""
    said = content.words
    if said.gaps:
        lines = ", ".join(f"{PurePath(gap.file).name} {gap.key}".strip() for gap in said.gaps)
        yield ""
        yield from wrap(fill(said.of(PreviewWords).gaps, {"fallback": said.fallback, "lines": lines}), _WIDTH)


def _today(plan: Plan, record: Record) -> list[str]:
    values = {
        **load_placeholders(record.rungs.step, plan.content),
        "position_deg": record.position_deg,
        "repetitions": record.repetitions,
        "sets": record.dose.sets,
    }
    return wrap(fill(plan.content.words.of(PreviewWords).today, values), _WIDTH)


def decided_lines(decision: Decision | None, plan: Plan) -> list[str]:
    """The move, the rule and the reason; or that there is none yet."""
    words = plan.content.words.of(PreviewWords)
    if decision is None:
        return [words.not_yet]
    moves = plan.content.words.screens.scale.move
    values = {"move": moves[decision.move], "rule": decision.rule, "reason": decision.reason}
    return wrap(fill(words.decided, values), _WIDTH)


def _wrapped(text: str) -> list[str]:
    return wrap(text, _WIDTH - len(_INDENT), subsequent_indent="  ") or [""]


def _step_lines(step: Step, plan: Plan, record: Record) -> Iterator[str]:
    """What one step says, the heading first."""
    screens = plan.content.words.screens
    if isinstance(step, Ask):
        yield said(step, plan).ask
    elif isinstance(step, Work):
        values = {"set": step.number, "sets": record.dose.sets}
        work = fill(plan.content.words.of(PreviewWords).work, _work_values(step))
        yield f"{fill(screens.set.title, values)}: {work}"
        yield fill(screens.today.tempo, tempo_values(plan.content, record.exercise, step.time.tempo))
        yield _cue_line(step.number, plan)
    elif isinstance(step, Rest):
        title = fill(screens.rest.title, {"set": step.before_set, "sets": record.dose.sets})
        yield f"{title}: {round(step.seconds)} s"
    elif isinstance(step, SetupAgain):
        yield screens.setup.again_title
    else:
        yield from _shown(step, plan, record)


def _cue_line(number: int, plan: Plan) -> str:
    """The cue of a set if every set before it is clean, or that it is kept back."""
    about, words = feedback_if_clean(plan, number), plan.content.words
    line = words.screens.rest.next_cue if about.given else words.of(PreviewWords).no_cue
    return fill(line, {"cue": about.cue, "sets": about.clean_sets})


def _work_values(step: Work) -> dict[str, object]:
    under_load_s = step.time.repetitions * step.time.under_load_s
    return {
        "repetitions": step.time.repetitions,
        "count_in": round(step.time.count_in_s),
        "under_load": round(under_load_s),
    }


def _shown(step: Show, plan: Plan, record: Record) -> Iterator[str]:
    """A step that is read: its heading and its lines."""
    screens, words = plan.content.words.screens, position_words(plan)
    values = setup_values(plan, setup_of(plan, record.rungs.step))
    lines: dict[str, tuple[str, ...]] = {
        step_names.TODAY: (fill(screens.today.title, {"position": words.title}), words.purpose, words.why_here),
        step_names.CAUTIONS: (screens.today.cautions_title, *cautions(plan)),
        step_names.PLACE: (screens.setup.title, *words.place),
        step_names.ARM: (screens.setup.title, *words.arm),
        step_names.REACH: (screens.setup.reach_title, words.reach),
        step_names.CLOSING: (screens.end.title,),
    }
    for line in lines[step.name]:
        yield fill(line, values)
