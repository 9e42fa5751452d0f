"""Visits: files that are only added, what was measured at them, and how they meet the profile."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder
from coach.model.answers_file import Answers
from coach.model.profile import Profile
from coach.model.programme.seen_at_visits import as_seen_at, in_order
from coach.model.programme.visit_file import VisitFile
from coach.model.programme.written import Written
from coach.overview.caseload_lines import CaseloadLine, LineSources, caseload_line, search_lines
from coach.overview.visits.visit_summary import VisitInWords
from coach.reports.text.history import client_history_text, session_entries
from coach.session.interruptions import report_trouble
from coach.session.runner import answer, back, leave
from coach.store.client_folder import read_client_folder
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from coach.store.fingerprint import client_fingerprint
from coach.store.lock import lock
from coach.store.programme.marked_file import with_mark
from coach.store.programme.visits import keep_visit, read_visits
from coach.store.therapist.check_client import check_profile
from coach.store.therapist.signing_visits import propose_visit, sign_visit
from coach.store.therapist.steering import read_snapshot
from coach.toml.diagnostic import FileFault, Refusal
from coach.toml.reader import read_model
from tests.store.programme.by_hand import MONDAY, Clock, content, open_live, over, play
from tests.store.therapist.instructions import signed

RANGE = """
[[ranges]]
position = "0"
direction = "external"
side = "{side}"
active_deg = {active}
"""


def visit_text(rest: str, at: datetime = MONDAY) -> str:
    """A visit with these keys and tables."""
    return f'format = 2\nat = {at.isoformat()}\ninitials = "KB"\n{rest}'


def sign(client: Path, rest: str, at: datetime = MONDAY) -> VisitFile:
    """Sign a visit, as the command does."""
    seen = read_snapshot(client)
    return sign_visit(seen, propose_visit(seen, visit_text(rest, at), content()))


@pytest.fixture
def client(demo_profiles: Path) -> Path:
    """The demo client with a programme of four exercises."""
    return demo_profiles / "curlew"


def test_what_was_measured_at_a_visit_holds_on_its_side_alone(client: Path) -> None:
    signed = sign(client, RANGE.format(side="right", active=55))
    by_name = {
        one.folder.name: one.profile.available_deg("0", "external") for one in ClientStore.read(client).exercises
    }
    assert (by_name["outward_right"], by_name["outward_left"]) == (55, 75)
    assert read_client_folder(client).visits == (signed,)
    assert "55" not in (client / "profile.toml").read_text(encoding="utf-8")


def test_the_strength_of_a_visit_decides_whether_there_is_a_session(demo_profiles: Path) -> None:
    tern = demo_profiles / "tern"
    strength = '[[strengths]]\nposition = "0"\nside = "right"\nforce_n = {force}\nlever_m = 0.24\npain = 4\n'
    assert ClientStore.read(tern).admission(MONDAY).may_start
    sign(tern, strength.format(force=20))
    assert not ClientStore.read(tern).admission(MONDAY).may_start  # every band is too much for it
    assert not (tern / "prescription.toml").exists()  # moved to format 2
    sign(tern, strength.format(force=60), MONDAY + timedelta(days=7))
    assert ClientStore.read(tern).admission(MONDAY).may_start


def test_a_visit_is_never_written_over(client: Path) -> None:
    first, second = (sign(client, f'note = "{text}"\n') for text in ("one", "two"))
    assert (first.at, second.at) == (MONDAY, MONDAY + timedelta(seconds=1))
    assert [one.note for one in read_client_folder(client).visits] == ["one", "two"]
    with pytest.raises(FileFault), lock(client):
        keep_visit(client, first)


def test_a_visit_that_cannot_be_written_leaves_nothing(client: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a full disk, or where the power fails: half a file would let no session start."""

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    seen = read_snapshot(client)
    proposed = propose_visit(seen, visit_text('note = "seen"\n'), content())
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises((FileFault, OSError)):
        sign_visit(seen, proposed)
    assert [one.name for one in (client / "visits").iterdir()] == []
    assert read_client_folder(client).visits == ()


