"""Dates of sessions that were written under a wrong clock, as a later session shows them.

Where the newest session is dated later than now, the next one asks whether today's date is right. A yes is kept in
that session: everything that it knew and that is dated after it was dated wrongly, and counts just before it. A wrong
clock therefore locks nobody out.
"""

from collections.abc import Iterable
from datetime import timedelta

from msgspec.structs import replace

from coach.model.programme.session_file import SessionFile
from coach.store.records.record_file import StoredSession

CONFIRMED = b"\nconfirmed_on ="  # in the file of a session whose date was confirmed
_BEFORE = timedelta(seconds=1)


def with_confirmed_dates(stored: Iterable[StoredSession]) -> list[StoredSession]:
    """The sessions, with those dated after a confirmed one that knew them moved to just before it."""
    every = list(stored)
    confirmed = [one.session for one in every if isinstance(one.session, SessionFile) and one.session.confirmed_on]
    for right in sorted(confirmed, key=lambda one: one.started, reverse=True):
        every = [_moved(one, right) for one in every]
    return every


def _moved(stored: StoredSession, right: SessionFile) -> StoredSession:
    session, written = stored.session, stored.session.written
    if session.started <= right.started or session is right:
        return stored
    known = right.written is not None and (written is None or right.written.knew(written))
    if not known or (isinstance(session, SessionFile) and session.confirmed_on is not None):
        return stored
    return replace(stored, session=session.moved_to(right.started - _BEFORE))
