"""What the coach runs: a check of everything written by hand, and schemas for an editor."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.given import BROKEN, FAULTS, FINE, declare, say, tell

if TYPE_CHECKING:
    from coach.files.diagnostic import Diagnostic
    from coach.model.page_words.author import AuthorWords


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """check, proof, schema."""
    check = declare(
        commands,
        "check",
        _check,
        "say everything that is wrong in hand-written files, with its place",
        "coach check\n  coach check content\n  coach check demo_profiles --json",
        client=False,
    )
    check.add_argument(
        "folders",
        type=Path,
        nargs="*",
        metavar="FOLDER",
        help="content, a client's folder, or a folder of clients; without one, the program's own content",
    )
    check.add_argument(
        "--json",
        action="store_true",
        help="a list for editors and builds: file, line, column, what, expected, nearest, mend, text",
    )

    proof = declare(
        commands,
        "proof",
        _proof,
        "see the client's screens while you edit the content: drawn anew at every save",
        "coach proof content\n  coach proof content --client demo_profiles/heron",
        client=False,
    )
    proof.add_argument("folder", type=Path, metavar="FOLDER", help="content, or a clinic's own folder")
    proof.add_argument(
        "--client", type=Path, metavar="PROFILE", help="for this client; without one, for an invented stand-in"
    )
    schema = declare(
        commands,
        "schema",
        _schema,
        "write the JSON Schema of every kind of file, so that an editor completes and explains",
        "coach schema --to content/schema",
        client=False,
    )
    schema.add_argument("--to", type=Path, required=True, metavar="FOLDER", help="a folder to write them in")


def _check(chosen: argparse.Namespace) -> int:
    from coach.files.check import clinics_own
    from coach.files.content import content_folder
    from coach.files.diagnostic import render, shown

    folders = chosen.folders or [content_folder()]
    faults = [fault for folder in folders for fault in _faults_in(folder)]
    if chosen.json:
        from coach.reports.faults_json import faults_json

        print(faults_json(faults))
        return FAULTS if faults else FINE
    for fault in faults:
        print(render(fault), end="\n\n")
    for own in (own for folder in folders for own in clinics_own(folder)):
        instead = f"instead of: {own.shipped}" if own.shipped else "besides what everybody reads"
        print(shown(f"{own.file}: {own.key}: {own.own} ({instead})"))
    looked_at = ", ".join(str(folder) for folder in folders)
    found = {0: "fine", 1: "1 fault"}.get(len(faults), f"{len(faults)} faults")
    tell(f"{looked_at}: {found}")
    return FAULTS if faults else FINE


def _faults_in(folder: Path) -> "tuple[Diagnostic, ...]":
    """The faults of a folder; of a client's, those of the content it is checked against where that is broken."""
    from coach.files.check import check_folder
    from coach.files.diagnostic import FileFault

    try:
        return check_folder(folder)
    except FileFault as broken:
        return broken.diagnostics


def _schema(chosen: argparse.Namespace) -> int:
    from coach.files.schema import write_schemas
    from coach.model.base import fill

    count = write_schemas(chosen.to)
    return tell(fill(_author_words().schemas_written, {"count": count, "folder": chosen.to}))


def _author_words() -> "AuthorWords":
    """The words of the coach's own commands, also where the rest of the content is broken."""
    from coach.files.content import content_folder
    from coach.files.toml import read_model
    from coach.model.page_words.author import AuthorWords

    return read_model(content_folder() / "en" / AuthorWords.file, AuthorWords)


def _proof(chosen: argparse.Namespace) -> int:
    from coach.commands.crash import crash_line
    from coach.files.clock import now
    from coach.files.content import content_folder
    from coach.files.draft import Edited
    from coach.files.profile_folder import PRESCRIPTION, PROFILE, require_profile
    from coach.files.toml import read_model
    from coach.model.prescription import Prescription
    from coach.model.profile import Profile
    from coach.screens.coach.proof_app import ProofApp
    from coach.screens.not_here import require_terminal

    require_terminal("The view of the screens needs a terminal.")
    client = chosen.client or content_folder() / "stand_in"
    require_profile(client)
    profile, prescription = read_model(client / PROFILE, Profile), read_model(client / PRESCRIPTION, Prescription)
    app = ProofApp(Edited(chosen.folder), profile, prescription, _author_words().proof, now)
    app.run()
    return say(crash_line(app.failed), BROKEN) if app.failed is not None else app.return_code or FINE
