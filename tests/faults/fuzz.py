"""Spoilt files for every reader: `python -m tests.faults.fuzz --inputs 100000 --seed 1`.

A reader gives what it read, or says in a sentence what is wrong. Anything else, a read of more than a second of the
processor, or more than 200 MB for all of them together, ends the run with exit code 1; the input is kept.
"""

import argparse
import os
import random
import resource
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Mapping
from pathlib import Path

from coach.authoring.check import check_folder
from coach.content_files.content_folder import content_folder
from coach.frozen import FromFile
from coach.model.answers_file import Answers
from coach.model.caseload import Needs
from coach.model.content_entries import ClinicLimits, Form, Limits, Rules, Safety
from coach.model.exercise import Exercise
from coach.model.messages.client import ClientMessages
from coach.model.messages.coach import CoachMessages
from coach.model.messages.entries import ClinicCautions, ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.model.messages.therapist import TherapistMessages
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.progress import Progress
from coach.model.record import Record
from coach.screens.plain.typed_keys import key_of
from coach.store.backups.restore import contents
from coach.store.client_folder import read_client_folder, saved_text
from coach.store.records import record_file
from coach.store.summary_index import index_path
from coach.store.therapist.bands_file import with_point
from coach.store.therapist.prescription_file import with_instruction
from coach.toml.diagnostic import FileFault, render
from coach.toml.reader import parse_model, read_model, read_text
from tests.demo.pristine import DEMO
from tests.faults.driven import shipped
from tests.faults.reshaped import reshaped
from tests.faults.spoilt import spoilt
from tests.store.packed import gathered, packed
from tests.store.whole_caseload import read_caseload

MOST_S, MOST_MB = 1.0, 200
_HANGS_S = 30
_FORMULAS = b'format = 1\n[answer]\n"set_2.blade" = "yes"\n[repetitions]\n2 = 6\n'
_MOVED = b"format = 1\n[limits]\npain_max = 4\n"
_SAID = b'format = 1\ncautions = ["Bring your own band."]\n'
Reader = Callable[[Path], object]


class Seeds:
    """What each reader is given before it is spoilt; one folder in which the readers of folders read."""

    def __init__(self, scratch: Path) -> None:
        self.client = scratch / "clients" / "plover"
        (self.client / "records").mkdir(parents=True)
        source = DEMO / "plover"
        names = ["profile.toml", "prescription.toml", "progress.toml"]
        self.files = {name: (source / name).read_bytes() for name in names}
        record = sorted((source / "records").iterdir())[11]
        self.record = f"records/{record.name}"
        self.files[self.record] = record.read_bytes()
        self.heal()
        read_caseload(self.client.parent, shipped())
        self.backup = packed(gathered(self.client))

    def heal(self) -> None:
        """The folder as it was."""
        for path in (self.client / "records").iterdir():
            path.unlink()
        for name, data in self.files.items():
            (self.client / name).write_bytes(data)


def _model(model: type[FromFile]) -> Reader:
    return lambda path: read_model(path, model)


def _band(path: Path) -> object:
    return with_point(path, "knotted", 1.2, 14.0)


def _word(path: Path) -> object:
    parse_model(text := read_text(path), path, Prescription)
    return with_instruction(text, path, {"what": "note", "initials": "AB"})


def _line(path: Path) -> object:
    return [key_of(line, (), shipped()) for line in path.read_bytes().decode(errors="replace").split("\n")]


def readers(seeds: Seeds) -> Mapping[str, tuple[bytes, Reader]]:
    """Every reader by its name, with a good input."""
    content, files = content_folder(), seeds.files
    models: list[tuple[Path, type[FromFile]]] = [
        (content / "limits.toml", Limits), (content / "rules.toml", Rules), (content / "form.toml", Form),
        (content / "safety.toml", Safety), (content / "caseload.toml", Needs),
        (content / "exercises" / "external_rotation.toml", Exercise),
        (content / "en" / "external_rotation.toml", ExerciseMessages), (content / "en" / "form.toml", FormMessages),
        (content / "en" / "safety.toml", SafetyMessages), (content / "en" / "rules.toml", RulesMessages),
        (content / "en" / "client.toml", ClientMessages), (content / "en" / "coach.toml", CoachMessages),
        (content / "en" / "therapist.toml", TherapistMessages),
    ]  # fmt: skip
    found = {str(path.relative_to(content)): (path.read_bytes(), _model(model)) for path, model in models}
    found |= {
        "profile": (files["profile.toml"], _model(Profile)),
        "prescription": (files["prescription.toml"], _model(Prescription)),
        "progress": (files["progress.toml"], _model(Progress)),
        "record, as a model": (files[seeds.record], _model(Record)),
        "record": (files[seeds.record], record_file.read),
        "answers": (_FORMULAS, _model(Answers)),
        "clinic's limits": (_MOVED, _model(ClinicLimits)),
        "clinic's words": (_SAID, _model(ClinicCautions)),
        "a measured point put in": (files["profile.toml"], _band),
        "an instruction added": (files["prescription.toml"], _word),
        "backup": (seeds.backup, contents),
        "typed lines": (b"yes\nno\n5\nenter\nspace\n", _line),
    }
    for name, data in files.items():
        found[f"client's folder, {name}"] = (data, _in_folder(seeds, name))
    found["caseload, as kept"] = (index_path(seeds.client.parent).read_bytes(), _in_caseload(seeds))
    return found


