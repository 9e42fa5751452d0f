"""The coach's guide: its examples are done as they stand, and its chapters can be read one by one."""

import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

from coach.authoring.first_steps.guide import read_guide
from coach.cli import main
from coach.commands.support.output import FAULTS, FINE, USAGE
from coach.content_files.content_folder import content_folder
from tests.authoring.guide_walk import Block, blocks_of, follow

LANGUAGES = ("en", "de")
GUIDES = {language: read_guide(language).text("all") for language in LANGUAGES}
BLOCKS = {language: tuple(blocks_of(GUIDES[language], language)) for language in LANGUAGES}


def test_who_follows_the_guide_sees_what_it_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the copy of the content to a rotation and a path, with the files and commands of the guide alone."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "clean.toml").write_text("format = 1\n", encoding="utf-8")
    codes: dict[str, int] = {}
    sessions: list[str] = []

    def run(line: str) -> str:
        command, *arguments = shlex.split(line)
        if command == "coach" and arguments[0] == "rehearse":
            codes[line] = main([*arguments[:-1], "1000", "--plain", "--silent", "--answers", "clean.toml"])
            sessions.append(capsys.readouterr().out)
        elif command == "coach" and (arguments[0] != "proof" or "--find" in arguments):
            codes[line] = main(arguments)
        else:
            _other_commands(command, arguments)
        shown = capsys.readouterr()
        return shown.out + shown.err

    assert follow(BLOCKS["en"], tmp_path, run) == []
    assert {line: code for line, code in codes.items() if code not in (FINE, FAULTS)} == {}
    assert main(["check", "mine"]) == FINE
    rotation, path = sessions
    assert [line for line in ("Turn your hand out to the line.", "turn, 1 of 8") if line not in rotation] == []
    assert [line for line in ("Press your hand straight ahead.", "press, 1 of 8") if line not in path] == []


def _other_commands(command: str, arguments: list[str]) -> None:
    """What is no command of the program: on Windows there are others. The proof is looked at in test_proof."""
    match command:
        case "cp":
            shutil.copytree(arguments[1], arguments[2])
        case "mkdir":
            Path(arguments[0]).mkdir()
        case "rm":
            shutil.rmtree(arguments[1])
        case _:
            assert (command, arguments) == ("coach", ["proof", "mine"])


def test_the_guides_of_all_languages_have_the_same_examples() -> None:
    """The examples are done once, in English: word for word the same stand in the others."""
    for language in LANGUAGES[1:]:
        here, there = ([_without_notes(block) for block in BLOCKS[one]] for one in (language, "en"))
        assert len(here) == len(there)
        assert [pair for pair in zip(here, there, strict=True) if pair[0] != pair[1]] == []


def _without_notes(block: Block) -> Block:
    text = re.sub(r"^# .*$", "#", block.text, flags=re.MULTILINE) if not block.is_edit else block.text
    return Block(block.kind, text, block.file, block.where, block.line)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_example_of_toml_is_toml(language: str) -> None:
    for block in BLOCKS[language]:
        if block.kind == "toml" and not block.is_edit:
            assert tomllib.loads(block.text)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_prose_stands_whole_in_a_terminal_of_80_columns(language: str) -> None:
    prose = re.sub(r"^```toml\n.*?^```$", "", GUIDES[language], flags=re.MULTILINE | re.DOTALL)
    assert [line for line in prose.splitlines() if len(line) >= 80] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_file_of_the_content_is_explained(language: str) -> None:
    """In the chapter on what lies where: whatever is at the top of the content, and each kind of message file."""
    chapter = read_guide(language).text("3")
    folder = content_folder()
    own = {path.name for path in (folder / "exercises").iterdir()}
    names = {path.name for path in folder.iterdir() if len(path.stem) > 2 or path.is_file()}
    names |= {path.name for path in (folder / "en").iterdir()} - own
    assert [name for name in sorted(names) if f"{name}`" not in chapter and f"{name}/`" not in chapter] == []


def test_a_chapter_is_found_by_its_number_and_by_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    for typed in ("4", "cue"):
        assert main(["guide", typed]) == FINE
        assert capsys.readouterr().out.startswith("## 4. Change a cue\n")
    assert main(["guide", "4", "--language", "de"]) == FINE
    assert capsys.readouterr().out.startswith("## 4. Einen Hinweis ändern\n")


def test_without_a_chapter_the_titles_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["guide"]) == FINE
    lines = capsys.readouterr().out.splitlines()
    assert [f"  {title}" for title in read_guide("en").titles] == [line for line in lines if line.startswith("  ")]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        (["99"], ("there is no chapter 99", "; 13. ")),
        (["rotaton"], ("there is no chapter rotaton", "nearest: rotation")),
        (["1", "--language", "fr"], ("there is no guide in the language fr", "one of de, en")),
    ],
)
def test_a_chapter_that_is_not_there_is_told(
    typed: list[str], told: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["guide", *typed]) == USAGE
    said = capsys.readouterr().err
    assert [part for part in told if part not in said] == []
