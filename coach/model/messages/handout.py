"""What the printed page for the client says, beside what the screens say too."""

from coach.frozen import Field
from coach.model.base import Frozen, Line


class HandoutMessages(Frozen):
    """The printed page that the client takes home; messages that the screens have too are not repeated here."""

    as_of: Line
    after_session: Line
    dose: Line
    rest_and_days: Line
    seconds: Line
    line: Line
    line_or_limit: Line = Field(description="the same for several exercises, where the range of one is capped")
    spread: Line
    glasses: Line
    let_go: Line
    latex: Line
    cues_title: Line
    stop_title: Line
    pain: Line
    pain_what_to_do: Line
    phone: Line
    not_before: Line
    log_title: Line
    log_day: Line
    log_set: Line
    log_pain: Line
    foot: Line
    written: Line
