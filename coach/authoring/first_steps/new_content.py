"""A copy of the content that came with the program, to be edited."""

from pathlib import Path

from coach.content_files.content_folder import shipped_folder
from coach.toml.new_file import new_folder


def copy_content(folder: Path) -> int:
    """Copy the shipped content into a new folder, and return the number of files.

    Raises FileFault, and leaves no folder, if one of that name exists or a file cannot be written.
    """
    shipped = shipped_folder()
    paths = sorted(path for path in shipped.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
    with new_folder(folder) as write:
        for path in paths:
            write(str(path.relative_to(shipped)), path.read_bytes())
    return len(paths)
