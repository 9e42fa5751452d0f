"""What the front pages name is there: pictures and files, commands and their options, in the words of the program."""

import re
import shlex
from pathlib import Path
from urllib.parse import unquote

import pytest

from tests.commands.helps import commands, words_of
from tests.demo.pristine import TREE

PAGES = ("README.md", "DEVELOPERS.md", "coach/CHANGELOG.md")
README = (TREE / "README.md").read_text("utf-8")
FILES = [str(path.relative_to(TREE)) for top in ("coach", "content", "demo_profiles", "tests", ".ci")
         for path in (TREE / top).rglob("*") if "__pycache__" not in path.parts]  # fmt: skip

MADE_UP = {"clinic.toml", "settings.toml", "plan.toml", "content/fr/"}  # a language that the guide adds as an example
MADE_UP |= {"enrolment.toml", "exchange/clinic.toml"}  # what the program writes
MADE_UP |= {"program/*.zip", "program/*.whl", "program/*.txt"}

_LINK = re.compile(r"!?\[[^\]]*\]\(([^)\s]+)\)")
_CODE = re.compile(r"`([^`\n]+)`")
_PATH = re.compile(r"[\w.*-]+(/[\w.*-]+)+/?|[\w-]+\.(py|md|svg|json|toml)")
# Such as LANGUAGE or N: any name stands there.
_PLACE = re.compile(r"(?<![A-Za-z])(?!README|DEVELOPERS|LICENSE|CHANGELOG)[A-Z]+(?![A-Za-z])")
_OPTION = re.compile(r"--[a-z-]+")


def text_of(page: str) -> str:
    return (TREE / page).read_text("utf-8")


def is_there(path: str) -> bool:
    """Whether a file or a folder of the tree is so called, by its whole path or the end of it."""
    wanted = re.compile(rf"(^|/){re.escape(path.rstrip('/')).replace(re.escape('*'), '[^/]+')}$")
    return (TREE / path).exists() or any(wanted.search(file) for file in FILES)


@pytest.mark.parametrize("page", PAGES)
def test_every_link_and_picture_is_there(page: str) -> None:
    links = [unquote(link) for link in _LINK.findall(text_of(page)) if "://" not in link]
    assert [link for link in links if not (TREE / Path(page).parent / link).exists()] == []


@pytest.mark.parametrize("page", PAGES)
def test_every_file_and_folder_named_is_there(page: str) -> None:
    words = [_PLACE.sub("*", word) for code in _CODE.findall(text_of(page)) for word in code.split()]
    paths = [word for word in words if _PATH.fullmatch(word) and not word.startswith(".venv/")]
    assert [path for path in paths if path not in MADE_UP and not is_there(path)] == []


@pytest.mark.parametrize("page", PAGES)
def test_every_command_named_is_one_and_takes_the_options_named(page: str) -> None:
    wrong = []
    for code in _CODE.findall(text_of(page)):
        if code.startswith("coach ") and not code.startswith("coach COMMAND"):
            name, *given = shlex.split(code)[1:]
            known = set(_OPTION.findall(" ".join(words_of(name)))) if name in commands() else set()
            wrong += (
                [code] if name not in commands() or not {one for one in given if one[:2] == "--"} <= known else []
            )
    assert wrong == []


def test_the_readme_lists_every_command_in_the_programs_own_words() -> None:
    assert dict(re.findall(r"^\| `([\w-]+)` \| (.+) \|$", README, re.MULTILINE)) == commands()


def test_each_picture_is_one_that_the_tests_compare_with_the_screen_and_says_what_it_shows() -> None:
    pictures = re.findall(r"!\[([^\]]*)\]\(([^)\s]+)\)", README)
    assert len(pictures) == 4
    for says, path in pictures:
        assert len(says) > 40
        assert "/__snapshots__/" in path
        assert unquote(path).endswith("-dusk].svg")


def test_the_job_comes_first() -> None:
    """A sentence on what it is for, before any picture, command or list."""
    title, opening = README.split("\n\n")[:2]
    assert title == "# Steady Arc"
    assert opening.startswith("A practitioner teaches a client")
