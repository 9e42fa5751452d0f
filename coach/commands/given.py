"""What every command shares: how it is declared, its exit codes, and how it reads a client."""

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.files.profile_folder import ProfileFolder
    from coach.model.answers import Answers
    from coach.model.content_set import Content, Gap
    from coach.model.progress import Progress
    from coach.overview.picture import Past
    from coach.session.plan import Plan

FINE, FAULTS, USAGE, NOT_NOW, CUT_OFF, BROKEN = 0, 1, 2, 3, 4, 70
EXIT_CODES = """exit codes: 0 done, 1 a file is wrong or would be written over, 2 the command
or the terminal does not fit, 3 not now (in review, in use, not signed), 4 the
input ended before the session, 70 a fault of the program itself"""
THEMES = "colours: dusk is dark, day is light, contrast is strong"


def declare(
    commands: "argparse._SubParsersAction[argparse.ArgumentParser]",
    name: str,
    run: Callable[[argparse.Namespace], int],
    job: str,
    about: str,
    examples: tuple[str, ...],
    client: bool = True,
) -> argparse.ArgumentParser:
    """A command with its help and exit codes; with the client's folder as its first word.

    `job` is its line in the list of commands. `examples` are lines for a shell, which go one after the other from
    the folder that holds demo_profiles and content.
    """
    command = commands.add_parser(
        name,
        help=job,
        description=f"{job[0].upper()}{job[1:]}.\n\n{about}",
        epilog="\n  ".join(("examples:", *examples)) + f"\n\n{EXIT_CODES}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.set_defaults(run=run)
    if client:
        command.add_argument("profile", type=Path, metavar="PROFILE", help="the client's folder")
    return command


def say(sentence: str, code: int) -> int:
    """A sentence for the person at the terminal; the exit code that goes with it."""
    from coach.files.diagnostic import shown

    print(shown(sentence, keep="\n\t"), file=sys.stderr)
    return code


def tell(sentence: str) -> int:
    """What was done, with the name of a file or a folder in it, of which a terminal obeys nothing; the exit code."""
    from coach.files.diagnostic import shown

    print(shown(sentence))
    return FINE


def code_of(error: Exception) -> int | None:
    """The exit code of something that went wrong and says so in a sentence; None for a fault of the program."""
    from coach.files.diagnostic import FileFault, Refusal
    from coach.files.live_session import NotSaved
    from coach.files.lock import InUse
    from coach.mechanics.anchor import ImpossibleAnchor
    from coach.mechanics.ladder import NoLoadStep
    from coach.mechanics.load import NoArc
    from coach.model.exercise import NoExercise, NoPosition
    from coach.screens.terminal import NotHere

    codes: dict[type[Exception], int] = {
        FileFault: FAULTS,
        NotSaved: FAULTS,
        Refusal: USAGE,
        NoLoadStep: FAULTS,
        ImpossibleAnchor: FAULTS,
        NoArc: FAULTS,
        NoExercise: FAULTS,
        NoPosition: USAGE,
        InUse: NOT_NOW,
        NotHere: USAGE,
    }
    return next((code for kind, code in codes.items() if isinstance(error, kind)), None)


def client_and_content(path: Path, mends: bool = False) -> "tuple[ProfileFolder, Content]":
    """A client's folder, and the content in the client's language, with the clinic's own.

    With `mends` a torn record is mended, which only the holder of the lock may do. NoExercise where what is
    prescribed is not in the content.
    """
    from coach.files.clients import clinic_of
    from coach.files.content import content_folder, load_content
    from coach.files.profile_folder import read_profile_folder

    folder = read_profile_folder(path, mends)
    content = load_content(content_folder(), folder.profile.language, clinic_of(path), _said_otherwise)
    content.exercise(folder.prescription.exercise)
    return folder, content


def _said_otherwise(gaps: "tuple[Gap, ...]") -> None:
    """A page lacks words in the client's language: beside the page, so that what goes into a file stays clean."""
    lines = "all its words are" if not gaps[0].key else f"{', '.join(gap.key for gap in gaps)}:"
    say(f"{gaps[0].file}: {lines} missing, and said in another language. All gaps: coach check", FINE)


def plan_of(path: Path, position_deg: int | None = None) -> "Plan":
    """The client's next session; or the same client at the lowest step of another position."""
    from coach.files.standing import standing
    from coach.session.plan import plan_session

    folder, content = client_and_content(path)
    progress = standing(folder, content)
    if position_deg is not None and position_deg != progress.position_deg:
        progress = progress.model_copy(update={"position_deg": position_deg, "load": None})
    return plan_session(folder.profile, folder.prescription, content, progress)


def past_of(path: Path) -> "Past":
    """Everything that the client did, said and was measured, as of today."""
    from coach.files.clock import now
    from coach.files.standing import judged
    from coach.overview.picture import Past

    folder, content = client_and_content(path)
    progress, sessions = judged(folder, content)
    return Past(folder.profile, folder.prescription, sessions, progress, content, now().at.date())


def in_review(progress: "Progress", content: "Content") -> str:
    """Why there is nothing to do before the therapist has looked, and what to do until then."""
    from coach.model.language import fill
    from coach.session.wording import what_to_do

    decision = progress.decision
    urgent = what_to_do(decision, content) if decision is not None else ""
    reason = {"reason": decision.reason if decision is not None else ""}
    return f"{urgent} {fill(content.words.screens.offer.review, reason)}".strip()


def answers_in(path: Path | None) -> "Answers | None":
    """The answers of a file; None where none is named."""
    from coach.files.toml import read_model
    from coach.model.answers import Answers

    return read_model(path, Answers) if path is not None else None
