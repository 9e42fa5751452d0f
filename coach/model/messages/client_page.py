"""en/client_page.toml: one client for the therapist, opened from the caseload."""

from typing import Literal

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords
from coach.model.record import Status

Look = Literal["preview", "decisions", "setup", "pictures", "steering", "history", "forecast", "check"]


class ClientPageWords(PageWords):
    """One client for the therapist, opened from the caseload."""

    file = "client_page.toml"

    title: Line
    stands: Line
    seen: Line
    never_seen: Line
    needs_title: Line
    no_need: Line
    decided_title: Line
    tell_title: Line
    load: Line
    no_load: Line
    working: Line
    files_title: Line
    status: dict[Status, Line]
    report: dict[Look, Line]
    keys: dict[Literal["back", "scroll", "open", "pictures"], Line]
