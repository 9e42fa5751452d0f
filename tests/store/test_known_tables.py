"""A record of which the tables were read before is the same as one that is read as a whole, however it is spoilt."""

import re
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.model.programme.session_file import SessionFile, SessionPart
from coach.model.record import Record
from coach.store.records import known_tables
from coach.store.records.known_tables import keep_tables, read_with_known
from coach.store.records.record_file import is_of_programme
from coach.toml.diagnostic import FileFault
from coach.toml.reader import parse_model
from tests.demo.pristine import DEMO

HERE = Path(__file__).parent
FILES = sorted(
    [*DEMO.glob("*/records/*.toml"), *HERE.glob("format_*/*/*.toml"), *HERE.glob("format_*/records/*.toml")]
)
FILES = [path for path in FILES if path.parent.name == "records"]
TEXTS = [path.read_text(encoding="utf-8") for path in FILES]
# What may stand where it does harm.
LINES = (
    'note = """',
    '"""',
    "note = '''",
    "'''",
    "[dose]",
    "[exercises.dose]",
    "[[exercises]]",
    "[[ exercises ]]",
    "[rungs.step]",
    "[limits]",
    "[[entry]]",
    "dose = 1",
    "part = 1",
    "rungs = 2",
    "format = 1",
    "# whole",
    "positions = [",
    "]",
    "",
)


@pytest.fixture(autouse=True)
def _nothing_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known_tables, "_known", {})


def kind_of(text: str) -> type[Record] | type[SessionFile]:
    return SessionFile if is_of_programme(text) else Record


def as_a_whole(text: str) -> Record | SessionFile | None:
    """What the text is; None where it is faulty."""
    try:
        return parse_model(text, Path("record.toml"), kind_of(text))
    except FileFault:
        return None


def parts_of(found: Record | SessionFile | None) -> Sequence[Record | SessionPart]:
    assert found is not None
    return found.exercises if isinstance(found, SessionFile) else (found,)


def keep(text: str) -> Record | SessionFile:
    found = as_a_whole(text)
    assert found is not None
    keep_tables(text, kind_of(text))
    return found


@pytest.mark.parametrize("text", TEXTS, ids=[f"{one.parent.parent.name}-{one.stem}" for one in FILES])
def test_a_record_with_known_tables_is_the_same(text: str) -> None:
    assert read_with_known(text, kind_of(text)) is None
    found = keep(text)
    again = read_with_known(text, kind_of(text))
    assert again == found
    once_more = read_with_known(text, kind_of(text))
    pairs = zip(parts_of(again), parts_of(once_more), strict=True)
    assert all(one.rungs is other.rungs for one, other in pairs), "made once"


def spoilt(text: str, draw: st.DataObject) -> str:
    """A text with a few lines taken out, moved, done twice or put in."""
    lines = text.split("\n")
    for _ in range(draw.draw(st.integers(1, 3))):
        at, other = (draw.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        headers = [number for number, line in enumerate(lines) if line.startswith("[")]
        match draw.draw(st.sampled_from(("take out", "move", "twice", "put in", "put in", "block", "respell"))):
            case "respell" if headers:
                lines[draw.draw(st.sampled_from(headers))] += "  # by hand"
            case "take out":
                del lines[at]
            case "move":
                lines.insert(other, lines.pop(at))
            case "twice":
                lines.insert(other, lines[at])
            case "block":
                first, end = min(at, other), max(at, other)
                block = lines[first:end]
                if draw.draw(st.booleans()):
                    del lines[first:end]
                there = draw.draw(st.integers(0, len(lines)))
                lines[there:there] = block
            case _:
                lines.insert(at, draw.draw(st.sampled_from(LINES)))
    return "\n".join(lines)


@given(st.sampled_from(TEXTS[:: max(len(TEXTS) // 6, 1)]), st.data())
def test_a_spoilt_record_is_read_as_without_what_is_known(text: str, data: st.DataObject) -> None:
    keep(text)
    other = spoilt(text, data)
    found = read_with_known(other, kind_of(other))
    assert found is None or found == as_a_whole(other)
    if as_a_whole(other) is not None:
        keep(other)
        assert read_with_known(text, kind_of(text)) in (None, as_a_whole(text))


OLD = next(text for text in TEXTS if not is_of_programme(text))
SEVERAL = next(text for text in TEXTS if text.count("\n[[exercises]]\n") > 1)
_AT = SEVERAL.index("\n[exercises.dose]\n")
FIRST = SEVERAL[_AT : SEVERAL.index("\n[[exercises]]\n", _AT)]
WRITTEN = '\n[written]\nwriter = "hearthq2"\nnumber = 6\n\n[written.seen]\n'


@pytest.mark.parametrize(
    ("known", "other"),
    [
        # A key below the mark would be one of the last table above it.
        (OLD, OLD.replace("\n\n[[entry]]", "\npart = 1\n\n[[entry]]", 1)),
        # One more table below them, and that table above them as well.
        (
            OLD.replace("\n# whole", f"{WRITTEN}# whole", 1),
            OLD.replace("\n# whole", f"{WRITTEN}# whole", 1).replace("\n[dose]", f"{WRITTEN}\n[dose]", 1),
        ),
        # Of several exercises, the tables of the first above its header.
        (SEVERAL, SEVERAL.replace(FIRST, "", 1).replace("\n[[exercises]]\n", f"{FIRST}\n[[exercises]]\n", 1)),
        # One of them above the others.
        (OLD, OLD.replace("\n[dose]", "\n[limits]\npain_max = 4\n\n[dose]", 1)),
    ],
)
def test_what_is_faulty_as_a_whole_is_not_read_in_parts(known: str, other: str) -> None:
    keep(known)
    assert other != known
    assert as_a_whole(other) is None
    assert read_with_known(other, kind_of(other)) is None


def test_a_header_written_by_hand_mixes_up_no_exercises() -> None:
    """Once the tables of each exercise were kept as those of the one before it."""
    for header in ("\n[exercises.dose]\n", "\n[[exercises]]\n", "\n[exercises.rungs.step]\n"):
        keep(SEVERAL)
        keep(SEVERAL.replace(header, f"{header[:-1]}  # by hand\n", 1))
        assert read_with_known(SEVERAL, SessionFile) == as_a_whole(SEVERAL)


@pytest.mark.parametrize("quotes", ['"""', "'''"])
def test_tables_within_a_text_are_none(quotes: str) -> None:
    """Few enough for an activity, which may have 400 characters."""
    at, mark = OLD.index("\n[dose]\n"), OLD.index("\n# whole")
    few = re.sub(
        r"\n\[(limits|rungs\.(next_step|easier|lighter))\]\n([a-z_]+ = .*\n)*", "", f"{OLD[at:mark]}\n"
    ).rstrip()
    known = f"{OLD[:at]}{few}{OLD[mark:]}"
    keep(known)
    within = f"\nactivities = [{quotes}{few}\n# whole\n[[entry]]{quotes}]\n"
    other = known.replace("activities = []", "", 1).replace(few, within, 1)
    assert read_with_known(known, Record) is not None
    assert as_a_whole(other) is None
    assert read_with_known(other, Record) is None


def test_not_more_than_so_many_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(known_tables, "_MOST", 2)
    for number in range(5):
        keep(OLD.replace("rest_s = 60", f"rest_s = {60 + number}"))
        assert len(known_tables._known) <= 2
