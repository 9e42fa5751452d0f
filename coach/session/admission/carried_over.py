"""A warning sign that was chosen and not confirmed before the program was closed: the next start asks again."""

from datetime import datetime

from coach.model import step_names
from coach.model.content import Content
from coach.model.record import Chosen, Record


def carried_over(newest: Record | None, content: Content, at: datetime) -> Chosen | None:
    """The sign left unconfirmed in the newest record, as a choice at the check-in; None if there is none.

    A region that counts as a sign is carried over as that sign.
    """
    chosen = newest.unconfirmed if newest is not None else None
    if chosen is None:
        return None
    region = content.regions.get(str(chosen.value)) if chosen.step.endswith(step_names.TROUBLE_WHERE) else None
    sign = str(chosen.value if region is None else region.sign)
    if chosen.step == step_names.SIGN or sign in [one.name for one in content.signs]:
        return Chosen(at=at, step=step_names.SIGN, value=sign)
    return None
