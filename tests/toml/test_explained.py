"""A file that fits is built by one library, and another says what is wrong with one that does not: they agree."""

import json
import math
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, date, datetime
from functools import partial
from typing import Annotated, Any, ClassVar, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from coach.content_files.content_folder import content_folder
from coach.frozen import Bounds, Field, FromFile, Unfit, _annotations_in, check, form
from coach.model.instruction import Instruction
from coach.model.message_format import Language, LocalizedLine
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.programme.programme import Programme
from coach.model.programme.progress_file import ProgressFile
from coach.model.programme.session_file import SessionFile
from coach.model.programme.visit_file import VisitFile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.store.fingerprint import fingerprint_of
from coach.toml.explained import explained
from coach.toml.reader import parse_table, read_text
from tests.demo.pristine import DEMO, TREE
from tests.toml.test_hostile_files import SHIPPED

OF_CLIENTS: dict[str, type[FromFile]] = {
    "profile.toml": Profile,
    "prescription.toml": Prescription,
    "progress.toml": Progress,
    "records/*.toml": Record,
    "programme/*.toml": Programme,
    "visits/*.toml": VisitFile,
}
OF_PROGRAMMES: dict[str, type[FromFile]] = {"progress.toml": ProgressFile, "records/*.toml": SessionFile}


def files() -> Iterator[tuple[str, dict[str, Any], type[FromFile]]]:
    """Shipped content, and of each demo client one file of each kind: the last, which has most in it."""
    for name, model in SHIPPED.items():
        path = content_folder() / name
        yield name, parse_table(read_text(path), path, model).data, model
    for folder in sorted(path for path in (DEMO).iterdir() if path.is_dir()):
        models = OF_CLIENTS | (OF_PROGRAMMES if (folder / "programme").exists() else {})
        for pattern, model in models.items():
            for path in sorted(folder.glob(pattern))[-1:]:
                yield f"{path.parent.name}/{path.name}", parse_table(read_text(path), path, model).data, model


FILES = list(files())


@pytest.mark.parametrize(("data", "model"), [file[1:] for file in FILES], ids=[file[0] for file in FILES])
def test_a_good_file_gives_the_same_either_way_and_needs_no_explanation(
    data: dict[str, Any], model: type[FromFile]
) -> None:
    quick = model.model_validate(data)
    assert quick == explained(data, model)
    assert model.model_validate(json.loads(quick.model_dump_json()), dates=False) == quick


ODD: list[object] = [
    *("", "x", "45", "Ü", "a\tb", "a\nb", "x" * 401, "x\n", "left", "no\u202eway", "2026-03-04", "\u00a0"),
    *(0, 1, -1, 45, 10**30, 0.5, -0.5, 1e300, math.nan, math.inf, 3.0, True, False),
    *(
        date(2026, 3, 4),
        datetime(2026, 3, 4, 5, 6, tzinfo=None),  # noqa: DTZ001
        datetime(2026, 3, 4, 5, 6, tzinfo=UTC),
    ),
    *((), (1,), ("a", "b"), {}, {"a": 1}, ({},)),
]


