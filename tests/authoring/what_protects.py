"""What protects a client in the content of the program, in lines: `python -m tests.authoring.what_protects`.

The check measures every other content against this one. What is weaker here would be weaker everywhere, so that a
change has to show here as well; the command writes the lines again.
"""

from collections.abc import Iterator
from pathlib import Path

from coach.authoring.check_wording import FORBIDDEN
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import WORDING, content_folder, languages
from coach.model.content import Content
from coach.model.content_entries import Limit
from coach.model.messages.wording import Wording
from coach.toml.reader import read_model
from tests.plans import shipped

RECORD = Path(__file__).with_name("what_protects.txt")
_CLOSES = (
    *("needs_permission", "floor_weeks", "closed_above_deg", "motions_closed", "range_max_deg", "no_rise_days"),
    *("latex_free_only", "night_pain_stays_a_sign", "no_fault_is_tried"),
)


def lines(content: Content) -> Iterator[str]:
    """Each thing that protects, and how much."""
    for sign in content.signs:
        yield f"sign {sign.name}: {sign.urgency}, asked at {', '.join(sign.asked)}"
    yield from (f"region {one.name}: {one.sign}" for one in content.regions.values() if one.sign)
    for check in content.checks.values():
        instead = f", for {check.in_place_of}" if check.in_place_of else ""
        yield f"check {check.name}: {check.on_no}{', once' * check.once}{instead}"
    yield from (f"limit {limit.name}: {_bound(limit)}" for limit in content.limits if limit.guards)
    for rule in content.rules:
        yield f"rule {rule.name}: {rule.when} at {', '.join(rule.levels)}: {rule.then}{', too much' * rule.too_much}"
    for question in content.questions.values():
        yield f"question {question.name}:{' overload' * question.overload}{' harmless' * question.harmless}"
    for condition in content.conditions.values():
        closes = {key: value for key in _CLOSES if (value := getattr(condition, key))}
        yield f"condition {condition.name}: {closes}"
    for need in load_needs(content_folder()):
        yield f"need {need.name}: {', '.join(need.rules)}{' holds the client' * need.holds_client}"
    for stem, exercise in content.exercises.items():
        yield from (
            f"position {stem} {one.name}, {one.anchor}: {', '.join(one.checks)}" for one in exercise.positions
        )
    for language in languages(content_folder()):
        wording = read_model(content_folder() / language / WORDING, Wording)
        for term in wording.term:
            if term.kind in FORBIDDEN:
                yield f"{language}, {term.kind}: {', '.join(term.words)}"
        yield from (f"{language}, {one.name} stands with: {', '.join(one.words)}" for one in wording.number)
        for one in wording.must_say:
            denied = f", and not with {', '.join(one.denied_by)}" if one.denied_by else ""
            yield f"{language}, {one.at} says: {' or '.join(one.words)}{denied}"


def _bound(limit: Limit) -> str:
    return f"{limit.low:g} or more" if limit.guards == "low" else f"{limit.high:g} or less"


if __name__ == "__main__":
    RECORD.write_text("\n".join(lines(shipped())) + "\n", encoding="utf-8")
