"""Record which values the program fills into its own messages: `python -m tests.authoring.record_placeholders`.

To be run after code fills a new value into a message of client.toml, therapist.toml or coach.toml. The check compares
every content folder with the record, so a misspelt {name} is found in the English messages too.
"""

from pathlib import Path

from coach.authoring.check_placeholders import messages_in_file
from coach.content_files.content_folder import CLIENT, COACH, THERAPIST, content_folder
from coach.model.message_format import placeholders

FOLDER = Path(__file__).parents[2] / "coach" / "authoring"
MODULES = {"filled_values": (CLIENT, COACH), "filled_therapist_values": (THERAPIST,)}
_HEAD = '''"""The values that the program fills into its own messages in {files}, by file and key.

Made by `python -m tests.authoring.record_placeholders`; a message that is not listed has no placeholders.
"""

from collections.abc import Mapping

{name}: Mapping[str, str] = {{
'''


def recorded(files: tuple[str, ...] = (CLIENT, THERAPIST, COACH)) -> dict[str, str]:
    """The placeholders of each English message of the program, by file and key."""
    return {
        f"{name} {key}": " ".join(sorted(placeholders(text)))
        for name in files
        for key, text in messages_in_file(content_folder() / "en" / name).items()
        if placeholders(text)
    }


def main() -> None:
    """Write the modules."""
    for module, files in MODULES.items():
        lines = [f'    "{key}": "{names}",\n' for key, names in recorded(files).items()]
        head = _HEAD.format(files=" and ".join(files), name=module.upper())
        (FOLDER / f"{module}.py").write_text(f"{head}{''.join(lines)}}}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
