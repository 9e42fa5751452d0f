"""Each control of the hazard log taken away in turn, and what notices it: the table.

    python -m tests.authoring.hazard_table

A control is taken away twice: alone, and together with its name in the hazard log. What notices it is a finding of
`coach check`; where that finds nothing the second time, a test that is named below.
"""

import re
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from coach.authoring.check_content import check_content
from coach.authoring.check_hazards import HAZARDS
from coach.authoring.check_unused import STAND_IN
from coach.authoring.hazard_log import Hazards, kind_and_name
from coach.content_files.content_folder import content_folder, languages
from coach.content_files.language_data import FALLBACK
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_model
from tests.demo.pristine import TREE

CONTROLS = sorted(
    {one for hazard in read_model(content_folder() / HAZARDS, Hazards).hazard for one in hazard.controls}
)
# What a control of each kind is an entry of.
_ENTRIES = {
    "rule": ("rules.toml", "rule"),
    "limit": ("limits.toml", "limit"),
    "check": ("safety.toml", "check"),
    "sign": ("safety.toml", "sign"),
    "condition": ("conditions.toml", "condition"),
    "need": ("caseload.toml", "need"),
}
# The tests that notice a control of these kinds that is gone from the content and from the log.
NOTICED_BY: Mapping[str, str] = {
    "test": "tests/authoring/test_hazards.py::test_the_tests_that_are_controls_stand_in_the_log",
    "limit": "tests/authoring/test_hazards.py::test_every_limit_that_the_program_reads_is_in_the_content",
}
# The tests that are controls: one that is renamed or removed is missed here.
TESTS = (
    "tests/exchange/test_a_month.py::test_a_month_late_twice_out_of_order_and_in_part",
    "tests/exchange/test_a_month.py::test_a_sign_is_not_erased_by_a_release_that_did_not_know_of_it",
    "tests/exchange/test_refused.py::test_a_file_of_another_client_is_for_another_key_at_home",
    "tests/exchange/test_refused.py::test_a_gap_and_a_chain_that_does_not_fit_are_told_and_taken",
    "tests/exchange/test_refused.py::test_a_letter_that_somebody_else_signed_is_refused",
    "tests/exchange/test_sealed_file.py::test_altered_at_any_byte_it_is_refused",
    "tests/exchange/test_steps.py::test_a_computer_of_the_clinic_without_its_keys_says_so_and_makes_no_others",
    "tests/exchange/test_steps.py::test_a_lost_computer_is_refused_and_gets_nothing_and_a_new_one_takes_its_place",
    "tests/progression/test_clearing.py::test_what_a_clearing_lacks",
    "tests/progression/test_needs.py::test_an_answered_need_is_asked_about_again_in_its_time",
    "tests/progression/test_pain_lives.py::test_a_lasting_rise_of_two_points_is_caught_within_two_check_ins",
    "tests/progression/test_walk.py::test_every_state_with_every_answer",
    "tests/screens/plain/test_not_saved.py::test_a_warning_sign_is_answered_with_its_advice_though_nothing_can_be_written",
    "tests/store/programme/test_visits.py::test_the_strength_of_a_visit_decides_whether_there_is_a_session",
    "tests/store/test_closed_lid.py::test_after_eight_hours_in_a_set_pain_and_signs_are_asked_again",
)


@dataclass(frozen=True)
class Row:
    """One control; what `coach check` said without it, and what without it and its name in the log."""

    control: str
    alone: str
    with_its_name: str

    @property
    def noticed_by(self) -> str:
        """What notices it when it is gone from the log as well; empty where nothing does."""
        kind, name = kind_and_name(self.control)
        known = {"limit": limits_read(), "test": TESTS}.get(kind, ())
        return "coach check" if self.with_its_name else NOTICED_BY[kind] if name in known else ""


@cache
def limits_read() -> frozenset[str]:
    """The limits that the program reads by their name."""
    code = (path.read_text(encoding="utf-8") for path in (TREE / "coach").rglob("*.py"))
    read = (inside for text in code for inside in re.findall(r'(?:limits|values_now)\[([^\]]*"[^\]]*)\]', text))
    return frozenset(name for inside in read for name in re.findall(r'"([a-z_0-9]+_[a-z_0-9]+)"', inside))


def without(text: str, table: str, name: str) -> str:
    """A file without one entry of a list."""
    parts = re.split(r"(?m)^(?=\[\[)", text)
    kept = [one for one in parts if not re.match(rf'\[\[{table}\]\]\n(#.*\n)*name = "{name}"\n', one)]
    assert len(kept) == len(parts) - 1
    return "".join(kept)


def take_away(control: str, folder: Path) -> None:
    """Take a control out of a copy of the content; a test out of the copy of the tests beside it."""
    kind, name = kind_and_name(control)
    if kind in _ENTRIES:
        file, table = _ENTRIES[kind]
        path = folder / file
        path.write_text(without(path.read_text(encoding="utf-8"), table, name), encoding="utf-8")
    elif kind == "test":
        path = folder.parent / name.partition("::")[0]
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace(f"def {name.partition('::')[2]}(", "def gone("), encoding="utf-8")
    else:
        path = folder / "en" / "safety.toml"
        text = path.read_text(encoding="utf-8")
        path.write_text(re.sub(r"(?ms)^cautions = \[.*?^\]\n", "", text), encoding="utf-8")
        assert path.read_text(encoding="utf-8") != text


def unname(control: str, folder: Path) -> None:
    """Take the name of a control out of the hazard log."""
    path = folder / HAZARDS
    text = path.read_text(encoding="utf-8").replace(f', "{control}"', "").replace(f'"{control}", ', "")
    path.write_text(text.replace(f'["{control}"]', '["caution:safety"]'), encoding="utf-8")


def finding(folder: Path) -> str:
    """The first thing that `coach check` says about a content folder; empty where it is fine."""
    try:
        return next((fault.what for fault in check_content(folder)), "")
    except FileFault as fault:
        return fault.faults[0].what


def copied(folder: Path) -> Path:
    """A copy of the content, with the tests that are controls beside it.

    Without the translations and the stand-in client: the loss of a control has to be noticed without them.
    """
    left_out = [name for name in languages(content_folder()) if name != FALLBACK]
    ignored = shutil.ignore_patterns("schema", STAND_IN, *left_out)
    shutil.copytree(content_folder(), folder / "content", ignore=ignored)
    for control in CONTROLS:
        kind, name = kind_and_name(control)
        file = name.partition("::")[0]
        if kind == "test" and not (folder / file).exists():
            (folder / file).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(TREE / file, folder / file)
    return folder / "content"


def row(control: str) -> Row:
    """Take one control away, and see what notices it."""
    with tempfile.TemporaryDirectory() as made:
        folder = copied(Path(made))
        take_away(control, folder)
        alone = finding(folder)
        unname(control, folder)
        return Row(control, alone, finding(folder))


def main() -> None:
    """Print the table and its figures."""
    rows = [row(control) for control in CONTROLS]
    for one in rows:
        print(f"{one.control}\n    alone: {one.alone or 'NOTHING'}")
        print(f"    with its name: {one.with_its_name or one.noticed_by or 'NOTHING'}")
    alone, both = sum(bool(one.alone) for one in rows), sum(bool(one.noticed_by) for one in rows)
    print(f"{len(rows)} controls; taken away alone {alone} are noticed, with their name in the log {both}.")


if __name__ == "__main__":
    main()
