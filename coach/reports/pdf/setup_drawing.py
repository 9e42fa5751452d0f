"""The drawing of a setup with the words of the content: one page as SVG."""

from coach.drawing.paper import stacked
from coach.drawing.scene import from_above, from_the_side
from coach.drawing.shapes import LabelName
from coach.drawing.svg import svg_page
from coach.mechanics.setup import Setup
from coach.model.message_format import fill
from coach.model.messages.setup_report import SetupReportWords
from coach.session.phrases import position_words, setup_of, setup_values
from coach.session.plan import Plan

# Both drawings together fit on a sheet of A4 or of letter size with its margins.
_WIDTH_MM, _HEIGHT_MM = 180.0, 220.0


def drawing_labels(plan: Plan, setup: Setup) -> dict[LabelName, str]:
    """The words in a drawing, by the names that the drawing gives them."""
    values = setup_values(plan, setup)
    return {name: fill(text, values) for name, text in plan.content.words.screens.drawing.items()}


def setup_svg(plan: Plan) -> str:
    """Today's setup from above and from the side, to one scale, with a scale bar."""
    setup, side, words = setup_of(plan, plan.step), plan.profile.side, plan.content.words.of(SetupReportWords)
    scenes = (from_above(setup, side), from_the_side(setup, side))
    papers = stacked(scenes, _WIDTH_MM, _HEIGHT_MM, drawing_labels(plan, setup))
    title = fill(words.title, {"profile": plan.profile.name, "position": position_words(plan).title})
    return svg_page(papers, (words.from_above, words.from_the_side), title)
