"""The client's usual level of pain: what one answer at a check-in is compared with.

One answer scatters: shoulder pain rated twice without change differs by about a point (Mintken PE et al., J Shoulder
Elbow Surg 2009;18:920, abstract). Compared with the answer before, that scatter alone lowers the load session after
session. The median of a settled fortnight does not move with it.
"""

from collections.abc import Mapping, Sequence
from datetime import date

from coach.model.progress import PainOn, Progress


def renewed(
    before: Progress, check_ins: Sequence[PainOn], today: date, limits: Mapping[str, float]
) -> tuple[int | None, date | None]:
    """The usual level of pain (0 to 10) after today's check-in, and the day on which it was found.

    `check_ins` include today's, in order of time; those older than `usual_days` are left out.
    Until `usual_days` after the first session the level is the median of all check-ins so far. After that it is found
    again every `usual_days`, only where every check-in of that time was settled, and only where `usual_share` of them
    lie on the same side of it. It rises by at most `pain_rise_allowed` at a time: a level that rises quickly is not
    followed.
    """
    usual, since = before.usual_pain, before.usual_since
    day, days = today.toordinal(), limits["usual_days"]
    first = before.first_session.date() if before.first_session is not None else today
    over = (today - (since or first)).days >= days
    if since is not None and not over:
        return usual, since
    recent = [one for one in check_ins if day - one.on.toordinal() < days]
    if not recent:
        return usual, since
    enough = len(recent) >= limits["usual_check_ins"]
    level = _median([one.pain for one in recent])
    if since is None:
        return level, today if over and enough else None
    settled = enough and all(one.settled for one in recent)
    if not settled or usual is None or level > usual + limits["pain_rise_allowed"]:
        return usual, since
    apart = max(sum(one.pain > usual for one in recent), sum(one.pain < usual for one in recent))
    return (level if apart >= limits["usual_share"] * len(recent) else usual), today


def _median(pains: Sequence[int]) -> int:
    """The median of an odd number of answers: of an even number the oldest is left out."""
    odd = sorted(pains if len(pains) % 2 else pains[1:])
    return odd[len(odd) // 2]
