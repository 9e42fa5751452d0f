"""A drawing of the setup as sentences, from the same geometry."""

from collections.abc import Mapping
from typing import Literal

from msgspec.structs import asdict

from coach.drawing.description import describe_setup
from coach.model import step_names
from coach.model.message_format import fill
from coach.screens.client.setup_context import SetupContext
from coach.session.script import SetupAgain, Step


def drawing_sentences(step: Step, context: SetupContext) -> tuple[str, ...]:
    """Sentences on what the drawing of a step shows; none if it has no drawing."""
    messages, position = context.plan.content.messages.client.plain, context.plan.position
    on_foot = position.anchor == "foot"
    if step.name == step_names.PLACE or isinstance(step, SetupAgain):
        lines = messages.from_above_underfoot if on_foot else messages.from_above
    elif step.name == step_names.ARM:
        between: Literal["rotation", "arm", "path"] = "rotation" if position.rotates else "arm"
        if position.coordinate == "path":
            between = "path"
        seen = messages.from_the_side_underfoot if on_foot else messages.from_the_side
        lines = (*seen, messages.between[between])
    else:
        return ()
    values = _values(context)
    return tuple(fill(line, values) for line in lines)


def drawing_in_short(step: Step, context: SetupContext) -> tuple[str, ...]:
    """The one thing of a drawing that the lines beside it do not say: where the anchor is, how far the hand moves."""
    messages, on_foot = context.plan.content.messages.client.voice, context.plan.position.anchor == "foot"
    if step.name == step_names.PLACE:
        said = on_foot or not context.values["turn"]  # who stands on the band, or faces the anchor, was told so
        return () if said else (fill(messages.anchor_is, _values(context)),)
    return (fill(messages.hand_moves, _values(context)),) if step.name == step_names.ARM else ()


def _values(context: SetupContext) -> Mapping[str, object]:
    """The values to fill in, by name; words are in the client's language."""
    content = context.plan.content
    messages, seen = content.messages.client.plain, describe_setup(context.setup, context.plan.profile.side)
    return {
        **asdict(seen),
        "underfoot_cm": seen.distance_cm,
        "landmark": content.messages.rules.landmark[seen.landmark],
        "turn": messages.turn[seen.turn],
        "anchor_side": messages.anchor_side[seen.anchor_side],
        "band_start": messages.slope[seen.band_start],
        "band_end": messages.slope[seen.band_end],
    }
