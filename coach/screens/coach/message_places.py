"""Where each message is shown: the client's pages are made from messages with a mark each, and the marks are read.

A mark is one character of a plane for private use in front of the text; nothing that a person sees is made of it.
"""

import re
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from msgspec import Struct, field
from msgspec.structs import replace

from coach.content_files.content_folder import CLIENT, CONDITIONS, FORM, RULES, SAFETY
from coach.frozen import FromFile
from coach.model.content import Content
from coach.model.message_format import LocalizedLine
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach.proof import ProofSelection, make_proof

MessageKey = tuple[str, str]
"""A file of messages and the dotted key in it; the parts of a list are counted from 1."""
_FIRST_MARK = 0xF0000
_MARK = re.compile(f"[{chr(_FIRST_MARK)}-\U000ffffd]")
# Values of messages that are read by code and never shown.
_NOT_SHOWN = ("format", "fault", "yes_key")


class ShownText(Struct, frozen=True):
    """A text of a page, with the messages that it is made of."""

    page: str
    text: str
    messages: tuple[MessageKey, ...]


class _Marks(Struct, frozen=True):
    """The messages that were marked, in the order of their marks."""

    keys: list[MessageKey] = field(default_factory=list)

    def mark(self, value: Any, file: str, key: tuple[str, ...] = ()) -> Any:
        """The same messages, each with its mark."""
        if isinstance(value, FromFile):
            shown = (name for name in type(value).model_fields if name not in _NOT_SHOWN)
            named = getattr(value, "fault", None) if key[-2:-1] == ("cues",) else None
            inside = (*key[:-1], named) if isinstance(named, str) else key
            return value.model_copy(
                update={name: self.mark(getattr(value, name), file, (*inside, name)) for name in shown}
            )
        if isinstance(value, dict):
            return {name: self.mark(inner, file, (*key, str(name))) for name, inner in value.items()}
        if isinstance(value, tuple):
            return tuple(self.mark(inner, file, (*key, str(number))) for number, inner in enumerate(value, 1))
        if not isinstance(value, str):
            return value
        self.keys.append((file, ".".join(key)))
        marked = chr(_FIRST_MARK + len(self.keys) - 1) + value
        return LocalizedLine(marked, value.language) if isinstance(value, LocalizedLine) else marked

    def read(self, text: str) -> tuple[MessageKey, ...]:
        """The messages whose marks are in a text."""
        return tuple(self.keys[ord(mark) - _FIRST_MARK] for mark in _MARK.findall(text))


def shown_texts(
    content: Content, exercise: str, profile: Profile, prescription: Prescription, at: datetime
) -> Iterator[ShownText]:
    """Every text on the client's pages for one exercise, in all its positions.

    A position in which the client has no load has no pages.
    """
    marks, messages = _Marks(), content.messages
    of_files: Mapping[str, tuple[str, Any]] = {
        FORM: ("form", messages.form),
        SAFETY: ("safety", messages.safety),
        RULES: ("rules", messages.rules),
        CLIENT: ("client", messages.client),
        CONDITIONS: ("conditions", messages.conditions),
    }
    marked: dict[str, Any] = {name: marks.mark(model, file) for file, (name, model) in of_files.items()}
    own = {exercise: marks.mark(messages.exercises[exercise], f"{exercise}.toml")}
    marked_content = replace(content, messages=replace(messages, **marked, exercises={**messages.exercises, **own}))
    for position in content.exercises[exercise].position_names:
        selection = ProofSelection(exercise, position, messages.language)
        try:
            proof = make_proof(marked_content, selection, profile, prescription, at)
        except NoSession:
            continue
        place = f"{exercise} {position}°" if position.isdecimal() else f"{exercise} {position}"
        for name, page in proof.pages.items():
            for text in (*_texts(page), *proof.keys(name)):
                yield ShownText(f"{place} {name}", _MARK.sub("", text), marks.read(text))


def _texts(value: object) -> Iterator[str]:
    """Every text of a page."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            yield from _texts(getattr(value, name))
    elif isinstance(value, tuple):
        for inner in value:
            yield from _texts(inner)
