"""The pages of the session as frozen data that widgets draw, the plain mode reads out and tests read."""

from msgspec import Struct

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


class FaultDrawing(Struct, frozen=True):
    """The fault that a question is about, and the words above it that say so."""

    title: str
    scene: Scene


class TextPage(Struct, frozen=True):
    """A screen to read or to answer.

    `lead` is the main sentence, `lines` the details, `alert` a warning above both. `low` and `high` name the ends
    of a scale. `large`: the lead is one word, to be read from a distance. `banner`: words above everything, to be
    read from a distance. `at_mark`: whoever reads it stands at the mark, so that lead and answers are drawn large.
    `at_first`: so many at the end of the list are known after the first session, and then said only when asked.
    `scene_if_wide`: the drawing is left out where it would take the place of the text. `facts`: what is drawn large
    where there is room for it, in place of lines. `turn`: which question of how many it is. `fault`: what it asks
    about, drawn where the large letters leave room for it. `before_title`, `before`: a second list, of earlier
    sessions, which is said only when asked. `typing`: how the numbers of a scale are typed. `remark`: a line on the
    answer before, shown below the answers to this question. `steps`: lead and lines are done one after the other, and
    shown with their numbers.
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
    scene: Scene | None = None
    labels: tuple[tuple[str, str], ...] = ()
    large: bool = False
    banner: str = ""
    at_mark: bool = False
    at_first: int = 0
    scene_if_wide: bool = False
    facts: tuple[Fact, ...] = ()
    turn: str = ""
    fault: FaultDrawing | None = None
    before_title: str = ""
    before: tuple[str, ...] = ()
    typing: str = ""
    remark: str = ""
    steps: bool = False


class LessonPage(Struct, frozen=True):
    """The right form beside one fault, moving. `lead`: one sentence; `lines`: how to tell, and how to try it."""

    title: str
    lead: str
    lines: tuple[str, ...]
    right: str
    wrong: str
    right_scene: Scene
    wrong_scene: Scene | None


class SetPage(Struct, frozen=True):
    """A moment of a set: text to be read from three metres away, and the arm moving at the tempo.

    `done` of so many `repetitions` are over. `counting_in`: nothing moves yet, so that the cue has room in large
    letters. `cue_due`: the cue is about this phase, or about all of them. `alike` has the words of a repetition with
    their longest counts, so that one width of letters fits them all. `ahead` is a frame of the movement to come, to
    be drawn while nothing moves yet, and `ahead_part` how much of it is to be drawn by now, 0 to 1.
    `of_large_number` stands below the repetition and their number where both are large, in place of
    `repetition_words`, which say them; empty where those say more.
    """

    title: str
    word: str
    count: str
    repetition: str
    repetition_words: str
    cue: str
    done: int
    repetitions: int
    scene: Scene
    alike: tuple[str, ...]
    counting_in: bool = False
    cue_due: bool = True
    ahead: Scene | None = None
    ahead_part: float = 1.0
    of_large_number: str = ""


class RestPage(Struct, frozen=True):
    """A moment of a rest: the seconds left, what to think of next, and the share of the rest that is over, 0 to 1.

    `cue` is the cue of the next set, to be drawn large; empty if it is shown on request only. `done` is what was done
    of the last set; empty if it was skipped.
    """

    title: str
    left: str
    lines: tuple[str, ...]
    part: float
    cue: str = ""
    done: str = ""


ScreenPage = TextPage | LessonPage | SetPage | RestPage


def title_of(page: ScreenPage) -> str:
    """The title as it is shown: of a question, with how many there are."""
    return f"{page.title} · {page.turn}" if isinstance(page, TextPage) and page.turn else page.title
