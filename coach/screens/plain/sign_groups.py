"""The warning signs in groups, for everybody who hears them: all of them at once cannot be kept in mind."""

import math
from collections.abc import Iterator
from itertools import pairwise

from msgspec.structs import replace

from coach.model.content import Content
from coach.model.message_format import fill
from coach.screens.client.page_types import AnswerOption, TextPage
from coach.session.state import State

# Ours: as many as can be kept in mind from hearing them once.
_AT_ONCE = 3
_NONE, _NOT_SURE = "n", "u"


def asks_for_signs(state: State) -> bool:
    """Whether the warning signs are asked about now."""
    asked = state.question is not None and state.question.scale == "sign"
    return asked and state.chosen is None and not state.over


def sign_groups(page: TextPage) -> tuple[tuple[AnswerOption, ...], ...]:
    """The signs in groups, each as large as the others or one smaller; the answers beside them are in the last."""
    signs = [option for option in page.choices if option.key.isdecimal()]
    groups = math.ceil(len(signs) / _AT_ONCE)
    size, larger = divmod(len(signs), groups)
    ends = [size * number + min(number, larger) for number in range(groups)]
    return tuple(tuple(page.choices[begin:end]) for begin, end in pairwise([*ends, len(page.choices)]))


def group_page(page: TextPage, number: int) -> TextPage:
    """The page with one group only, and with the answer of somebody who is not sure about one of them."""
    shown = sign_groups(page)[number]
    unsure = tuple(option for option in page.choices if option.key == _NOT_SURE and option not in shown)
    return replace(page, choices=(*shown, *unsure))


def any_group_line(page: TextPage, content: Content) -> str:
    """That a sign answers by its number in every group; empty where there is only one group."""
    signs = [option.key for option in page.choices if option.key.isdecimal()]
    if len(sign_groups(page)) == 1:
        return ""
    return fill(content.messages.client.plain.any_group, {"first": signs[0], "last": signs[-1]})


def group_lines(page: TextPage, number: int, content: Content) -> Iterator[str]:
    """Which group it is, how to answer, and its signs; none of them is an answer to all groups, so it says that."""
    messages, groups = content.messages.client, sign_groups(page)
    yield fill(messages.voice.group, {"group": number + 1, "groups": len(groups), "key": _NOT_SURE})
    for option in groups[number]:
        if option.key == _NOT_SURE:
            continue
        line, values = messages.plain.key, {"key": option.key, "word": option.text}
        yield fill(messages.voice.group_none if option.key == _NONE else line, values)
