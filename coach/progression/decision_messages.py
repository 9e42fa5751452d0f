"""A decision in the client's words: why, and what changes."""

from coach.model.content import Content
from coach.model.content_entries import Rule
from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.record import Number
from coach.progression.check_in_conditions import Numbers
from coach.progression.effects import Outcome
from coach.progression.rule_book import RuleBook


def load_values(load: LoadStep, content: Content) -> dict[str, object]:
    """The places of a line about a load: grade, strands, distance_cm, mean, peak, and `load` for all of it."""
    change = content.words.rules.change
    strands = change[{1: "one_strand", 2: "two_strands"}[load.strands]]
    values = {**load.model_dump(), "strands": strands}
    return {
        **values,
        "mean": f"{load.mean_nm:.2f}",
        "peak": f"{load.peak_nm:.2f}",
        "load": fill(change["load"], values),
    }


def why(rule: Rule, numbers: Numbers, book: RuleBook) -> str:
    """The sentence of a rule for the client, with its numbers in place; names of things are said in words."""
    return fill(book.content.words.rules.rule[rule.name].client, _in_words(numbers, book))


def for_therapist(rule: Rule, numbers: Numbers, book: RuleBook) -> str:
    """The sentence of a rule for the therapist."""
    return fill(book.content.words.rules.rule[rule.name].therapist, _in_words(numbers, book))


def _in_words(numbers: Numbers, book: RuleBook) -> dict[str, object]:
    return {name: fill(book.in_words.get(str(value), str(value)), numbers) for name, value in numbers.items()}


def reason(rule: Rule, numbers: Numbers, outcome: Outcome, book: RuleBook) -> str:
    """Why, and what changes, in one breath."""
    values = {**load_values(outcome.load, book.content), "repetitions": outcome.repetitions}
    return f"{why(rule, numbers, book)} {fill(book.content.words.rules.change[outcome.change], values)}"


def rounded_nm(load: LoadStep) -> Number:
    """The mean torque as a decision keeps it."""
    return round(load.mean_nm, 3)
