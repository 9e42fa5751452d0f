"""A made-up caseload of any size: `python tests/store/generated_caseload.py FOLDER CLIENTS`.

A few dozen lives are gone through by the program's own runner, each of a kind that a therapist meets; the clients are
copies of them under names of their own. Everything is invented; nothing is written anywhere but in FOLDER.
"""

import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone
from itertools import cycle, islice
from pathlib import Path
from random import Random

from msgspec import Struct
from msgspec.structs import replace

from coach.content_files.content_folder import content_folder, load_content
from coach.model.answers_file import Answers
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.progression.state_machine import advance, initial_progress
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse
from coach.session.simulation.virtual_client import VirtualClient, virtual_answers
from coach.store.records import record_file
from coach.toml.reader import parse_model
from tests.demo.pristine import DEMO

_KINDS_FILE = ".kinds.json"
_ZONE = timezone(timedelta(hours=1))
_DEMO = DEMO
_BASES = ("plover", "tern", "heron")
_HARBOURS = (
    "amber",
    "birch",
    "cedar",
    "delta",
    "ember",
    "fjord",
    "grove",
    "haven",
    "inlet",
    "jetty",
    "knoll",
    "ledge",
)
_WEAK = {str(number): 4 for number in range(1, 7)}
_SORE: dict[str, int | str] = {"pain_now": 3, "pain": 3}


class Kind(Struct, frozen=True):
    """A kind of client: sessions from and to, days since the last, and what its last sessions answer."""

    name: str
    sessions: tuple[int, int]
    unseen_days: int
    last: tuple[Answers, ...] = ()
    broken: bool = False


KINDS: tuple[Kind, ...] = (
    *(Kind("steady", (8, 16), days) for days in (0, 1, 2, 2, 3)),
    Kind("gone", (6, 20), 33),
    Kind("warned", (3, 14), 2, (Answers(answer={"sign": "numb_or_weak"}),)),
    Kind("stopped", (3, 14), 1, (Answers(answer={"set_1.pain": 7}),)),
    Kind("rising", (8, 16), 1, (Answers(answer=_SORE), Answers(answer=_SORE))),
    Kind("weaker", (8, 16), 3, (Answers(repetitions=_WEAK), Answers(repetitions=_WEAK))),
    Kind("long", (38, 42), 2),
    Kind("new", (0, 0), 2),
    Kind("never", (0, 0), 30),
    Kind("broken", (4, 8), 5, broken=True),
)


@dataclass(frozen=True)
class Life:
    """The files of one life by their path inside the client's folder; NAME stands where the name goes."""

    kind: str
    files: Mapping[str, str]


def live(kind: Kind, base: str, today: date, content: Content, random: Random) -> Life:
    """One life of a kind, its last session so many days before today."""
    profile_text = (_DEMO / base / "profile.toml").read_text().replace(f'name = "{base}"', 'name = "NAME"')
    profile = parse_model(profile_text.replace("NAME", base), Path("profile.toml"), Profile)
    number, last = random.randint(*kind.sessions), today - timedelta(days=kind.unseen_days)
    first = last - timedelta(days=max(7 * number // 3, 1))
    prescription_text = _prescribed(base, first)
    prescription = parse_model(prescription_text, Path("prescription.toml"), Prescription)
    files = {"profile.toml": profile_text, "prescription.toml": prescription_text}
    progress, client = initial_progress(prescription), None
    for session in range(1, number + 1):
        plan = plan_session(profile, prescription, content, progress)
        if client is None:
            strength_nm = plan.step.mean_nm * random.uniform(1.3, 1.6)
            client = replace(VirtualClient.assumed(strength_nm, 0.0, plan.limits), pain_deviation=0.0, flare=0.0)
        left = number - session
        day = last - timedelta(days=7 * left // 3)
        at = datetime(day.year, day.month, day.day, 18, session, tzinfo=_ZONE)
        answers = virtual_answers(client, plan, client.strength_today_nm(random.random), at, random.random)
        if left < len(kind.last):
            answers = kind.last[-1 - left]
        record, _ = rehearse(plan, answers, at)
        files[f"records/{record.started:%Y-%m-%dT%H%M%S}.toml"] = record_file.as_text(record)
        progress = advance(progress, record, plan.book).after
        client = client.trained(plan.step.mean_nm, 1.0, False, at, random.random)
        if progress.status == "review" and left > len(kind.last):
            progress = progress.model_copy(update={"status": "active"})
    if kind.broken:
        files["profile.toml"] = profile_text.replace("mass_kg = ", "mass_kg = about ")
    return Life(kind.name, files)


def _prescribed(base: str, on: date) -> str:
    """The prescription of a demo client as of another day, with nothing signed since."""
    lines = (_DEMO / base / "prescription.toml").read_text().partition("[[sign_offs]]")[0].splitlines()
    return "\n".join(f"on = {on}" if line.startswith("on = ") else line for line in lines) + "\n"


def lives(today: date, seed: int = 1, most_sessions: int | None = None) -> Iterator[Life]:
    """Every kind with every base; none has more sessions than `most_sessions`."""
    content, random = load_content(content_folder(), "en"), Random(seed)
    for base in _BASES:
        for kind in KINDS:
            few, many = (least if most_sessions is None else min(least, most_sessions) for least in kind.sessions)
            yield live(replace(kind, sessions=(few, many)), base, today, content, random)


def make(folder: Path, clients: int, today: date, seed: int = 1, most_sessions: int | None = None) -> dict[str, str]:
    """So many clients in a folder, their newest sessions of `today`; the kind of each by name."""
    made = list(lives(today, seed, most_sessions))
    Random(seed).shuffle(made)
    kinds = {}
    for number, life in enumerate(islice(cycle(made), clients)):
        name = f"{_HARBOURS[number % len(_HARBOURS)]}_{number:04}"
        kinds[name] = life.kind
        for path, text in life.files.items():
            file = folder / name / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text.replace("NAME", name))
    (folder / _KINDS_FILE).write_text(json.dumps(kinds))
    return kinds


def kinds_in(folder: Path) -> dict[str, str]:
    """The kind of each client that was made in a folder, by name."""
    return dict(json.loads((folder / _KINDS_FILE).read_text()))


if __name__ == "__main__":
    make(Path(sys.argv[1]), int(sys.argv[2]), datetime.now(_ZONE).date())
