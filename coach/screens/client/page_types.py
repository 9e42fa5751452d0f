"""The pages of the session as frozen data that widgets draw, the plain mode reads out and tests read."""

from typing import TYPE_CHECKING, NamedTuple

from msgspec import Struct

from coach.model.message_format import fill
from coach.model.messages.layout_limits import EDGE_COLUMNS
from coach.session.plan import Plan

if TYPE_CHECKING:
    from coach.drawing.shapes import Scene


class AnswerOption(Struct, frozen=True):
    """An answer to choose: its key, its text, and whether it was chosen before."""

    key: str
    text: str
    chosen: bool = False


class Fact(Struct, frozen=True):
    """A number or a word to be drawn large, what it is, and the line that need not be shown then."""

    value: str
    about: str
    instead_of: str = ""


class Drawing(Struct, frozen=True):
    """A drawing, the words above it, and those of its labels by their names."""

    title: str
    scene: "Scene"
    labels: tuple[tuple[str, str], ...] = ()


class Now(Struct, frozen=True):
    """What is to be done now: a line in two parts with a key between them, or without a key all before it."""

    before: str
    key: str = ""
    after: str = ""

    def before_more(self, more: str, columns: int) -> str:
        """What is to be done and then where the page goes on, in a row of so many columns; else the latter alone."""
        both = f"{self.before}{self.key}{self.after} {more}"
        return both if more and len(both) <= columns - EDGE_COLUMNS else more


class MoreLines(NamedTuple):
    """What is said of a page that is longer than the window: it goes on below, above, or both, and how to see it."""

    below: str = ""
    above: str = ""
    both: str = ""


class TextPage(Struct, frozen=True):
    """A screen to read or to answer.

    `lead` is the main sentence, `lines` the details, `alert` a warning above both. `low` and `high` name the ends
    of a scale. `large`: the lead is one word, to be read from a distance. `banner`: words above everything, to be
    read from a distance. `at_mark`: whoever reads it stands at the mark, so that lead and answers are drawn large.
    `at_first`: so many at the end of the list are known after the first session, and then said only when asked.
    `drawing_if_wide`: the drawing is left out where it would take the place of the text. `facts`: what is drawn large
    where there is room for it, in place of lines. `turn`: which question of how many it is. `fault`: what it asks
    about, drawn where the large letters leave room for it. `before_title`, `before`: a second list, of earlier
    sessions, which is said only when asked. `remark`: a line on the
    answer before, shown below the answers to this question. `steps`: lead and lines are done one after the other, and
    shown with their numbers. `now`: what is to be done. `more`: what may be below the window, and how to see it;
    `more_steps`: the same where some of the steps are.
    `strong`: those of its lines that stand out. `heads`: words above some of the list, each with the number of the
    line that it is above, from 0. `stops`: when to stop and what to do then, above the lead.
    """

    title: str
    lead: str
    lines: tuple[str, ...] = ()
    list_title: str = ""
    listed: tuple[str, ...] = ()
    choices: tuple[AnswerOption, ...] = ()
    low: str = ""
    high: str = ""
    alert: str = ""
    drawing: Drawing | None = None
    large: bool = False
    banner: str = ""
    at_mark: bool = False
    at_first: int = 0
    drawing_if_wide: bool = False
    facts: tuple[Fact, ...] = ()
    turn: str = ""
    fault: Drawing | None = None
    before_title: str = ""
    before: tuple[str, ...] = ()
    remark: str = ""
    steps: bool = False
    now: Now | None = None
    more: str = ""
    more_steps: str = ""
    strong: tuple[str, ...] = ()
    heads: tuple[tuple[int, str], ...] = ()
    stops: tuple[str, ...] = ()


class LessonPage(Struct, frozen=True):
    """The right form beside one fault, moving. `lead`: one sentence; `lines`: how to tell, and how to try it."""

    title: str
    lead: str
    lines: tuple[str, ...]
    right: Drawing
    wrong: Drawing | None
    now: Now | None = None


class SetPage(Struct, frozen=True):
    """A moment of a set: text to be read from three metres away, and the arm moving at the tempo.

    `done` of so many `repetitions` are over. `counting_in`: nothing moves yet, so that the cue has room in large
    letters. `cue_due`: the cue is about this phase, or about all of them. `alike` has the words of a repetition with
    their longest counts, so that one width of letters fits them all. `ahead` is a frame of the movement to come, to
    be drawn while nothing moves yet, and `ahead_part` how much of it is to be drawn by now, 0 to 1.
    `of_large_number` stands below the repetition and their number where both are large, in place of
    `repetition_words`, which say them; empty where those say more.
    `of_count`: what the count is of. `seen`: from where the arm is drawn. `line`: what stands at the line to reach.
    """

    title: str
    word: str
    count: str
    repetition: str
    repetition_words: str
    cue: str
    done: int
    repetitions: int
    scene: "Scene"
    alike: tuple[str, ...]
    counting_in: bool = False
    cue_due: bool = True
    ahead: "Scene | None" = None
    ahead_part: float = 1.0
    of_large_number: str = ""
    of_count: str = ""
    seen: str = ""
    line: str = ""
    now: Now | None = None


class RestPage(Struct, frozen=True):
    """A moment of a rest: the seconds left, what comes next, and the share of the rest that is over, 0 to 1.

    `large` is drawn large below `large_head`, in place of the line `instead_of` if it is one: what is another in the
    setup below what to change, else the cue of the next set; empty if that is shown on request only. `done` is what
    was done of the last set; empty if it was skipped. `of_left`: what the number left is of. `word`: drawn large
    before that number. `change`: what to change before the next set, and before anything else. `takes_place`: the
    client now goes to the place of the exercise.
    """

    title: str
    left: str
    lines: tuple[str, ...]
    part: float
    large: str = ""
    done: str = ""
    of_left: str = ""
    word: str = ""
    change: str = ""
    large_head: str = ""
    instead_of: str = ""
    takes_place: bool = False
    now: Now | None = None


ScreenPage = TextPage | LessonPage | SetPage | RestPage


def title_of(page: ScreenPage) -> str:
    """The title as it is shown: of a question, with how many there are."""
    return f"{page.title} · {page.turn}" if isinstance(page, TextPage) and page.turn else page.title


def with_rehearsal_mark(title: str, plan: Plan) -> str:
    """The title of a page, marked as a rehearsal if the session is one."""
    if plan.practice:
        return fill(plan.content.messages.client.practice.mark, {"title": title})
    return fill(plan.content.messages.client.rehearsal.mark, {"title": title}) if plan.rehearsal else title
