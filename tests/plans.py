"""Plans of the demo clients for tests of the pure rooms."""

from functools import cache
from pathlib import Path

from coach.commands.support.loading import client_store, plan_of_exercise
from coach.content_files.content_folder import content_folder, load_content
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.progression.state_machine import initial_progress
from coach.session.plan import Plan, open_record, plan_session, script_of
from coach.session.state import Instant, State
from coach.session.transitions import begin
from coach.toml.reader import read_model
from tests.clocks import START
from tests.demo.pristine import DEMO


@cache
def shipped() -> Content:
    """The content that comes with the program."""
    return load_content(content_folder(), "en")


@cache
def plan_of(name: str) -> Plan:
    """The first session of a demo client who was shown every fault before."""
    folder = DEMO / name
    profile = read_model(folder / "profile.toml", Profile)
    prescription = read_model(folder / "prescription.toml", Prescription)
    return plan_session(profile, prescription, shipped(), shown_everything(initial_progress(prescription)))


def shown_everything(progress: Progress) -> Progress:
    """The progress of a client who was shown every fault, and asked about every one lately."""
    questions = shipped().questions
    faults = tuple(question.fault for question in questions.values())
    return progress.model_copy(
        update={"taught": {progress.exercise: faults}, "form_asked": dict.fromkeys(questions, 0)}
    )


def new_record(name: str = "tern") -> Record:
    """A record in which nothing is done yet."""
    return open_record(plan_of(name), START)


def begun(name: str = "tern") -> State:
    """A session at its first step."""
    plan, record = plan_of(name), new_record(name)
    return begin(plan, script_of(plan, record), record, Instant(0.0, START))


def next_plan(path: Path) -> Plan:
    """A client's next session, of the first exercise of a programme."""
    return plan_of_exercise(client_store(path))
