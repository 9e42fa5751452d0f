"""Comparisons: a kept progress with one derived again, and the newest date of a client's files with now."""

from collections.abc import Set
from datetime import datetime
from typing import TYPE_CHECKING

from coach.model.progress import Progress

if TYPE_CHECKING:
    from coach.store.client_folder import ClientFolder

_MAY_DIFFER = frozenset({"tell", "decision", "measured_on", "band_use"})


def agrees(saved: Progress, other: Progress, has: Set[str], of_older: bool) -> bool:
    """Whether a saved progress is another one, apart from words and the use of bands, which may differ.

    `has` are the keys of the file: one as an older program wrote it (`of_older`) may lack some.
    """
    due = has if of_older else Progress.model_fields.keys()
    missing = any(getattr(other, key) for key in due & _MAY_DIFFER - has)
    same = all(getattr(saved, key) == getattr(other, key) for key in due - _MAY_DIFFER)
    return same and not missing and without_messages(saved).decision == without_messages(other).decision


def without_messages(progress: Progress) -> Progress:
    """Progress without sentences: they change with the client's language and with an edit of the content."""
    blank = {"tell": dict.fromkeys(progress.tell, "")}
    if progress.decision is None:
        return progress.model_copy(update=blank)
    decision = {"reason": "", "source": "", "tell": dict.fromkeys(progress.decision.tell, "")}
    return progress.model_copy(update={**blank, "decision": progress.decision.model_copy(update=decision)})


def latest_date_after(folder: "ClientFolder", now: datetime) -> datetime | None:
    """When the newest record or instruction was dated, where that is after `now`: one of two clocks is wrong.

    Both are applied in order of time: a session begun now would be applied before that record, and an instruction
    with a date to come would end every review until then. Of a programme only the session counts: days are counted
    from it, while the order follows from who knew what.
    """
    newest, signed = folder.newest, folder.signed
    dates = [newest.record.last_at] if newest is not None else []
    dates += [one.at for one in signed] if folder.prescribed.programme is None else []
    latest = max(dates, default=None)
    return latest if latest is not None and latest > now else None
