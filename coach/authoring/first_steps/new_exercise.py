"""The files of a new exercise: geometry, and the messages of each language, with a mark in place of each value."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from coach.authoring.check import is_content
from coach.authoring.check_pages import MESSAGE_FILES
from coach.authoring.check_unused import TEMPLATE
from coach.content_files.content_folder import EXERCISES, content_folder, languages, shipped_folder
from coach.content_files.language_data import FALLBACK
from coach.content_files.read_content import read_content
from coach.content_files.unfilled import UNFILLED
from coach.mechanics.motion.straight_arm import SHOULDER_HEIGHT_DEG
from coach.model.content import Content
from coach.model.exercise import Exercise, Position, coordinate_of
from coach.model.option_names import Direction
from coach.store.client_paths import CLINIC, is_clinic
from coach.toml.atomic_write import make_folder
from coach.toml.diagnostic import FileFault, Refusal, whole_file
from coach.toml.new_file import refuse_existing, write_new

_NAME = re.compile(r"[a-z0-9][a-z0-9_]{0,47}")
_ROTATIONS = ("external", "internal")
_STRAIGHT = ("raise", "lower")
# What is counted along each kind of motion, and where it is 0.
_MEASURED: Mapping[str, str] = {
    "external": "In degrees: 0 is the forearm pointing forward, and outward is more. Before 0 is negative.",
    "internal": "In degrees: 0 is the forearm pointing forward, and inward is more. Before 0 is negative.",
    "raise": "In degrees: 0 is the arm hanging, 90 is shoulder height.",
    "lower": "In degrees: 0 is the arm at shoulder height, 90 is hanging.",
    "pull": "In centimetres of the hand's way: 0 is the arm reached out, and nearer to the body is more.",
    "press": "In centimetres of the hand's way: 0 is the elbow at the line of the trunk, and farther ahead is more.",
}


class NewExercise(Struct, frozen=True):
    """What is asked for: a name, a motion, and the position of the upper arm in degrees."""

    name: str
    direction: Direction = "external"
    degrees: int = 0


def write_new_exercise(wanted: NewExercise, folder: Path) -> tuple[Path, ...]:
    """Write the files of a new exercise into a content folder or a clinic's, and return their paths.

    A clinic's folder is made if it is missing. Raises Refusal or FileFault, and writes nothing, if the name cannot be
    taken, a file exists, or the folder is neither.
    """
    into_content = is_content(folder)
    if not into_content and not is_clinic(folder) and not _can_be_clinic(folder):
        what = "this is neither a content folder nor a clinic's"
        inside = is_content(folder.resolve().parent)
        fix = f"copy the content: coach new content {folder.name}; or name a folder {CLINIC} next to the clients"
        fix = f"for this content: --to {folder.parent}" if inside else fix
        raise FileFault([whole_file(folder, what, f"a content folder, or a folder called {CLINIC}", fix)])
    below = folder if into_content else content_folder()
    try:
        content = read_content(below, FALLBACK)
    except FileFault as fault:
        what, fix = "the content has faults, and a new exercise is made from it", f"see coach check {below}"
        raise FileFault([whole_file(below, what, "content without faults", fix), *fault.faults]) from None
    _refuse(wanted, content)
    files = _files(wanted, content, below)
    paths = {folder / inside / f"{wanted.name}.toml": text for inside, text in files.items()}
    for path in paths:
        if path.parent.is_dir():
            refuse_existing(path)
    for path, text in paths.items():
        make_folder(path.parent)
        write_new(path, text.encode())
    return tuple(paths)


def _can_be_clinic(folder: Path) -> bool:
    """Whether a clinic's folder can be made here: nothing has its name, and it is not inside a content folder."""
    above = folder.resolve().parent
    return folder.name == CLINIC and not folder.exists() and above.is_dir() and not is_content(above)


