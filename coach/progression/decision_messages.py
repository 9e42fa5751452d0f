"""The messages of a decision: why, and what changes."""

from coach.model.content import Content
from coach.model.content_entries import Rule
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.record import Decision, Number
from coach.progression.check_in_conditions import TO_COME, Numbers
from coach.progression.effects import Outcome
from coach.progression.rule_book import RuleBook

NOT_SURE = "not_sure"
_NEXT_TIME = (
    *("load_up", "load_up_reset", "repetitions_up", "easier", "lighter"),
    *("lowest", "untried", "maintain", "stays"),
)


def load_placeholders(load: LoadStep, content: Content) -> dict[str, object]:
    """The placeholders of a message about a load.

    Returns grade, strands, distance_cm, mean and peak (two decimals) with their `unit`, `spread`, which follows
    the mean with its 5 to 95 % interval and is empty where none is known, and `load`, which describes the whole step.
    """
    change = content.messages.rules.change
    strands = change[{1: "one_strand", 2: "two_strands"}[load.strands]]
    values = {**load.model_dump(), "strands": strands}
    return {
        **values,
        "unit": load.load_unit,
        "mean": f"{load.mean_nm:.2f}",
        "peak": f"{load.peak_nm:.2f}",
        "spread": spread_text(load.low_nm, load.high_nm, content),
        "load": fill(change["load_underfoot" if load.underfoot else "load"], values),
    }


def spread_text(low_nm: float | None, high_nm: float | None, content: Content) -> str:
    """The 5 to 95 % interval of a mean torque, to follow it in a sentence; empty where the record has none."""
    if low_nm is None or high_nm is None:
        return ""
    values = {"low": f"{low_nm:.1f}", "high": f"{high_nm:.1f}"}
    return fill(content.messages.rules.change["spread"], values)


def client_message(rule: Rule, numbers: Numbers, book: RuleBook) -> str:
    """The message of a rule for the client, with its numbers filled in and names replaced by their labels."""
    messages = book.content.messages.rules.rule[rule.name]
    line = _variant(numbers, messages.client_not_sure, messages.client_to_come)
    return fill(line or messages.client, labelled_numbers(numbers, book))


def therapist_message(rule: Rule, numbers: Numbers, book: RuleBook) -> str:
    """The message of a rule for the therapist, filled in like the client's."""
    messages = book.content.messages.rules.rule[rule.name]
    line = _variant(numbers, messages.therapist_not_sure, messages.therapist_to_come)
    return fill(line or messages.therapist, labelled_numbers(numbers, book))


def decided_for_therapist(decision: Decision, book: RuleBook) -> str:
    """The message of the rule that decided, for the therapist; its name where the content has changed since."""
    rule = book.rules_by_name.get(decision.rule)
    if rule is None or not decision.numbers.keys() >= set(rule.numbers):
        return f"{rule_label(decision.rule, book.content)}."
    return therapist_message(rule, decision.numbers, book)


def _variant(numbers: Numbers, not_sure: str | None, to_come: str | None) -> str | None:
    """The message for an answer that was not sure, or for a day that is to come; None where there is none."""
    given = numbers.values()
    return not_sure if NOT_SURE in given else to_come if TO_COME in given else None


def rule_label(name: str, content: Content) -> str:
    """A rule in a few words; its name where the content has no words for it, as for a rule of an older content."""
    messages = content.messages.rules.rule.get(name)
    return (messages.short if messages is not None else None) or name.replace("_", " ")


def labelled_numbers(numbers: Numbers, book: RuleBook) -> dict[str, object]:
    """The numbers of a decision by name, with the names of signs, checks, faults and positions as their labels."""
    counted = {name: 0 if value == TO_COME else value for name, value in numbers.items()}  # no message of its own
    labels = {name: fill(book.value_labels.get(str(value), str(value)), numbers) for name, value in counted.items()}
    position = {"next": book.content.position_label(labels["next"])} if "next" in labels else {}
    return {**labels, **position}


def decision_reason(rule: Rule, numbers: Numbers, outcome: Outcome, book: RuleBook) -> str:
    """The message of a decision: why, followed by what changes."""
    values = {**load_placeholders(outcome.load, book.content), "repetitions": outcome.repetitions}
    return f"{client_message(rule, numbers, book)} {fill(book.content.messages.rules.change[outcome.change], values)}"


def next_time_told(decision: Decision, content: Content) -> str:
    """The sentence of a decision's reason that says with what it goes on next time; empty where none does."""
    values = {**load_placeholders(decision.load, content), "repetitions": decision.repetitions}
    told = (fill(content.messages.rules.change[name], values) for name in _NEXT_TIME)
    return max((line for line in told if line in decision.reason), key=len, default="")


def rounded_nm(load: LoadStep) -> Number:
    """The mean torque in newton metres, rounded to three decimals as stored in a decision."""
    return round(load.mean_nm, 3)
