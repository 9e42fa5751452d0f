"""The check of what the rules do: that what protects a client stops, where it must, and before what does not."""

from collections.abc import Iterator
from pathlib import Path

from coach.content_files.content_folder import RULES
from coach.model.content import Content
from coach.model.content_entries import Effect, Rule
from coach.progression.condition_numbers import ALWAYS
from coach.progression.session_conditions import SET_CONDITIONS
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile

_STOPS: tuple[Effect, ...] = ("stop_and_review", "stop_for_today", "stop_and_easier")
_LOWERS: tuple[Effect, ...] = ("easier_now", "easier_next", "lighter_now", "after_gap_now")
_DOES = ((_STOPS, "stops the session"), (_LOWERS, "lowers the load"))
# What the rule of a test must do. A weaker effect would let a client go on who must not.
_MUST: dict[str, tuple[Effect, ...]] = {
    "warning_sign": ("stop_and_review",),
    "after_repair": ("stop_and_review",),
    "event_in_gap": ("stop_and_review",),
    "gap_to_measure": ("stop_and_review",),
    "equipment_failed": _STOPS,
    "pain_over_limit": ("stop_and_easier", "stop_and_review"),
}


def check_rule_effects(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """A test that protects a client has a rule that stops, at the check-in and, where possible, after each set."""
    source = SourceFile(folder / RULES)
    for test, effects in _MUST.items():
        rules = [(index, rule) for index, rule in enumerate(content.rules) if rule.when == test]
        named = any(rule.name == test for rule in content.rules)
        if not rules and (
            named or test not in content.messages.rules.rule
        ):  # else its message without a rule is told
            fix = f'add a [[rule]] with when = "{test}" and then = "{effects[0]}"'
            yield source.at_key(("rule",), f"no rule stops the session at {test}", "one that does", fix)
        for index, rule in rules:
            if rule.then not in effects:
                allowed = " or ".join(f'"{effect}"' for effect in effects)
                what = f'{rule.name} must stop the session, and then = "{rule.then}" does not'
                yield source.at_value(("rule", index, "then"), what, allowed, f"write then = {allowed}")
                continue
            for level in ("check_in", "set"):
                if level not in rule.levels and (level == "check_in" or test in SET_CONDITIONS):
                    what = f'{rule.name} is not tried at "{level}", so the session would go on there'
                    yield source.at_value(("rule", index, "levels"), what, f'"{level}" in the list', f'add "{level}"')


def check_rule_order(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """What stops comes first, then what lowers the load; what holds the load comes before what raises it."""
    if not any(rule.when in ALWAYS for rule in content.rules):
        return  # told as the rule that is missing
    source = SourceFile(folder / RULES)
    before: list[Rule] = []
    for index, rule in enumerate(content.rules):
        if rule.adds_to_decision:
            continue
        if any(one.when in ALWAYS for one in before):
            return  # told as what is never reached
        if rule.when not in ALWAYS:
            sooner = next((one for one in before if _goes_before_wrongly(one, rule)), None)
            if sooner is not None:
                does = next((does for effects, does in _DOES if rule.then in effects), "holds the load")
                what = f"the rule {rule.name} {does}, and {sooner.name} before it decides first"
                key: KeyPath = ("rule", index, "name")
                expected = "what stops before what does not, and what holds before what raises"
                yield source.at_value(key, what, expected, f"move one of them, so that {rule.name} comes first")
        before.append(rule)


def _goes_before_wrongly(first: Rule, second: Rule) -> bool:
    if not set(first.levels) & set(second.levels):
        return False
    if second.then in _STOPS:
        return first.then not in _STOPS
    if second.then in _LOWERS:
        return first.then not in (*_STOPS, *_LOWERS)
    return second.then == "hold" and first.then == "load_up"
