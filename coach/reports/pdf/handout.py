"""The handout: one page in large type to hang on the wall, readable in black and white."""

from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime, time

from coach.model.record import Record
from coach.reports.pdf.handout_page import HandoutLayout
from coach.reports.pdf.handout_text import HandoutText, handout_text
from coach.reports.pdf.pdf_page import MissingGlyph, PaperSize, PdfPage
from coach.session.plan import Plan

# Body font size in points: the largest that fits. Ours.
_MAX_PT, _MIN_PT, _STEP_PT = 13.0, 9.0, 0.25


class HandoutError(ValueError):
    """The handout cannot be made: its text does not fit on one page, or the font lacks a character."""


def handout_pdf(plan: Plan, records: Sequence[Record], size: PaperSize) -> bytes:
    """The handout of the next session as a PDF of one page; the same client gives the same bytes.

    Raises HandoutError if the text does not fit on one page or the font lacks one of its characters.
    """
    text = handout_text(plan, records)
    made = records[-1].last_at if records else datetime.combine(plan.prescription.on, time(), UTC)
    try:
        page = _largest(text, plan, size, made)
    except MissingGlyph as error:
        raise HandoutError(str(error)) from error
    if page is None:
        raise HandoutError(
            f"the words of the handout do not fit on one page of {size} in letters of {_MIN_PT:g} points: "
            "shorten the lines of this position, or how the bands look"
        )
    return page


def _largest(text: HandoutText, plan: Plan, size: PaperSize, made: datetime) -> bytes | None:
    """The page in the largest font size that fits; None if even the smallest does not."""
    sizes = round((_MAX_PT - _MIN_PT) / _STEP_PT) + 1
    for body_pt in (_MAX_PT - _STEP_PT * one for one in range(sizes)):
        with closing(PdfPage(size, text.exercise, plan.profile.language, made)) as page:
            if HandoutLayout(page, body_pt, text, plan).draw():
                return page.bytes()
    return None
