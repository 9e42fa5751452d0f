"""What was and what would be, line by line: nothing is lost, and what is alike is not marked."""

from difflib import unified_diff

from hypothesis import given
from hypothesis import strategies as st

from coach.overview.comparison import LinePair, compare, differs

LINES = st.lists(st.sampled_from(["set", "rest", "pain?", "blade?", ""]), max_size=12)


@given(before=LINES, after=LINES)
def test_both_can_be_read_off_the_pairs(before: list[str], after: list[str]) -> None:
    pairs = compare(before, after)
    assert [pair.before for pair in pairs if pair.mark != "new"] == before
    assert [pair.after for pair in pairs if pair.mark != "gone"] == after
    assert all(
        (pair.mark == "same") == (pair.before == pair.after) for pair in pairs if pair.mark in ("same", "changed")
    )
    assert differs(pairs) == bool(list(unified_diff(before, after)))


@given(lines=LINES)
def test_what_is_alike_is_not_marked(lines: list[str]) -> None:
    assert not differs(compare(lines, lines))


def test_a_line_in_the_place_of_another_stands_beside_it() -> None:
    pairs = compare(["today", "set 1", "rest", "end"], ["today", "set one", "end", "log"])
    assert pairs == (
        LinePair("same", "today", "today"),
        LinePair("changed", "set 1", "set one"),
        LinePair("gone", "rest", ""),
        LinePair("same", "end", "end"),
        LinePair("new", "", "log"),
    )


def test_lines_of_two_kinds_do_not_stand_beside_each_other() -> None:
    rest, question = "Rest before set 2 of 3: 60 s", "How often did your shoulder go up to your ear?"
    set_2 = "Set 2 of 3: 10 s count-in, then 15 repetitions"
    pairs = compare([rest, set_2], [question, rest.replace("3", "2"), set_2.replace("3", "2")])
    assert pairs == (
        LinePair("new", "", question),
        LinePair("changed", rest, rest.replace("3", "2")),
        LinePair("changed", set_2, set_2.replace("3", "2")),
    )
    assert [one.mark for one in compare([rest], [question])] == ["gone", "new"]


def test_very_long_parts_that_differ_stand_after_each_other() -> None:
    """Comparing each line with each would take too long."""
    before, after = ([f"rest {number} {when}" for number in range(51)] for when in ("s", "seconds"))
    pairs = compare(before, after)
    assert [pair.mark for pair in pairs] == ["gone"] * 51 + ["new"] * 51
    assert [pair.before or pair.after for pair in pairs] == [*before, *after]


def test_of_many_lines_those_with_the_same_key_stand_beside_each_other() -> None:
    """As where a whole file of messages was edited: with one left out, and one new."""
    before = [f"en.form.{number}: what went wrong" for number in range(60)]
    after = [f"{line} this time" for line in before[:30] + before[31:]] + ["en.more: a new line"]
    pairs = compare(before, after)
    assert [pair.mark for pair in pairs] == ["changed"] * 30 + ["gone"] + ["changed"] * 29 + ["new"]
    assert all(pair.after == f"{pair.before} this time" for pair in pairs if pair.mark == "changed")
