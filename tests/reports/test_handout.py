"""The handout as a PDF reader sees it: one page, all its words, embedded fonts, and lengths that are true."""

import math
from collections import Counter
from datetime import date
from functools import cache
from io import BytesIO
from typing import get_args

import pytest
from msgspec.structs import replace
from pypdf import PageObject, PdfReader

from coach.model.content_entries import Clinic
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.reports.pdf.handout import HandoutError, handout_pdf
from coach.reports.pdf.handout_text import HandoutText, handout_text
from coach.reports.pdf.pdf_page import PaperSize, PdfPage
from coach.session.plan import Plan, plan_session
from tests.plans import plan_of, shipped
from tests.progression.records import session
from tests.reports.pdf_lines import PdfLine, stroked

CLIENTS = ("tern", "plover", "heron", "avocet")
PAPERS: tuple[PaperSize, ...] = get_args(PaperSize)
POINTS_A_MM = 72 / 25.4
SCALE_BAR_M = 0.5

every_client = pytest.mark.parametrize("client", CLIENTS)
every_paper = pytest.mark.parametrize("paper", PAPERS)


@cache
def reader(client: str, paper: PaperSize = "a4") -> PdfReader:
    return PdfReader(BytesIO(handout_pdf(plan_of(client), (), paper)))


def page_of(plan: Plan, paper: PaperSize = "a4") -> PageObject:
    (page,) = PdfReader(BytesIO(handout_pdf(plan, (), paper))).pages
    return page


def changed(client: str = "tern", looks: str | None = None, **fields: object) -> Plan:
    """The plan of a client whose bands look otherwise, or whose prescription says otherwise."""
    plan = plan_of(client)
    profile, prescription = plan.profile.model_dump(), plan.prescription.model_dump()
    for band in profile["bands"]:
        band["looks"] = looks or band["looks"]
    made = Prescription.model_validate({**prescription, **fields})
    return plan_session(Profile.model_validate(profile), made, shipped(), plan.before)


def words_of(text: HandoutText) -> list[str]:
    """Every word that the page must hold outside its drawings, dots and numbers of lists."""
    said = [text.exercise, text.position, text.as_of, text.dose, text.rest_and_days, *text.views, text.setup_title]
    said += [*text.setup_lines, text.checks_title, *text.checks, text.cues_title, *text.cues, text.stop_title]
    said += [part for one in text.tempo for part in (one.word, one.duration)]
    said += [part for stop in text.stops for part in (*stop.noticed, stop.what_to_do)]
    said += [text.log_title, *text.log_rows, text.foot]
    return " ".join(said).split()


@every_client
@every_paper
def test_it_is_one_page_of_that_paper(client: str, paper: PaperSize) -> None:
    (page,) = reader(client, paper).pages
    # A4: ISO 216, 210 by 297 mm. Letter: ANSI Y14.1, 8.5 by 11 inches.
    size = {"a4": (210 * POINTS_A_MM, 297 * POINTS_A_MM), "letter": (8.5 * 72, 11 * 72)}[paper]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.01)


@every_client
@every_paper
def test_its_text_is_its_words(client: str, paper: PaperSize) -> None:
    plan = plan_of(client)
    drawing = plan.content.messages.client.drawing
    labels = [*(drawing[name] for name in ("anchor", "mark", "start", "end"))] * 2 + [drawing["facing"]]
    labels += [fill(drawing["distance"], {"distance_cm": plan.step.distance_cm})] * 2 + [
        f"{SCALE_BAR_M * 100:.0f} cm"
    ]
    text = handout_text(plan, ())
    lists = [*map(str, range(1, len(text.setup_lines) + 1))]
    dots = ["•"] * (len(text.cues) + len(text.checks) + sum(len(stop.noticed) for stop in text.stops))
    wanted = Counter([*words_of(text), *" ".join(labels).split(), *lists, *dots])
    assert Counter(reader(client, paper).pages[0].extract_text().split()) == wanted


@every_paper
def test_a_note_stands_at_its_foot(paper: PaperSize) -> None:
    """The numbers of the clinic, in a handout that is taken home; no other word goes for it."""
    plan, note = plan_of("plover"), "The numbers: 01234 56789 01234 56789 01234 56789."
    (page,) = PdfReader(BytesIO(handout_pdf(plan, (), paper, note))).pages
    without = Counter(reader("plover", paper).pages[0].extract_text().split())
    assert Counter(page.extract_text().split()) == without + Counter(note.split())


