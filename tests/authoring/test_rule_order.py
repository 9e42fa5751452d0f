"""What the check says of rules that no longer protect, and of limits that no longer mean what their unit says."""

from collections.abc import Iterable
from typing import Any

import pytest
from msgspec.structs import replace

from coach.authoring.protection.rule_effects import check_rule_effects
from coach.content_files.check_limit_values import check_limit_values
from coach.content_files.check_rule_order import check_rule_order
from coach.content_files.content_folder import ContentFiles, content_folder, load_content
from coach.model.content import Content
from coach.model.content_entries import Rule


@pytest.fixture(scope="module")
def content() -> Content:
    return load_content(content_folder(), "en")


def with_rules(content: Content, rules: Iterable[Rule], without_words_of: str = "") -> Content:
    words = {name: one for name, one in content.messages.rules.rule.items() if name != without_words_of}
    messages = replace(content.messages, rules=content.messages.rules.model_copy(update={"rule": words}))
    return replace(content, rules=tuple(rules), messages=messages)


def with_rule(content: Content, name: str, change: dict[str, Any]) -> Content:
    return with_rules(content, (one.model_copy(update=change if one.name == name else {}) for one in content.rules))


def with_limit(content: Content, name: str, change: dict[str, float]) -> Content:
    moved = tuple(one.model_copy(update=change if one.name == name else {}) for one in content.limits)
    return replace(content, limits=moved)


def effects(content: Content) -> list[str]:
    return [fault.what for fault in check_rule_effects(ContentFiles(content_folder()), content)]


def order(content: Content) -> list[str]:
    return [fault.what for fault in check_rule_order(content_folder(), content)]


def test_what_lowers_the_load_comes_before_what_does_not(content: Content) -> None:
    names = [rule.name for rule in content.rules]
    lower = next(rule for rule in content.rules if rule.then == "easier_next")
    others = [rule for rule in content.rules if rule is not lower]
    at = names.index("load_up")
    found = order(with_rules(content, (*others[:at], lower, *others[at:])))
    assert any(f"the rule {lower.name} lowers the load, and" in one for one in found)


@pytest.mark.parametrize("test", ["warning_sign", "event_in_gap", "gap_to_measure"])
def test_a_protecting_test_that_no_rule_asks_for_is_told_also_where_its_name_is_still_there(
    content: Content, test: str
) -> None:
    renamed = [
        one.model_copy(update={"name": test if one.when == test else one.name, "when": "otherwise"})
        if one.when == test
        else one
        for one in content.rules
    ]
    assert f"no rule stops the session at {test}" in effects(with_rules(content, renamed))


def test_the_shipped_rules_and_limits_have_no_fault(content: Content) -> None:
    assert effects(content) == order(content) == []
    assert [*check_limit_values(content_folder(), content)] == []


@pytest.mark.parametrize(
    ("rule", "change", "told"),
    [
        ("warning_sign", {"then": "tell"}, 'warning_sign must stop the session, and then = "tell" does not'),
        (
            "warning_sign",
            {"then": "stop_for_today"},
            'warning_sign must stop the session, and then = "stop_for_today"',
        ),
        ("pain_over_limit", {"then": "hold"}, 'pain_over_limit must stop the session, and then = "hold" does not'),
        ("pain_over_limit", {"levels": ("check_in",)}, 'pain_over_limit is not tried at "set"'),
        ("equipment_failed", {"levels": ("set",)}, 'equipment_failed is not tried at "check_in"'),
    ],
)
def test_a_rule_that_protects_cannot_be_weakened(
    content: Content, rule: str, change: dict[str, Any], told: str
) -> None:
    assert [what[: len(told)] for what in effects(with_rule(content, rule, change))] == [told]


def test_a_rule_that_protects_cannot_be_taken_away_with_its_words(content: Content) -> None:
    rules = [rule for rule in content.rules if rule.name != "pain_over_limit"]
    assert effects(with_rules(content, rules)) == []  # its words are left, and told instead
    assert effects(with_rules(content, rules, without_words_of="pain_over_limit")) == [
        "no rule stops the session at pain_over_limit"
    ]


@pytest.mark.parametrize(
    ("moved", "before", "told"),
    [
        ("load_up", "unclean", "the rule unclean holds the load, and load_up before it decides first"),
        ("not_settled", "warning_sign", "the rule warning_sign stops the session, and not_settled before it"),
        (
            "load_up",
            "pain_near_limit",
            "the rule pain_near_limit holds the load, and load_up before it decides first",
        ),
    ],
)
def test_what_stops_or_holds_comes_first(content: Content, moved: str, before: str, told: str) -> None:
    one = next(rule for rule in content.rules if rule.name == moved)
    rules = [rule for rule in content.rules if rule is not one]
    rules.insert([rule.name for rule in rules].index(before), one)
    assert order(with_rules(content, rules))[0].startswith(told)


@pytest.mark.parametrize(
    ("limit", "change", "told"),
    [
        ("load_rise_max", {"value": 10, "low": 5, "high": 10}, "value 10 of load_rise_max is more than its unit can"),
        ("pain_review", {"high": 12}, "high 12 of pain_review is more than its unit can mean"),
        ("u_mark_m", {"value": 5, "high": 5}, "value 5 of u_mark_m is more than its unit can mean"),
        ("sessions_in_a_row", {"value": 2.5}, "value 2.5 of sessions_in_a_row is not a whole number"),
        ("long_gap_days", {"value": 30, "high": 40}, "long_gap_days = 30 is more than longer_gap_days = 28"),
    ],
)
def test_a_limit_means_what_its_unit_says(content: Content, limit: str, change: dict[str, float], told: str) -> None:
    found = [fault.what for fault in check_limit_values(content_folder(), with_limit(content, limit, change))]
    assert [what[: len(told)] for what in found][:1] == [told]
