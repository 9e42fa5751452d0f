"""The handout: one page in large type to hang on the wall, readable in black and white."""

from collections.abc import Sequence
from datetime import UTC, datetime, time

from coach.model.record import Record
from coach.reports.handout_page import Page
from coach.reports.handout_text import handout_text
from coach.reports.sheet import PaperSize, Sheet
from coach.session.plan import Plan

# Body type in points: as large as the words allow. Ours.
_LARGEST_PT, _SMALLEST_PT, _STEP_PT = 13.0, 9.0, 0.25


class TooManyWords(ValueError):
    """The words do not fit on one page, even in the smallest type."""


def handout_pdf(plan: Plan, records: Sequence[Record], size: PaperSize) -> bytes:
    """The handout of the next session as a PDF of one page; the same client gives the same bytes.

    TooManyWords where it cannot be one page, NoLetter where the font lacks a letter.
    """
    text = handout_text(plan, records)
    made = records[-1].last_at if records else datetime.combine(plan.prescription.on, time(), UTC)
    tries = round((_LARGEST_PT - _SMALLEST_PT) / _STEP_PT) + 1
    for body_pt in (_LARGEST_PT - _STEP_PT * one for one in range(tries)):
        sheet = Sheet(size, text.exercise, plan.profile.language, made)
        if Page(sheet, body_pt, text, plan).drawn():
            return sheet.bytes()
    raise TooManyWords(
        f"the words of the handout do not fit on one page of {size} in letters of {_SMALLEST_PT:g} points: "
        "shorten the lines of this position, or how the bands look"
    )