@every_client
def test_what_a_client_needs_is_on_it(client: str) -> None:
    plan, text = plan_of(client), " ".join(reader(client).pages[0].extract_text().split())
    dose, home = plan.prescription.dose, plan.content.messages.safety
    assert f"{dose.sets} sets of {plan.repetitions}" in text
    assert f"{plan.step.distance_cm} cm" in text
    assert f"over {plan.limits['pain_max']:g} of 10" in text
    for sign in plan.content.signs:
        assert home.sign[sign.name] in text
        assert home.urgency[sign.urgency] in text


@every_client
@every_paper
def test_its_fonts_are_embedded(client: str, paper: PaperSize) -> None:
    fonts = reader(client, paper).pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    assert len(fonts) == 2
    for name in fonts:
        (descendant,) = fonts[name]["/DescendantFonts"]
        assert len(descendant.get_object()["/FontDescriptor"]["/FontFile2"].get_data()) > 1000
        assert "/ToUnicode" in fonts[name]


@every_client
@every_paper
def test_the_same_client_gives_the_same_bytes(client: str, paper: PaperSize) -> None:
    assert handout_pdf(plan_of(client), (), paper) == handout_pdf(plan_of(client), (), paper)


@every_client
@every_paper
def test_nothing_leaves_the_printable_part(client: str, paper: PaperSize) -> None:
    page, rim = reader(client, paper).pages[0], 8 * POINTS_A_MM
    for line in stroked(page):
        for x, y in line.points:
            assert rim <= x <= float(page.mediabox.width) - rim
            assert rim <= y <= float(page.mediabox.height) - rim


def points_a_metre(lines: list[PdfLine]) -> float:
    (bar,) = (line for line in lines if len(line.points) == 4)
    return math.dist(bar.points[1], bar.points[2]) / SCALE_BAR_M


def drawn_views(lines: list[PdfLine]) -> list[tuple[PdfLine, PdfLine, PdfLine]]:
    """In each view the arm at the end of its arc, the band from its hand, and the upright mark below the client."""
    arms = [line for line in lines if len(line.points) == 3 and not line.dashed and line.width > 1.5]
    bands = [line for line in lines if len(line.points) == 2 and not line.dashed]
    found = []
    for arm in arms:
        (band,) = (line for line in bands if line.points[0] == arm.points[0])
        ends = [
            line.points
            for line in lines
            if len(line.points) == 2 and line.dashed and line.points[0][0] == band.points[1][0]
        ]
        found.append((arm, band, PdfLine(max(ends, key=lambda one: abs(one[1][0] - one[0][0])), 0, True)))
    return found


@every_client
@every_paper
def test_lengths_are_as_long_as_the_scale_bar_says(client: str, paper: PaperSize) -> None:
    plan = plan_of(client)
    setup = handout_text(plan, ()).setup
    lines = stroked(reader(client, paper).pages[0])
    scale = points_a_metre(lines)
    (above_arm, above_band, above_floor), (side_arm, side_band, _) = drawn_views(lines)
    # Along the floor, and the anchor above it: the figures that the lines of the setup name.
    assert abs(above_floor.points[1][0] - above_band.points[1][0]) / scale == pytest.approx(
        setup.distance_cm / 100, abs=2e-3
    )
    floor = min(y for line in lines if line.dashed for x, y in line.points if y < side_band.points[1][1])
    assert (side_band.points[1][1] - floor) / scale == pytest.approx(setup.anchor_height_cm / 100, abs=2e-3)
    # The band as it is seen from above and from the side makes up its length in the room, by Pythagoras.
    up = (side_band.points[1][1] - side_band.points[0][1]) / scale
    flat = math.dist(above_band.points[0], above_band.points[1]) / scale
    assert math.hypot(up, flat) == pytest.approx(setup.arc.length_m[-1], abs=4e-3)
    assert above_arm.points[0][0] == pytest.approx(side_arm.points[0][0], abs=0.02)


@pytest.mark.parametrize("looks", ["{nb} **bold** __line__ <b>x</b> [a](b)", "a\\(b) ~~c~~ %d {distance_cm} &amp;"])
def test_text_from_a_file_is_text(looks: str) -> None:
    assert "".join(looks.split()) in "".join(page_of(changed(looks=looks)).extract_text().split())


def test_a_long_word_is_broken_and_not_cut_off() -> None:
    looks = "Ŵ" * 120
    assert looks in "".join(page_of(changed(looks=looks)).extract_text().split())


def test_greek_and_cyrillic_are_there() -> None:
    looks = "η λεπτή ταινία, тонкая лента, żółta taśma"
    assert "".join(looks.split()) in "".join(page_of(changed(looks=looks)).extract_text().split())


