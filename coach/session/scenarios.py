"""The typical courses of a session, as answers to rehearse: clean, with a fault, with pain, and so on."""

from collections.abc import Mapping

from coach.model import step_names
from coach.model.answers_file import Answers
from coach.session.plan import Plan


def scenarios(plan: Plan) -> dict[str, Answers]:
    """The answers of each scenario that differ from a clean session without pain, by the name of the scenario."""
    limit, dose = round(plan.limits["pain_max"]), plan.prescription.dose
    asked = plan.form_of_sets[0]
    heavy = next((name for name in asked if plan.content.questions[name].overload), None)
    kinds: dict[str, Mapping[str, int | str]] = {
        "clean": {},
        "no_two_more": {step_names.TWO_MORE: "no"},
        "not_sure": {step_names.in_set(1, asked[0]): "not_sure"} if asked else {},
    }
    if heavy is not None:
        kinds["fault_once"] = {step_names.in_set(1, heavy): "once"}
        kinds["too_heavy"] = {step_names.in_set(1, heavy): "more_than_once"}
    kinds["pain_at_limit"] = {step_names.in_set(1, step_names.PAIN): limit}
    kinds["pain_over_limit"] = {step_names.in_set(1, step_names.PAIN): limit + 1}
    if plan.before.last_session is not None:
        kinds["not_settled"] = {step_names.SETTLED: "not_yet"}
    kinds["warning_sign"] = {step_names.SIGN: plan.content.signs[0].name}
    kinds["band_not_sound"] = {step_names.check(name): "no" for name in plan.book.stopping_checks}
    table = {kind: Answers(answer=dict(answers)) for kind, answers in kinds.items()}
    if dose.repetitions_min > 1:
        table["under_bottom"] = Answers(repetitions={str(dose.sets): dose.repetitions_min - 1})
    return table
