"""The preview of a session of a programme as JSON for other programs."""

import json
from datetime import datetime

from coach.model.answers_file import Answers
from coach.reports.tables.preview_json import differing_lines
from coach.reports.text.preview import conditions_of_plan
from coach.reports.text.programme.session_preview import (
    ExerciseWhatIf,
    PlannedExercise,
    TodaysSession,
    planned_session,
    session_what_if,
)

_Json = dict[str, object]


def session_preview_json(today: TodaysSession, at: datetime, answers: Answers | None = None) -> str:
    """The scripts as JSON, with times in seconds since the start of the session; with answers, also the outcome.

    Raises ValueError for an answer that a question does not take.
    """
    planned = planned_session(today, at)
    data: _Json = {
        "format": 2,
        "profile": today.plans[0].profile.name,
        "no_session": today.no_session or None,
        "conditions": conditions_of_plan(today.plans[0], at),
        "not_today": today.not_today,
        "seconds": sum(one.exercise.script.seconds for one in planned),
        "exercises": [_exercise(one) for one in planned],
    }
    if answers is not None:
        data["what_if"] = {
            "answers": answers.model_dump(exclude={"format"}, exclude_none=True),
            "exercises": [_what_if(one) for one in session_what_if(today, answers, at)],
        }
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def _exercise(one: PlannedExercise) -> _Json:
    plan, record = one.exercise.plan, one.exercise.record
    return {
        "name": plan.name,
        "exercise": record.exercise,
        "side": plan.profile.side,
        **({"in_turn_with": plan.alternates_with} if plan.alternates_with else {}),
        "position": record.position,
        "repetitions": record.repetitions,
        "sets": record.dose.sets,
        "load": record.rungs.step.model_dump(),
        "at_s": one.start_s,
        "seconds": one.exercise.script.seconds,
        "steps": [{"at_s": step.start_s, "name": step.name, "lines": step.lines} for step in one.steps],
    }


def _what_if(one: ExerciseWhatIf) -> _Json:
    """The decision, None where the session ended before it, and every line in which the next session differs."""
    decision = None if one.ended is None else one.ended.decision.model_dump(mode="json", exclude_none=True)
    return {
        "name": one.plan.name,
        "decision": decision,
        "status": one.following.after.status,
        "no_session": one.following.no_session or None,
        "differs": differing_lines(one.following.parts),
    }
