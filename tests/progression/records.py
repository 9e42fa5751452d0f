"""Records made up for the rules: a session without fault or pain, and what is different from it."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta, timezone
from functools import cache

from coach.content_files.content_folder import content_folder, load_content
from coach.model import step_names
from coach.model.instruction import Instruction
from coach.model.load_step import LoadStep, Rungs
from coach.model.option_names import InstructionKind
from coach.model.prescription import Dose, Prescription, Tempo
from coach.model.progress import Progress
from coach.model.record import Answered, Entry, Record, SetDone, SetEnd
from coach.progression.rule_book import RuleBook
from coach.progression.state_machine import JudgedRecord, advance

START = datetime(2026, 3, 2, 18, 0, tzinfo=timezone(timedelta(hours=1)))
SETS = 3
QUESTIONS = {
    "blade": "no",
    "elbow": "no",
    "range": "yes",
    "slack": "no",
    "trunk": "no",
    "shrug": "no",
    "tempo": "never",
}
# Ten load steps, each 5 % above the one before: inside the 2-10 % of the ACSM position stand, Med Sci Sports Exerc
# 2009;41(3):687-708 (abstract).
STEPS = tuple(
    LoadStep(grade="knotted", strands=1, distance_cm=60 + 5 * number, mean_nm=round(2 * 1.05**number, 4), peak_nm=3.0)
    for number in range(10)
)
DOSE = Dose(
    sets=SETS,
    repetitions_min=8,
    repetitions_max=15,
    tempo=Tempo(out_s=3, hold_s=2, back_s=3, relax_s=2),
    rest_s=60,
    count_in_s=10,
    days_a_week=3,
)


@cache
def book() -> RuleBook:
    """The shipped rules in English."""
    return RuleBook(load_content(content_folder(), "en"))


def rungs(number: int, steps: Sequence[LoadStep] = STEPS, *, lighter: LoadStep | None = None) -> Rungs:
    """A load step with its neighbours on the made-up ladder."""
    return Rungs(
        step=steps[number],
        next_step=steps[number + 1] if number + 1 < len(steps) else None,
        easier=steps[number - 1] if number > 0 else None,
        lighter=lighter,
    )


def prescription(
    *, positions: tuple[str, ...] = ("0", "45"), sign_offs: tuple[Instruction, ...] = (), dose: Dose = DOSE
) -> Prescription:
    """What an invented therapist set."""
    return Prescription(
        format=1,
        exercise="external_rotation",
        goal="reach the top shelf",
        positions=positions,
        initials="AB",
        on=START.date(),
        dose=dose,
        sign_offs=sign_offs,
    )


def instruction(what: InstructionKind, days: float, **said: object) -> Instruction:
    """An instruction of the therapist, so many days after the start."""
    return Instruction.model_validate(
        {"at": START + timedelta(days=days), "initials": "AB", "what": what, "reason": "seen", **said}
    )


def standing(*, days_ago: int = 2, weeks: int = 4, load: int = 3, **changed: object) -> Progress:
    """Where a client stands who trained some days before `START` and began some weeks before it."""
    values: dict[str, object] = {
        "exercise": "external_rotation",
        "position": "0",
        "load": STEPS[load],
        "repetitions": 10,
        "sessions": 5,
        "first_session": START - timedelta(weeks=weeks),
        "last_session": START - timedelta(days=days_ago),
    }
    return Progress.model_validate({**values, **changed})


def session(
    *,
    days: float = 0,
    goal: int = 10,
    done: Sequence[int | None] | None = None,
    given: Mapping[str, int | str | None] | None = None,
    load: int = 3,
    steps: Sequence[LoadStep] = STEPS,
    lighter: LoadStep | None = None,
    position: str = "0",
    positions: tuple[str, ...] = ("0", "45"),
    target_nm: float | None = None,
    dose: Dose = DOSE,
    limits: Mapping[str, float] | None = None,
    end: SetEnd = "done",
    held_by: str | None = None,
) -> Record:
    """A session without fault or pain and with two to spare, but for what is `given`.

    `given` is keyed by the step ("set_2.blade") or by the question ("blade", in every set); None leaves it
    unanswered. `done`: the repetitions of each set; sets not in it are missing.
    """
    at, given = START + timedelta(days=days), given or {}
    clean: dict[str, int | str] = {step_names.PAIN_NOW: 0, step_names.MORNING_AFTER: 0, step_names.SIGN: "none"}
    clean.update((step_names.check(name), "yes") for name in ("band_sound", "anchor_holds"))
    asked = book().content.exercise("external_rotation").position(position).questions
    sets = [goal] * dose.sets if done is None else list(done)
    entries: list[Entry] = [Answered(at=at, step=step, value=value) for step, value in _said(clean, given)]
    for number, repetitions in enumerate(sets, start=1):
        if repetitions is None:
            continue
        short = repetitions < goal and end == "done"
        how: SetEnd = "stopped" if short else end
        under_load_s = 8.0 * repetitions
        entries.append(SetDone(at=at, number=number, repetitions=repetitions, under_load_s=under_load_s, end=how))
        answers: dict[str, int | str] = {"pain": 0, **{name: QUESTIONS[name] for name in asked}}
        if number == dose.sets:
            answers.update(effort=5, two_more="yes")
        in_set = {step_names.in_set(number, name): value for name, value in answers.items()}
        entries += [Answered(at=at, step=step, value=value) for step, value in _said(in_set, given)]
    extra = [step for step, value in given.items() if "." in step and value is not None]
    known = {entry.step for entry in entries if isinstance(entry, Answered)}
    entries += [Answered(at=at, step=step, value=given[step] or 0) for step in extra if step not in known]
    return Record(
        format=1,
        started=at,
        exercise="external_rotation",
        position=position,
        dose=dose,
        limits=dict(limits or {}),
        repetitions=goal,
        rungs=rungs(load, steps, lighter=lighter),
        positions=positions,
        target_nm=target_nm,
        held_by=held_by,
        entry=tuple(entries),
    )


def _said(clean: Mapping[str, int | str], given: Mapping[str, int | str | None]) -> list[tuple[str, int | str]]:
    """Each step with its answer: by its own name, else by its question, else the clean one."""
    said = {step: given.get(step, given.get(step.partition(".")[2], value)) for step, value in clean.items()}
    return [(step, value) for step, value in said.items() if value is not None]


def judge(record: Record, before: Progress | None = None) -> JudgedRecord:
    """One session folded in after where the client stood."""
    return advance(before or standing(repetitions=record.repetitions), record, book())


def one_after_another(records: Sequence[Record], before: Progress | None = None) -> list[JudgedRecord]:
    """Sessions folded in, each on the load and the repetitions that its record says."""
    progress, judged = before or standing(), []
    for record in records:
        judged.append(advance(progress, record, book()))
        progress = judged[-1].after
    return judged


def lived(
    answers: Sequence[Mapping[str, object]],
    *,
    first: int = 3,
    goal: int = 10,
    before: Progress | None = None,
    every_days: float = 2,
    steps: Sequence[LoadStep] = STEPS,
) -> list[JudgedRecord]:
    """Sessions one after another, each at the load and the goal that the decision before it asked for."""
    progress, judged, load = before or standing(), [], first
    for number, different in enumerate(answers):
        made = session(days=every_days * number, **{"goal": goal, "load": load, "steps": steps, **different})  # type: ignore[arg-type]
        judged.append(advance(progress, made, book()))
        progress = judged[-1].after
        goal = progress.repetitions
        load = steps.index(judged[-1].decision.load)
    return judged
