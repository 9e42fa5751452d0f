"""What the check says of a content that protects a client less than the one that came with the program."""

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from coach.authoring.check import check_folder, notes_on_clinic
from coach.authoring.check_unused import check_file_names
from coach.authoring.protection.less_protection import check_protection, gone_notes
from coach.authoring.protection.rule_effects import check_rule_effects
from coach.content_files.caseload_needs import NEEDS
from coach.content_files.content_folder import FORM, ContentFiles, content_folder
from coach.model.content import Content
from tests.authoring.what_protects import RECORD, lines
from tests.demo.pristine import DEMO
from tests.plans import shipped


def with_entry(content: Content, kind: str, name: str, change: Mapping[str, Any] | None) -> Content:
    """A content with one entry changed, or without it."""
    entries = getattr(content, kind)
    values = list(entries.values() if isinstance(entries, Mapping) else entries)
    kept = [one if one.name != name else one.model_copy(update=dict(change or {})) for one in values]
    kept = [one for one in kept if change is not None or one.name != name]
    changed: Any = {one.name: one for one in kept} if isinstance(entries, Mapping) else tuple(kept)
    return replace(content, **{kind: changed})


def told(content: Content) -> list[str]:
    return [fault.what for fault in check_protection(ContentFiles(content_folder()), content)]


LESS = "protects a client less than the program's own content"


def test_what_protects_in_the_program_is_as_it_is_recorded() -> None:
    """What is meant to change here is written again: python -m tests.authoring.what_protects."""
    assert list(lines(shipped())) == RECORD.read_text(encoding="utf-8").splitlines()
    assert told(shipped()) == []


@pytest.mark.parametrize(
    ("kind", "name", "change", "what"),
    [
        ("signs", "lump", None, "the sign lump is gone: without it a client with this sign would train on"),
        ("signs", "lump", {"urgency": "therapist"}, f"urgency of lump {LESS}"),
        ("signs", "tingling", {"asked": ("check_in",)}, f"asked of tingling {LESS}"),
        ("regions", "chest", None, "the region chest is gone: without it pain there would count as pain of the"),
        ("regions", "chest", {"sign": None}, f"sign of chest {LESS}"),
        ("checks", "anchor_holds", {"on_no": "mend_once"}, f"on_no of anchor_holds {LESS}"),
        ("questions", "shrug", {"overload": False}, f"overload of shrug {LESS}"),
        ("questions", "shrug", {"harmless": True}, f"harmless of shrug {LESS}"),
        ("conditions", "latex_allergy", None, "the condition latex_allergy is gone: without it nothing is closed"),
        ("conditions", "cuff_repair", {"floor_weeks": 1}, f"floor_weeks of cuff_repair {LESS}"),
        ("conditions", "cuff_repair", {"floor_weeks": None}, f"floor_weeks of cuff_repair {LESS}"),
        ("conditions", "instability", {"closed_above_deg": 80}, f"closed_above_deg of instability {LESS}"),
        (
            "conditions",
            "subscapularis_repair",
            {"range_max_deg": 40},
            f"range_max_deg of subscapularis_repair {LESS}",
        ),
        ("conditions", "cancer", {"night_pain_stays_a_sign": False}, f"night_pain_stays_a_sign of cancer {LESS}"),
        ("limits", "pain_max", {"high": 10}, "high 10 of pain_max is above 5, the bound that protects a client"),
        (
            "limits",
            "pain_review",
            {"high": 10},
            "high 10 of pain_review is above 8, the bound that protects a client",
        ),
        ("limits", "repair_weeks", {"low": 1}, "low 1 of repair_weeks is below 12, the bound that protects a client"),
        ("limits", "u_mark_m", {"low": 0.0}, "low 0 of u_mark_m is below 0.001, the bound that protects a client"),
        ("limits", "light_effort", {"high": 9}, "high 9 of light_effort is above 5, the bound that protects a"),
        (
            "limits",
            "measured_range_lost_deg",
            {"high": 90},
            "high 90 of measured_range_lost_deg is above 30, the bound that protects a client",
        ),
        (
            "limits",
            "answers_relied_on",
            {"low": 0.0},
            "low 0 of answers_relied_on is below 0.5, the bound that protects a client",
        ),
        ("rules", "pain_masked", {"then": "tell"}, 'pain_masked must hold the load, and then = "tell" does not'),
        ("rules", "not_settled", {"then": "hold"}, 'not_settled must lower the load, and then = "hold" does not'),
        ("rules", "twelve_weeks", {"then": "tell"}, 'twelve_weeks must ask for a review, and then = "tell" does not'),
        ("rules", "not_settled", {"too_much": False}, "not_settled is a load that was too much, and too_much is not"),
        ("rules", "band_too_heavy", {"levels": ("session",)}, 'band_too_heavy is not tried at "set", so the load'),
    ],
)
def test_less_protection_than_in_the_program_is_told(
    kind: str, name: str, change: dict[str, Any] | None, what: str
) -> None:
    assert [one[: len(what)] for one in told(with_entry(shipped(), kind, name, change))] == [what]


