"""Each key that does something on a page is told there: on the page of all keys, and after a key without meaning."""

from string import ascii_lowercase, digits

import pytest

from coach.model.message_format import fill
from coach.screens.client.key_bindings import binding_for
from coach.screens.client.key_help import help_page, unknown_key_line
from coach.screens.client.page_types import LessonPage
from coach.screens.plain.typed_keys import keys_line
from tests.screens.every_page import every_page

_KEYS = (*ascii_lowercase, *digits, "enter", "space")


@pytest.mark.parametrize("language", ["en", "de"])
def test_each_key_that_does_something_is_told(language: str) -> None:
    lessons = 0
    for name, state, page in every_page(language):
        messages = state.plan.content.messages.client
        told = {option.key for option in help_page(state, page).choices}
        line = unknown_key_line("\0", state, page)
        before, after = fill(messages.keys.unknown, {"key": "\0", "keys": "\1"}).split("\1")
        named = set(line.removeprefix(before).removesuffix(after).split(", "))
        scale = {*digits, "x"} if messages.plain.scale_key in told else set()
        works = {key for key in _KEYS if binding_for(key, state) is not None}
        works = {messages.scale.yes_key if key == "y" and messages.scale.yes_key in told else key for key in works}
        works -= {"y", "j"} - {messages.scale.yes_key}
        assert works - scale <= told, name
        assert works - scale <= named, name
        if isinstance(page, LessonPage):
            lessons += 1
            assert {"1", "2", "3"} <= works
            assert "1: " in keys_line(state, page, state.plan.content)
    assert lessons


def test_the_page_of_all_keys_says_how_a_long_page_is_moved_where_it_can_be() -> None:
    _, state, page = next(one for one in every_page("en") if one[0] == "tern cautions")
    keys = state.plan.content.messages.client.keys
    assert keys.scroll in [one.text for one in help_page(state, page, scrolls=True).choices]
    assert keys.scroll not in [one.text for one in help_page(state, page).choices]
