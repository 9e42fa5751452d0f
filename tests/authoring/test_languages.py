"""A language that lacks lines is spoken all the same, visibly; counts, decimals and dates are written as it does."""

import shutil
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from babel.core import Locale
from babel.dates import format_date
from babel.numbers import format_decimal
from msgspec.structs import replace

from coach.authoring.check_content import check_content
from coach.authoring.check_wording import wording_notes
from coach.authoring.filled_therapist_values import FILLED_THERAPIST_VALUES
from coach.authoring.filled_values import FILLED_VALUES
from coach.cli import main
from coach.commands.support.output import FINE
from coach.content_files.content_folder import content_folder, load_content
from coach.content_files.language_data import load_language
from coach.model.content import Content, Gap
from coach.model.message_format import ENGLISH, LocalizedLine, fill, localized, sentences
from coach.session.phrases import setup_of, setup_values, step_text
from coach.toml.diagnostic import FileFault, render
from tests.authoring.record_placeholders import recorded
from tests.demo.pristine import DEMO
from tests.plans import plan_of


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The content with a second language, whose lines say so."""
    path = Path(shutil.copytree(content_folder(), tmp_path / "content"))
    shutil.copytree(path / "en", path / "nl")
    for file in (path / "nl").glob("*.toml"):
        spoil(file, " the ", " het ")
    return path


def spoil(path: Path, old: str, new: str) -> None:
    """Change each place of a file."""
    path.write_text(path.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")


def without(path: Path, begins: str) -> None:
    """A file without the lines that begin so."""
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    kept = [line for line in lines if not line.lstrip().startswith(begins)]
    assert len(kept) < len(lines)
    path.write_text("".join(kept), encoding="utf-8")


def test_a_whole_language_stands_alone(folder: Path) -> None:
    messages = load_content(folder, "nl").messages
    assert messages.gaps == ()
    assert messages.client.rest.title == "Rest before set {set} of {sets}"
    assert "het" in messages.safety.sign["lump"] + messages.client.today.what_follows


def test_what_is_torn_in_the_first_language_is_not_a_fault_of_the_second(folder: Path) -> None:
    spoil(folder / "en" / "external_rotation.toml", 'text = "Keep the small gap at your elbow."', 'text = "Keep')
    told = {fault.path.parent.name for fault in check_content(folder)}
    assert told == {"en"}


def test_each_missing_line_is_said_in_english_and_named(folder: Path) -> None:
    english = load_content(folder, "en").messages
    without(folder / "nl" / "safety.toml", "emergency =")
    without(folder / "nl" / "external_rotation.toml", 'text = "Keep het small gap')
    without(folder / "nl" / "safety.toml", '"Do not let go of a stretched band')
    messages = load_content(folder, "nl").messages
    assert messages.safety.urgency["emergency"] == english.safety.urgency["emergency"]
    assert messages.exercises["external_rotation"].at("0").cue("elbow_drifted") == "Keep the small gap at your elbow."
    # A list is as long as in English, so that no caution is missing.
    assert len(messages.safety.cautions) == len(english.safety.cautions)
    assert messages.safety.cautions[-1] == english.safety.cautions[-1]
    assert {gap.key for gap in messages.gaps} == {
        "position.0.cues.elbow_drifted.text",
        "urgency.emergency",
        f"cautions.{len(english.safety.cautions)}",
    }


def test_a_missing_file_is_said_in_english_when_it_is_read(folder: Path) -> None:
    for name in ("form.toml", "coach.toml"):
        (folder / "nl" / name).unlink()
    without(folder / "nl" / "therapist.toml", 'title = "History of')
    told: list[Gap] = []
    messages = load_content(folder, "nl", on_gaps=told.extend).messages
    assert messages.gaps == (Gap(str(folder / "nl" / "form.toml"), ""),)
    assert told == []
    assert messages.coach.schemas_written == load_content(folder, "en").messages.coach.schemas_written
    assert messages.therapist.history.title == "History of {profile}"
    assert told == [
        Gap(str(folder / "nl" / "coach.toml"), ""),
        Gap(str(folder / "nl" / "therapist.toml"), "history.title"),
    ]


@pytest.mark.parametrize(
    ("file", "old", "new", "phrase"),
    [
        ("rules.toml", 'lowest = "', 'lowest = 3 #"', "text in quotes"),
        ("form.toml", "[question.blade]", "[question.blad]", "there is no question.blad in the messages of en"),
        ("safety.toml", "format = 1", "format = 7", "newer"),
        ("client.toml", "[keys]", "[keys", "not closed"),
    ],
)
def test_a_wrong_line_is_told_in_its_own_file(folder: Path, file: str, old: str, new: str, phrase: str) -> None:
    spoil(folder / "nl" / file, old, new)
    with pytest.raises(FileFault) as told:
        load_content(folder, "nl")
    assert {fault.path for fault in told.value.faults} == {folder / "nl" / file}
    assert phrase in render(told.value.faults[0])


def test_what_both_lack_is_told_of_the_one_that_stands_in(folder: Path) -> None:
    without(folder / "en" / "client.toml", "resume =")
    assert load_content(folder, "nl").messages.client.keys.resume == "go on"
    without(folder / "nl" / "client.toml", "resume =")
    with pytest.raises(FileFault) as told:
        load_content(folder, "nl")
    assert {fault.path for fault in told.value.faults} == {folder / "en" / "client.toml"}


@pytest.mark.parametrize("name", ["en", "de", "fr", "pl", "ar", "ja"])
def test_the_form_that_a_count_takes_is_the_one_of_cldr(name: str) -> None:
    language, locale = load_language(name), Locale.parse(name)
    assert set(language.forms) == locale.plural_form.tags | {"other"}
    for count in (*map(str, range(220)), "1.0", "1.5", "2.37"):
        assert language.forms[language.plural_index(count)] == locale.plural_form(Decimal(count)), count


def test_a_count_chooses_the_word_beside_it() -> None:
    line = "{sets} {sets|set|sets} of {repetitions} {repetitions|repetition|repetitions}, {sets"
    assert fill(line, {"sets": 1, "repetitions": 12}) == "1 set of 12 repetitions, {sets"
    assert fill(line, {"sets": 3, "repetitions": "1"}) == "3 sets of 1 repetition, {sets"
    assert fill("{sets|set|sets}", {}) == "{sets|set|sets}"
    polish = LocalizedLine("{n} {n|powtórzenie|powtórzenia|powtórzeń|powtórzenia}", load_language("pl"))
    assert [fill(polish, {"n": n}).split()[1] for n in (1, 2, 5, 22)] == [
        "powtórzenie",
        "powtórzenia",
        "powtórzeń",
        "powtórzenia",
    ]


def test_decimals_and_dates_are_written_as_the_language_does() -> None:
    german = load_language("de")
    line = LocalizedLine("{nm} Nm, {change} %, {whole} cm, {day}, {at}, {name}", german)
    values = {
        "nm": "2.37",
        "change": "+0.5",
        "whole": 150,
        "day": "2026-03-04",
        "at": "2026-03-04 18:05",
        "name": "v1.2",
    }
    number, written = format_decimal(Decimal("2.37"), locale="de"), format_date(date(2026, 3, 4), locale="de")
    assert fill(line, values) == f"{number} Nm, +0,5 %, 150 cm, {written}, {written}, 18:05, v1.2"
    assert (number, written) == ("2,37", "04.03.2026")
    assert fill(str(line), values) == "2.37 Nm, +0.5 %, 150 cm, 2026-03-04, 2026-03-04 18:05, v1.2"
    assert localized("12:30", line) == "12:30"


def test_a_language_that_cldr_does_not_know_is_written_as_english() -> None:
    assert load_language("zz") is ENGLISH


@pytest.mark.parametrize(
    ("file", "old", "new", "phrase"),
    [
        ("external_rotation.toml", "{landmark}", "{landmarc}", "nearest: landmark"),
        ("client.toml", "{seconds|second|seconds} left", "{seconds|second} left", "1 of 2 forms"),
        ("therapist.toml", "History of {profile}", "History of {name}", "{name} is not filled in here"),
    ],
)
def test_a_place_that_nothing_fills_is_told(folder: Path, file: str, old: str, new: str, phrase: str) -> None:
    path = folder / "nl" / file
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    (fault,) = check_content(folder)
    assert fault.path == path
    assert new in fault.text
    assert phrase in render(fault)


def test_a_misspelt_place_in_english_is_told_there_and_not_in_the_other_language(folder: Path) -> None:
    page, setup = folder / "en" / "therapist.toml", folder / "en" / "external_rotation.toml"
    spoil(page, "History of {profile}", "History of {profil}")
    spoil(setup, "about {feet} foot", "about {foot} foot")
    told = [(fault.path.parent.name, fault.path.name, fault.what) for fault in check_content(folder)]
    assert told[-1] == ("en", "therapist.toml", "{profil} is not filled in here")
    assert set(told[:-1]) == {("en", "external_rotation.toml", "{foot} is not filled in here")}


def test_the_record_of_filled_values_is_that_of_the_english_messages() -> None:
    assert recorded() == {**FILLED_VALUES, **FILLED_THERAPIST_VALUES}


def test_a_misspelt_place_in_another_language_is_not_laid_to_english(folder: Path) -> None:
    spoil(folder / "nl" / "therapist.toml", "History of {profile}", "History of {profil}")
    (fault,) = check_content(folder)
    assert fault.path == folder / "nl" / "therapist.toml"


# file, what is written, what is written instead, the text at which the fault stands, and how many are too many
TOO_LONG: tuple[tuple[str, str, str, str, int], ...] = (
    (
        "de/internal_rotation.toml",
        "Die Brust zeigt immer auf denselben Punkt.",
        "Die Brust zeigt den ganzen Satz lang auf denselben Punkt vorn.",
        '"Die Brust zeigt den ganzen',
        6,
    ),
    ("de/internal_rotation.toml", 'out = "drehen"', 'out = "einwärts"', '"einwärts"', 1),
    ("en/client.toml", 'relax = "wait"', 'relax = "slackened"', '"slackened"', 2),
    ("de/client.toml", 'stop_set = "Satz beenden"', 'stop_set = "diesen Satz beenden"', '"diesen Satz', 5),
    (
        "de/client.toml",
        'title = "Halt. Hand langsam',
        'title = "Achtung. Hand langsam',
        '"Achtung. Hand ',
        1,
    ),
)


@pytest.mark.parametrize(("file", "old", "new", "at", "over"), TOO_LONG)
def test_a_line_too_long_for_its_place_is_told(
    tmp_path: Path, file: str, old: str, new: str, at: str, over: int
) -> None:
    path = Path(shutil.copytree(content_folder(), tmp_path / "content")) / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    (fault,) = check_content(tmp_path / "content")
    line = next(number for number, said in enumerate(path.read_text("utf-8").split("\n"), 1) if at in said)
    assert (fault.path, fault.line, fault.column) == (path, line, fault.text.index(at) + 1)
    assert f"; it is {over} too many" in fault.what


def test_german_is_whole() -> None:
    messages = load_content(content_folder(), "de").messages
    assert messages.gaps == ()


def test_a_german_client_is_led_in_german(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tern = Path(shutil.copytree(DEMO / "tern", tmp_path / "tern"))
    spoil(tern / "profile.toml", 'language = "en"', 'language = "de"')
    assert main(["preview", str(tern)]) == FINE
    preview = capsys.readouterr().out
    assert "Heute: Arm am Körper (0 Grad)" in preview
    assert " Nm, wahrscheinlich" in " ".join(preview.split())
    assert main(["handout", str(tern), "--to", str(tmp_path / "tern.pdf")]) == FINE
    answers = tmp_path / "answers.toml"
    answers.write_text("format = 1\n", encoding="utf-8")
    assert main(["rehearse", str(tern), "--plain", "--speed", "10000", "--answers", str(answers)]) == FINE
    told = capsys.readouterr().out
    assert "Satz 3 von 3" in told
    assert "Das war eine Probe" in told
    assert "Repetition " not in told


def cues_of(content: Content) -> dict[str, tuple[str, ...]]:
    """Each cue of the row with its variants, by its fault."""
    return {cue.fault: (cue.text, *cue.variants) for cue in content.messages.exercises["row"].at("0").cues}


def test_a_language_has_its_own_variants_of_a_cue_and_lacks_none(folder: Path) -> None:
    """More or fewer than English has: those of another language are never mixed in."""
    row = folder / "nl" / "row.toml"
    without(row, "variants =")
    spoil(row, 'fault = "band_slack"\n', 'fault = "band_slack"\nvariants = ["Strak houden."]\n')
    content = load_content(folder, "nl")
    assert content.messages.gaps == ()
    cues = cues_of(content)
    assert len(cues_of(load_content(folder, "en"))["elbow_behind"]) == 3
    assert len(cues["elbow_behind"]) == 1
    assert cues["band_slack"][1:] == ("Strak houden.",)
    assert check_content(folder) == ()


def test_a_clinics_own_cue_has_no_variants_but_its_own(tmp_path: Path) -> None:
    own = tmp_path / "clinic" / "en" / "row.toml"
    own.parent.mkdir(parents=True)
    own.write_text(
        'format = 1\n\n[[position.0.cues]]\nfault = "elbow_behind"\ntext = "As far as your side."\n', encoding="utf-8"
    )
    assert cues_of(load_content(content_folder(), "en", own.parent.parent))["elbow_behind"] == (
        "As far as your side.",
    )


def test_the_enter_key_has_one_name_in_german() -> None:
    """The one on the key itself, as in the line of keys: two names for it would be two keys."""
    texts = [file for pattern in ("*.toml", "*.md") for file in (content_folder() / "de").glob(pattern)]
    assert [file.name for file in texts if "Eingabetaste" in file.read_text(encoding="utf-8")] == []
    assert "Enter" in (content_folder() / "de" / "client.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Stand on the mark. Raise the hand.", ("Stand on the mark.", "Raise the hand.")),
        ("Hand zur Wand, z. B. zur Tür. {side} bleibt.", ("Hand zur Wand, z. B. zur Tür.", "{side} bleibt.")),
        ("Point, e.g. at a door, i.e. A. Then stop.", ("Point, e.g. at a door, i.e. A. Then stop.",)),
        ("Go ca. 10 cm, approx. a hand.  Hold.", ("Go ca. 10 cm, approx. a hand.", "Hold.")),
        ("Über 2.5 m. Ärmel hoch.", ("Über 2.5 m.", "Ärmel hoch.")),
        ("", ("",)),
    ],
)
def test_an_abbreviation_ends_no_sentence(text: str, parts: tuple[str, ...]) -> None:
    assert sentences(text) == parts


def test_the_sentences_of_a_message_are_of_its_language() -> None:
    first, second = sentences(LocalizedLine("Bei {depth} m halten. Dann los.", load_language("de")))
    assert fill(first, {"depth": "0.5"}) == "Bei 0,5 m halten."
    assert second == "Dann los."


def test_a_client_reads_an_abbreviation_in_one_line(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(content_folder(), tmp_path / "content"))
    spoil(folder / "de" / "external_rotation.toml", "führen, so weit", "führen, z. B. zur Wand, so weit")
    plan = replace(plan_of("tern"), content=load_content(folder, "de"))
    lines = step_text("reach", plan, setup_values(plan, setup_of(plan, plan.step))).lines
    assert len(lines) == 2
    assert "z. B. zur Wand" in lines[1]


def test_a_cue_with_an_abbreviation_is_one_instruction(folder: Path) -> None:
    before = {note.what for note in wording_notes(folder)}
    spoil(
        folder / "en" / "internal_rotation.toml", "Point your chest at one spot.", "Point it at, e.g. Y or Z, always."
    )
    assert {note.what for note in wording_notes(folder)} == before
