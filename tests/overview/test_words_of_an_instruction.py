"""What a signed instruction says is in the words of its form, in the language of the reader."""

from datetime import date, timedelta
from typing import get_args

import pytest

from coach.content_files.content_folder import content_folder, load_content
from coach.model.instruction import Change, Instruction
from coach.model.load_step import ChosenStep
from coach.model.record import Status
from coach.overview.day_in_words import written_day
from coach.overview.instruction_lines import instruction_due, instruction_text
from coach.screens.therapist.instruction_forms import form_of
from tests.clocks import START
from tests.plans import shipped


def _text(language: str, **values: object) -> str:
    messages = load_content(content_folder(), language).messages
    given = {"at": START, "initials": "KB", "reason": "it went well", **values}
    return instruction_text(Instruction.model_validate(given), messages)


def test_a_load_is_told_by_the_labels_of_the_form_and_not_by_the_keys_of_the_file() -> None:
    load = ChosenStep(grade="knotted", strands=1, distance_cm=75)
    told = _text("en", what="overrule", load=load)
    assert told == "overrule load or repetitions (Band: knotted; Strands: 1; Distance, cm: 75)"
    assert "Band: knotted" in _text("de", what="overrule", load=load)
    assert "Abstand, cm: 75" in _text("de", what="overrule", load=load)


def test_a_changed_limit_has_its_plain_words_with_its_name() -> None:
    changed = (
        Change(key="limits.pain_max", was="4", now="3"),
        Change(key="dose.sets", was="3", now="2"),
    )
    told = _text("en", what="change", changed=changed)
    assert "Highest pain that is allowed, pain_max: 4 -> 3" in told
    assert "Sets: 3 -> 2" in told
    assert "limits." not in told + _text("de", what="change", changed=changed)


def test_every_limit_has_words_of_its_own_in_both_languages() -> None:
    for language in ("en", "de"):
        words = load_content(content_folder(), language).messages.therapist.steering.limit
        assert set(words) == {limit.name for limit in shipped().limits}
        assert len(set(words.values())) == len(words)
        assert not any("_" in text for text in words.values())


def test_a_day_is_written_as_people_write_it() -> None:
    """The date formats of Unicode CLDR, which Babel holds: MMMMd."""
    day = date(2026, 11, 26)
    assert written_day(day, "en", None) == "November 26"
    assert written_day(day, "en", "en_GB") == "26 November"
    assert written_day(day, "de", None) == "26. November"
    assert written_day(day, "de", "en_GB") == "26. November"
    assert written_day(day, "xx", None) == "2026-11-26"


def test_in_review_its_end_is_signed_next_and_else_the_programme_is_changed() -> None:
    due = {status: instruction_due(status, (START,), START) for status in get_args(Status)}
    assert due == {"review": "end_review", **dict.fromkeys(("active", "paused", "complete"), "change")}
    assert (form_of("end_review").key, form_of("change").part) == ("e", "dose")


@pytest.mark.parametrize("status", get_args(Status))
def test_a_date_to_come_is_put_right_before_all_else(status: Status) -> None:
    assert instruction_due(status, (START, START + timedelta(days=1)), START) == "correct_date"


_SIGNED = {
    "en": "clear a position (Position: 90; Apprehension on testing: absent; Missing but waived: the strength "
    "measured in this position, the positions of the goal before this one; Conditions known: "
    "a repair of the rotator cuff (2026-11-23), cancer in the past (2019-02-01))",
    "de": "Stellung freigeben (Stellung: 90; Apprehension im Test: nicht vorhanden; Fehlt, verzichtet: die Kraft, "
    "gemessen in dieser Haltung, die Haltungen des Ziels vor dieser; Bekannte Befunde: "
    "eine Naht der Rotatorenmanschette (23.11.2026), eine frühere Krebserkrankung (01.02.2019))",
}


@pytest.mark.parametrize("language", _SIGNED)
def test_conditions_and_findings_are_named_as_the_content_names_them(language: str) -> None:
    known = ({"kind": "cuff_repair", "on": date(2026, 11, 23)}, {"kind": "cancer", "on": date(2019, 2, 1)})
    said = {"position": "90", "apprehension": "absent", "despite": ("strength", "order"), "conditions": known}
    assert _text(language, what="unlock_position", **said) == _SIGNED[language]


@pytest.mark.parametrize("language", ["en", "de"])
def test_where_no_condition_was_known_nothing_is_said(language: str) -> None:
    names = load_content(content_folder(), language).messages.therapist.steering.instruction
    told = _text(language, what="allow_strengthening", conditions=())
    assert told == names["allow_strengthening"].name


def test_a_number_and_a_day_are_written_as_the_language_does() -> None:
    capped = {"what": "cap_range", "position": "45", "available_deg": 62.5}
    assert "62.5" in _text("en", **capped)
    assert "62,5" in _text("de", **capped)
    assert "31.12.2026" in _text("de", what="freeze_load", until=date(2026, 12, 31))
