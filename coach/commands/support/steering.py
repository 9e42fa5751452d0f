"""What steering a client needs, on the command line and on screen: the comparison, and the page."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.comparison import ComparisonPart
    from coach.screens.therapist.steering_screen import SteeringScreen
    from coach.store.therapist.steering import ClientSnapshot, ProposedInstruction


def steering_screen(client: Path, content: "Content", exercise: str | None = None) -> "SteeringScreen":
    """The page on which the therapist steers a client; of a programme one exercise, by default the first."""
    from coach.screens.therapist.steering_screen import SteeringScreen
    from coach.store.clock import now

    return SteeringScreen(client, content, now, partial(compare_sessions, content), exercise)


def compare_sessions(
    content: "Content", seen: "ClientSnapshot", proposed: "ProposedInstruction"
) -> "tuple[ComparisonPart, ...]":
    """The next session as it is now, compared with the one after the proposed instruction."""
    from msgspec.structs import replace

    from coach.model.instruction import OF_EVERY_EXERCISE
    from coach.model.message_format import fill
    from coach.reports.text.next_session import compare_next_sessions, next_session
    from coach.store.client_store import ClientStore

    profile, at = seen.folder.profile, proposed.instruction.at
    before = next_session(profile, seen.folder.prescription, ClientStore(seen.folder, content).progress, content, at)
    after = next_session(profile, proposed.prescription, proposed.progress, content, at)
    names = seen.folder.prescribed.names
    if len(names) > 1 and proposed.instruction.what in OF_EVERY_EXERCISE:
        for_all = fill(content.messages.therapist.steering.for_all, {"exercises": ", ".join(map(str, names))})
        after = replace(after, state=(for_all, *after.state))
    return compare_next_sessions(before, after, content.messages.therapist.steering)