def _refuse(wanted: NewExercise, content: Content) -> None:
    """Raises Refusal if there cannot be an exercise of this name, motion and position."""
    name, taken = wanted.name, [*content.exercises, *(file.removesuffix(".toml") for file in MESSAGE_FILES)]
    if not _NAME.fullmatch(name):
        near = re.sub(r"[^a-z0-9_]+", "_", name.lower()).strip("_")[:48]
        what, expected = (
            f"{name!r} cannot be the name of an exercise",
            "small letters, digits and _, at most 48 of them",
        )
        raise Refusal([whole_file(Path(name), what, expected, f"write {near}" if near else "", near or None)])
    if name in taken:
        what, fix = f"{name} is taken: there is a file {name}.toml already", "give the exercise another name"
        raise Refusal([whole_file(Path(name), what, f"another name than {', '.join(sorted(taken))}", fix)])
    if not 0 <= wanted.degrees <= SHOULDER_HEIGHT_DEG:
        what, expected = (
            f"no arm is lifted by {wanted.degrees} degrees here",
            "0, at the side, to 90, at shoulder height",
        )
        raise Refusal([whole_file(Path(name), what, expected, "write another --position")])
    if wanted.degrees and wanted.direction not in _ROTATIONS:
        what = f"{wanted.direction} begins with the arm at the side or moves it, so its position is 0"
        raise Refusal([whole_file(Path(name), what, "--position 0", "leave --position out")])


def _files(wanted: NewExercise, content: Content, below: Path) -> dict[str, str]:
    """The text of each file, by the folder it belongs into."""
    like = _most_alike(wanted, content.exercises)
    template = shipped_folder() / TEMPLATE
    plane = f"{like.plane_deg:g}" if like.abduction_deg == wanted.degrees else f'"{UNFILLED}"'
    geometry = _replaced(
        (template / "exercise.toml").read_text(encoding="utf-8"),
        {
            '"NAME"': f'"{wanted.name}"',
            "abduction_deg = 0": f"abduction_deg = {wanted.degrees}",
            '"DIRECTION"': f'"{wanted.direction}"',
            '"PLANE"': plane,
            "MEASURED": _MEASURED[wanted.direction],
            '"CHECKS"': ", ".join(f'"{one}"' for one in like.checks),
            '"QUESTIONS"': ", ".join(f'"{one}"' for one in like.questions),
        },
    )
    texts = {EXERCISES: geometry}
    faults = [content.questions[one].fault for one in like.questions]
    for language in languages(below):
        path = template / f"{language}.toml"
        if path.exists():
            text = path.read_text(encoding="utf-8").replace("[position.0]", f"[position.{wanted.degrees}]")
            said = read_content(below, language).messages.form.fault
            texts[language] = text + "".join(_cue(wanted.degrees, fault, said[fault]) for fault in faults)
    return texts


def _cue(degrees: int, fault: str, said: str) -> str:
    return f'\n[[position.{degrees}.cues]]\n# {said}\nfault = "{fault}"\ntext = "{UNFILLED}"\n'


def _replaced(text: str, values: Mapping[str, str]) -> str:
    for mark, value in values.items():
        text = text.replace(mark, value)
    return text


def _most_alike(wanted: NewExercise, exercises: Mapping[str, Exercise]) -> Position:
    """The position whose checks and questions fit best: the same motion, or else one of the same kind."""
    found = [one for each in exercises.values() for one in each.positions if one.anchor == "fixed"]
    return max(found, key=lambda one: tuple(_alike(wanted, one)))


def _alike(wanted: NewExercise, position: Position) -> Iterator[bool]:
    """What speaks for a position, the weightiest first."""
    here, there = wanted.direction, position.direction
    yield here == there
    yield next((here in kind and there in kind for kind in (_ROTATIONS, _STRAIGHT) if here in kind), False)
    yield coordinate_of(here) == position.coordinate
    yield position.abduction_deg == wanted.degrees
