"""What was typed as a key, and the line that names the keys."""

from collections.abc import Iterator, Sequence

from coach.model.base import is_control
from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.client.key_bindings import QUIT, THEME, fitting
from coach.screens.client.pages import Page, Shown
from coach.screens.plain.page_lines import short
from coach.session.state import State

_MOST_SHOWN = 20


def key_of(line: str, answers: Sequence[Shown], content: Content) -> str:
    """The key that a typed line stands for: itself, an answer said in full, or the name of a key."""
    words = content.words.screens.plain
    if not line:
        return "enter"
    typed = line.strip().casefold()
    if typed in ("", words.space.casefold()):
        return "space"
    if typed == words.enter.casefold():
        return "enter"
    scale = content.words.screens.scale
    yes_no = {scale.yes: "y", scale.no: "n"} if any(shown.key in "yn" for shown in answers) else {}
    in_full = {word.casefold(): key for word, key in yes_no.items()}
    in_full.update((shown.words.casefold(), shown.key) for shown in answers)
    return in_full.get(typed, typed)


def keys_line(state: State, page: object, content: Content) -> str:
    """The keys that work now, each with its word."""
    commands = [command for command in fitting(state) if command not in (THEME, QUIT)]
    names = content.words.screens.keys.model_dump()
    spoken = [(command.key, str(names[command.word])) for command in commands]
    return line_of([*_answers(page, content), *_said(spoken, content)], content)


def offer_line(page: Page, content: Content) -> str:
    """The keys of a question about the session itself."""
    return line_of([*_answers(page, content)], content)


def line_of(keys: Sequence[str], content: Content) -> str:
    """All keys in one line."""
    return fill(content.words.screens.plain.keys, {"keys": "; ".join(keys)})


def no_key_line(line: str, content: Content) -> str:
    """That what was typed is no key here, without what a terminal would act on."""
    typed = "".join(character for character in line.strip() if not is_control(character))[:_MOST_SHOWN]
    words = content.words.screens.plain
    return fill(words.no_key, {"typed": typed}) if typed else words.no_such_key


def _answers(page: object, content: Content) -> Iterator[str]:
    """The answers of a page: a scale by its ends, short ones with their words, long ones by their keys."""
    if not isinstance(page, Page):
        return
    words = content.words.screens.plain
    if page.low:
        yield words.scale_key
    elif short(page):
        yield from _said([(shown.key, shown.words) for shown in page.choices], content)
    else:
        yield from (shown.key for shown in page.choices)


def _said(keys: Sequence[tuple[str, str]], content: Content) -> Iterator[str]:
    words = content.words.screens.plain
    names = {"enter": words.enter, "space": words.space}
    for key, word in keys:
        yield key if key == word else fill(words.key, {"key": names.get(key, key), "word": word})
