"""Lines from a pipe: whole, in pieces, too long, at the end of input; and time without any input."""

import os
from collections.abc import Iterator

import pytest

from coach.screens.plain.line_input import EndOfInput, KeyboardInput, NoInput
from tests.clocks import FakeClock


@pytest.fixture
def pipe() -> Iterator[tuple[int, int]]:
    """The two ends of a pipe."""
    ends = os.pipe()
    yield ends
    for end in ends:
        try:
            os.close(end)
        except OSError:
            continue


def test_lines_come_one_by_one_and_pieces_wait_for_their_rest(pipe: tuple[int, int]) -> None:
    out, into = pipe
    typed = KeyboardInput(out)
    os.write(into, b"y\r\n\n7")
    assert [typed.line(0.0), typed.line(0.0), typed.line(0.0)] == ["y", "", None]
    os.write(into, b"\n")
    assert typed.line(0.0) == "7"


def test_the_last_line_needs_no_end_and_then_the_input_has_ended(pipe: tuple[int, int]) -> None:
    out, into = pipe
    typed = KeyboardInput(out)
    os.write(into, b"y\nn")
    os.close(into)
    assert not typed.ended()
    assert typed.line(0.0) == "y"
    assert (typed.line(0.0) or typed.line(0.0)) == "n"
    with pytest.raises(EndOfInput):
        typed.line(None)


def test_an_empty_input_has_ended_and_an_open_one_has_not(pipe: tuple[int, int]) -> None:
    out, into = pipe
    assert not KeyboardInput(out).ended()
    os.close(into)
    assert KeyboardInput(out).ended()


def test_what_was_looked_at_is_not_lost(pipe: tuple[int, int]) -> None:
    out, into = pipe
    os.write(into, b"y\n")
    typed = KeyboardInput(out)
    assert not typed.ended()
    assert typed.line(0.0) == "y"


def test_bytes_that_are_no_text_and_lines_without_end_do_no_harm(pipe: tuple[int, int]) -> None:
    out, into = pipe
    typed = KeyboardInput(out)
    os.write(into, b"\xff\xfe\n")
    assert typed.line(0.0) == "\ufffd\ufffd"
    os.write(into, b"y" * 9000 + b"\n")
    os.close(into)
    long: list[str] = []
    while sum(map(len, long)) < 9000:
        long.append(typed.line(0.0) or "")
    assert "".join(long) == "y" * 9000
    assert max(map(len, long)) <= 4096


def test_nobody_lets_time_pass_by_whole_milliseconds_and_never_types() -> None:
    """Two thirds of a millisecond count as one, so that what ends then has ended."""
    nobody = NoInput(FakeClock()(), speed=1e9)
    begun = nobody.clock()
    assert nobody.line(1.9993335) is None
    assert nobody.clock().s - begun.s == pytest.approx(2.0, abs=1e-12)
    assert (nobody.clock().at - begun.at).total_seconds() == 2
    with pytest.raises(EndOfInput):
        nobody.line(None)
