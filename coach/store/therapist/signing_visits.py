"""A visit, from its text to its file: checked as a file is, shown with what it changes, and signed under the lock."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from functools import cached_property

from msgspec import Struct, field
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, languages
from coach.model.condition import ClientCondition
from coach.model.content import Content
from coach.model.profile import Profile
from coach.model.programme.seen_at_visits import as_seen_at, in_order
from coach.model.programme.visit_file import VisitFile
from coach.store.client_folder import ClientFolder, read_client_folder
from coach.store.client_paths import PROFILE
from coach.store.client_store import ClientStore
from coach.store.lock import lock
from coach.store.programme.prescribed import prescribed_file
from coach.store.programme.this_computer import written_now
from coach.store.programme.upgrade import upgrade
from coach.store.programme.visits import keep_visit, visit_path
from coach.store.therapist.check_client import check_sources
from coach.store.therapist.check_days import check_visit_days
from coach.store.therapist.check_visits import VisitSource, check_visit, exercises_ever, visit_sources
from coach.store.therapist.steering import ClientSnapshot, read_snapshot
from coach.toml.diagnostic import Diagnostic, FileFault, Refusal, whole_file
from coach.toml.reader import parse_model
from coach.toml.source_file import SourceFile

_SECOND = timedelta(seconds=1)


class ProposedVisit(Struct, frozen=True):
    """A visit that can be signed, and the client's files as they are with it."""

    visit: VisitFile
    folder: ClientFolder

    def store(self, content: Content) -> ClientStore:
        """The client as known after the visit."""
        return ClientStore(self.folder, content)


class MeasuredCheck(Struct, dict=True):
    """Whether what is measured at a visit leaves a load step for every exercise of a client.

    The ladders are computed once for the same measurements: a form asks at every key.
    """

    seen: ClientSnapshot
    content: Content
    _fine: set[tuple[object, ...]] = field(default_factory=set)

    @cached_property
    def _known(self) -> frozenset[str]:
        """What is wrong with the client's files already."""
        return frozenset(one.what for one in _faults(self.seen, self.content))

    def faults(self, visit: VisitFile, source: SourceFile) -> tuple[Diagnostic, ...]:
        """The faults that the files have with this visit and not without it."""
        measured = (visit.ranges, visit.strengths)
        if measured in self._fine or not any(measured):
            return ()
        after = _faults(self.seen, self.content, VisitSource(visit, source))
        found = tuple(one for one in after if one.what not in self._known)
        if not found:
            self._fine.add(measured)
        return found


def propose_visit(
    seen: ClientSnapshot, text: str, content: Content, measured: MeasuredCheck | None = None
) -> ProposedVisit:
    """Work out what a visit makes of what is known, checked as if it were a file of the client.

    Raises Refusal with every reason why it cannot be signed, each at its line of `text`.
    """
    path = visit_path(seen.path, None)
    try:
        visit = parse_model(text, path, VisitFile)
    except FileFault as fault:
        raise Refusal(fault.faults) from None  # typed, and in no file yet
    source = SourceFile(path, text)
    faults = (*check_visit(visit, source, content, exercises_ever(seen.path)), *check_visit_days(visit, source))
    faults = faults or tuple(_unclear_ends(visit, seen.folder.own_profile.condition, source))
    faults = faults or (measured or MeasuredCheck(seen, content)).faults(visit, source)
    if faults:
        raise Refusal(faults)
    taken = {one.at for one in seen.folder.visits}
    times = (visit.at + count * _SECOND for count in range(len(taken) + 1))
    over = _ended(visit, seen.folder.own_profile.condition)
    visit = visit.model_copy(update={"at": next(at for at in times if at not in taken), "condition_over": over})
    return ProposedVisit(visit, _with(seen, visit))


def sign_visit(seen: ClientSnapshot, proposed: ProposedVisit) -> VisitFile:
    """Write a visit into a file of its own and return it as written. A client of format 1 is moved to format 2 first.

    Raises Refusal where a file has changed or a session was done since the client was read, InUse while a session is
    in progress, and FileFault where nothing can be written.
    """
    with lock(seen.path):
        if read_snapshot(seen.path, seen.folder.name) != seen:
            what = "the files of this client have changed since you looked: nothing was written"
            raise Refusal([whole_file(seen.path, what, fix="look again, and sign what still applies")])
        upgrade(seen.path)
        written = written_now(read_client_folder(seen.path).written)
        signed = proposed.visit.model_copy(update={"written": written})
        keep_visit(seen.path, signed)
        return signed


def _ended(visit: VisitFile, held: Iterable[ClientCondition]) -> tuple[str, ...]:
    """The conditions of the client that a visit ends, each once, with its day."""
    return tuple(dict.fromkeys(one.with_day for one in held if visit.ends(one)))


def _unclear_ends(visit: VisitFile, held: Sequence[ClientCondition], source: SourceFile) -> Iterator[Diagnostic]:
    """Conditions that a visit ends and the client does not have, or has on several days.

    One that is noted later would have ended before it was known, and an old one would take a new one with it.
    """
    names = list(dict.fromkeys(one.with_day for one in held))
    for index, typed in enumerate(visit.condition_over):
        ended = _ended(visit.model_copy(update={"condition_over": (typed,)}), held)
        if not ended:
            what = f"the client has no condition {typed}"
            yield source.unknown_value(("condition_over", index), what, typed, names, taken=visit.condition_over)
        elif len(ended) > 1:
            what, fix = f"the client has {len(ended)} conditions {typed}", "write the one that is over, with its day"
            yield source.at_value(("condition_over", index), what, f"one of {', '.join(ended)}", fix)


def _with(seen: ClientSnapshot, visit: VisitFile) -> ClientFolder:
    """The client's files with a visit, looked at for the same exercise."""
    profile = parse_model(seen.profile_text, seen.path / PROFILE, Profile)
    written = written_now(seen.folder.written)
    visits = in_order((*seen.folder.visits, visit.model_copy(update={"written": written})))
    known = as_seen_at(visits, profile)
    return replace(seen.folder, visits=visits, own_profile=known).for_exercise(seen.folder.name)


def _faults(seen: ClientSnapshot, content: Content, *further: VisitSource) -> tuple[Diagnostic, ...]:
    """The faults of the client's files, with a visit that is no file yet."""
    of_profile = SourceFile(seen.path / PROFILE, seen.profile_text)
    of_prescribed, spoken = SourceFile(prescribed_file(seen.path)), languages(content_folder())
    visits = (*visit_sources(seen.path), *further)
    return check_sources(of_profile, of_prescribed, content, spoken, visits=visits)
