"""Where something is said: the file and the line of each message that holds a text, and the pages that show it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coach.authoring.check_placeholders import texts_in_file
from coach.authoring.check_unused import TEMPLATE
from coach.authoring.draft import EditedFolder
from coach.content_files.content_folder import EXERCISES
from coach.content_files.message_files import FALLBACK
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach.message_pages import SHOWN_BY, WHOLE, leaves_by_file, page_name
from coach.screens.coach.message_places import MessageKey, shown_texts
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile

PagesOf = Mapping[MessageKey, tuple[str, ...]]


@dataclass(frozen=True)
class FoundText:
    """A text of a file, with its place, its key, and the pages of the client or the command that show it."""

    path: Path
    line: int
    column: int
    key: str
    text: str
    pages: tuple[str, ...] = ()


@dataclass(frozen=True)
class Finder:
    """Finds texts in an edited folder, and the pages that show them for one client."""

    edited: EditedFolder
    profile: Profile
    prescription: Prescription
    at: datetime

    def find(self, wanted: str) -> Iterator[FoundText]:
        """Each text with these words in it, in a file or as it is filled in on a page of the client; any case."""
        if not self.edited.languages():
            self.edited.load(FALLBACK)  # raises what is wrong with the folder
        hits = [hit for path in self._files() for hit in _texts_with(path, wanted)]
        for language in self.edited.languages():
            inside = [hit for hit in hits if hit.path.parent.name == language]
            content = self.edited.load(language)
            shown = self._shown(content, [(hit.path.name, hit.key) for hit in inside], wanted)
            for hit in inside:
                yield self._with_pages(hit, shown.get((hit.path.name, hit.key), ()))
            said = {(hit.path.name, hit.key) for hit in inside}
            for file, key in (found for found in shown if found not in said):
                yield self._with_pages(self._place(language, file, key), shown[file, key])
        languages = self.edited.languages()
        yield from (hit for hit in hits if hit.path.parent.name not in languages)

    def pages_of_all(self, language: str) -> Iterator[tuple[MessageKey, tuple[str, ...]]]:
        """Each message of a language, in the order of the files, with the pages that show it."""
        content = self.edited.load(language)
        keys = [(file, leaf.name) for file, leaves in leaves_by_file(content.messages) for leaf in leaves]
        shown = self._shown(content, keys)
        for file, key in keys:
            yield (file, key), shown.get((file, key), ()) or _listed_on(file, key)

    def _shown(self, content: Content, keys: list[MessageKey], wanted: str = "") -> PagesOf:
        """The client's pages with each of these messages, or with the wanted words.

        One exercise after the other is looked through, until a page is known for each message.
        """
        found: dict[MessageKey, dict[str, None]] = {}
        first = self.prescription.exercise
        named = [Path(file).stem for file, _ in keys if Path(file).stem in content.exercises]
        others = [one for one in content.exercises if one != first]
        for exercise in dict.fromkeys((*named, first, *others)):
            if keys and all(key in found for key in keys):
                break
            for shown in shown_texts(content, exercise, self.profile, self.prescription, self.at):
                said = bool(wanted) and wanted.casefold() in shown.text.casefold()
                for message in shown.messages:
                    if message in keys or (said and not keys):
                        found.setdefault(message, {})[shown.page] = None
        return {key: tuple(pages) for key, pages in found.items()}

    def _with_pages(self, hit: FoundText, pages: tuple[str, ...]) -> FoundText:
        shown = pages or _listed_on(hit.path.name, hit.key)
        return FoundText(hit.path, hit.line, hit.column, hit.key, hit.text, shown)

    def _place(self, language: str, file: str, key: str) -> FoundText:
        """The place of a message in its file."""
        for path in (folder / language / file for folder in self.edited.folders):
            for at, text in texts_in_file(path):
                if _dotted(at, path) == key:
                    return _found(path, at, text)
        return FoundText(self.edited.content / language / file, 0, 0, key, "")

    def _files(self) -> Iterator[Path]:
        """The files in which somebody writes: not the schemas and not the template."""
        for folder in self.edited.folders:
            for path in sorted(folder.rglob("*.toml")):
                if path.relative_to(folder).parts[0] != TEMPLATE:
                    yield path


def _texts_with(path: Path, wanted: str) -> Iterator[FoundText]:
    words = wanted.casefold()
    for at, text in texts_in_file(path):
        if words in text.casefold():
            yield _found(path, at, text)


def _found(path: Path, at: KeyPath, text: str) -> FoundText:
    place = SourceFile(path).at_value(at, "")
    return FoundText(path, place.line, place.column, _dotted(at, path), text)


def _dotted(at: KeyPath, path: Path) -> str:
    """The key of a text as messages are named: parts of a list are counted from 1, cues named by their fault."""
    if "cues" in at[:-1] and path.parent.name != EXERCISES:
        number = at.index("cues") + 1
        faults = dict(texts_in_file(path))
        fault = faults.get((*at[: number + 1], "fault"), str(at[number]))
        return ".".join(map(str, (*at[:number], fault, *at[number + 1 :])))
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in at)


def _listed_on(file: str, key: str) -> tuple[str, ...]:
    """The page that lists a message which no page of the client draws, with the command that shows it."""
    table = key.partition(".")[0]
    if file not in SHOWN_BY:
        return (page_name(file, WHOLE),)
    command = SHOWN_BY[file].get(table)
    return (f"{page_name(file, table)} ({command})",) if command is not None else ()
