"""A form that is checked once for each different text takes and refuses just what one checked each time does."""

from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from typing import Any, ClassVar

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from coach import frozen, model
from coach.frozen import FromFile, Unfit, check, form_once
from coach.model.base import Name, NameOnce, Pain
from coach.model.record import Record
from coach.model.step_names import StepName, StepNameOnce
from coach.toml.diagnostic import FileFault
from coach.toml.explained import explained
from coach.toml.reader import parse_model, parse_table, read_text
from tests.demo.pristine import DEMO


class EachTime(FromFile):
    """As msgspec checks it."""

    name: Name
    step: StepName = "check_in"
    value: Pain | Name = 0
    perhaps: Name | None = None
    names: tuple[tuple[Name, ...], ...] = ()


class Once(FromFile):
    """The same, each text checked once."""

    checked_once: ClassVar[tuple[str, ...]] = ("name", "step", "value", "perhaps", "names")
    name: NameOnce
    step: StepNameOnce = "check_in"
    value: Pain | NameOnce = 0
    perhaps: NameOnce | None = None
    names: tuple[tuple[NameOnce, ...], ...] = ()


class OnceOnly(FromFile):
    """With one such field, of which nothing else is a part."""

    checked_once: ClassVar[tuple[str, ...]] = ("name",)
    name: NameOnce


class Below(OnceOnly):
    """With a check besides."""

    low: int = 0

    @check
    def _is_low(self) -> None:
        if self.low > 9:
            raise ValueError("low is high: write less")


TEXTS = st.sampled_from(["blade", "set_1.pain", "0", "", "_a", "a\n", "\na", "a.", ".a", "a..b", "Ü", "a b", "A"]) | (
    st.text("a_0.Aé\n ", max_size=102)
)
ODD = TEXTS | st.sampled_from([None, 0, 10, 11, -1, 1.0, True, (), ("a",)])
ROWS = st.lists(st.lists(ODD, max_size=3).map(tuple), max_size=3).map(tuple)
TABLES = st.fixed_dictionaries(
    {"name": ODD}, optional={"step": ODD, "value": ODD, "perhaps": ODD, "names": ROWS | ODD}
)


def outcome(data: dict[str, Any], model: type[FromFile]) -> dict[str, Any] | None:
    try:
        return model.model_validate(data).model_dump()
    except Unfit:
        return None


def faults(data: dict[str, Any], model: type[FromFile]) -> list[tuple[Any, ...]]:
    found = explained(data, model)
    return (
        [(one["loc"], one["type"], one["msg"]) for one in found.errors()]
        if isinstance(found, ValidationError)
        else []
    )


@given(TABLES)
def test_the_same_is_taken_refused_and_explained(data: dict[str, Any]) -> None:
    for _ in range(2):  # the second time of a text that was seen
        assert outcome(data, Once) == outcome(data, EachTime)
    assert faults(data, Once) == faults(data, EachTime)
    assert bool(faults(data, Once)) == (outcome(data, Once) is None)


@pytest.mark.parametrize(
    "text",
    [
        'name = "A"',
        "name = 1",
        'name = "a"\nvalue = "A"',
        'name = "a"\nvalue = 11',
        'name = "a"\nnames = [["a", "A"]]',
        'name = "a"\nstep = "a..b"',
        f'name = "a"\nstep = "{"a" * 101}"',
        f'name = "{"a" * 49}"',
        'name = "a"\nperhaps = ""',
    ],
)
def test_the_same_is_said_of_a_file(text: str) -> None:
    said = []
    for kind in (Once, EachTime):
        with pytest.raises(FileFault) as found:
            parse_model(f"{text}\n", Path("a.toml"), kind)
        said.append(found.value.faults)
    assert said[0] == said[1]


@pytest.mark.parametrize("text", ["Ü", "", "a\n", "a" * 49])
def test_a_text_of_another_form_is_refused_each_time_and_in_a_class_below(text: str) -> None:
    for kind in (OnceOnly, Below):
        for one in ("blade", text, "blade", text):
            assert (outcome({"name": one}, kind) is None) == (one == text)
    assert outcome({"name": "blade", "low": 10}, Below) is None
    assert outcome({"name": "blade", "low": 9}, Below) is not None


def test_more_different_texts_than_are_kept_are_checked_all_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(frozen, "_MOST_SEEN", 0)
    for _ in range(2):
        assert outcome({"name": "never_seen"}, OnceOnly) == {"name": "never_seen"}
        assert outcome({"name": "never seen"}, OnceOnly) is None


def test_what_is_made_and_not_read_is_not_checked_and_teaches_nothing() -> None:
    for odd in (OnceOnly(name="No Name"), OnceOnly(name="blade").model_copy(update={"name": "No Name"})):
        assert odd.name == "No Name"
        assert outcome({"name": "No Name"}, OnceOnly) is None
        with pytest.raises(Unfit):
            odd.as_written()


@pytest.mark.parametrize("text", ["No Name", "", "blade\n", "a" * 101, "_\u00e9"])
def test_every_name_of_a_record_is_checked(text: str) -> None:
    """Of a record with an entry of each kind that a demo client has: one name changed at a time."""
    path = sorted(one for one in DEMO.glob("*/records/*.toml") if "format = 1" in read_text(one))[-1]
    data = parse_table(read_text(path), path, Record).data
    changed = 0
    for number, entry in enumerate(data["entry"]):
        for key in {"step", "value", "fault", "exercise"} & entry.keys():
            if isinstance(entry[key], str):
                entries = (*data["entry"][:number], {**entry, key: text}, *data["entry"][number + 1 :])
                assert outcome({**data, "entry": entries}, Record) is None, (number, key)
                changed += 1
    for key, odd in (("exercise", text), ("form", (("blade", text),)), ("form", ((text,), ("blade",)))):
        assert outcome({**data, key: odd}, Record) is None, key
    assert (
        outcome({**data, "rungs": {**data["rungs"], "step": {**data["rungs"]["step"], "grade": text}}}, Record)
        is None
    )
    assert changed > 9
    assert outcome(data, Record) is not None


def test_each_class_names_its_fields_that_are_checked_once() -> None:
    """A field whose class does not name it would be checked by nothing."""
    for module in walk_packages(model.__path__, "coach.model."):
        import_module(module.name)
    every = [one for one in _below(FromFile) if one.__module__.startswith("coach.")]
    for one in every:
        once = {key for key, info in one.model_fields.items() if form_once(info.annotation) is not None}
        assert once == set(one.checked_once), one.__name__
    assert sum(bool(one.checked_once) for one in every) > 5


def _below(kind: type[FromFile]) -> Iterator[type[FromFile]]:
    for one in kind.__subclasses__():
        yield one
        yield from _below(one)
