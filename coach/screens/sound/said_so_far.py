"""What was said in this session already, so that it is said again only where the client asks for it."""

from collections.abc import Iterator

from coach.model import step_names
from coach.model.message_format import fill
from coach.model.messages.voice import VoiceMessages
from coach.model.record import Answered
from coach.screens.client.key_bindings import BACK, TELL_BY_KEY
from coach.screens.client.page_types import TextPage
from coach.session.answer_keys import choices
from coach.session.interruptions import HOW_TO_TELL
from coach.session.phrases import about_text, how_to_tell, option_text
from coach.session.plan import Plan
from coach.session.runner import question_before
from coach.session.script import Ask, Rest, Teach
from coach.session.state import State


class SaidSoFar:
    """The memory of a voice: the last question, the title, and what needs to be said only once.

    `in_full`: a page is heard again, with everything that is on it.
    """

    def __init__(self, in_full: bool = False) -> None:
        self.in_full = in_full
        self._title = ""
        self._scales: set[tuple[str, str]] = set()
        self._told: set[str] = set()
        self._asked: Ask | None = None
        self._entries = 0

    def title(self, title: str) -> str:
        """The title of a page, or nothing if the page before had the same."""
        again, self._title = title == self._title, title
        return "" if again else title

    def pass_over(self, state: State) -> None:
        """Nothing is said of this page: its answer will not be read back later."""
        self._title, self._asked, self._entries = "", state.question, len(state.record.entry)

    def read_back(self, state: State) -> Iterator[str]:
        """The answer that was given on the page before, in short, with the key that changes it.

        What ends the session was read out on the page that asks for its confirmation.
        """
        asked, new, ended = self._asked, state.record.entry[self._entries :], state.record.ended
        self._asked, self._entries = state.question, len(state.record.entry)
        given = next((one for one in new if isinstance(one, Answered)), None)
        if given is None or (ended is not None and ended.how == "stopped"):
            return
        if given.step == HOW_TO_TELL.name:
            asked = HOW_TO_TELL
        if asked is None or given.step != asked.name:
            return
        yield _answered(asked, given.value, state.plan)
        key = TELL_BY_KEY.key if asked is HOW_TO_TELL else BACK.key if question_before(state) == asked.name else ""
        if key:
            yield fill(state.plan.content.messages.client.voice.change, {"key": key.upper()})

    def scale(self, page: TextPage, messages: VoiceMessages) -> str:
        """How a scale is answered; its ends are named once."""
        ends = (page.low, page.high)
        if ends in self._scales:
            return messages.scale_again
        self._scales.add(ends)
        return fill(messages.scale, {"low": page.low, "high": page.high})

    def how_to_tell(self, state: State) -> Iterator[str]:
        """How to tell what will be asked: before the set after which it is asked first, else with the question."""
        for name in _asked_about(state):
            if name not in self._told:
                self._told.add(name)
                if not isinstance(state.step, Teach):  # the page of a lesson says it itself
                    yield from _about_telling(name, state)


def answers_read_back(question: Ask, plan: Plan) -> Iterator[str]:
    """Each answer of a question as it would be read back, so that it can be made into a file beforehand."""
    yield from (_answered(question, choice.value, plan) for choice in choices(question, plan.content.signs))


def _answered(question: Ask, value: int | str, plan: Plan) -> str:
    values = {"about": about_text(question, plan), "answer": option_text(question, value, plan)}
    return fill(plan.content.messages.client.voice.answered, values)


def _about_telling(name: str, state: State) -> Iterator[str]:
    lines = how_to_tell(name, state.plan, state.tell_by)
    if lines:
        yield f"{state.plan.content.messages.form.question[name].about}:"
        yield from lines


def _asked_about(state: State) -> tuple[str, ...]:
    """The form questions that a page shows or asks, or that follow the set that comes next."""
    if state.over:
        return ()
    if state.question is not None:
        return (state.question.question,) if state.question.scale == "how_often" else ()
    if isinstance(state.step, Teach):
        return (state.step.question,)
    if not isinstance(state.step, Rest) and state.step.name != step_names.REACH:
        return ()
    number = state.set_number
    steps = (one for one in state.script.steps if isinstance(one, Ask) and one.set_number == number)
    return tuple(one.question for one in steps if one.scale == "how_often")
