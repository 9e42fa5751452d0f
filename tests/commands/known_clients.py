"""Clients made up for an audit, and every figure that is true of them, counted without the program.

The clients are demo clients with a part of their sessions, and with measurements, conditions, pain, tempo and visits
that are drawn here. The truth is counted from the files with the standard library.
"""

import hashlib
import re
import shutil
import tomllib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random
from statistics import fmean, median, stdev
from typing import Any

import tomli_w

from tests.demo.pristine import DEMO

BASES = ("plover", "plover", "avocet", "avocet", "heron")
MOST_SESSIONS = 14
KINDS = ("instability", "stiffness", "cancer")
# Errors of measurement: B5, B8, C10, C11 as in limits.toml.
RANGE_ERROR, STRENGTH_ERROR, PAIN_ERROR, ACTIVITY_ERROR = 5.0, 0.24, 1.1, 2.0
TEMPO_WITHIN = 0.33  # of the seconds asked
WEEKS_2 = timedelta(days=14)


def make(folder: Path, clients: int, seed: int = 7) -> None:
    """So many clients in a folder."""
    random = Random(seed)
    for number in range(clients):
        _client(folder / f"harbour_{number:04}", BASES[number % len(BASES)], random)


def _client(path: Path, base: str, random: Random) -> None:
    path.mkdir(parents=True)
    shutil.copy(DEMO / base / "prescription.toml", path)
    profile = tomllib.loads((DEMO / base / "profile.toml").read_text(encoding="utf-8"))
    for key, name in (("ranges", "available_deg"), ("strengths", "force_n")):
        for one in list(profile.get(key, ())):
            if random.random() < 0.7:
                change = random.choice((-9.0, -3.0, 3.0, 9.0, 14.0)) if key == "ranges" else random.uniform(-20, 45)
                later = {"on": one["on"] + timedelta(days=random.randint(20, 90))}
                profile[key].append({**one, name: round(one[name] + change, 1), **later})
    kinds = random.choices((*KINDS, ""), (2, 2, 1, 4))[0]
    on = date(2020, 5, 4)
    profile |= {"name": path.name, "condition": [{"kind": kinds, "on": on, "by": "KB"}] if kinds else []}
    (path / "profile.toml").write_text(tomli_w.dumps(profile), encoding="utf-8")
    files = sorted((DEMO / base / "records").glob("*.toml"))
    kept = files[: random.choice((0, *range(2, MOST_SESSIONS)))]
    (path / "records").mkdir()
    pains = random.choice(((0, 0), (1, 1), (3, 1), (1, 3)))
    for number, file in enumerate(kept):
        text = re.sub(r"^# whole .*$", "# whole", file.read_text(encoding="utf-8"), flags=re.MULTILINE)
        pain = pains[number >= len(kept) / 2]
        text = re.sub(r'(step = "check_in.pain_now"\nvalue = )\d+', rf"\g<1>{pain}", text)
        if file == kept[-1] and random.random() < 0.3:
            text = text.replace('how = "finished"', f'how = "{random.choice(("stopped", "left"))}"')
        (path / "records" / file.name).write_text(text, encoding="utf-8")
        if random.random() < 0.15:
            _measured(path, file, random)
    if kept and random.random() < 0.3:
        reason = random.choice(("goals_met", "own_wish", "moved"))
        visit = f'format = 2\nat = 2026-11-24T10:00:00+01:00\ninitials = "KB"\n\n[discharge]\nreason = "{reason}"\n'
        (path / "visits").mkdir()
        (path / "visits" / "2026-11-24T100000.toml").write_text(visit, encoding="utf-8")


def _measured(path: Path, record: Path, random: Random) -> None:
    """The first set of a session as a sensor saw it: some repetitions are at tempo, some too quick."""
    asked = tomllib.loads(record.read_text(encoding="utf-8"))
    tempo = asked["dose"]["tempo"]
    repetitions = []
    for number in range(random.randint(4, 9)):
        out = tempo["out_s"] * (1 if random.random() < 0.7 else 0.5)
        back = {"value": float(tempo["back_s"]), "u": 0.1}
        repetitions.append({"began_s": 10.0 * number, "out_s": {"value": out, "u": 0.1}, "back_s": back})
    data: dict[str, Any] = {
        "format": 1,
        "record": record.name,
        "set": 1,
        "kept": datetime.fromisoformat("2026-11-25T10:00:00+01:00"),
        "exercise": asked["exercise"],
        **{key: asked[key] for key in ("position_deg", "position") if key in asked},
        "table": "made up",
        "sha256": hashlib.sha256(f"{path.name} {record.name}".encode()).hexdigest(),
        "columns": ["t", "ax", "ay", "az", "gx", "gy", "gz"],
        "units": ["s", "g", "deg/s"],
        "rate_hz": 50.0,
        "count": len(repetitions),
        "repetition": repetitions,
    }
    (path / "measured").mkdir(exist_ok=True)
    (path / "measured" / f"{record.stem}-set1.toml").write_text(tomli_w.dumps(data), encoding="utf-8")


