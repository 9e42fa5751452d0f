"""What the coach runs: a check of everything written by hand, and schemas for an editor."""

import argparse
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.arguments import add_target, declare
from coach.commands.support.output import FAULTS, FINE, tell

if TYPE_CHECKING:
    from coach.model.messages.authoring import AuthorWords
    from coach.model.prescription import Prescription
    from coach.model.profile import Profile
    from coach.reports.text.changed import Touched
    from coach.toml.diagnostic import Diagnostic


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """check, proof, changed, schema."""
    check = declare(
        commands,
        "check",
        _check,
        "say everything that is wrong in hand-written files",
        "Each with its file, line and column, the line itself, what was expected, the\n"
        "nearest right word and what to do. Of content also how easy the client's words\n"
        "are to read (Flesch 1948; Amstad 1978 for German), with the hardest lines.",
        ("coach check", "coach check content demo_profiles", "coach check demo_profiles/tern --json"),
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
        "see the client's screens drawn anew at every save",
        "For a terminal beside your editor. Keys go from screen to screen, to those that\n"
        "the last save changed, to another position, exercise, language or terminal\n"
        "size. While a file is wrong the last good screen stays, the fault beside it.",
        ("coach proof content", "coach proof content --client demo_profiles/heron"),
        client=False,
    )
    proof.add_argument("folder", type=Path, metavar="FOLDER", help="content, or a clinic's own folder")
    proof.add_argument(
        "--client", type=Path, metavar="PROFILE", help="for this client; without one, for an invented stand-in"
    )
    changed = declare(
        commands,
        "changed",
        _changed,
        "what an edit of the content changes, and for which clients",
        "Two content folders side by side in the client's words, script by script and\n"
        "line by line. Copy the folder before you edit it.",
        (
            "cp -r content content.before",
            "coach changed content.before content",
            "coach changed content.before content --clients demo_profiles",
        ),
        client=False,
    )
    changed.add_argument("before", type=Path, metavar="BEFORE", help="the content folder as it was")
    changed.add_argument("after", type=Path, metavar="AFTER", help="the content folder as it is now")
    changed.add_argument(
        "--clients", type=Path, metavar="FOLDER", help="a folder of clients, or one client to see it whole"
    )
    schema = declare(
        commands,
        "schema",
        _schema,
        "write the JSON Schema of every kind of file",
        "An editor with a TOML language server completes and explains by them: the first\n"
        "line of each file names its own.",
        ("coach schema --to content/schema",),
        client=False,
    )
    add_target(schema, "FOLDER", "a folder to write them in")


def _check(chosen: argparse.Namespace) -> int:
    from coach.authoring.check import clinic_overrides, is_content
    from coach.content_files.content_folder import content_folder
    from coach.reports.text.reading_ease import reading_text
    from coach.toml.diagnostic import render, printable

    folders = chosen.folders or [content_folder()]
    faults = [fault for folder in folders for fault in _faults_in(folder)]
    if chosen.json:
        from coach.reports.tables.faults_json import faults_json

        print(faults_json(faults))
        return FAULTS if faults else FINE
    for fault in faults:
        print(render(fault), end="\n\n")
    for own in (own for folder in folders for own in clinic_overrides(folder)):
        instead = f"instead of: {own.shipped}" if own.shipped else "besides what everybody reads"
        print(printable(f"{own.file}: {own.key}: {own.override} ({instead})"))
    for line in (line for folder in folders if is_content(folder) for line in reading_text(folder)):
        print(line)
    looked_at = ", ".join(str(folder) for folder in folders)
    found = {0: "fine", 1: "1 fault"}.get(len(faults), f"{len(faults)} faults")
    tell(f"{looked_at}: {found}")
    return FAULTS if faults else FINE


def _faults_in(folder: Path) -> "tuple[Diagnostic, ...]":
    """The faults of a folder; of a client's, those of the content it is checked against where that is broken."""
    from coach.authoring.check import check_folder
    from coach.toml.diagnostic import FileFault

    try:
        return check_folder(folder)
    except FileFault as broken:
        return broken.faults


