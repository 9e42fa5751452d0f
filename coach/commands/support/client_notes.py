"""What `coach check` tells of a client that is no fault."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from coach.model.content import Content
    from coach.store.client_store import ClientStore
    from coach.toml.diagnostic import Diagnostic


def client_notes(client: Path, content: "Content") -> "Iterator[Diagnostic]":
    """The notes on one client; none on files that cannot be read or judged."""
    from coach.model.exercise import NoExercise
    from coach.store.client_store import ClientStore
    from coach.toml.diagnostic import FileFault

    try:
        store = ClientStore.read(client, content)
        yield from (*_progress(store), *_left_behind(store), *_order(store), *_sides(store))
    except (FileFault, NoExercise):  # `coach check` has told why
        return


def _progress(store: "ClientStore") -> "Iterator[Diagnostic]":
    """A progress.toml that differs from the records. It is derived, so sessions go on."""
    from coach.store.client_paths import PROGRESS
    from coach.toml.diagnostic import FileFault, whole_file

    try:
        if store.folder.saved is None or all(one.is_current or one.agreement != "differs" for one in store.exercises):
            return
        if any(one.is_held for one in store.exercises):
            return  # which is a fault
    except FileFault:
        return
    what = "it does not agree with the records: it was changed by hand, or written by other rules or another version"
    fix = "sessions follow the records; coach history PROFILE shows each difference, and with --rebuild rewrites it"
    yield whole_file(store.path / PROGRESS, what, fix=fix)


def _left_behind(store: "ClientStore") -> "Iterator[Diagnostic]":
    """A prescription that a programme has taken the place of."""
    from coach.store.client_paths import PRESCRIPTION
    from coach.toml.diagnostic import whole_file

    old, holds = store.path / PRESCRIPTION, store.folder.prescribed.path
    if store.folder.prescribed.programme is not None and old.exists():
        what = f"it is not read any more, because programme/{holds.name} holds"
        yield whole_file(old, what, fix="move it out of this folder")


def _order(store: "ClientStore") -> "Iterator[Diagnostic]":
    """An order of the exercises that saves fixing the band again."""
    from coach.model.no_session import NoSession
    from coach.overview.exercise_order import better_order
    from coach.session.plan import plan_session
    from coach.toml.source_file import SourceFile

    programme = store.folder.prescribed.programme
    if programme is None or len(programme.names) < 3:
        return
    plans = {}
    for one in store.exercises:
        try:
            plan = plan_session(one.profile, one.prescription, one.content, one.progress)
        except NoSession:
            continue  # it is not done, so nothing is fixed for it
        plans[one.folder.name or ""] = plan
    better = better_order(plans, {one.name: one.days for one in programme.exercises}) if plans else None
    if better is None:
        return
    times = {0: "not at all", 1: "once", 2: "twice"}
    often, instead = (times.get(count, f"{count} times") for count in (better.times, better.instead))
    what = f"in this order the band is fixed again {often} between exercises, in another {instead}"
    fix = f"if nothing speaks against it, order them: {', '.join(better.names)}"
    yield SourceFile(store.folder.prescribed.path).at_key(("exercises", 0), what, fix=fix)


def _sides(store: "ClientStore") -> "Iterator[Diagnostic]":
    """A range that was measured on one side only, where both are trained."""
    from coach.model.base import Side
    from coach.toml.source_file import SourceFile

    programme, profile = store.folder.prescribed.programme, store.folder.own_profile
    measured = {(one.position, one.direction, one.side or profile.side) for one in profile.ranges}
    for index, one in enumerate(programme.exercises if programme is not None else ()):
        side = one.side or profile.side
        other: Side = "left" if side == "right" else "right"
        for position in store.content.exercise(one.exercise).positions:
            name, direction = position.name, position.direction
            if name not in one.positions or (name, direction, side) in measured:
                continue
            if (name, direction, other) in measured:
                what = f"the range at {position.in_words} was measured on the {other} and not on the {side}"
                fix = f"the usual range is taken; measure it, and add it to profile.toml with side = '{side}'"
                source = SourceFile(store.folder.prescribed.path).inside(("exercises", index))
                yield source.at_key(("side",), what, fix=fix)
