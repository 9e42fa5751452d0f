"""What a client changes by hand for a new load, and what stays."""

from coach.model.load_step import LoadStep
from coach.model.message_format import fill
from coach.model.messages.setup import ChangeName
from coach.progression.decision_messages import load_placeholders
from coach.session.script import changed_since_last_set
from coach.session.state import State

# Of a load: whether the band, the strands or the mark is another one.
_NAMES: dict[tuple[bool, bool, bool], ChangeName] = {
    (True, False, False): "band",
    (True, True, False): "band",
    (False, True, False): "strands",
    (False, False, True): "mark",
    (True, False, True): "both",
    (True, True, True): "both",
    (False, True, True): "both",
}
_UNDERFOOT: dict[ChangeName, ChangeName] = {
    "band": "band_underfoot",
    "strands": "strands_underfoot",
    "mark": "mark_underfoot",
    "both": "both_underfoot",
}


def load_before(state: State) -> LoadStep:
    """The load of the last set; before the first one, of the first page."""
    done = state.record.rungs_of_sets
    return (done[-1] if done else state.record.rungs).step


def change_line(state: State) -> str:
    """What to change since the last set, and what stays; empty if nothing has to be changed."""
    now, was, content = state.record.current_rungs.step, load_before(state), state.plan.content
    name = _NAMES.get((now.grade != was.grade, now.strands != was.strands, now.distance_cm != was.distance_cm))
    if name is None or not changed_since_last_set(state.record):
        return ""
    before, values = load_placeholders(was, content), load_placeholders(now, content)
    before_values = {f"was_{key}": before[key] for key in ("grade", "strands", "distance_cm")}
    message = content.messages.client.setup.change[_UNDERFOOT[name] if now.underfoot else name]
    return fill(message, {**values, **before_values})
