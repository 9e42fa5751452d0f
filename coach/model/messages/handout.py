"""en/handout.toml: the printed page that a client takes home; what it shares with the screens is said there."""

from coach.model.base import Line
from coach.model.messages.base_messages import PageWords


class HandoutWords(PageWords):
    """The printed page that a client takes home; what it shares with the screens is said there."""

    file = "handout.toml"

    as_of: Line
    after_session: Line
    dose: Line
    rest_and_days: Line
    seconds: Line
    line: Line
    cues_title: Line
    stop_title: Line
    pain: Line
    pain_what_to_do: Line
    not_before: Line
    log_title: Line
    log_day: Line
    log_set: Line
    log_pain: Line
    foot: Line
    written: Line
