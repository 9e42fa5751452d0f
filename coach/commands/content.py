"""What the coach runs: a check of everything written by hand."""

import argparse
from pathlib import Path

from coach.commands.given import FAULTS, FINE, declare


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """check."""
    check = declare(
        commands,
        "check",
        _check,
        "say everything that is wrong in hand-written files, with its place",
        "coach check\n  coach check content\n  coach check demo_profiles",
        client=False,
    )
    check.add_argument(
        "folders",
        type=Path,
        nargs="*",
        metavar="FOLDER",
        help="content, a client's folder, or a folder of clients; without one, the program's own content",
    )


def _check(chosen: argparse.Namespace) -> int:
    from coach.files.check import check_folder, clinics_own
    from coach.files.content import content_folder
    from coach.files.diagnostic import render, shown

    folders = chosen.folders or [content_folder()]
    faults = [fault for folder in folders for fault in check_folder(folder)]
    for fault in faults:
        print(render(fault), end="\n\n")
    for own in (own for folder in folders for own in clinics_own(folder)):
        instead = f"instead of: {own.shipped}" if own.shipped else "besides what everybody reads"
        print(shown(f"{own.file}: {own.key}: {own.own} ({instead})"))
    looked_at = ", ".join(str(folder) for folder in folders)
    found = {0: "fine", 1: "1 fault"}.get(len(faults), f"{len(faults)} faults")
    print(f"{looked_at}: {found}")
    return FAULTS if faults else FINE
