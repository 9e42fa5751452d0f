"""A number from 0 to 10 as it is typed: 1 may become 10, and the arrows move along the scale."""

from msgspec.structs import replace

from coach.model.message_format import fill
from coach.model.messages.client import KeyMessages
from coach.screens.client.page_types import TextPage
from coach.session.script import Ask

_LARGEST = 10
_STEPS = {"left": -1, "right": 1}


class NumberEntry:
    """The number typed so far for one question. It counts once it is confirmed, or where it cannot become longer."""

    def __init__(self) -> None:
        self.draft: int | None = None
        self.typed = False
        self._question = ""

    def press(self, key: str, question: Ask | None) -> str | None:
        """The key to act on after this one; None if it only changed the number."""
        if question is None or question.scale != "zero_to_ten":
            self._clear()
            return key
        if question.name != self._question:
            self._clear()
            self._question = question.name
        draft = self.draft
        if key in _STEPS:
            start = draft if draft is not None else (_LARGEST + 1 if key == "left" else -1)
            self.draft, self.typed = min(max(start + _STEPS[key], 0), _LARGEST), False
            return None
        if key == "enter" and draft is not None:
            return self._finished(str(draft))
        if not key.isdecimal():
            self._clear()
            return key
        if self.typed and draft == 1 and key == "0":
            return self._finished(str(_LARGEST))
        if key == "1" or draft is not None:
            self.draft, self.typed = int(key), True
            return None
        return self._finished(key)

    def note(self, messages: KeyMessages) -> str:
        """What is typed so far, and how it goes on."""
        if self.typed and self.draft == 1:
            return messages.one_or_ten
        return fill(messages.number, {"number": self.draft})

    def on_page(self, page: TextPage) -> TextPage:
        """The page with the number typed so far marked on its scale."""
        if self.draft is None or not page.low:
            return page
        chosen = str(self.draft)
        return replace(page, choices=tuple(replace(one, chosen=one.text == chosen) for one in page.choices))

    def _finished(self, number: str) -> str:
        self._clear()
        return number

    def _clear(self) -> None:
        self.draft, self.typed, self._question = None, False, ""