def test_a_letter_that_the_font_lacks_is_named() -> None:
    with pytest.raises(HandoutError, match=r'no letter for "薄" \(U\+8584\) in: .*薄い'):
        page_of(changed(looks="薄いバンド"))


def test_more_words_than_a_page_holds_are_refused() -> None:
    plan = plan_of("tern")
    position = {"0": plan.content.messages.exercises["external_rotation"].at("0")}
    long = position["0"].model_copy(update={"place": ("word " * 79,) * 3, "arm": ("word " * 79,) * 3})
    exercise = plan.content.messages.exercises["external_rotation"].model_copy(update={"position": {"0": long}})
    messages = replace(plan.content.messages, exercises={"external_rotation": exercise})
    with pytest.raises(HandoutError, match="do not fit on one page of letter in letters of 9 points: shorten"):
        page_of(replace(plan, content=replace(plan.content, messages=messages)), "letter")


def test_titles_that_are_long_are_wrapped(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once they were cut off at the edge of the page, and white on white beside the bar."""
    plan, ends = plan_of("tern"), list[float]()
    client = plan.content.messages.client
    titles = dict.fromkeys(("cues_title", "stop_title"), "One of these things in each repetition that you do " * 3)
    messages = replace(
        plan.content.messages,
        client=client.model_copy(update={"handout": client.handout.model_copy(update=titles)}),
    )
    write = PdfPage.write

    def noted(
        page: PdfPage, at: tuple[float, float], text: str, size_pt: float, bold: bool = False, white: bool = False
    ) -> None:
        ends.append(page.width_mm - at[0] - page.text_width_mm(text, size_pt, bold))
        write(page, at, text, size_pt, bold, white)

    monkeypatch.setattr(PdfPage, "write", noted)
    page_of(replace(plan, content=replace(plan.content, messages=messages)))
    assert min(ends) >= 8.0


def test_a_log_with_no_room_for_its_days_is_refused() -> None:
    """Once it was divided by no days."""
    plan = plan_of("tern")
    client = plan.content.messages.client
    handout = client.handout.model_copy(update={"log_pain": "How much it hurt at the worst of all moments " * 3})
    messages = replace(plan.content.messages, client=client.model_copy(update={"handout": handout}))
    with pytest.raises(HandoutError, match=r"or the lines of \[handout\] in client.toml"):
        page_of(replace(plan, content=replace(plan.content, messages=messages)))


def test_after_a_repair_it_says_from_when() -> None:
    plan = changed()
    before = plan.before.model_copy(update={"repaired_on": date(2026, 10, 5)})
    repaired = plan_session(plan.profile, plan.prescription, shipped(), before)
    assert "Not before 2026-12-28, week 12" in " ".join(page_of(repaired).extract_text().split())
    allowed = before.model_copy(update={"strengthening_allowed": True})
    again = plan_session(plan.profile, plan.prescription, shipped(), allowed)
    assert "Not before" not in page_of(again).extract_text()


def test_the_cues_are_against_what_this_client_does() -> None:
    messages = plan_of("tern").content.messages.exercises["external_rotation"].at("0")
    short = [session(days=day, given={"range": "no"}) for day in (0, 2)]
    once = session(days=4, given={"elbow": "yes"})
    cues = handout_text(plan_of("tern"), (*short, once)).cues
    assert cues == (messages.first_cue, messages.cue("end_range_lost"), messages.cue("elbow_drifted"))
    other_position = session(days=6, position="45", given={"slack": "yes"})
    assert handout_text(plan_of("tern"), (other_position,)).cues == handout_text(plan_of("tern"), ()).cues


def test_it_says_what_to_take_care_of_with_a_band_and_whom_to_ring() -> None:
    """Of latex only where a band is not known to be free of it; the number only where the clinic has one."""
    plan = plan_of("tern")
    messages = plan.content.messages.client.handout
    text = handout_text(plan, ())
    assert text.checks[-3:] == (messages.glasses, messages.let_go, messages.latex)
    assert text.stops[-1].what_to_do == messages.pain_what_to_do
    free = tuple(band.model_copy(update={"latex_free": True}) for band in plan.profile.bands)
    clinic = Clinic(phone="01234 567890")
    plan = replace(
        plan,
        profile=plan.profile.model_copy(update={"bands": free}),
        content=replace(plan.content, clinic=clinic),
    )
    text = handout_text(plan, ())
    assert text.checks[-2:] == (messages.glasses, messages.let_go)
    assert text.stops[-1].what_to_do == f"{messages.pain_what_to_do} Ring 01234 567890."