def _in_folder(seeds: Seeds, name: str) -> Reader:
    def read(path: Path) -> object:
        seeds.heal()
        (seeds.client / name).write_bytes(path.read_bytes())
        saved_text(seeds.client)
        for fault in check_folder(seeds.client):
            render(fault)
        return read_client_folder(seeds.client)

    return read


def _in_caseload(seeds: Seeds) -> Reader:
    def read(path: Path) -> object:
        index_path(seeds.client.parent).write_bytes(path.read_bytes())
        return read_caseload(seeds.client.parent, shipped())

    return read


def _exchanged(scratch: Path) -> Mapping[str, tuple[bytes, Reader]]:
    from tests.faults.exchanged import exchanged

    return exchanged(scratch)


def _in_use(seeds: Seeds, scratch: Path) -> Mapping[str, tuple[bytes, Reader]]:
    from tests.faults.in_use import in_use

    return in_use(seeds, scratch)


def main() -> int:
    """0 where every reader read or said what is wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", metavar="WORD", help="only readers whose name begins with it")
    parser.add_argument("--exchanged", action="store_true", help="also keys, sealed files and what is taken home")
    parser.add_argument("--in-use", action="store_true", help="also whatever goes on to use what it read; slower")
    chosen = parser.parse_args()
    chance, given, refused, slowest = random.Random(chosen.seed), 0, Counter[str](), (0.0, "")
    signal.signal(signal.SIGALRM, _hangs)
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["XDG_CACHE_HOME"] = str(Path(scratch) / "cache")
        seeds, path = Seeds(Path(scratch)), Path(scratch) / "input.toml"
        every = dict(readers(seeds))
        every |= _in_use(seeds, Path(scratch)) if chosen.in_use else {}
        every |= _exchanged(Path(scratch)) if chosen.exchanged else {}
        every = {name: one for name, one in every.items() if name.startswith(chosen.only)}
        for good, read in every.values():
            path.write_bytes(good)
            read(path)  # what is good is read
        before_mb = _peak_mb()
        for given in range(1, chosen.inputs + 1):
            name, (good, read) = chance.choice(list(every.items()))
            data = chance.choice((spoilt, spoilt, reshaped))(good, chance)
            path.write_bytes(data)
            signal.alarm(_HANGS_S)
            began = time.process_time()
            try:
                read(path)
            except FileFault:
                refused[name] += 1
            except BaseException as error:
                return _kept(data, f"{name}, input {given}: {type(error).__name__}: {error}")
            took = time.process_time() - began
            slowest = max(slowest, (took, name))
            if took > MOST_S or _peak_mb() - before_mb > MOST_MB:
                return _kept(data, f"{name}, input {given}: {took:.2f} s, {_peak_mb() - before_mb:.0f} MB more")
        signal.alarm(0)
    for name in every:
        print(f"{refused[name]:7} refused  {name}")
    more_mb = _peak_mb() - before_mb
    print(f"{given} inputs to {len(every)} readers, {sum(refused.values())} refused in words, 0 crashes; ", end="")
    print(f"slowest {slowest[0] * 1000:.0f} ms of the processor ({slowest[1]}); {more_mb:.0f} MB more at the peak")
    return 0


def _hangs(*_: object) -> None:
    raise TimeoutError(f"no answer within {_HANGS_S} s")


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2)


def _kept(data: bytes, what: str) -> int:
    with tempfile.NamedTemporaryFile(prefix="steady-arc-input-", delete=False) as file:
        file.write(data)
    print(f"{what}\nThe input is in {file.name}")
    return 1


if __name__ == "__main__":
    sys.exit(main())
