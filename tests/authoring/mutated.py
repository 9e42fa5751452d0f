"""Mutated contents: `python -m tests.authoring.mutated --count 5000 --seed 1`.

A content folder with one or two things changed at random is refused by the check, or every command can run on it:
session rehearsal, preview, decisions, setup, history, charts, handout, export, caseload, and forecast for one in
ten. Anything else is printed, the folder is kept, and the exit code is 1.
"""

import argparse
import random
import re
import shutil
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from coach.authoring.check_content import check_content
from coach.content_files.caseload_needs import load_needs
from coach.content_files.content_folder import content_folder, load_content, using_content
from coach.model.exercise import NoExercise
from coach.model.no_session import NoSession
from coach.overview.caseload_lines import LineSources, caseload_line
from coach.overview.history_chart import ClientHistory
from coach.overview.history_charts import history_charts
from coach.reports.fhir.bundle import fhir_json, fhir_resources
from coach.reports.pdf.handout import HandoutError, handout_pdf
from coach.reports.tables.csv_table import csv_table
from coach.reports.text.decision_table import decision_table_text
from coach.reports.text.forecast import forecast_text
from coach.reports.text.history import client_history_text
from coach.reports.text.history_plots import charts_text
from coach.reports.text.preview import preview_text
from coach.reports.text.setup import setup_text
from coach.session.plan import plan_session
from coach.session.rehearsal import rehearse
from coach.session.scenarios import scenarios
from coach.store.client_store import ClientStore
from coach.store.client_summary import summary_of
from tests.demo.pristine import copy_pristine

AT = datetime(2026, 12, 1, 10, tzinfo=UTC)
FORECAST_SHARE = 10
Mutation = Callable[[str, random.Random], str]

_NAME = re.compile(r'"([a-z][a-z0-9_]{2,})"')
_NUMBER = re.compile(r"(?<== )-?\d+(?:\.\d+)?")
_TEXT = re.compile(r'"[^"\n]{12,}"')
_LIST = re.compile(r"= (\[[^\[\]\n]*\])")
_BLOCK = re.compile(r"^\[.*?(?=^\[|\Z)", re.DOTALL | re.MULTILINE)
_PLACEHOLDER = re.compile(r"\{\w+[^{}]*\}")


def _replaced(form: re.Pattern[str], new: Callable[[str, random.Random], str]) -> Mutation:
    def mutate(text: str, chance: random.Random) -> str:
        found = list(form.finditer(text))
        if not found:
            return text
        one = chance.choice(found)
        group = 1 if form.groups else 0
        return text[: one.start(group)] + new(one[group], chance) + text[one.end(group) :]

    return mutate


def _typo(name: str, chance: random.Random) -> str:
    at = chance.randrange(len(name))
    return chance.choice([name[:at] + name[at + 1 :], name[:at] + chance.choice("aeiou_x") + name[at + 1 :]])


def _other_name(text: str, chance: random.Random) -> str:
    names = [found[1] for found in _NAME.finditer(text)]
    if len(names) < 2:
        return text
    one, other = chance.sample(names, 2)
    return text.replace(f'"{one}"', f'"{other}"', 1)


def _line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    other = chance.randrange(len(lines))
    kind = chance.choice(["delete", "double", "swap", "move"])
    if kind == "swap":
        lines[at], lines[other] = lines[other], lines[at]
    elif kind == "double":
        lines.insert(at, lines[at])
    else:
        taken = lines.pop(at)
        if kind == "move":
            lines.insert(other, taken)
    return "\n".join(lines)


def _block(text: str, chance: random.Random) -> str:
    blocks = list(_BLOCK.finditer(text))
    if not blocks:
        return text
    one, other = chance.choice(blocks), chance.choice(blocks)
    kind = chance.choice(["delete", "double", "swap"])
    if kind == "delete":
        return text[: one.start()] + text[one.end() :]
    if kind == "double" or one == other:
        return text[: one.end()] + one[0] + text[one.end() :]
    first, second = sorted((one, other), key=lambda block: block.start())
    between = text[first.end() : second.start()]
    return text[: first.start()] + second[0] + between + first[0] + text[second.end() :]


def _number(number: str, chance: random.Random) -> str:
    value = float(number)
    new = chance.choice([0, -value, value * 10, value + 1, value - 1, value / 2, 1])
    return f"{new:g}" if "." not in number or chance.random() < 0.5 else f"{new:.2f}"


def _items(written: str, chance: random.Random) -> str:
    items = [item for item in written[1:-1].split(", ") if item]
    kind = chance.choice(["empty", "drop", "shuffle", "double"])
    if kind == "empty" or not items:
        return "[]"
    if kind == "drop":
        items.pop(chance.randrange(len(items)))
    elif kind == "double":
        items.append(chance.choice(items))
    else:
        chance.shuffle(items)
    return f"[{', '.join(items)}]"


