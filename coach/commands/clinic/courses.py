"""What a command reads of a client for results: every exercise with its sessions and measured sets."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.overview.results.client_course import CourseToDate
    from coach.overview.visits.since_visit import ExerciseCourse
    from coach.store.client_store import ClientStore


def courses_of(store: "ClientStore") -> "tuple[ExerciseCourse, ...]":
    """Each exercise of a client's programme with everything done in it."""
    from coach.overview.visits.since_visit import ExerciseCourse
    from coach.store.client_summary import closed_sessions
    from coach.store.programme.opening import due_days_of

    measured = store.folder.measured.by_set
    return tuple(
        ExerciseCourse(
            one.prescription.exercise,
            one.profile.side,
            due_days_of([one]),
            one.sessions,
            measured,
            closed_sessions(one),
        )
        for one in store.exercises
    )


def course_of(store: "ClientStore", courses: "tuple[ExerciseCourse, ...]") -> "CourseToDate":
    """The course of a client from the first session to the last."""
    from coach.commands.clinic.standing_discharge import standing_discharge
    from coach.overview.results.client_course import client_course
    from coach.store.clock import now

    left = standing_discharge(store)
    discharged = left.reason if left is not None else None
    each = [one.folded_progress for one in store.exercises]
    may_start = any(one.admission(now().at, one.folded_progress).may_start for one in store.exercises)
    return client_course(
        store.profile.name, store.folder.own_profile, courses, each, store.content, discharged, may_start
    )
