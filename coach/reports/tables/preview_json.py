"""The preview as JSON for other programs: the script with its times, and the outcome of the session."""

import json
from collections.abc import Sequence
from datetime import datetime

from coach.model.answers_file import Answers
from coach.overview.comparison import ComparisonPart
from coach.reports.text.next_session import what_if
from coach.reports.text.preview import conditions_of_plan, script_lines
from coach.session.plan import Plan, open_record, script_of

_Json = dict[str, object]


def preview_json(plan: Plan, at: datetime, answers: Answers | None = None) -> str:
    """The script as JSON, with times in seconds since the start; with answers, also the outcome.

    Raises ValueError for an answer that a question does not take.
    """
    record = open_record(plan, at)
    script = script_of(plan, record)
    data: _Json = {
        "format": 1,
        "profile": plan.profile.name,
        "no_session": plan.no_session or None,
        "conditions": conditions_of_plan(plan, at),
        "exercise": record.exercise,
        "position": record.position,
        "repetitions": record.repetitions,
        "sets": record.dose.sets,
        "load": record.rungs.step.model_dump(),
        "seconds": script.seconds,
        "steps": [
            {"at_s": at_s, "name": step.name, "lines": lines}
            for (at_s, step), (_, lines) in zip(script.scheduled_steps(), script_lines(plan, record), strict=True)
        ],
    }
    if answers is not None:
        data["what_if"] = _what_if(plan, answers, at)
    return json.dumps(data, indent=1, allow_nan=False) + "\n"


def _what_if(plan: Plan, answers: Answers, at: datetime) -> _Json:
    """The decision, and every line in which the next session differs from today's."""
    ended, found = what_if(plan, answers, at)
    return {
        "answers": answers.answer,
        "repetitions": answers.repetitions,
        "decision": ended.decision.model_dump(mode="json", exclude_none=True),
        "status": found.after.status,
        "no_session": found.no_session or None,
        "differs": differing_lines(found.parts),
    }


def differing_lines(parts: Sequence[ComparisonPart]) -> list[_Json]:
    """Every line in which the next session differs from today's."""
    return [
        {"part": part.title, "mark": pair.mark, "today": pair.before, "next": pair.after}
        for part in parts
        for pair in part.pairs
        if pair.mark != "same"
    ]