def _words(text: str, chance: random.Random) -> str:
    new = chance.choice(["{side}", "{load}", "{pain}", "{x", "\\t", "x" * 70, "", "ß ü"])
    at = chance.randrange(1, len(text))
    return text[:at] + new + text[at:]


MUTATIONS: dict[str, Mutation] = {
    "typo": _replaced(_NAME, _typo),
    "key": _replaced(re.compile(r"^(\w+) =", re.MULTILINE), _typo),
    "header": _replaced(re.compile(r"^\[+([\w.]+)\]+$", re.MULTILINE), _typo),
    "name": _other_name,
    "line": _line,
    "block": _block,
    "number": _replaced(_NUMBER, _number),
    "list": _replaced(_LIST, _items),
    "text": _replaced(_TEXT, _words),
    "placeholder": _replaced(_PLACEHOLDER, lambda found, chance: chance.choice(["", "{typo}", found[:-1]])),
}


def mutate(folder: Path, chance: random.Random) -> list[str]:
    """Change one or two things in a content folder; says what."""
    files = sorted(path for path in folder.rglob("*.toml"))
    # The entries that code and other files name are few beside the messages, and are as often changed.
    entries = [path for path in files if path.parent == folder or path.parent.name in ("exercises", "stand_in")]
    done = []
    for _ in range(chance.choice([1, 1, 2])):
        path = chance.choice(entries if chance.random() < 0.5 else files)
        if not path.exists():
            continue
        if chance.random() < 0.01:
            path.unlink()
            done.append(f"{path.relative_to(folder)}: removed")
            continue
        kind = chance.choice(list(MUTATIONS))
        text = path.read_text(encoding="utf-8")
        path.write_text(MUTATIONS[kind](text, chance), encoding="utf-8")
        done.append(f"{path.relative_to(folder)}: {kind}")
    return done


def drive(folder: Path, client: Path, forecast: bool) -> None:
    """Run what the commands run for one client, with a content folder that the check found right."""
    with using_content(folder):
        content = load_content(folder, "en")
        needs = load_needs(folder)
        caseload_line(summary_of(client, content), LineSources(needs, content, AT.date()))
        # The content may lack what this client was prescribed, or have no load for them: that is a sentence.
        with suppress(NoExercise, NoSession, HandoutError):
            _drive_client(client, forecast)


def _drive_client(client: Path, forecast: bool) -> None:
    store = ClientStore.read(client)
    profile, prescription, content = store.profile, store.prescription, store.content
    client_history_text(store)
    history = ClientHistory(profile, prescription, store.sessions, store.folded_progress, content, AT.date())
    charts_text(history_charts(history), content.messages.therapist.history_charts, history.profile.name)
    list(fhir_json(profile, fhir_resources(profile, prescription, store.records, store.progress, content)))
    csv_table(profile, store.records, store.progress, content)
    plan = plan_session(profile, prescription, content, store.progress)
    for answers in scenarios(plan).values():
        rehearse(plan, answers, AT)
    preview_text(plan, AT)
    decision_table_text(plan, AT)
    setup_text(plan, whole=True)
    handout_pdf(plan, store.records, "a4")
    if forecast:
        forecast_text(plan, 1, AT)


def run(count: int, seed: int, keep: Path) -> Counter[str]:
    """Try so many mutated contents; how many were refused, driven, and failed. Each failure is printed and kept."""
    outcomes: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as scratch:
        clients = copy_pristine(Path(scratch) / "clients")
        for number in range(count):
            chance = random.Random(seed * 1_000_003 + number)
            folder = Path(scratch) / "content"
            shutil.copytree(content_folder(), folder, ignore=shutil.ignore_patterns("schema"))
            done = mutate(folder, chance)
            try:
                if check_content(folder):
                    outcomes["refused"] += 1
                else:
                    client = chance.choice(sorted(clients.iterdir()))
                    drive(folder, client, forecast=chance.randrange(FORECAST_SHARE) == 0)
                    outcomes["driven"] += 1
            except Exception:
                outcomes["failed"] += 1
                kept = keep / f"mutated_{seed}_{number}"
                shutil.copytree(folder, kept, dirs_exist_ok=True)
                print(f"{'; '.join(done)}, kept in {kept}", traceback.format_exc(limit=-4), sep="\n", file=sys.stderr)
            finally:
                shutil.rmtree(folder)
    return outcomes


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=5000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--keep", type=Path, default=Path(tempfile.gettempdir()))
    arguments = parser.parse_args()
    outcomes = run(arguments.count, arguments.seed, arguments.keep)
    print(", ".join(f"{number} {name}" for name, number in sorted(outcomes.items())))
    return 1 if outcomes["failed"] else 0


if __name__ == "__main__":
    sys.exit(main())
