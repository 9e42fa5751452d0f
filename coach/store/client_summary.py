"""One client's folder read into the few facts of a caseload's line, by the same fold as everything else."""

from pathlib import Path

from coach.model.caseload import Summary
from coach.model.content import Content
from coach.store.client_folder import read_profile_folder
from coach.store.client_store import judged
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, FileFault, reason, shown

_DAYS_KEPT = 84  # the most days in twelve weeks, the longest span that adherence is counted over


def summary_of(path: Path, content: Content) -> Summary:
    """A client in a few facts; where the files cannot be read or judged, what is wrong with them instead."""
    try:
        return _read(path, content)
    except FileFault as fault:
        return Summary(folder=path.name, fault=_first(fault.faults))
    except OSError as error:
        return Summary(folder=path.name, fault=reason(error))
    except (
        Exception
    ) as error:  # files that can be read and do not fit each other: one client must not hide the others
        return Summary(folder=path.name, fault=_why(path, content, error))


def _read(path: Path, content: Content) -> Summary:
    folder = read_profile_folder(path, mends=False)
    progress, sessions = judged(folder, content)
    dose, last = folder.prescription.dose, progress.decision
    days = sorted({one.record.started.date() for one in sessions if one.record.sets_done})
    return Summary(
        folder=path.name,
        status=progress.status,
        exercise=folder.prescription.exercise,
        position_deg=progress.position_deg,
        mean_nm=progress.load.mean_nm if progress.load else None,
        repetitions=progress.repetitions,
        sessions=progress.sessions,
        days_a_week=dose.days_a_week,
        prescribed_on=folder.prescription.on,
        first_session=progress.first_session.date() if progress.first_session else None,
        last_seen=sessions[-1].record.started.date() if sessions else None,
        looked_at=progress.looked_at.date() if progress.looked_at else None,
        irritability_on=folder.profile.irritability.on if folder.profile.irritability else None,
        trained_on=tuple(days[-_DAYS_KEPT:]),
        pain=progress.pains[-1].pain if progress.pains else None,
        under_sessions=progress.under_sessions,
        rule=last.rule if last else None,
        reason=last.reason if last else "",
        tell=progress.tell,
        limits=folder.prescription.limits,
    )


def _why(path: Path, content: Content, error: Exception) -> str:
    """Why files that can be read cannot be judged: what a check of them finds, else what was said, else its kind."""
    try:
        found = _first(check_profile(path, content))
    except Exception:
        found = ""
    return found or (shown(str(error)) if isinstance(error, ValueError) else type(error).__name__)


def _first(faults: tuple[Diagnostic, ...]) -> str:
    """The first fault in one line, and how many more there are."""
    if not faults:
        return ""
    first, more = faults[0], len(faults) - 1
    place = f", line {first.line}" if first.line else ""
    others = f" (and {more} more)" if more else ""
    return f"{shown(first.path.name)}{place}: {first.what}{others}"
