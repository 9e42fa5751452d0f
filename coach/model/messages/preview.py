"""en/preview.toml: the script as text."""

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class PreviewWords(PageWords):
    """The script as text."""

    file = "preview.toml"

    title: Line
    today: Line
    work: Line
    no_cue: Line
    total: Line
    decided: Line
    not_yet: Line
    what_if: Line
    next_session: Line
    beside_before: Line
    beside_after: Line
    alike: Line
    own: Line
    own_line: Line
    own_added: Line
    gaps: Line
