"""Plans for the reports: invented clients of the mechanics' checks, with the content that comes with the program."""

from functools import cache

from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.content import Content
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.session.plan import Plan, plan_session
from tests.mechanics.clients import prescription, profile


@cache
def content() -> Content:
    """The shipped content in English."""
    return load_content(content_folder(), "en")


def plan(position: str = "0", client: Profile | None = None, step: int | None = None) -> Plan:
    """A plan in a position; `step` counts on the ladder from its lowest, None begins where a session would."""
    before = Progress(exercise="external_rotation", position=position, repetitions=10)
    made = plan_session(client or profile(rest_m=0.75), prescription(), content(), before)
    return made if step is None else replace(made, step=made.ladder.steps[step])