def test_a_visit_names_who_wrote_it_and_what_it_had_seen(client: Path) -> None:
    first, second = sign(client, 'note = "one"\n'), sign(client, 'note = "two"\n')
    assert first.written is not None
    assert second.written is not None
    assert second.written.knew(first.written)
    assert second.written.number == first.written.number + 1


def test_nothing_is_signed_where_something_changed_since(client: Path) -> None:
    seen = read_snapshot(client)
    proposed = propose_visit(seen, visit_text('note = "seen"\n'), content())
    sign(client, 'note = "another"\n')
    with pytest.raises(Refusal, match="have changed"):
        sign_visit(seen, proposed)
    assert len(read_client_folder(client).visits) == 1


def test_the_newest_day_holds_and_a_visit_before_the_profile_of_that_day(client: Path) -> None:
    profile = _profile(client).on_side("right")
    visits = [_visit(day, active) for day, active in ((9, 61.0), (30, 50.0), (20, 70.0))]
    assert as_seen_at(in_order(visits[:1]), profile).available_deg("0", "external") == 61  # the profile is of day 9
    assert as_seen_at(in_order(visits), profile).available_deg("0", "external") == 50


def test_a_condition_ends_only_at_a_visit_that_knew_of_it(client: Path) -> None:
    found = {"condition": ({"kind": "latex_allergy", "on": date(2026, 11, 1), "by": "KB"},)}
    over = {"condition_over": ("latex_allergy",)}
    first = _made(10, found, Written(writer="aaaaaaaa", number=1))
    knew = _made(11, over, Written(writer="bbbbbbbb", number=1, seen={"aaaaaaaa": 1}))
    unaware = _made(11, over, Written(writer="bbbbbbbb", number=1))
    profile = _profile(client)
    assert as_seen_at(in_order([first, knew]), profile).condition == ()
    assert [one.kind for one in as_seen_at(in_order([unaware, first]), profile).condition] == ["latex_allergy"]


def test_visits_count_in_the_order_in_which_they_knew_each_other() -> None:
    late = _made(20, {"irritability": "high"}, Written(writer="aaaaaaaa", number=1))
    early = _made(10, {"irritability": "low"}, Written(writer="bbbbbbbb", number=1, seen={"aaaaaaaa": 1}))
    assert in_order([early, late]) == in_order([late, early]) == (late, early)


def test_a_copy_counts_once_and_a_changed_one_is_a_fault(client: Path) -> None:
    sign(client, 'note = "came on foot"\n')
    (file,) = (client / "visits").iterdir()
    copy = file.with_name(f"{file.stem} (copy).toml")
    copy.write_bytes(file.read_bytes())
    assert len(read_visits(client, [])) == 1
    assert ["copy of" in one.what for one in check_profile(client, content())] == [True]
    copy.write_text(file.read_text(encoding="utf-8").replace("on foot", "by bus"), encoding="utf-8")
    assert any("is not as it was written" in one.what for one in check_profile(client, content()))
    other, _, _ = file.read_text(encoding="utf-8").replace("on foot", "by bus").partition("# whole")
    copy.write_text(with_mark(other), encoding="utf-8")
    faults = check_profile(client, content())
    assert any("both are the same visit" in one.what for one in faults)


