"""Makes the histories of the demo profiles by the program's own runner: `python tests/demo/histories.py FOLDER`.

FOLDER holds the invented clients with their profile.toml and prescription.toml or programme; records and
progress.toml are written beside them. Only what differs from a clean session without pain is listed.
"""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.programme.written import Written
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse, rehearse_programme
from coach.store.client_folder import read_client_folder, records_folder, save_progress
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises
from coach.store.records import record_file

_ZONE = timezone(timedelta(hours=1))
Given = Mapping[str, int | str]

BLADE_ONCE: Given = {"set_2.blade": "yes", "set_2.blade_often": "no"}
TOO_HEAVY: Given = {"set_1.range": "no", "set_1.range_often": "yes", "set_1.blade": "yes", "set_1.blade_often": "yes"}
NOT_SURE: Given = {"set_3.elbow": "not_sure"}
ROLLED: Given = {"set_3.shoulder": "yes", "set_3.shoulder_often": "no"}
SINKING: Given = {"set_3.elbow": "yes"}
SORE: Given = {"pain_now": 2, "pain": 3}
SORER: Given = {"pain_now": 3, "pain": 3}
NO_MORE: Given = {"two_more": "no", "effort": 8}


@dataclass(frozen=True)
class History:
    """Sessions from a first day on, some days apart; what was different in the session with this number."""

    first: date
    days_apart: Sequence[int]
    sessions: int
    different: Mapping[int, Given]
    repetitions: Mapping[int, Mapping[str, int]]

    def days(self) -> list[date]:
        """The day of each session."""
        days = [self.first]
        while len(days) < self.sessions:
            days.append(days[-1] + timedelta(days=self.days_apart[(len(days) - 1) % len(self.days_apart)]))
        return days


HISTORIES: Mapping[str, History] = {
    "tern": History(date(2026, 11, 23), (2,), 0, {}, {}),
    "avocet": History(date(2026, 11, 2), (2, 2, 3), 9, {2: ROLLED, 4: NOT_SURE}, {}),
    "plover": History(
        first=date(2026, 10, 12),
        days_apart=(2, 2, 3),
        sessions=18,
        different={
            1: SORE,
            2: SORE,
            3: BLADE_ONCE,
            5: SORER,
            7: NOT_SURE,
            9: NO_MORE,
            12: TOO_HEAVY,
            13: BLADE_ONCE,
            17: NOT_SURE,
        },
        repetitions={9: {"3": 9}},
    ),
    "heron": History(
        first=date(2026, 7, 6),
        days_apart=(2, 2, 3),
        sessions=60,
        different={4: BLADE_ONCE, 9: SORE, 10: SORE, 21: NOT_SURE, 26: TOO_HEAVY, 33: NO_MORE, 45: SINKING, 50: SORE},
        repetitions={33: {"3": 9}},
    ),
}


PROGRAMMES: Mapping[str, History] = {
    "curlew": History(date(2026, 11, 11), (2, 3, 2), 6, {3: BLADE_ONCE, 5: SORE}, {}),
}
# The computer at an invented home, so that the demo is the same wherever it is made.
_AT_HOME = "hearthq2"


def build_programme(folder: Path, name: str) -> None:
    """As `build`, of a client with a programme: every session does the exercises that are due on its day."""
    content, history, path = load_content(content_folder(), "en"), PROGRAMMES[name], folder / name
    for number, day in enumerate(history.days()[: history.sessions], start=1):
        at = datetime(day.year, day.month, day.day, 18, number, tzinfo=_ZONE)
        plans = todays_exercises(ClientStore.read(path, content), at).plans
        answers = Answers(answer=dict(history.different.get(number, {})))
        session = rehearse_programme(plans, answers, at, Written(writer=_AT_HOME, number=number))
        file = record_file.create(records_folder(path), session.model_copy(update={"entry": ()}))
        record_file.append(file, session.entry)
    save_progress(path, [one.folded_progress for one in ClientStore.read(path, content).exercises])


def _rated(number: int) -> dict[str, int | str]:
    """The client's own activities, slowly better, the later ones a little behind."""
    return {f"check_in.activity_{one}": min(9, 3 + number // 9 + (one == 1)) for one in range(1, 6)}


def build(folder: Path, name: str) -> None:
    """Write one client's records and progress, session after session, each on what the one before decided."""
    content = load_content(content_folder(), "en")
    history = HISTORIES[name]
    for number, day in enumerate(history.days()[: history.sessions], start=1):
        client = read_client_folder(folder / name)
        signed = tuple(one for one in client.prescription.sign_offs if one.at.date() <= day)
        prescription = client.prescription.model_copy(update={"sign_offs": signed})
        progress = ClientStore(client, content).with_prescription(prescription).folded_progress
        plan = plan_session(client.profile, prescription, content, progress)
        answers = Answers(
            answer={**_rated(number), **history.different.get(number, {})},
            repetitions=dict(history.repetitions.get(number, {})),
        )
        at = datetime(day.year, day.month, day.day, 18, number % 50, tzinfo=_ZONE)
        record, _ = rehearse(plan, answers, at)
        path = record_file.create(records_folder(folder / name), record.model_copy(update={"entry": ()}))
        record_file.append(path, record.entry)
    client = read_client_folder(folder / name)
    if history.sessions:
        save_progress(folder / name, [ClientStore(client, content).folded_progress])


if __name__ == "__main__":
    for client_name in HISTORIES:
        build(Path(sys.argv[1]), client_name)
    for client_name in PROGRAMMES:
        build_programme(Path(sys.argv[1]), client_name)
