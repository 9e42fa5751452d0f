"""Record which values the program fills into its own messages: `python -m tests.authoring.record_placeholders`.

To be run after code fills a new value into a message of client.toml, therapist.toml or coach.toml. The check compares
every content folder with the record, so a misspelt {name} is found in the English messages too.
"""

from pathlib import Path

from coach.authoring.check_placeholders import messages_in_file
from coach.content_files.content_folder import CLIENT, COACH, THERAPIST, content_folder
from coach.model.message_format import placeholders

FOLDER = Path(__file__).parents[2] / "coach" / "authoring"
FILES = {"filled_values": "the program's own messages", "filled_therapist_values": "therapist.toml"}
# Sections of therapist.toml that stand with the others, so that neither module grows too long.
_WITH_THE_OTHERS = ("measured", "visit")
_HEAD = '''"""The values that the program fills into {files}, by file and key.

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


def _module_of(key: str) -> str:
    name, _, path = key.partition(" ")
    of_therapist = name == THERAPIST and path.partition(".")[0] not in _WITH_THE_OTHERS
    return "filled_therapist_values" if of_therapist else "filled_values"


def main() -> None:
    """Write the modules."""
    every = recorded()
    for module, files in FILES.items():
        lines = [f'    "{key}": "{names}",\n' for key, names in every.items() if _module_of(key) == module]
        head = _HEAD.format(files=files, name=module.upper())
        (FOLDER / f"{module}.py").write_text(f"{head}{''.join(lines)}}}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