FAULTS = (
    (RANGE.format(side="right", active=-3), 9, "active_deg"),
    (RANGE.format(side="right", active=60).replace('"0"', '"30"'), 6, "position 30"),
    (RANGE.format(side="right", active=6).replace('"0"', '"45"').replace("external", "internal"), 6, "position 45"),
    ('irritability = "mild"\n', 4, "irritability"),
    ('condition_over = ["latex"]\n', 4, "no condition latex"),
    ('[[form]]\nexercise = "outward_right"\nquestion = "elbows"\nseen = "never"\n', 6, "no form question elbows"),
    ('[[form]]\nexercise = "outwards"\nquestion = "elbow"\nseen = "never"\n', 5, "no exercise outwards"),
    ('[[needs]]\nneed = "pain"\nhow = "answered"\nwhat = "x"\n', 5, "no need pain"),
    ('[[needs]]\nneed = "warning_sign"\nhow = "answered"\nwhat = "x"\n', 6, "cannot go on"),
    ('[[needs]]\nneed = "not_seen"\nhow = "answered"\n', 6, "what is missing"),
    ('[[needs]]\nneed = "not_seen"\nhow = "discharged"\n', 1, "discharge is missing"),
    ("next_visit = 2026-11-01\n", 4, "not after the visit"),
    ("", 1, "is empty"),
)


@pytest.mark.parametrize(("rest", "line", "what"), FAULTS)
def test_a_fault_of_a_visit_is_told_at_its_place(client: Path, rest: str, line: int, what: str) -> None:
    file = client / "visits" / "2026-11-30T180000-aaaaaaaa.toml"
    file.parent.mkdir()
    file.write_text(visit_text(rest), encoding="utf-8")
    faults = [one for one in check_profile(client, content()) if one.path == file]
    assert [one.line for one in faults] == [line]
    assert what in faults[0].what
    with pytest.raises((Refusal, FileFault)):
        propose_visit(read_snapshot(_without(client, file)), visit_text(rest), content())


def test_a_range_that_ends_before_the_arc_begins_is_told_at_the_visit(client: Path) -> None:
    programme = client / "programme" / "0001.toml"
    programme.write_text(
        programme.read_text(encoding="utf-8").replace('"row"', '"raise_low_anchor"'), encoding="utf-8"
    )
    assert check_profile(client, content()) == ()
    narrow = RANGE.format(side="right", active=6).replace("external", "raise")
    with pytest.raises(Refusal) as refused:
        propose_visit(read_snapshot(client), visit_text(narrow), content())
    assert [(one.line, one.path.parent.name) for one in refused.value.faults] == [(9, "visits")]
    wide_again = narrow.replace("= 6", "= 80")
    sign(client, wide_again)
    assert check_profile(client, content()) == ()


def test_the_caseload_notices_a_visit(client: Path) -> None:
    before = client_fingerprint(str(client)).value
    sign(client, 'note = "seen"\n')
    first = client_fingerprint(str(client)).value
    sign(client, 'note = "again"\n')
    assert len({before, first, client_fingerprint(str(client)).value}) == 3


def _without(client: Path, file: Path) -> Path:
    file.unlink()
    return client


def _profile(folder: Path) -> Profile:
    """The demo client as the file says: measured on 9 November 2026."""
    return read_model(folder / "profile.toml", Profile)


def _made(day: int, values: Mapping[str, object], written: Written | None = None) -> VisitFile:
    at = datetime(2026, 11, day, 10, tzinfo=UTC)
    return VisitFile.model_validate({"format": 2, "at": at, "initials": "KB", "written": written, **values})


def _visit(day: int, active: float) -> VisitFile:
    return _made(day, {"ranges": ({"position": "0", "side": "right", "active_deg": active},)})


NEEDED = '[[needs]]\nneed = "{need}"\nhow = "{how}"\n{rest}'


def _line(client: Path, at: datetime) -> CaseloadLine:
    return caseload_line(
        summary_of(client, content(), at), LineSources(load_needs(content_folder()), content(), at.date())
    )


def test_a_need_that_was_answered_leaves_the_list_until_a_session_it_did_not_know(client: Path) -> None:
    clock = Clock()
    hurts = Answers(answer={"check_in.pain_now": 6})
    play(open_live(client, clock), clock, over, hurts)
    assert "stopped_by_pain" in [need.name for need in _line(client, clock.now.at).needs]
    answer = NEEDED.format(need="stopped_by_pain", how="answered", rest='what = "told to wait"\n')
    sign(client, answer, clock.now.at)
    assert "stopped_by_pain" not in [need.name for need in _line(client, clock.now.at).needs]
    clock.move(3 * 86400)
    play(open_live(client, clock), clock, over, hurts)
    assert "stopped_by_pain" in [need.name for need in _line(client, clock.now.at).needs]


