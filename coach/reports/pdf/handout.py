"""The handout in large type to hang on the wall, readable in black and white.

Of one exercise it is one page. Of a programme the first page holds what all exercises have in common, and each
exercise has a page, or two share one where they fit.
"""

from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from datetime import UTC, datetime, time
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from coach.model.record import Record
from coach.reports.pdf.handout_page import GAP_MM, MARGIN_MM, HandoutLayout
from coach.reports.pdf.handout_text import HandoutText, Overview, exercise_text, handout_text, overview_of
from coach.reports.pdf.pdf_page import MissingGlyph, PaperSize, PdfPage, Sheet, largest_fitting, sizes
from coach.session.plan import Plan

# Body font size in points: the largest that fits. Ours.
_MAX_PT, _MIN_PT, _STEP_PT = 13.0, 9.0, 0.25
# Two exercises share a page only in letters that are still read from a few steps away. Ours.
_PAIR_MIN_PT = 10.0


class HandoutError(ValueError):
    """The handout cannot be made: its text does not fit on one page, or the font lacks a character."""


class ExerciseToPrint(Struct, frozen=True):
    """One exercise of a programme: its next session, its records, its number, and the days on which it is due."""

    plan: Plan
    records: Sequence[Record]
    number: int
    days: tuple[str, ...] = ()


def handout_pdf(plan: Plan, records: Sequence[Record], size: PaperSize, note: str = "") -> bytes:
    """The handout of the next session as a PDF of one page; the same client gives the same bytes.

    `note` is a sentence at the foot. Raises HandoutError if the text does not fit on one page or the font lacks a
    character of it.
    """
    text = _with_note(handout_text(plan, records), note)
    document = partial(PdfPage, size, text.exercise, plan.profile.language, _made(plan, records))
    with _missing_glyphs(), closing(document()) as trial, closing(document()) as page:
        sheet, body_pt = _sized(lambda on, letters_pt: HandoutLayout(on, letters_pt, text, plan).draw(), trial, size)
        sheet(page, body_pt)
        return page.bytes()


def programme_pdf(exercises: Sequence[ExerciseToPrint], size: PaperSize, note: str = "") -> bytes:
    """The handout of several exercises in their order. Raises HandoutError as `handout_pdf`."""
    plans = [one.plan for one in exercises]
    texts = [_with_note(exercise_text(one.plan, one.records, one.number, one.days), note) for one in exercises]
    overview = overview_of(texts, plans)
    made = max(_made(one.plan, one.records) for one in exercises)
    document = partial(PdfPage, size, overview.title, plans[0].profile.language, made)
    with _missing_glyphs():
        with closing(document()) as trial:
            chosen = [_sized(_overview_sheet(overview, plans[0]), trial, size)]
            chosen += _exercise_sheets(list(zip(texts, plans, strict=True)), trial, size)
        with closing(document()) as page:
            for number, (sheet, body_pt) in enumerate(chosen):
                if number:
                    page.next_page()
                sheet(page, body_pt)
            return page.bytes()


def _with_note(text: HandoutText, note: str) -> HandoutText:
    return replace(text, as_of=f"{text.as_of} {note}".rstrip())


def _exercise_sheets(
    left: list[tuple[HandoutText, Plan]], trial: PdfPage, size: PaperSize
) -> Iterator[tuple[Sheet, float]]:
    """A page for every two exercises that fit on one, else for each."""
    while left:
        two = _pair_sheet(left[:2])
        body_pt = largest_fitting(two, trial, sizes(_MAX_PT, _PAIR_MIN_PT, _STEP_PT)) if len(left) > 1 else None
        if body_pt is not None:
            yield two, body_pt
        else:
            yield _sized(_pair_sheet(left[:1]), trial, size)
        left = left[2 if body_pt is not None else 1 :]


def _overview_sheet(overview: Overview, plan: Plan) -> Sheet:
    return lambda page, body_pt: HandoutLayout(page, body_pt, overview.shared, plan).overview(overview)


def _pair_sheet(exercises: Sequence[tuple[HandoutText, Plan]]) -> Sheet:
    """One exercise on a page, or two, one below the other."""

    def draw(page: PdfPage, body_pt: float) -> bool:
        layouts = [HandoutLayout(page, body_pt, text, plan) for text, plan in exercises]
        foot = layouts[0].foot(exercises[0][0].as_of)
        height = (foot - MARGIN_MM) / len(layouts)
        tops = [MARGIN_MM + height * number for number in range(len(layouts))]
        return all(layout.exercise(top, top + height - GAP_MM) for layout, top in zip(layouts, tops, strict=True))

    return draw


def _sized(sheet: Sheet, trial: PdfPage, size: PaperSize) -> tuple[Sheet, float]:
    """A page with the largest letters in which it fits. Raises HandoutError where even the smallest do not."""
    body_pt = largest_fitting(sheet, trial, sizes(_MAX_PT, _MIN_PT, _STEP_PT))
    if body_pt is None:
        raise HandoutError(
            f"the words of the handout do not fit on one page of {size} in letters of {_MIN_PT:g} points: "
            "shorten the lines of this position, how the bands look, or the lines of [handout] in client.toml"
        )
    return sheet, body_pt


def _made(plan: Plan, records: Sequence[Record]) -> datetime:
    """The date of the file: the same client gives the same bytes."""
    return records[-1].last_at if records else datetime.combine(plan.prescription.on, time(), UTC)


@contextmanager
def _missing_glyphs() -> Iterator[None]:
    """Raise HandoutError for a character that the font lacks."""
    try:
        yield
    except MissingGlyph as error:
        raise HandoutError(str(error)) from error
