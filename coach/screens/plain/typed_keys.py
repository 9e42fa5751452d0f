"""Which key a typed line stands for, and the line that names the keys."""

from collections.abc import Iterator, Sequence

from coach.control_characters import is_control
from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.client.key_bindings import HELP, PAIN, THEME, active_bindings
from coach.screens.client.key_help import ways_to_tell
from coach.screens.client.page_types import AnswerOption, TextPage
from coach.screens.plain.page_lines import has_short_answers
from coach.session.state import State

_MOST_SHOWN = 20


def key_of(line: str, answers: Sequence[AnswerOption], content: Content) -> str:
    """The key that a typed line stands for: the line itself, or the key whose name or answer it spells out.

    The pain key may be doubled: it answers nothing, and a stop never waits.
    """
    messages = content.messages.client.plain
    if not line:
        return "enter"
    typed = line.strip().casefold()
    if typed in ("", messages.space.casefold()):
        return "space"
    if typed == messages.enter.casefold():
        return "enter"
    scale = content.messages.client.scale
    yes_no = {scale.yes: "y", scale.no: "n"} if any(option.key == "n" for option in answers) else {}
    in_full = {word.casefold(): key for word, key in yes_no.items()}
    in_full.update((option.text.casefold(), option.key) for option in answers)
    return PAIN.key if not typed.strip(PAIN.key) else in_full.get(typed, typed)


def keys_line(state: State, page: object, content: Content, also: str = "") -> str:
    """The line with the keys that work now, each with its name; `also` says which other answers work."""
    bindings = [binding for binding in active_bindings(state) if binding is not THEME]
    names = content.messages.client.keys.model_dump()
    spoken = [(way.key, way.text) for way in ways_to_tell(state)]
    spoken += [(binding.key, str(names[binding.word])) for binding in bindings]
    spoken.append(("?", str(names[HELP.word])))
    return line_of([*_answers(page, content), *([also] if also else []), *_named(spoken, content)], content)


def prompt_line(page: TextPage, content: Content) -> str:
    """The line with the keys of a question about the session itself."""
    return line_of([*_answers(page, content)], content)


def line_of(keys: Sequence[str], content: Content) -> str:
    """One line with all keys."""
    return fill(content.messages.client.plain.keys, {"keys": "; ".join(keys)})


def no_key_line(line: str, content: Content) -> str:
    """The line that the input is not a key here; control characters in the input are left out."""
    typed = "".join(character for character in line.strip() if not is_control(character))[:_MOST_SHOWN]
    messages = content.messages.client.plain
    return fill(messages.no_key, {"typed": typed}) if typed else messages.no_such_key


def _answers(page: object, content: Content) -> Iterator[str]:
    """The answers of a page: a scale as its range, short answers with their text, long ones by their keys."""
    if not isinstance(page, TextPage):
        return
    messages = content.messages.client.plain
    if page.low:
        yield messages.scale_key
    elif has_short_answers(page):
        yield from _named([(option.key, option.text) for option in page.choices], content)
    else:
        yield from (option.key for option in page.choices)


def _named(keys: Sequence[tuple[str, str]], content: Content) -> Iterator[str]:
    messages = content.messages.client.plain
    names = {"enter": messages.enter, "space": messages.space}
    for key, word in keys:
        yield key if key == word else fill(messages.key, {"key": names.get(key, key), "word": word})
