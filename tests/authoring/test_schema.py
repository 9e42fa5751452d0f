"""The schemas for editors say what the models say. Independent: the validator is the jsonschema library's."""

import json
import os
import tomllib
from collections.abc import Callable, Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from coach.authoring.schema import KINDS, SCHEMA, schema_of
from coach.cli import main
from coach.commands.support.output import FAULTS, FINE
from coach.content_files.content_folder import content_folder, exercise_files, languages
from coach.model.answers_file import Answers
from coach.toml.reader import parse_model
from tests.demo.pristine import DEMO, TREE
from tests.toml.test_diagnostics import BAD, GOOD

CONTENT = content_folder()
SHARED = {"limits": "limits", "rules": "rules", "form": "form", "safety": "safety", "caseload": "caseload"}
CLIENT = {"profile": "profile", "prescription": "prescription"}
PROGRAMME = ("programme", "instruction")
# What a schema cannot say: syntax, what one key has to do with another, and where JSON is looser than TOML.
BEYOND_A_SCHEMA = {
    "point_for_whole", "infinite", "text_for_date", "no_offset", "swapped", "position_twice", "unlock_elsewhere",
    "band_twice", "not_stretched", "far_before_near", "escape_byte", "bidirectional",
}  # fmt: skip


def _shipped() -> Iterator[tuple[Path, str]]:
    """Every hand-written file that comes with the program, and its kind."""
    exercises = [path.stem for path in exercise_files(CONTENT)]
    yield from ((path, "exercise") for path in exercise_files(CONTENT))
    yield from ((CONTENT / f"{stem}.toml", kind) for stem, kind in SHARED.items())
    for language in languages(CONTENT):
        for path in sorted((CONTENT / language).glob("*.toml")):
            yield path, "exercise_messages" if path.stem in exercises else f"{path.stem}_messages"
    for client in sorted(path.parent for path in (DEMO).glob("*/profile.toml")):
        files = ((client / f"{stem}.toml", kind) for stem, kind in CLIENT.items())
        yield from ((file, kind) for file, kind in files if file.exists())
        yield from ((file, "programme") for file in sorted(client.glob("programme/*.toml")))


FILES = list(_shipped())


def _as_json(value: Any) -> Any:
    """What TOML holds as an editor's validator sees it: dates as text."""
    if isinstance(value, dict):
        return {key: _as_json(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_as_json(item) for item in value]
    return value.isoformat() if isinstance(value, date | datetime) else value


def _faults(kind: str, text: str) -> list[str]:
    validator = Draft202012Validator(json.loads((CONTENT / SCHEMA / f"{kind}.json").read_text(encoding="utf-8")))
    return [fault.message for fault in validator.iter_errors(_as_json(tomllib.loads(text)))]


@pytest.mark.parametrize("kind", KINDS)
def test_the_schema_that_is_shipped_is_the_models(kind: str) -> None:
    """Where this fails: coach schema --to content/schema."""
    shipped = json.loads((CONTENT / SCHEMA / f"{kind}.json").read_text(encoding="utf-8"))
    assert shipped == schema_of(KINDS[kind])
    Draft202012Validator.check_schema(shipped)


def test_no_schema_is_left_over() -> None:
    assert {path.stem for path in (CONTENT / SCHEMA).iterdir()} == set(KINDS)


@pytest.mark.parametrize(("path", "kind"), FILES, ids=lambda part: part.stem if isinstance(part, Path) else part)
def test_every_shipped_file_names_its_schema_and_fits_it(path: Path, kind: str) -> None:
    text = path.read_text(encoding="utf-8")
    first = text.split("\n")[0]
    assert first.startswith("#:schema ."), f"the first line of {path} should name its schema"
    # A clean copy of the demo clients, where a session was done on one, lies elsewhere.
    folder = path.parent if path.is_relative_to(TREE) else TREE / "demo_profiles" / path.relative_to(DEMO).parent
    assert (folder / first.removeprefix("#:schema ")).resolve() == (CONTENT / SCHEMA / f"{kind}.json").resolve()
    assert _faults(kind, text) == []


def test_what_the_models_refuse_the_schemas_refuse() -> None:
    kinds = {model: kind for kind, model in KINDS.items()}
    looked_at = 0
    for name, bad in BAD.items():
        if name in BEYOND_A_SCHEMA or len(bad.text) > 5_000 or bad.text.count(".") > 200:
            continue  # very long, or of so many dots that tomllib takes minutes
        try:
            tomllib.loads(bad.text)
        except ValueError:
            continue  # no TOML: an editor says so without a schema
        looked_at += 1
        assert _faults(kinds[bad.model], bad.text), name
    assert looked_at > 35
    for model, text in GOOD.items():
        assert _faults(kinds[model], text) == []


def test_an_answers_file_fits() -> None:
    text = 'format = 1\n[answer]\n"set_2.blade" = "yes"\npain_now = 3\n[repetitions]\n2 = 6\n'
    assert parse_model(text, Path("answers.toml"), Answers).repetitions == {"2": 6}
    assert _faults("answers", text) == []
    assert _faults("answers", text.replace("2 = 6", "9 = 6"))


def _unexplained(schema: dict[str, Any]) -> Iterator[str]:
    for name, table in [("", schema), *schema.get("$defs", {}).items()]:
        for key, value in table.get("properties", {}).items():
            if key != "format" and not {"description", "$ref"} & set(value):  # what $ref leads to begins with its own
                yield f"{name}.{key}"


@pytest.mark.parametrize(
    "kind", [*SHARED, *CLIENT, *PROGRAMME, "answers", "exercise", "exercise_messages", "form_messages"]
)
def test_an_editor_can_explain_every_key(kind: str) -> None:
    assert list(_unexplained(schema_of(KINDS[kind]))) == []


def test_the_command_writes_them_anew_and_nothing_of_anybody_elses(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "new" / "schema"
    assert main(["schema", "--to", str(folder)]) == FINE
    assert f"{len(KINDS)} schemas" in capsys.readouterr().out
    (folder / "form.json").write_text((folder / "form.json").read_text().replace("question", "quiz"))
    assert main(["schema", "--to", str(folder)]) == FINE
    assert (folder / "form.json").read_bytes() == (CONTENT / SCHEMA / "form.json").read_bytes()
    (folder / "form.json").write_text('{"of": "somebody else"}')
    assert main(["schema", "--to", str(folder)]) == FAULTS
    assert "not a schema of this program" in capsys.readouterr().err
    assert "somebody else" in (folder / "form.json").read_text()


def _dangling(path: Path) -> None:
    path.symlink_to(path.with_name("nowhere"))


@pytest.mark.parametrize("make", [Path.mkdir, os.mkfifo, _dangling])
def test_what_is_no_file_is_not_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], make: Callable[[Path], object]
) -> None:
    """A folder, a pipe that never answers, a link to elsewhere."""
    make(tmp_path / "form.json")
    assert main(["schema", "--to", str(tmp_path)]) == FAULTS
    assert "not a schema of this program" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["form.json"]


def test_a_file_that_the_program_writes_into_still_names_its_schema(demo_profiles: Path) -> None:
    profile = demo_profiles / "tern" / "profile.toml"
    before = profile.read_text(encoding="utf-8").split("\n")[0]
    assert before.startswith("#:schema ")
    assert main(["bands", str(profile.parent), "--add", "striped", "100", "7.1"]) == FINE
    text = profile.read_text(encoding="utf-8")
    assert "length_m = 1.0" in text
    assert text.split("\n")[0] == before