@dataclass
class Truth:
    """What is true of one group."""

    clients: int = 0
    course: dict[str, list[float]] = field(default_factory=dict)
    changes: dict[tuple[str, str], list[tuple[str, float, float, float]]] = field(default_factory=dict)
    counts: Counter[tuple[str, str]] = field(default_factory=Counter)
    tempo: list[tuple[int, int]] = field(default_factory=list)

    def figures(self) -> dict[tuple[str, str, str], dict[str, float]]:
        """Each figure by its name, detail and unit."""
        found: dict[tuple[str, str, str], dict[str, float]] = {("clients", "", ""): {"clients": self.clients}}
        for name, values in self.course.items():
            found[name, "", ""] = {"clients": len(values), "mean": fmean(values), "sd": stdev(values)}
        for (name, unit), all_of in self.changes.items():
            changes = [last - first for _, first, last, _ in all_of]
            outcome = Counter(
                "within" if round(abs(change), 6) < round(error, 6) else "higher" if change > 0 else "lower"
                for change, (*_, error) in zip(changes, all_of, strict=True)
            )
            found[name, "", unit] = {
                "clients": len({client for client, *_ in all_of}),
                "measured": len(all_of),
                "first": fmean(first for _, first, _, _ in all_of),
                "latest": fmean(last for _, _, last, _ in all_of),
                "mean": fmean(changes),
                "sd": stdev(changes) if len(changes) > 1 else 0.0,
                **{part: outcome[part] for part in ("higher", "lower", "within")},
            }
        for (name, detail), count in self.counts.items():
            found[name, detail, ""] = {"clients": count}
        if self.tempo:
            kept, measured = (sum(part) for part in zip(*self.tempo, strict=True))
            found["at_tempo", "", ""] = {"clients": len(self.tempo), "mean": kept / measured}
        return found


def truth_of(folder: Path) -> dict[tuple[str, str], Truth]:
    """What is true of each group, by how it is grouped and its name."""
    groups: dict[tuple[str, str], Truth] = {}
    for path in sorted(folder.iterdir()):
        for group, truth in _truths(path):
            _add(groups.setdefault(group, Truth()), truth)
    return groups


def _add(group: Truth, one: Truth) -> None:
    group.clients += 1
    for name, values in one.course.items():
        group.course.setdefault(name, []).extend(values)
    for key, changes in one.changes.items():
        group.changes.setdefault(key, []).extend(changes)
    group.counts.update(one.counts)
    group.tempo.extend(one.tempo)


def _truths(path: Path) -> Iterator[tuple[tuple[str, str], Truth]]:
    """What is true of one client, for each group that the client is in."""
    profile = tomllib.loads((path / "profile.toml").read_text(encoding="utf-8"))
    records = [tomllib.loads(one.read_text(encoding="utf-8")) for one in sorted((path / "records").iterdir())]
    whole = _whole(path, profile, records)
    yield ("all", ""), whole
    kinds = {one["kind"] for one in profile["condition"]} or {"none"}
    yield from ((("condition", kind), whole) for kind in kinds)
    for place in sorted({_place(one) for one in records if _sets(one)}):
        exercise, position = place
        here: dict[tuple[str, str], list[tuple[str, float, float, float]]] = {}
        direction = "internal" if exercise == "internal_rotation" else "external"
        _measurements(path.name, profile, here, (direction, position))
        _loads(path.name, [one for one in records if _place(one) == place], here)
        yield ("position", f"{exercise} {position}"), Truth(0, whole.course, here, whole.counts, whole.tempo)


