"""Every screen of every position, as whoever edits the words sees them: with the stand-in client of the content."""

import re
from collections.abc import Iterator
from functools import cache

import pytest
from msgspec import Struct

from coach.authoring.check import check_folder
from coach.content_files.content_folder import content_folder, languages, load_content
from coach.drawing.shapes import Scene
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach.proof import Proof, ProofSelection, make_proof
from coach.session.screen_catalogue import catalogue_entries
from coach.session.script import Teach
from coach.store.client_store import ClientStore
from coach.store.live_session import open_session
from coach.toml.reader import read_model
from tests.clocks import START, FakeClock
from tests.demo.pristine import DEMO

STAND_IN = content_folder() / "stand_in"


@cache
def _content(language: str) -> Content:
    return load_content(content_folder(), language)


def _places() -> Iterator[ProofSelection]:
    for language in languages(content_folder()):
        for name, exercise in _content(language).exercises.items():
            yield from (ProofSelection(name, position.name, language) for position in exercise.positions)


@cache
def _proof(place: ProofSelection) -> Proof:
    profile = read_model(STAND_IN / "profile.toml", Profile)
    prescription = read_model(STAND_IN / "prescription.toml", Prescription)
    return make_proof(_content(place.language), place, profile, prescription, START)


def _texts(part: object) -> Iterator[str]:
    """Every text of a page, whatever it is a part of; what a scene draws is no text."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for one in part:
            yield from _texts(one)
    elif isinstance(part, Struct) and not isinstance(part, Scene):
        for name in part.__struct_fields__:
            yield from _texts(getattr(part, name))


PLACES = list(_places())


def test_the_stand_in_is_a_right_client() -> None:
    assert check_folder(STAND_IN) == ()


@pytest.mark.parametrize("place", PLACES, ids=lambda place: f"{place.exercise}-{place.position}-{place.language}")
def test_every_screen_of_every_position_can_be_made_and_no_place_is_left_open(place: ProofSelection) -> None:
    proof = _proof(place)
    said = {name: [*_texts(page)] for name, page in proof.pages.items()}
    assert {name: texts for name, texts in said.items() if re.search(r"\{\w+\}", " ".join(texts))} == {}


def _sentences(text: str) -> list[str]:
    """The sentences of a line whose steps are shown one by one."""
    return re.split(r"(?<=[.?!]) ", text)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: f"{place.exercise}-{place.position}-{place.language}")
def test_everything_that_a_position_says_and_asks_is_on_some_screen(place: ProofSelection) -> None:
    """The lines of the files, found again on the screens; read from the content, not from the screens' own code."""
    proof = _proof(place)
    content, messages = proof.content, proof.content.messages
    position = content.exercises[place.exercise].position(place.position)
    said = messages.exercises[place.exercise].at(str(place.position))
    asked = [content.questions[name] for name in position.questions]
    wanted = [
        said.purpose,
        said.why_here,
        *_sentences(said.reach),
        said.first_cue,
        *said.cautions,
        *messages.safety.cautions_stop,
        *messages.safety.cautions,
    ]
    wanted += [messages.form.question[one.name].ask for one in asked]
    wanted += [messages.form.question[one.name].teach for one in asked]
    wanted += [said.cue(one.fault) for one in asked]
    wanted += [
        line
        for name in position.checks
        for line in (messages.safety.check[name].ask, messages.safety.check[name].mend)
    ]
    wanted += [*messages.safety.sign.values(), *messages.safety.region.values(), messages.client.setup.again_title]
    shown = "\n".join(text for page in proof.pages.values() for text in _texts(page))
    assert [line for line in wanted if re.split(r"[{]", line)[0] not in shown] == []


@pytest.mark.parametrize("client", ["avocet", "heron", "plover", "tern", "curlew"])
def test_the_lesson_of_every_question_can_be_looked_at(client: str) -> None:
    """Also where the client has so much to be asked about that no lesson would come today."""
    for store in ClientStore.read(DEMO / client, _content("en")).exercises:
        plan = open_session(store, FakeClock()()).plan
        steps = [entry.state.step for entry in catalogue_entries(plan, START)]
        assert {step.question for step in steps if isinstance(step, Teach)} >= set(plan.position.questions)