@pytest.mark.parametrize(
    ("kind", "name", "change"),
    [
        ("signs", "lump", {"urgency": "emergency", "asked": ("check_in", "set")}),
        ("checks", "face_clear", {"on_no": "stop"}),
        ("questions", "elbow", {"overload": True, "harmless": False}),
        ("conditions", "injection", {"no_rise_days": 42, "needs_permission": True}),
        ("limits", "pain_max", {"high": 3, "value": 2}),
        ("limits", "repair_weeks", {"high": 52}),
        ("limits", "reading_s", {"high": 600}),
        ("rules", "pain_masked", {"then": "stop_and_review"}),
        ("rules", "pain_rising", {"then": "then_review"}),
        ("rules", "load_up", {"then": "hold"}),
    ],
)
def test_more_protection_and_what_protects_nobody_are_left_to_the_coach(
    kind: str, name: str, change: dict[str, Any]
) -> None:
    assert told(with_entry(shipped(), kind, name, change)) == []


def test_a_rule_that_protects_is_missed_when_its_words_are_gone_as_well() -> None:
    content = with_entry(shipped(), "rules", "pain_masked", None)
    words = {name: one for name, one in content.messages.rules.rule.items() if name != "pain_masked"}
    messages = replace(content.messages, rules=content.messages.rules.model_copy(update={"rule": words}))
    files = ContentFiles(content_folder())
    found = [fault.what for fault in check_rule_effects(files, replace(content, messages=messages))]
    assert found == ["no rule holds the load at pain_masked"]


def test_a_sign_that_is_taken_out_of_every_file_at_once_is_missed(tmp_path: Path) -> None:
    folder = tmp_path / "content"
    shutil.copytree(content_folder(), folder, ignore=shutil.ignore_patterns("schema"))
    safety = folder / "safety.toml"
    entries = safety.read_text(encoding="utf-8").split("\n[[")
    safety.write_text("\n[[".join(one for one in entries if 'name = "lump"' not in one), encoding="utf-8")
    for path in (folder / "en" / "safety.toml", folder / "de" / "safety.toml", folder / "hazards.toml"):
        text = path.read_text(encoding="utf-8").replace('"sign:lump", ', "")
        kept = [line for line in text.split("\n") if not line.startswith("lump = ")]
        path.write_text("\n".join(kept), encoding="utf-8")
    assert [fault.what for fault in check_folder(folder)] == [
        "the sign lump is gone: without it a client with this sign would train on"
    ]


def test_a_need_that_is_gone_is_missed(tmp_path: Path) -> None:
    for path in content_folder().glob("*.toml"):
        shutil.copy(path, tmp_path)
    needs = tmp_path / NEEDS
    entries = needs.read_text(encoding="utf-8").split("\n[[")
    needs.write_text("\n[[".join(one for one in entries if 'name = "equipment"' not in one), encoding="utf-8")
    found = [fault.what for fault in check_protection(ContentFiles(tmp_path), shipped())]
    assert found == ["the need equipment is gone: without it nobody is told of it"]


def test_a_file_that_an_editor_saved_under_another_name_is_told(tmp_path: Path) -> None:
    (tmp_path / "en").mkdir()
    for name in ("row.toml", "row.toml.txt"):
        (tmp_path / "en" / name).touch()
    assert [(fault.path.name, fault.fix) for fault in check_file_names(tmp_path)] == [
        ("row.toml.txt", "put it in place of row.toml if it is newer, or remove it")
    ]


def test_a_question_with_another_name_is_noted(tmp_path: Path) -> None:
    form = (content_folder() / FORM).read_text(encoding="utf-8")
    (tmp_path / FORM).write_text(form.replace('name = "thumb"', 'name = "thumbs"'), encoding="utf-8")
    assert [(note.what.partition(":")[0], note.fix) for note in gone_notes(tmp_path)] == [
        ("the question thumb of the program is not here", 'if it only got another name, write name = "thumb" again')
    ]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A client whose limits the clinic has moved."""
    shutil.copytree(DEMO / "tern", tmp_path / "tern")
    (tmp_path / "clinic").mkdir()
    (tmp_path / "clinic" / "limits.toml").write_text(
        "format = 1\n[limits]\nlonger_gap_load = 0.9\n", encoding="utf-8"
    )
    return tmp_path


def test_a_client_whose_limit_passes_one_that_the_clinic_moved_is_told(home: Path) -> None:
    """Neither is out of its bounds, and with the program's own value of the other, 0.8, the client's is in order."""
    prescription = home / "tern" / "prescription.toml"
    text = prescription.read_text(encoding="utf-8")
    assert "[limits]" not in text
    prescription.write_text(text.replace("[dose]", "[limits]\nlong_gap_load = 0.85\n\n[dose]", 1), encoding="utf-8")
    assert [fault.what for fault in check_folder(home)] == ["long_gap_load = 0.85 is less than longer_gap_load = 0.9"]


def test_a_caution_of_the_clinic_that_some_cannot_read_is_noted(home: Path) -> None:
    english, german = (home / "clinic" / language for language in ("en", "de"))
    for folder, cautions in ((english, '["Take your rings off.", "Drink."]'), (german, '["Legen Sie Ringe ab."]')):
        folder.mkdir()
        (folder / "safety.toml").write_text(f"format = 1\ncautions = {cautions}\n", encoding="utf-8")
    assert [note.what for note in notes_on_clinic(home)] == ["clients who read de see 1 of these 2"]
    (german / "safety.toml").unlink()
    found = [*notes_on_clinic(home)]
    assert [(note.path.parent.name, note.what) for note in found] == [
        ("en", "clients who read de do not see what is here")
    ]
    (english / "safety.toml").unlink()
    assert [*notes_on_clinic(home)] == []