def _schema(chosen: argparse.Namespace) -> int:
    from coach.authoring.schema import write_schemas
    from coach.model.message_format import fill

    count = write_schemas(chosen.to)
    return tell(fill(author_words().schemas_written, {"count": count, "folder": chosen.to}))


def author_words(language: str = "en") -> "AuthorWords":
    """The words of the coach's own commands, which come with the program: also where the edited ones are broken."""
    from coach.content_files.content_folder import content_folder, languages, message_files_of
    from coach.model.messages.authoring import AuthorWords

    shipped = content_folder()
    spoken = language if language in languages(shipped) else "en"
    return message_files_of(shipped, spoken).read(AuthorWords.file, AuthorWords)


def _proof(chosen: argparse.Namespace) -> int:
    from coach.authoring.draft import EditedFolder
    from coach.screens.coach.proof_app import ProofApp
    from coach.screens.terminal import require_screens
    from coach.store.clock import now

    require_screens("The view of the screens needs a terminal large enough to show them.")
    words_in = cache(lambda language: author_words(language).proof)
    return ProofApp(EditedFolder(chosen.folder), *_seen_with(chosen.client), words_in, now).go()


def _seen_with(client: Path | None) -> "tuple[Profile, Prescription]":
    """The client whom screens are shown for: this one, or the stand-in that comes with the content."""
    from coach.content_files.content_folder import content_folder
    from coach.model.prescription import Prescription
    from coach.model.profile import Profile
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import PRESCRIPTION, PROFILE
    from coach.toml.reader import read_model

    path = client or content_folder() / "stand_in"
    require_profile(path)
    return read_model(path / PROFILE, Profile), read_model(path / PRESCRIPTION, Prescription)


def _changed(chosen: argparse.Namespace) -> int:
    from coach.content_files.content_folder import languages, load_content
    from coach.reports.text.changed import StandIn, changed_text, content_parts, touched_text
    from coach.store.clock import now

    words, at, stand_in = author_words().changed, now().at, StandIn(*_seen_with(None))
    # Where they share no language, the reader says which there are.
    both = [one for one in languages(chosen.before) if one in languages(chosen.after)] or ["en"]
    before, after = ([load_content(folder, one) for one in both] for folder in (chosen.before, chosen.after))
    parts = content_parts(before, after, stand_in, words, at)
    print(changed_text(parts, words), end="")
    if chosen.clients is not None:
        print(touched_text(_touched(chosen), words), end="")
    return FINE


def _touched(chosen: argparse.Namespace) -> "tuple[Touched, ...]":
    """The clients of a folder, or the one whose folder it is, under both contents."""
    from coach.store.client_folder import require_profile
    from coach.store.client_paths import clients_in, is_client

    require_profile(chosen.clients)
    folder = chosen.clients
    clients = [folder] if is_client(folder) else [folder / name for name in clients_in(folder)]
    return tuple(_touched_one(client, chosen) for client in clients)


def _touched_one(path: Path, chosen: argparse.Namespace) -> "Touched":
    from coach.commands.support.output import code_of
    from coach.content_files.content_folder import load_content
    from coach.model.messages.steering import SteeringWords
    from coach.reports.text.changed import Touched, entries_for
    from coach.reports.text.next_session import next_session, parts
    from coach.store.client_folder import read_profile_folder
    from coach.store.client_paths import clinic_of
    from coach.store.client_store import judged
    from coach.store.clock import now

    at = now().at
    try:
        folder = read_profile_folder(path, mends=False)
        of, language = folder.prescription, folder.profile.language
        contents = [load_content(one, language, clinic_of(path)) for one in (chosen.before, chosen.after)]
        for content in contents:
            content.exercise(of.exercise)
        sessions = [next_session(folder.profile, of, judged(folder, content)[0], content, at) for content in contents]
    except Exception as error:
        if code_of(error) is None:
            raise
        return Touched(path.name, why_not=str(error).split("\n")[0])
    entries = entries_for(contents[0], contents[1], of, author_words().changed)
    return Touched(path.name, (*parts(sessions[0], sessions[1], contents[1].words.of(SteeringWords)), *entries))
