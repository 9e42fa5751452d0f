"""What a visit needs, on the command line and on screen: the client as read, the page, and what a visit changes."""

from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.steering import steering_screen

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.comparison import ComparisonPart
    from coach.screens.therapist.visit.visit_basis import VisitSubject
    from coach.screens.therapist.visit.visit_screen import VisitScreen
    from coach.store.client_store import ClientStore
    from coach.store.therapist.signing_visits import ProposedVisit


def visit_screen(client: Path, content: "Content") -> "VisitScreen":
    """The page of a visit. Raises FileFault where the client's files cannot be read."""
    from coach.screens.therapist.visit.visit_screen import VisitScreen
    from coach.store.clock import now

    def read() -> "VisitSubject":
        return subject_of(client, content)

    return VisitScreen(
        read(),
        content,
        now,
        read,
        lambda subject, proposed: compare_after_visit(content, subject.store, proposed),
        lambda name: steering_screen(client, content, name),
    )


def subject_of(client: Path, content: "Content") -> "VisitSubject":
    """The client at the start of a visit, as the files are now. Raises FileFault."""
    from coach.screens.therapist.visit.visit_basis import visit_subject
    from coach.store.clock import now
    from coach.store.therapist.steering import read_snapshot

    return visit_subject(read_snapshot(client), content, now().at)


def compare_after_visit(
    content: "Content", before: "ClientStore", proposed: "ProposedVisit"
) -> "tuple[ComparisonPart, ...]":
    """The next session of each exercise as it is now, compared with the one after the proposed visit."""
    from coach.overview.comparison import ComparisonPart, LinePair, differs

    found = tuple(part for pair in _both(content, before, proposed) for part in pair if differs(part.pairs))
    messages = content.messages.therapist.visit
    nothing = ComparisonPart(messages.part["next"], (LinePair("noted", "", messages.nothing_follows),))
    return found or (nothing,)


def _both(content: "Content", before: "ClientStore", proposed: "ProposedVisit") -> "list[tuple[ComparisonPart, ...]]":
    from coach.overview.comparison import ComparisonPart
    from coach.reports.text.next_session import compare_next_sessions, next_session
    from coach.session.phrases import exercise_line

    after, at, messages = proposed.store(content), proposed.visit.at, content.messages.therapist.steering
    found = []
    for one, other in zip(before.exercises, after.exercises, strict=True):
        if _known_of(one) == _known_of(other):
            continue  # nothing that this exercise depends on was found
        now, then = (
            next_session(each.profile, each.prescription, each.progress, content, at) for each in (one, other)
        )
        parts = compare_next_sessions(now, then, messages)
        title = exercise_line(one.prescription.exercise, one.profile.side, content)
        several = len(before.folder.prescribed.names) > 1
        found.append(
            tuple(ComparisonPart(f"{title}: {part.title}" if several else part.title, part.pairs) for part in parts)
        )
    return found


def _known_of(store: "ClientStore") -> tuple[object, ...]:
    """What a visit can change of an exercise: what was measured of its motion, the conditions, the irritability."""
    profile, exercise = store.profile, store.content.exercise(store.prescription.exercise)
    directions = {one.direction for one in exercise.positions}
    ranges = [one for one in profile.ranges if one.direction in directions]
    strengths = [one for one in profile.strengths if one.direction in directions]
    return ranges, strengths, profile.condition, profile.irritability