def places(value: object, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place in the data, those inside of others too."""
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, tuple) else ()
    for key, item in inside:
        yield (*path, key)
        yield from places(item, (*path, key))


def changed(value: Any, path: tuple[Any, ...], change: str, odd: object) -> Any:
    """The data with one place changed."""
    key, *inner = path
    copy = list(value) if isinstance(value, tuple) else dict(value)
    if inner:
        copy[key] = changed(value[key], tuple(inner), change, odd)
    elif change == "taken out":
        del copy[key]
    elif change == "misspelt" and isinstance(copy, dict):
        copy[f"{key}s"] = copy.pop(key)
    elif change == "twice" and isinstance(copy, list):
        copy.append(copy[key])
    else:
        copy[key] = odd
    return tuple(copy) if isinstance(value, tuple) else copy


PLACES = [(name, data, model, list(places(data))) for name, data, model in FILES]


@settings(max_examples=150)
@given(st.data())
def test_whatever_is_changed_both_say_the_same(data: st.DataObject) -> None:
    """What is built at once is what would be explained; what cannot be is explained, or an older file."""
    _, given_data, model, all_places = data.draw(st.sampled_from(PLACES))
    path = data.draw(st.sampled_from(all_places))
    change = data.draw(st.sampled_from(("taken out", "misspelt", "twice", "other", "other", "other")))
    odd = data.draw(st.sampled_from(ODD))
    mutated = changed(given_data, path, change, odd)
    as_it_was = repr(mutated)
    careful = explained(mutated, model)
    try:
        quick: object = model.model_validate(mutated)
    except Unfit:
        return  # the careful way decides, whatever it says
    assert quick == careful, (model, path, change, odd)
    assert repr(mutated) == as_it_was


class Inner(FromFile):
    """One thing."""

    kind: ClassVar[Literal["inner"]] = "inner"
    text: Annotated[str, Bounds(min_length=1, max_length=5)] = Field(description="what it says")


class Other(FromFile):
    """Another thing."""

    kind: ClassVar[Literal["other"]] = "other"
    number: Annotated[float, Bounds(gt=0)] = 1.0


class Outer(FromFile):
    """Things."""

    name: Annotated[str, form(r"^[a-z]+$")]
    things: tuple[Inner | Other, ...] = ()
    least: int = 0

    @check
    def _has_so_many(self) -> None:
        if len(self.things) < self.least:
            raise ValueError("least is above the number of things: add one")


class Wider(Outer):
    """Things, and a second check."""

    most: int = 9

    @check
    def _has_no_more(self) -> None:
        if len(self.things) > self.most:
            raise ValueError("most is below the number of things: take one out")


@pytest.mark.parametrize(
    ("given_data", "kind"),
    [
        ({"name": "ab\n"}, "string_pattern_mismatch"),
        ({"name": "ab", "things": ({"kind": "inner", "text": "too long"},)}, "string_too_long"),
        ({"name": "ab", "things": ({"kind": "other", "number": math.nan},)}, "finite_number"),
        ({"name": "ab", "things": ({"kind": "third"},)}, "union_tag_invalid"),
        ({"name": "ab", "least": 1}, "value_error"),
        ({"name": "ab", "things": ({"kind": "other"},) * 10}, "value_error"),
        ({"name": "ab", "least": 1.0}, "int_type"),
        ({"name": "ab", "more": 1}, "extra_forbidden"),
    ],
)
def test_what_does_not_fit_is_refused_and_explained(given_data: dict[str, Any], kind: str) -> None:
    with pytest.raises(Unfit):
        Wider.model_validate(given_data)
    error = explained(given_data, Wider)
    assert isinstance(error, ValidationError)
    assert [one["type"] for one in error.errors()] == [kind]


@pytest.mark.parametrize("keys", [("position", "position_deg"), ("position_deg", "position")])
def test_a_position_under_both_of_its_keys_is_refused_whichever_stands_first(keys: tuple[str, str]) -> None:
    """Of a signed cap, the order of lines would decide which position is meant."""
    values = {"position": "90", "position_deg": 30}
    cap = {"at": datetime(2026, 3, 4, tzinfo=UTC), "initials": "KB", "what": "cap_range", "available_deg": 40.0}
    both = {**cap, **{key: values[key] for key in keys}, "reason": "sore"}
    with pytest.raises(Unfit):
        Instruction.model_validate(both)
    error = explained(both, Instruction)
    assert isinstance(error, ValidationError)
    one = {key: value for key, value in both.items() if key != "position"}
    assert Instruction.model_validate(one).position == "30"


@pytest.mark.parametrize("key", ["position", "position_deg"])
def test_degrees_are_a_position_only_where_files_of_format_1_have_one(key: str) -> None:
    visit = {"format": 2, "at": datetime(2026, 3, 4, tzinfo=UTC), "initials": "KB"}
    given_data = {**visit, "ranges": ({key: 45, "side": "left", "active_deg": 40.0},)}
    with pytest.raises(Unfit):
        VisitFile.model_validate(given_data)
    assert isinstance(explained(given_data, VisitFile), ValidationError)


def test_a_control_character_is_refused_either_way_in_a_text_of_a_form_too() -> None:
    class Named(FromFile):
        """A name of a file."""

        file: Annotated[str, form(r"^[^/]+$")]

    with pytest.raises(Unfit):
        Named.model_validate({"file": "a\u202eb"})
    error = explained({"file": "a\u202eb"}, Named)
    assert isinstance(error, ValidationError)
    assert "U+202E" in str(error)


def test_retired_keys_of_a_programme_need_no_explanation() -> None:
    exercise = {"name": "one", "exercise": "external_rotation", "position": "0", "repetitions": 8}
    given_data = {"format": 2, "exercises": ({**exercise, "pain_before_last": 2},)}
    assert ProgressFile.model_validate(given_data) == explained(given_data, ProgressFile)


def test_tables_nested_too_deeply_are_no_fault_of_the_program() -> None:
    nested: dict[str, Any] = {}
    for _ in range(900):
        nested = {"a": nested}
    with pytest.raises(Unfit):
        Inner.model_validate(nested)


def test_copies_and_parts_ask_no_check_and_objects_do() -> None:
    good = Outer(name="a", things=(Inner(text="x"),), least=1)
    assert good.model_copy(update={"things": ()}).things == ()
    assert Outer.model_construct(name="a", least=1).things == ()
    with pytest.raises(ValueError, match="add one"):
        Outer(name="a", least=1)
    assert good.model_dump() == {"name": "a", "things": ({"kind": "inner", "text": "x"},), "least": 1}
    assert Inner.model_fields["text"].description == "what it says"


def test_texts_of_another_language_know_it() -> None:
    language = Language("xx", ("other",), lambda _: 0, ",", lambda day, _: day)
    for found in (
        Inner.model_validate({"text": "x"}, partial(LocalizedLine, language=language)),
        explained({"text": "x"}, Inner, partial(LocalizedLine, language=language)),
    ):
        assert isinstance(found, Inner)
        assert isinstance(found.text, LocalizedLine)
        assert found.text.language is language
        assert found.model_dump_json() == '{"kind":"inner","text":"x"}'
        assert fingerprint_of(found) == fingerprint_of(Inner(text="x"))


def test_annotations_are_found_as_python_3_14_keeps_them() -> None:
    """There a class being made has a function that makes them (PEP 649 and 749), and no table of them."""
    assert _annotations_in({"__annotate_func__": lambda _: {"a": int}}) == {"a": int}
    assert _annotations_in({}) == {}


def test_as_long_as_files_fit_nothing_of_the_other_library_is_loaded() -> None:
    """A demo client opened as for a session, and the check of a client's folder."""
    code = f"""
import sys
from pathlib import Path
from coach.commands.support.loading import client_store
client_store(Path({str(DEMO / "tern")!r})).progress
client_store(Path({str(DEMO / "curlew")!r})).progress
print([name for name in ("pydantic", "coach.toml.explained") if name in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", code], cwd=TREE, capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
