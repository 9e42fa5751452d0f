"""How the picture of a screen is kept: as text and as a drawing, a file each."""

from syrupy.assertion import SnapshotAssertion
from syrupy.extensions.single_file import SingleFileSnapshotExtension, WriteMode


class TextFile(SingleFileSnapshotExtension):
    """One text file a screen."""

    _write_mode = WriteMode.TEXT
    file_extension = "txt"


class PictureFile(TextFile):
    """One picture a screen."""

    file_extension = "svg"


def differing(
    in_colour: dict[str, tuple[str, str]], without: dict[str, tuple[str, str]], snapshot: SnapshotAssertion
) -> list[str]:
    """The names of the screens that are not as they were kept; each has its text and its picture."""
    different = []
    for name, (text, picture) in in_colour.items():
        pictures = {f"{name}-colour": picture, f"{name}-no-colour": without[name][1]}
        if snapshot(name=name, extension_class=TextFile) != text:
            different.append(name)
        different += [
            one for one, seen in pictures.items() if snapshot(name=one, extension_class=PictureFile) != seen
        ]
    return different
