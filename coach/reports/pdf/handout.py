"""The handout: one page in large type to hang on the wall, readable in black and white."""

from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime, time

from coach.model.record import Record
from coach.reports.pdf.handout_page import Page
from coach.reports.pdf.handout_text import HandoutText, handout_text
from coach.reports.pdf.pdf_page import NoLetter, PaperSize, Sheet
from coach.session.plan import Plan

# Body type in points: as large as the words allow. Ours.
_LARGEST_PT, _SMALLEST_PT, _STEP_PT = 13.0, 9.0, 0.25


class NotOnePage(ValueError):
    """Why there is no handout: too many words for a page, or a letter that the font lacks."""


def handout_pdf(plan: Plan, records: Sequence[Record], size: PaperSize) -> bytes:
    """The handout of the next session as a PDF of one page; the same client gives the same bytes.

    NotOnePage where the words do not fit, or where the font lacks one of their letters.
    """
    text = handout_text(plan, records)
    made = records[-1].last_at if records else datetime.combine(plan.prescription.on, time(), UTC)
    try:
        page = _largest(text, plan, size, made)
    except NoLetter as unknown:
        raise NotOnePage(str(unknown)) from unknown
    if page is None:
        raise NotOnePage(
            f"the words of the handout do not fit on one page of {size} in letters of {_SMALLEST_PT:g} points: "
            "shorten the lines of this position, or how the bands look"
        )
    return page


def _largest(text: HandoutText, plan: Plan, size: PaperSize, made: datetime) -> bytes | None:
    """The page in the largest type in which it is one; None where no size is small enough."""
    tries = round((_LARGEST_PT - _SMALLEST_PT) / _STEP_PT) + 1
    for body_pt in (_LARGEST_PT - _STEP_PT * one for one in range(tries)):
        with closing(Sheet(size, text.exercise, plan.profile.language, made)) as sheet:
            if Page(sheet, body_pt, text, plan).drawn():
                return sheet.bytes()
    return None
