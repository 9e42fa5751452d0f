"""The check of the order of the rules: what protects a client decides before what does not, and each is reached."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec.structs import replace

from coach.content_files.content_folder import RULES
from coach.model.content import Content
from coach.model.content_entries import Effect, Rule
from coach.progression.condition_numbers import ALWAYS
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

EFFECT = "effect"
"""What a fault is about that follows from what a rule does: see `Diagnostic.about`."""
STOPS: tuple[Effect, ...] = ("stop_and_review", "stop_for_today", "stop_and_easier")
LOWERS: tuple[Effect, ...] = ("easier_now", "easier_next", "lighter_now", "after_gap_now")
RAISES: tuple[Effect, ...] = ("repetitions_up", "load_up", "suggest_position", "complete")
# Tests that hold one thing alone, and what may be decided before them all the same.
_LEFT_FREE: Mapping[str, tuple[Effect, ...]] = {
    "load_frozen": ("repetitions_up",),
    "another_rises": ("repetitions_up", "suggest_position", "complete"),
}
_DOES = ((STOPS, "stops the session"), (LOWERS, "lowers the load"))


def check_rule_order(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """What stops comes first, then what lowers the load; what holds comes before what raises or ends something."""
    if not any(rule.when in ALWAYS for rule in content.rules):
        return  # told as the rule that is missing
    source = SourceFile(folder / RULES)
    before: list[Rule] = []
    too_soon: list[Rule] = []
    for index, rule in enumerate(content.rules):
        if rule.adds_to_decision:
            continue
        if any(one.when in ALWAYS for one in before):
            return  # told as what is never reached
        if rule.when not in ALWAYS:
            sooner = next((one for one in before if _goes_before_wrongly(one, rule)), None)
            same = [one for one in before if one.when == rule.when]
            if sooner is not None and sooner not in too_soon:
                too_soon.append(sooner)
                does = next((does for effects, does in _DOES if rule.then in effects), "holds the load")
                what = f"the rule {rule.name} {does}, and {sooner.name} before it decides first"
                expected = "what stops before what does not, and what holds before what raises"
                fix = f"move one of them, so that {rule.name} comes first"
                found = source.at_value(("rule", index, "name"), what, expected, fix)
                yield replace(found, about=(EFFECT, sooner.name))
            elif set(rule.levels) <= {level for one in same if one not in too_soon for level in one.levels}:
                what = f"the rule {rule.name} is never reached: {same[0].name} before it has the same test"
                expected, fix = "a test of its own for each rule that decides", "test something else, or take it out"
                yield source.at_value(("rule", index, "when"), what, expected, fix)
        before.append(rule)


def _goes_before_wrongly(first: Rule, second: Rule) -> bool:
    if not set(first.levels) & set(second.levels):
        return False
    if second.then in STOPS:
        return first.then not in STOPS
    if second.then in LOWERS:
        return first.then not in (*STOPS, *LOWERS)
    return second.then == "hold" and first.then in RAISES and first.then not in _LEFT_FREE.get(second.when, ())
