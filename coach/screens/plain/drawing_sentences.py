"""A drawing of the setup as sentences: the same facts, from the same geometry."""

from collections.abc import Mapping

from coach.drawing.description import facts
from coach.model import step_names
from coach.model.message_format import fill
from coach.screens.client.pages import Today
from coach.session.script import SetupAgain, Step


def drawing_sentences(step: Step, today: Today) -> tuple[str, ...]:
    """What the drawing of a step shows; nothing where it has none."""
    words = today.plan.content.words.screens.plain
    if step.name == step_names.PLACE or isinstance(step, SetupAgain):
        lines = words.from_above
    elif step.name == step_names.ARM:
        lines = words.from_the_side
    else:
        return ()
    values = _values(today)
    return tuple(fill(line, values) for line in lines)


def _values(today: Today) -> Mapping[str, object]:
    """The facts by name, those that are words in the client's language."""
    content = today.plan.content
    words, seen = content.words.screens.plain, facts(today.setup, today.plan.profile.side)
    return {
        **vars(seen),
        "landmark": content.words.rules.landmark[seen.landmark],
        "turn": words.turn[seen.turn],
        "anchor_side": words.anchor_side[seen.anchor_side],
        "band_start": words.slope[seen.band_start],
        "band_end": words.slope[seen.band_end],
    }
