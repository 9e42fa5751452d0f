"""Whatever stands in a file or at a path, nothing but a FileFault comes out, in our own words."""

import os
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from coach.authoring.check_unused import TEMPLATE
from coach.authoring.schema import KINDS
from coach.content_files.content_folder import content_folder
from coach.frozen import FromFile
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.toml.diagnostic import Diagnostic, FileFault, render
from coach.toml.reader import MAX_BYTES, read_model
from tests.store.good_files import PROFILE

SHIPPED: dict[str, type[FromFile]] = {
    str(path.relative_to(content_folder())): KINDS[found[1]]
    for path in sorted(content_folder().rglob("*.toml"))
    if path.parent.name != TEMPLATE  # what is still to be filled in there is no good file
    and (found := re.match(r"#:schema .*/(\w+)\.json\n", path.read_text(encoding="utf-8")))
}
FILES: list[tuple[str, type[FromFile]]] = [
    (PROFILE, Profile),
    *(((content_folder() / name).read_text(encoding="utf-8"), model) for name, model in SHIPPED.items()),
]
MODELS: tuple[type[FromFile], ...] = (*KINDS.values(), Progress, Record)


@pytest.mark.parametrize("name", SHIPPED)
def test_the_shipped_files_are_good(name: str) -> None:
    assert isinstance(read_model(content_folder() / name, SHIPPED[name]), SHIPPED[name])


@pytest.mark.parametrize(
    ("content", "line", "column", "phrase"),
    [
        (b"", 0, 0, "the file is empty"),
        (b" \n\n", 0, 0, "wait if another program has yet to bring it"),
        (b'format = 1\ngoal = "caf\xe9"\n', 2, 12, "the byte 0xe9, byte 22 of the file, is not UTF-8"),
        (PROFILE.encode("utf-16"), 0, 0, "the file is UTF-16"),
        (b"#" * (MAX_BYTES + 1), 0, 0, "larger than 1 MiB"),
    ],
)
def test_what_is_no_text_is_refused(content: bytes, line: int, column: int, phrase: str, tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_bytes(content)
    with pytest.raises(FileFault, match=re.escape(phrase)) as raised:
        read_model(path, Profile)
    (fault,) = raised.value.faults
    assert (fault.line, fault.column) == (line, column)


def test_what_is_no_file_is_refused_without_opening_it(tmp_path: Path) -> None:
    (tmp_path / "profile.toml").write_text(PROFILE, encoding="utf-8")
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "circle").symlink_to(tmp_path / "circle")
    for name, phrase in (
        ("", "this is a folder, not a file"),
        ("pipe", "this is not an ordinary file"),
        ("profil.toml", "nearest: profile.toml"),
        ("nowhere/profile.toml", "there is no folder"),
        ("circle", "the file cannot be read"),
        ("a\0b", "the file cannot be read"),
    ):
        with pytest.raises(FileFault, match=phrase):
            read_model(tmp_path / name, Profile)
    with pytest.raises(FileFault, match="this is not an ordinary file"):
        read_model(Path("/dev/zero"), Profile)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read every file")
def test_a_file_that_may_not_be_read_is_said_so(tmp_path: Path) -> None:
    path = tmp_path / "profile.toml"
    path.write_text(PROFILE, encoding="utf-8")
    path.chmod(0)
    with pytest.raises(FileFault, match="you may not read this file"):
        read_model(path, Profile)


# None of what the libraries underneath say may reach an editor.
FOREIGN = re.compile(r"Input should|pydantic|validation error|Value error|Extra inputs|Field required|\(at line|None")


def told(content: bytes, model: type[FromFile], path: Path) -> None:
    """Reads without harm: a model, or a fault in our own words."""
    path.write_bytes(content)
    faults: tuple[Diagnostic, ...] | None = None
    try:
        read_model(path, model)
    except FileFault as fault:
        faults = fault.faults
    if faults is not None:
        assert faults
        assert all(fault.what for fault in faults)
        foreign = FOREIGN.findall("\n".join(render(fault) for fault in faults))
        assert [words for words in foreign if words.encode() not in content] == []  # the file may say it itself


_WRONG = st.sampled_from(
    ['"text"', "-1", "1.5", "true", "[]", "{}", "[[1]]", "inf", "nan", '""', '"A b"', "2026-03-01", "07:30:00",
     "2026-03-01T10:00:00", "99999999999999999999", "'''", "= =", '"\\u202e"', "\x1b", "1e999", "[{a = 1}]"]
)  # fmt: skip
_FILES = st.sampled_from(FILES)
_CALM = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300)


@_CALM
@given(content=st.binary(max_size=300), model=st.sampled_from(MODELS))
@example(content=b"entry = [{kind = 'set'}, {kind = 1}, {}, 3]", model=Record)
@example(content=b"format = 1\nentry = [{kind = 'end', decision = 3}]\n[rungs]\nstep = 1", model=Record)
def test_no_bytes_bring_anything_but_a_file_fault(content: bytes, model: type[FromFile], tmp_path: Path) -> None:
    told(content, model, tmp_path / "file.toml")


@_CALM
@given(data=st.data(), file=_FILES)
def test_no_slip_in_a_good_file_brings_anything_but_a_file_fault(
    data: st.DataObject, file: tuple[str, type[FromFile]], tmp_path: Path
) -> None:
    text, model = file
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = data.draw(st.integers(start, min(start + 30, len(text))))
        text = text[:start] + data.draw(st.text(max_size=8)) + text[end:]
    told(text.encode("utf-8", errors="surrogatepass"), model, tmp_path / "file.toml")


@_CALM
@given(data=st.data(), file=_FILES)
def test_no_wrong_value_brings_anything_but_a_file_fault(
    data: st.DataObject, file: tuple[str, type[FromFile]], tmp_path: Path
) -> None:
    text, model = file
    lines = text.split("\n")
    for _ in range(data.draw(st.integers(1, 3))):
        number = data.draw(st.integers(0, len(lines) - 1))
        key, equals, _ = lines[number].partition("=")
        lines[number] = f"{key}{equals or '='} {data.draw(_WRONG)}"
    told("\n".join(lines).encode(), model, tmp_path / "file.toml")
