"""What a listener needs beside the pages: answers read back, signs in groups, and nothing said twice unasked."""

import shutil
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.message_format import fill
from coach.screens.sound.spoken_lines import as_spoken, session_words
from coach.session.phrases import stops_line
from coach.store.home_settings import HomeSettings, read_settings, save_settings
from tests.clocks import START
from tests.demo.pristine import copy_pristine
from tests.plans import plan_of, shipped
from tests.screens.plain.output_lines import TO_THE_FIRST_SET, newest, reason_lines
from tests.screens.sound.test_spoken_session import COUNT_IN_S, FIRST_COUNT_IN_S, KEYS, SETS, ByEar, listened

TO_THE_SIGNS = ("", "", "0", "1")
TO_THE_SET = KEYS[: len(TO_THE_FIRST_SET) + 2]
SIGNS = load_content(content_folder(), "en").messages.safety.sign
GROUPS = tuple(
    f"Group {number} of 3. If one is true, press its number. If you are not sure about one, press u."
    for number in (1, 2, 3)
)


def said_by(client: Path, *keys: str) -> list[str]:
    """What was said in a session with these keys."""
    return listened(client, "en", keys).said


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> ByEar:
    """A first session with a pain within the limit, a fault, and a way to tell chosen with the first lesson."""
    keys = list(KEYS)
    keys[len(TO_THE_SET) - 3] = "2"
    keys[len(TO_THE_SET) : len(TO_THE_SET) + 3] = ["2", "0", "1"]
    return listened(copy_pristine(tmp_path_factory.mktemp("ear") / "demo") / "tern", "en", tuple(keys))


def copy_of(client: Path) -> Path:
    """Another client with the same folder as this one had before its session."""
    return Path(shutil.copytree(copy_pristine(client.parent / "again") / client.name, client.parent / "copy"))


def after(lines: list[str], line: str, number: int = 2) -> list[str]:
    """The lines said after the first time that this one was."""
    at = lines.index(line)
    return lines[at + 1 : at + 1 + number]


def test_every_answer_is_read_back_with_the_key_that_changes_it(whole: ByEar) -> None:
    said = whole.said
    for line in (
        "Pain now: 0.",
        "Painkiller or injection: none of these.",
        "Warning signs: none of these.",
        "The anchor holds: yes.",
        "The band is taut: yes.",
        "Pain: 2.",
        "the shoulder blade: never.",
        "the elbow: once.",
        "Effort: 5.",
    ):
        assert after(said, line, 1) == ["B: change it."], line
    assert after(said, "How to tell: a mirror.", 1) == ["M: change it."]
    # The last answer ends the session: nothing changes it any more.
    assert after(said, "Two more: yes.", 1) == ["Done for today"]
    questions = [one for one in newest_answers(whole) if one != "setup.tell_by"]
    assert said.count("B: change it.") == len(questions) - 1


def newest_answers(heard: ByEar) -> list[str]:
    """The steps of all answers of the session."""
    assert heard.folder is not None
    return [one.step for one in newest(heard.folder).entry if one.kind == "answer"]


def test_what_follows_from_an_answer_is_said_before_the_next_question(whole: ByEar) -> None:
    within = "Pain 2 of 10 is within your limit of 5, so you may go on. If it gets worse, press p at once."
    assert after(whole.said, "Pain: 2.") == ["B: change it.", within]
    assert after(whole.said, within, 1) == ["How often did your shoulder blade pull back?"]
    assert whole.said.count(within) == 1


def test_a_check_answered_with_no_is_asked_again_and_not_gone_back_from(demo_profiles: Path) -> None:
    said = said_by(demo_profiles / "tern", *TO_THE_SIGNS, "n", "", "y", "n")
    mend = load_content(content_folder(), "en").messages.safety.check["anchor_holds"].mend
    assert after(said, "The anchor holds: no.", 1) == [mend]


