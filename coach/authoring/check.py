"""Whether a folder of hand-written files is right: content, one client, or all clients of a folder."""

from pathlib import Path

from coach.authoring.check_clinic import check_clinic, own_of
from coach.authoring.check_content import check_content
from coach.content_files.content_folder import EXERCISES, LIMITS, content_folder, languages, load_content
from coach.model.content import Own
from coach.store.client_paths import CLINIC, PROFILE, clients_in, clinic_of, is_client, is_clinic
from coach.store.therapist.check_client import check_profile
from coach.toml.diagnostic import Diagnostic, FileFault, in_order, whole_file

_LANGUAGE = "en"  # names and limits are the same in every language; this one always comes with the program


def check_folder(path: Path) -> tuple[Diagnostic, ...]:
    """Every fault of what is inside a folder, in order; empty where all is well.

    A content folder is checked by itself. Clients, and the clinic's own folder beside them, are checked against
    the content that came with the program: FileFault where that cannot be read.
    """
    if path.is_file():
        what = "this is a file, and files are checked together"
        return (whole_file(path, what, "a folder", f"check the folder {path.parent}"),)
    if not path.is_dir():
        return (whole_file(path, "there is no such folder", "a folder", "look at the path"),)
    if is_clinic(path):
        return check_clinic(path)
    if is_content(path):
        return check_content(path)
    try:
        clients = [path] if is_client(path) else [path / name for name in clients_in(path)]
    except FileFault:
        expected = f"a content folder, a client's folder with {PROFILE}, or a folder of these"
        above = path.resolve().parent
        mend = f"check all of it: {above}" if is_content(above) else "look at the path"
        return (whole_file(path, "there is nothing here to check", expected, mend),)
    shipped = content_folder()
    content = load_content(shipped, _LANGUAGE)
    faults = [fault for client in clients for fault in check_profile(client, content, languages(shipped))]
    return in_order((*faults, *(fault for clinic in _clinics(path) for fault in check_clinic(clinic))))


def is_content(path: Path) -> bool:
    """Whether a folder is a content folder: a clinic's own is none."""
    return not is_clinic(path) and ((path / EXERCISES).is_dir() or (path / LIMITS).exists())


def clinics_own(path: Path) -> tuple[Own, ...]:
    """What the clinic of a folder says or sets otherwise than the content that came with the program."""
    return tuple(own for clinic in _clinics(path) for own in own_of(clinic))


def _clinics(path: Path) -> tuple[Path, ...]:
    """The clinic's folder itself, in a folder of clients, or beside a client."""
    if (path / EXERCISES).is_dir():
        return ()
    around = (path, path / CLINIC, clinic_of(path) if is_client(path) else None)
    return tuple(clinic for clinic in around if clinic is not None and is_clinic(clinic))[:1]