def _whole(path: Path, profile: dict[str, Any], records: list[dict[str, Any]]) -> Truth:
    truth, name = Truth(), path.name
    done = [one for one in records if _sets(one)]
    days = sorted({one["started"].date() for one in done})
    truth.counts["came" if days else "never_came", ""] = 1
    if days:
        a_week = tomllib.loads((path / "prescription.toml").read_text(encoding="utf-8"))["dose"]["days_a_week"]
        due = round((days[-1] - days[0]).days * a_week / 7 + 1)
        truth.course = {
            "sessions": [len(records)],
            "weeks": [(days[-1] - days[0]).days / 7],
            "days": [len(days)],
            "kept": [min(len(days) / due, 1)],
            "repetitions": [sum(each["repetitions"] for one in done for each in _sets(one))],
        }
    _measurements(name, profile, truth.changes, None)
    for place in {_place(one) for one in done}:
        _loads(name, [one for one in done if _place(one) == place], truth.changes)
    _answers(name, records, truth)
    for one in records:
        end = next(each for each in one["entry"] if each["kind"] == "end")
        if end["how"] == "stopped":
            truth.counts["stopped", end["decision"]["rule"]] = 1
        if end["how"] == "left":
            truth.counts["left", ""] = 1
    for visit in path.glob("visits/*"):
        truth.counts["discharged", tomllib.loads(visit.read_text())["discharge"]["reason"]] = 1
    measured = [tomllib.loads(file.read_text(encoding="utf-8")) for file in path.glob("measured/*")]
    if measured:
        by_file = {one["started"].strftime("%Y-%m-%dT%H%M%S"): one for one in records}
        kept = sum(
            abs(each["out_s"]["value"] - asked) <= TEMPO_WITHIN * asked
            for one in measured
            for asked in (by_file[one["record"].removesuffix(".toml")]["dose"]["tempo"]["out_s"],)
            for each in one["repetition"]
        )
        truth.tempo = [(kept, sum(one["count"] for one in measured))]
    return truth


def _place(record: dict[str, Any]) -> tuple[str, str]:
    return record["exercise"], str(record.get("position", record.get("position_deg")))


def _sets(record: dict[str, Any]) -> list[dict[str, Any]]:
    return [one for one in record["entry"] if one["kind"] == "set"]


def _measurements(
    name: str,
    profile: dict[str, Any],
    changes: dict[tuple[str, str], list[tuple[str, float, float, float]]],
    only: tuple[str, str] | None,
) -> None:
    for kind, unit in (("range", "degrees"), ("strength", "Nm")):
        places: dict[tuple[str, str], list[dict[str, Any]]] = {}
        for one in profile.get(f"{kind}s", ()):
            position = str(one.get("position", one.get("position_deg")))
            places.setdefault((one.get("direction", "external"), position), []).append(one)
        for place, of_place in places.items():
            ordered = sorted(of_place, key=lambda one: one["on"])
            first, last = (_value(kind, ordered[end]) for end in (0, -1))
            if ordered[-1]["on"] > ordered[0]["on"] and only in (None, place):
                error = RANGE_ERROR if kind == "range" else STRENGTH_ERROR * first
                changes.setdefault((kind, unit), []).append((name, first, last, error))


def _value(kind: str, one: dict[str, Any]) -> float:
    return float(one["available_deg"]) if kind == "range" else float(one["force_n"] * one["lever_m"])


def _loads(
    name: str, here: list[dict[str, Any]], changes: dict[tuple[str, str], list[tuple[str, float, float, float]]]
) -> None:
    here = [one for one in here if _sets(one)]
    if len({one["started"].date() for one in here}) < 2:
        return
    steps = [here[end]["rungs"]["step"] for end in (0, -1)]
    halves = [max(one["high_nm"] - one["mean_nm"], one["mean_nm"] - one["low_nm"]) for one in steps]
    first, last = (one["mean_nm"] for one in steps)
    changes.setdefault(("load", "Nm"), []).append((name, first, last, (halves[0] ** 2 + halves[1] ** 2) ** 0.5))


def _answers(name: str, records: list[dict[str, Any]], truth: Truth) -> None:
    pains: dict[date, float] = {}
    rated: dict[date, dict[str, float]] = {}
    for one in records:
        for entry in one["entry"]:
            day = one["started"].date()
            if entry["kind"] == "answer" and entry["step"] == "check_in.pain_now":
                pains[day] = entry["value"]
            if entry["kind"] == "answer" and "activity" in entry["step"]:
                rated.setdefault(day, {})[entry["step"]] = entry["value"]
    days = sorted(pains)
    if days and days[-1] - days[0] >= WEEKS_2:
        first = median(pains[day] for day in days if day - days[0] < WEEKS_2)
        last = median(pains[day] for day in days if days[-1] - day < WEEKS_2)
        truth.changes["pain", "of 10"] = [(name, first, last, PAIN_ERROR)]
    means = [round(fmean(rated[day].values()), 1) for day in sorted(rated)]  # as it is kept
    if len(means) > 1:
        truth.changes["activities", "of 10"] = [(name, means[0], means[-1], ACTIVITY_ERROR)]
