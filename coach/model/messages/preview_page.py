"""en/preview_page.toml: what stands below the client's own pages in the therapist's preview."""

from typing import Literal

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords

PreviewKey = Literal["step", "part", "fewer", "timeline", "compare", "decisions", "setup", "clean", "back"]


class PreviewPageWords(PageWords):
    """What stands below the client's own pages in the therapist's preview."""

    file = "preview_page.toml"

    where: Line
    changed: Line
    clean: Line
    clients_key: Line
    not_so: Line
    timeline_title: Line
    compare_title: Line
    decisions_title: Line
    setup_title: Line
    stuck: Line
    keys: dict[PreviewKey, Line]
