"""What the conditions of the rules give: the numbers for a message, and which condition always matches.

tests/authoring/test_declared.py compares the table with the code of the conditions.
"""

from collections.abc import Mapping

# The numbers of each condition, by its name in CONDITIONS.
CONDITION_NUMBERS: Mapping[str, tuple[str, ...]] = {
    "warning_sign": ("sign",),
    "after_repair": ("weeks", "limit"),
    "equipment_failed": ("what",),
    "pain_over_limit": ("pain", "limit"),
    "pain_left_open": ("pain",),
    "pain_stop_again": ("pain", "stops", "why"),
    "not_settled": ("pain",),
    "pain_above_usual": ("pain", "usual"),
    "pain_stays_up": ("times",),
    "event_in_gap": ("what",),
    "gap_to_measure": ("days", "limit"),
    "pain_rising": ("this_week", "last_week"),
    "pain_rising_fast": ("this_week", "last_week"),
    "long_gap": ("days", "limit"),
    "twelve_weeks": ("weeks", "limit"),
    "band_too_heavy": ("set", "fault"),
    "not_all_asked": ("what",),
    "timing_off": ("took", "right"),
    "under_performed": ("sessions", "lowest", "bottom"),
    "no_set_done": (),
    "measured_fault": ("measured",),
    "check_not_met": ("what",),
    "unclean": ("faults", "not_sure", "missing"),
    "other_band": ("grade",),
    "pain_near_limit": ("pain", "usual"),
    "pain_not_said": (),
    "not_clear": ("why",),
    "settled_late": (),
    "pain_masked": ("what",),
    "held_by_condition": ("what",),
    "second_today": ("goal",),
    "familiarisation": ("day", "limit"),
    "repetitions_up": ("goal", "top"),
    "load_frozen": ("until",),
    "position_ready": ("sessions", "next"),
    "programme_complete": ("sessions",),
    "another_rises": ("exercise",),
    "load_up": ("sessions", "top"),
    "otherwise": ("missing", "goal", "top", "more"),
}
# Conditions that match after every session, so that a decision is always made.
ALWAYS = frozenset({"otherwise"})
# The tests of the caseload that look for rules, and those that read a limit: without one they would find nobody.
NEEDS_WITH_RULES = frozenset({"in_review_by", "decided_by"})
NEEDS_WITH_LIMIT = frozenset({"under_performing", "not_seen", "not_begun", "weeks_on", "irritability_old"})