def test_signs_are_asked_in_groups_of_two_or_three_each_after_a_key(demo_profiles: Path) -> None:
    signs = [f"{number}: {line}" for number, line in enumerate(SIGNS.values(), 1)]
    said = said_by(demo_profiles / "tern", *TO_THE_SIGNS)
    assert [line for line in said if line in signs] == signs[:3]
    assert "If none, in any group: n" not in said
    said = said_by(copy_of(demo_profiles / "tern"), *TO_THE_SIGNS, "", "")
    assert [line for line in said if line in signs] == signs
    assert after(said, signs[-1], 1) == ["If none, in any group: n"]
    groups = [said.index(line) for line in said if line.startswith("Group ")]
    sizes = [
        len([line for line in said[one:other] if line in signs]) for one, other in pairwise([*groups, len(said)])
    ]
    assert sizes == [3, 3, 2]


def test_a_group_is_heard_again_and_the_key_that_goes_on_answers_nothing(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    heard = listened(client, "en", (*TO_THE_SIGNS, "", "h", "", "h", "", ""))
    four, seven = (f"{number}: {list(SIGNS.values())[number - 1]}" for number in (4, 7))
    assert (heard.said.count(four), heard.said.count(seven)) == (2, 2)
    assert "check_in.sign" not in [one.step for one in newest(client).entry if one.kind == "answer"]


def test_each_group_of_signs_says_how_to_answer_in_doubt(whole: ByEar) -> None:
    """The key answers in every group, so whoever is not sure about the first need not wait for the last."""
    assert [line for line in whole.said if line.startswith("Group ")] == list(GROUPS)


def test_a_sign_is_confirmed_by_ear_and_can_be_taken_back(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    said = said_by(client, *TO_THE_SIGNS, "", "5", "n", "", "", "n")
    chosen = fill("You chose: {answer}. Is that correct?", {"answer": SIGNS["night_pain"]})
    assert chosen in said
    assert said.count(GROUPS[0]) == 2
    assert after(said, "Warning signs: none of these.", 1) == ["B: change it."]
    assert newest(client).ended is None


def test_after_a_sign_what_to_do_comes_first(demo_profiles: Path) -> None:
    """On the page that asks for confirmation and at the end: before anything else is said."""
    said = said_by(demo_profiles / "tern", *TO_THE_SIGNS, "1", "y")
    urgent = shipped().messages.safety.urgency["emergency"]
    first, last = (index for index, line in enumerate(said) if line == urgent)
    assert said[first + 1] == "Please confirm"
    assert said[last - 2 :][:3] == ["y: yes, that is correct", "n: no, take it back", urgent]
    assert said[last + 1 : last + 3] == ["We stop here today", said[last + 2]]
    assert said[last + 2].startswith("You noticed a warning sign")
    assert not [line for line in said[last:] if line.startswith(("Group ", "When will you"))]


def test_line_by_line_the_signs_are_written_in_the_same_groups(demo_profiles: Path) -> None:
    """With the voice off, as for a screen reader; an answer counts in any group."""
    client = demo_profiles / "tern"
    heard = listened(client, "en", ("v", *TO_THE_SIGNS, "", "h", "n"))
    signs = [f"{number}: {line}" for number, line in enumerate(SIGNS.values(), 1)]
    written = [line for line in heard.written if line in signs or line == "Enter alone: the next group."]
    assert written == [*signs[:3], "Enter alone: the next group.", *signs[3:6], "Enter alone: the next group."]
    assert heard.content.messages.client.voice.off in heard.written
    assert newest(client).answer("check_in.sign") == "none"


def test_how_to_tell_is_said_once_and_in_the_way_that_was_chosen(whole: ByEar) -> None:
    blade, elbow = (whole.content.messages.form.question[name].tell_by for name in ("blade", "elbow"))
    counted = Counter(whole.said)
    # The first lesson says all, because it asks which; from then on only the way that was chosen, and only once.
    ways = zip(("Hand", "Mirror"), blade.values(), strict=False)
    assert [counted[f"{label}: {line}"] for label, line in ways] == [1, 1]
    assert counted[f"Mirror: {elbow['mirror']}"] == 1
    assert counted[f"Hand: {elbow['hand']}"] == 0
    assert whole.content.messages.client.setup.how_to_tell_title not in whole.said


def test_without_a_lesson_it_is_said_before_the_set_after_which_it_is_asked_first() -> None:
    """All faults were shown before. Two questions follow every set, and the others take turns."""
    said = list(session_words(replace(plan_of("tern"), tell_by="watched"), START))
    form = shipped().messages.form.question
    blade = f"Somebody watching: {form['blade'].tell_by['watched']}"
    assert said.count(blade) == 1
    first = next(line for line in said if line.startswith("You will be asked about: "))
    assert said.index(first) < said.index(blade) < said.index("1, out")
    (tempo,) = (line for line in form["tempo"].how_to_tell if line.startswith("Ear: "))
    rests = [index for index, line in enumerate(said) if line == "60 seconds left"]
    assert said.count(tempo) == 1
    assert rests[1] < said.index(tempo) < said.index(form["tempo"].ask)


def test_the_end_says_what_it_means_and_the_rule_only_when_asked(whole: ByEar, demo_profiles: Path) -> None:
    assert not [line for line in whole.said if line.startswith("Rule: ")]
    ended = newest(whole.folder).ended
    assert ended is not None
    assert {as_spoken(line, whole.content) for line in reason_lines(ended.decision)} <= {*whole.said}
    said = said_by(demo_profiles / "tern", *KEYS, "r", "")
    assert [line for line in said if line.startswith("Rule: ")]
    assert said[-1].startswith("Rule: ")


def test_how_counting_stops_is_said_before_the_first_set_and_again_when_asked_for(
    whole: ByEar, demo_profiles: Path
) -> None:
    line = stops_line(plan_of("tern"), "p")
    assert whole.said.count(line) == 1
    assert whole.said.index(line) < whole.said.index("1, out")
    at_s = next(one.begins_s for one in whole.recorder.heard if one.what == "2, out") + 1
    heard = listened(demo_profiles / "tern", "en", tuple(KEYS), {at_s: "h"})
    assert heard.said.count(line) == 2
    assert heard.recorder.overlaps() == []


def test_from_take_the_band_to_the_first_out_it_is_the_count_in(whole: ByEar) -> None:
    heard = whole.recorder.heard
    outs = [one.begins_s for one in heard if one.what == "out" and not one.spoken]
    for over in (one.begins_s for one in heard if one.what == "rest_over" and not one.spoken):
        assert next(at for at in outs if at > over) - over == pytest.approx(COUNT_IN_S)
    take = "Band ready: 10 seconds."
    assert whole.said.count(take) == SETS - 1
    before = fill(whole.content.messages.client.set.before, {"seconds": FIRST_COUNT_IN_S})
    assert whole.said.index(before) < whole.said.index("3")


def test_where_the_rest_is_cut_short_the_count_in_is_still_named(whole: ByEar, demo_profiles: Path) -> None:
    """Enter in the first rest: its end is not signalled, and the line is said all the same."""
    at_s = next(one.begins_s for one in whole.recorder.heard if one.what == "30 seconds left")
    heard = listened(demo_profiles / "tern", "en", tuple(KEYS), {at_s: ""})
    assert [one.what for one in heard.recorder.heard].count("rest_over") == SETS - 2
    assert heard.said.count("Band ready: 20 seconds.") == 1  # from the key to the mark
    assert heard.said.count("Band ready: 10 seconds.") == SETS - 2


def test_the_way_to_tell_is_kept_at_home_and_changed_by_a_key(demo_profiles: Path) -> None:
    client = demo_profiles / "tern"
    save_settings(client, HomeSettings(voice=True))
    listened(client, "en", (*TO_THE_SET[:-3], "3"))
    assert read_settings(client) == HomeSettings(voice=True, tell_by="watched")
    other = copy_of(client)
    save_settings(other, read_settings(client))
    heard = listened(other, "en", (*TO_THE_SET[:-3], "m", "2", "", ""))
    assert read_settings(other) == HomeSettings(voice=True, tell_by="mirror")
    assert heard.content.messages.client.lesson.tell_by not in heard.said
    form = heard.content.messages.form.question
    assert f"Somebody watching: {form['blade'].tell_by['watched']}" in heard.said
    assert f"Mirror: {form['blade'].tell_by['mirror']}" in heard.said  # the page of the lesson, after the change
    assert f"Mirror: {form['elbow'].tell_by['mirror']}" in heard.said
    assert f"Somebody watching: {form['elbow'].tell_by['watched']}" not in heard.said
