"""Which key a typed line stands for."""

import pytest

from coach.screens.plain.typed_keys import key_of
from tests.plans import shipped


@pytest.mark.parametrize(
    ("line", "key"),
    [("p", "p"), ("pp", "p"), ("PPP", "p"), (" p ", "p"), ("", "enter"), ("yy", "yy")],
)
def test_the_pain_key_may_be_doubled_and_no_other(line: str, key: str) -> None:
    assert key_of(line, (), shipped()) == key
