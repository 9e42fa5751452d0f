"""What the page of a visit starts from, read from the client's files as they are now."""

from collections.abc import Sequence
from datetime import datetime
from functools import cached_property

from msgspec import Struct

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model import step_names
from coach.model.caseload import Need
from coach.model.content import Content
from coach.model.content_entries import HOW_OFTEN, HowOften
from coach.model.programme.visit_file import Goal, VisitFile
from coach.overview.visits.measured_again import Place, before_visit
from coach.overview.visits.since_visit import ExerciseCourse, SinceVisit, since_visit
from coach.progression.needs import needs_of, needs_together
from coach.screens.therapist.visit.visit_form import TrainedExercise, VisitBasis
from coach.store.client_store import ClientStore
from coach.store.client_summary import closed_sessions, summary_of
from coach.store.programme.opening import due_days_of
from coach.store.therapist.signing_visits import MeasuredCheck
from coach.store.therapist.steering import ClientSnapshot


class VisitSubject(Struct, frozen=True, dict=True):
    """One client at the start of a visit: the files as read, what was done since, and what the form asks."""

    seen: ClientSnapshot
    store: ClientStore
    since: SinceVisit
    basis: VisitBasis

    @cached_property
    def measured(self) -> MeasuredCheck:
        """Whether what is measured leaves a load step."""
        return MeasuredCheck(self.seen, self.basis.content)


def visit_subject(seen: ClientSnapshot, content: Content, now: datetime) -> VisitSubject:
    """The client of a snapshot at the start of a visit. Raises FileFault where a record cannot be read."""
    store = seen.store(content)
    each = store.exercises
    measured = store.folder.measured.by_set
    courses = [
        ExerciseCourse(
            one.prescription.exercise,
            one.profile.side,
            due_days_of([one]),
            one.sessions,
            measured,
            closed_sessions(one),
        )
        for one in each
    ]
    since = since_visit(courses, store.folder.visits, store.prescription.on, now.date())
    profile, visits = store.folder.own_profile, store.folder.visits
    basis = VisitBasis(
        tuple(map(_trained, each)),
        before_visit(profile, visits),
        _levers(store),
        _goals(visits),
        {key: said for one in each for key, said in _said(one)},
        open_needs(store, now),
        profile.condition,
        content,
    )
    return VisitSubject(seen, store, since, basis)


def open_needs(store: ClientStore, now: datetime) -> tuple[Need, ...]:
    """What the client needs the therapist for now, the most urgent first."""
    client, needs = summary_of(store.path, store.content, now), load_needs(content_folder())
    found = [needs_of(one, needs, store.content.limit_values(one.limits), now.date()) for one in client.each]
    return needs_together(found, needs) if client.exercises else found[0]


def name_in_programme(store: ClientStore) -> str:
    """What an exercise is called in the programme; of a client of format 1, as the exercise."""
    return store.folder.name or store.prescription.exercise


def _trained(store: ClientStore) -> TrainedExercise:
    exercise = store.content.exercise(store.prescription.exercise)
    places = [exercise.position(position) for position in store.prescription.positions]
    return TrainedExercise(
        name_in_programme(store),
        store.prescription.exercise,
        store.profile.side,
        tuple((one.direction, one.name) for one in places),
        exercise.position(store.progress.position).questions,
    )


def _levers(store: ClientStore) -> dict[Place, float]:
    profile, found = store.folder.own_profile, dict[Place, float]()
    for one in sorted(profile.strengths, key=lambda one: one.on):
        if one.lever_m is not None:
            found[one.position, one.direction, one.side or profile.side] = one.lever_m
    return found


def _goals(visits: Sequence[VisitFile]) -> tuple[Goal, ...]:
    """The goals as they were set last."""
    return next((one.goals for one in reversed(visits) if one.goals), ())


def _said(store: ClientStore) -> list[tuple[tuple[str, str], HowOften]]:
    """What the client answered last to each form question of an exercise."""
    name, found = name_in_programme(store), dict[str, HowOften]()
    for judged in store.sessions:
        for step, answer in judged.record.answers.items():
            question = step_names.within_group(step)
            often = next((one for one in HOW_OFTEN if one == answer), None)
            if question in store.content.questions and often is not None:
                found[question] = often
    return [((name, question), often) for question, often in found.items()]
