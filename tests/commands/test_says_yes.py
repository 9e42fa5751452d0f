"""A question at the prompt: a key once or doubled is a yes, a held one is not."""

import pytest

from coach.commands.support.output import says_yes


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        ("y", True),
        ("Y", True),
        ("yy", True),
        ("j", True),
        ("jj ", True),
        ("yyyyyyyy", False),
        ("n", False),
        ("", False),
    ],
)
def test_a_key_once_or_doubled_and_not_held(answer: str, expected: bool) -> None:
    assert says_yes(answer, "j") is expected