def test_what_was_told_and_answered_is_no_need_again_after_a_clean_session(client: Path) -> None:
    """It stays in the progress until something is signed, and stood in the list again after the next session."""
    clock = Clock()

    def with_a_sharp_pain_taken_back() -> None:
        live = open_live(client, clock)
        for key in (report_trouble, lambda state, now: answer(state, "sharp", now), back, back, leave):
            live.act(key)

    def is_listed() -> bool:
        return "not_clear" in [need.name for need in _line(client, clock.now.at).needs]

    with_a_sharp_pain_taken_back()
    assert is_listed()
    sign(client, NEEDED.format(need="not_clear", how="answered", rest='what = "asked about it"\n'), clock.now.at)
    assert not is_listed()
    clock.move(2 * 86400)
    play(open_live(client, clock), clock, over)
    assert not is_listed()
    clock.move(2 * 86400)
    with_a_sharp_pain_taken_back()
    assert is_listed()


def test_the_caseload_shows_the_worst_pain_since_the_visit_and_which_sign_it_was(client: Path) -> None:
    assert _line(client, MONDAY).client.pain == 3  # on 20 November; at the last check-in it was 0
    sign(client, 'note = "seen"\n')
    assert _line(client, MONDAY).client.pain is None
    clock = Clock(MONDAY + timedelta(hours=1))
    play(open_live(client, clock), clock, over, Answers(answer={"sign": "gave_way"}))
    line = _line(client, clock.now.at)
    assert line.client.pain == 0
    assert line.needs_text[0] == "warning sign: The shoulder slipped or gave way"


def test_a_contact_that_reached_nobody_leaves_the_need_and_is_counted(client: Path) -> None:
    late = MONDAY + timedelta(days=20)
    missed = 'kind = "phone"\n' + NEEDED.format(need="not_seen", how="not_reached", rest="")
    assert "not seen" in _line(client, late).needs_text
    sign(client, missed, late)
    line = _line(client, late)
    assert "not seen, not reached 1 time" in line.needs_text
    assert line.client.seen_on is None
    assert line.client.pain == 3


def test_who_is_discharged_leaves_the_list_and_is_found_and_may_come_back(client: Path) -> None:
    sign(client, '[discharge]\nreason = "goals_met"\n')
    line = _line(client, MONDAY)
    assert (line.needs, line.needs_text) == ((), ("discharged 2026-11-30: goals met",))
    assert search_lines([line], "") == []
    assert search_lines([line], "curlew") == search_lines([line], "", with_discharged=True) == [line]
    call = 'kind = "phone"\nnote = "asked for the report"\n'
    sign(client, call, MONDAY + timedelta(days=1))
    assert _line(client, MONDAY).client.discharged == MONDAY.date()  # a call is no return
    sign(client, 'note = "back after a fall"\n', MONDAY + timedelta(days=2))
    assert _line(client, MONDAY).client.discharged is None


def test_the_history_says_a_visit_where_it_happened_and_the_pain_of_each_session(client: Path) -> None:
    sign(client, RANGE.format(side="right", active=75), datetime(2026, 11, 17, 9, tzinfo=UTC))
    store = ClientStore.read(client, content())
    lines = client_history_text(store).splitlines()
    (visit,) = (number for number, line in enumerate(lines) if line.endswith("KB  visit"))
    days = [line[:10] for line in lines[:visit] if line.startswith("2026")]
    assert days == ["2026-11-11", "2026-11-13", "2026-11-16"]
    told = " ".join(" ".join(lines[visit : visit + 4]).split())
    assert "active 75 degrees, +7: counts as a change, the error is 5 degrees." in told
    assert sum("Pain: 2 of 10 before, at worst 3 in the sets." in line for line in lines) == 1
    newest_first = [entry.line for entry in session_entries(store)]
    assert [line for line in newest_first if "KB" in line] == ["2026-11-17 09:00  KB  visit"]
    assert newest_first.index("2026-11-17 09:00  KB  visit") in (3, 4)  # after it came three sessions


