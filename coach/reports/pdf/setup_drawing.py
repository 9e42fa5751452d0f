"""The drawing of a setup with labels from the content: one page as SVG."""

from coach.drawing.paper import stacked
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import LabelName
from coach.drawing.svg import svg_page
from coach.mechanics.setup import Setup
from coach.model.message_format import fill
from coach.session.phrases import position_messages, setup_of, setup_values
from coach.session.plan import Plan

# Both drawings fit on a page of A4 or letter size with its margins.
_WIDTH_MM, _HEIGHT_MM = 180.0, 220.0
_ON_SCREENS = ("height", "place", "in_front", "line")


def drawing_labels(plan: Plan, setup: Setup) -> dict[LabelName, str]:
    """The labels of a drawing, by name, without those of screens: on paper the text says the anchor height."""
    values, drawing = setup_values(plan, setup), plan.content.messages.client.drawing
    return {name: fill(text, values) for name, text in drawing.items() if name not in _ON_SCREENS}


def setup_svg(plan: Plan) -> str:
    """Today's setup from above and from the side, to one scale, with a scale bar."""
    setup, side, messages = setup_of(plan, plan.step), plan.profile.side, plan.content.messages.therapist.setup_report
    scenes = (from_above(setup, side), from_the_side(setup, side))
    papers = stacked(scenes, _WIDTH_MM, _HEIGHT_MM, drawing_labels(plan, setup))
    title = fill(messages.title, {"profile": plan.profile.name, "position": position_messages(plan).title})
    return svg_page(papers, (messages.from_above, messages.from_the_side), title)
