"""How long the coach waits: a check of all content beyond a start, and a screen drawn again after a save.

Run: python tests/bench/bench_content.py
"""

import asyncio
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from textual.widgets import Static

from coach.authoring.draft import EditedFolder
from coach.content_files.content_folder import content_folder
from coach.model.messages.coach import CoachMessages
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach import proof_app
from coach.store.clock import now
from coach.toml.reader import read_model
from tests.screens.capture import as_text, runs

TREE = Path(__file__).parent.parent.parent
RUNS = 15


def command_s(*arguments: str) -> float:
    """Seconds of a command."""
    begun = time.perf_counter()
    subprocess.run([sys.executable, "-m", "coach", *arguments], cwd=TREE, capture_output=True, check=True)
    return time.perf_counter() - begun


async def redraws_s(folder: Path) -> list[float]:
    """Seconds from each save to its words on the screen, found by the view's own looking."""
    stand_in = content_folder() / "stand_in"
    messages = read_model(content_folder() / "en" / "coach.toml", CoachMessages).proof
    profile = read_model(stand_in / "profile.toml", Profile)
    prescription = read_model(stand_in / "prescription.toml", Prescription)
    app = proof_app.ProofApp(EditedFolder(folder), profile, prescription, lambda _: messages, now)
    path, taken = folder / "en" / "external_rotation.toml", []
    text = path.read_text(encoding="utf-8")
    async with app.run_test(size=(120, 40)):
        while not app.checked:
            await asyncio.sleep(0.01)
        for number in range(RUNS):
            begun = time.perf_counter()
            path.write_text(text.replace("You train the small", f"{number} train the small"), encoding="utf-8")
            new = f"{number} train the small"
            while new not in "".join(str(text.content) for text in app.query("#column Static").results(Static)):
                await asyncio.sleep(0.002)
            await painted(app)
            taken.append(time.perf_counter() - begun)
            assert new in as_text(runs(app))
            await asyncio.sleep(0.5)
    return taken


async def painted(app: proof_app.ProofApp) -> None:
    """Until what is laid out has been drawn."""
    done = asyncio.Event()
    app.call_after_refresh(done.set)
    await done.wait()


def main() -> None:
    """Print the medians, each beside a floor from the same run."""
    start = statistics.median(command_s("check", "content/stand_in") for _ in range(RUNS))
    check = statistics.median(command_s("check", "content") for _ in range(RUNS))
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(shutil.copytree(content_folder(), Path(folder) / "content"))
        taken = asyncio.run(redraws_s(copy))
    look = 1 / proof_app.POLLS_PER_SECOND
    print(f"check of one client     {start * 1000:6.0f} ms")
    print(f"check of all content    {check * 1000:6.0f} ms, {check / start:.2f} of it")
    print(
        f"save to screen          {statistics.median(taken) * 1000:6.0f} ms, the longest {max(taken) * 1000:.0f} ms"
    )
    print(f"ratio to one look       {statistics.median(taken) / look:6.2f}")


if __name__ == "__main__":
    main()