def test_a_value_is_marked_where_it_counts_as_a_change(client: Path) -> None:
    """What lies within the error of measuring is told in words and draws no eye."""
    seen, folder = read_snapshot(client), read_client_folder(client)
    limits = content().limit_values(folder.prescription.limits)
    for active, mark, told in (
        (68, "noted", "+0"),
        (70, "noted", "+2: within the error of 5 degrees"),
        (75, "changed", "+7: counts as a change"),
    ):
        text = visit_text(RANGE.format(side="right", active=active), MONDAY)
        visit = propose_visit(seen, text, content()).visit
        measured, *_ = VisitInWords(visit, folder.own_profile, folder.visits, limits, content()).parts()
        assert (measured.pairs[0].mark, told in measured.pairs[0].after) == (mark, True)


def test_a_visit_under_a_clock_years_ahead_holds_only_until_the_next(client: Path) -> None:
    """And it is said: what was measured after it is newer, whatever the two clocks said."""
    later = MONDAY + timedelta(days=1)
    ahead = sign(client, 'irritability = "low"\n' + RANGE.format(side="right", active=75), MONDAY.replace(year=2036))
    right = sign(client, 'irritability = "high"\n' + RANGE.format(side="right", active=50), later)
    assert right.written is not None
    assert ahead.written is not None
    profile = read_client_folder(client).own_profile
    measured = {
        (one.on, one.available_deg) for one in profile.ranges if one.side == "right" and one.on >= MONDAY.date()
    }
    assert measured == {(right.day, 50), (right.day, 75)}
    assert next(one.available_deg for one in profile.ranges if one.on == right.day) == 50
    assert profile.irritability is not None
    assert profile.irritability.level == "high"
    assert not check_profile(client, content(), now=MONDAY + timedelta(days=2))


@pytest.mark.parametrize("year", [2016, 2036])
def test_a_visit_under_a_wrong_clock_is_told_until_another_one_holds(client: Path, year: int) -> None:
    """With a clock years behind, what was measured would count as older than the profile, and nobody would know."""
    wrong = sign(client, RANGE.format(side="right", active=50), MONDAY.replace(year=year))
    now = MONDAY + timedelta(days=2)
    told = [fault.what for fault in check_profile(client, content(), now=now)]
    assert [what for what in told if f"this visit is dated {year}" in what]
    assert sign(client, RANGE.format(side="right", active=50), now).written
    assert not check_profile(client, content(), now=now + timedelta(days=1))
    assert read_client_folder(client).visits[0] == wrong


def test_visits_of_one_second_are_not_dated_wrongly(client: Path) -> None:
    """The second is dated a second ahead, and the third two: nobody set a clock wrong."""
    signed = [sign(client, RANGE.format(side="right", active=50 + number), MONDAY) for number in range(3)]
    assert [one.at - MONDAY for one in signed] == [timedelta(seconds=number) for number in range(3)]
    assert not check_profile(client, content(), now=MONDAY)
    assert check_profile(client, content(), now=MONDAY - timedelta(seconds=1))


def test_instructions_of_one_second_are_not_dated_wrongly(client: Path) -> None:
    for number in range(3):
        signed(client, "freeze_load", at=MONDAY, until=f"2027-01-0{number + 1}")
    assert [one.at - MONDAY for one in read_client_folder(client).signed] == [
        timedelta(seconds=number) for number in range(3)
    ]
    assert not check_profile(client, content(), now=MONDAY)
    assert check_profile(client, content(), now=MONDAY - timedelta(seconds=1))
