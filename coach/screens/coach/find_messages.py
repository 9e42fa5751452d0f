"""Where something is said: the file and the line of each message that holds a text, and the pages that show it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from coach.authoring.check_placeholders import texts_in_file
from coach.authoring.check_unused import TEMPLATE
from coach.authoring.draft import EditedFolder
from coach.content_files.content_folder import EXERCISES
from coach.content_files.language_data import FALLBACK
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.coach.message_pages import SHOWN_BY, WHOLE, leaves_by_file, page_name
from coach.screens.coach.message_places import MessageKey, shown_texts
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile

PagesOf = Mapping[MessageKey, tuple[str, ...]]


class FoundText(Struct, frozen=True):
    """A text of a file, with its place, its key, and the pages of the client or the command that show it."""

    path: Path
    line: int
    column: int
    key: str
    text: str
    pages: tuple[str, ...] = ()


class Finder(Struct, frozen=True):
    """Finds texts in an edited folder, and the pages that show them for one client."""

    edited: EditedFolder
    profile: Profile
    prescription: Prescription
    at: datetime

    def find(self, wanted: str) -> Iterator[FoundText]:
        """Each text with these words in it, small and capital letters being the same.

        Where no file has them, each message of a page of the client on which they stand once it is filled in.
        """
        if not self.edited.languages():
            self.edited.load(FALLBACK)  # raises what is wrong with the folder
        hits = [hit for path in self._files() for hit in _texts_with(path, wanted)]
        for language in self.edited.languages():
            yield from self._in_language(language, [hit for hit in hits if hit.path.parent.name == language])
            if not hits:
                yield from self._filled_in(language, wanted)
        others = self.edited.languages()
        yield from (hit for hit in hits if hit.path.parent.name not in others)

    def _in_language(self, language: str, hits: Sequence[FoundText]) -> Iterator[FoundText]:
        """Texts of the files of a language, with their pages."""
        keys = [(hit.path.name, hit.key) for hit in hits]
        shown = self._shown(self.edited.load(language), keys) if keys else {}
        for hit, key in zip(hits, keys, strict=True):
            yield replace(hit, pages=shown.get(key, ()) or _listed_on(*key))

    def _filled_in(self, language: str, wanted: str) -> Iterator[FoundText]:
        """The messages of the client's pages on which the wanted words stand once they are filled in."""
        content, words = self.edited.load(language), wanted.casefold()
        found: dict[MessageKey, dict[str, None]] = {}
        for exercise in content.exercises:
            for shown in shown_texts(content, exercise, self.profile, self.prescription, self.at):
                for message in shown.messages if words in shown.text.casefold() else ():
                    found.setdefault(message, {})[shown.page] = None
        for (file, key), pages in found.items():
            yield replace(self._place(language, file, key), pages=tuple(pages))

    def pages_of_all(self, language: str) -> Iterator[tuple[MessageKey, tuple[str, ...]]]:
        """Each message of a language, in the order of the files, with the pages that show it."""
        content = self.edited.load(language)
        keys = [(file, leaf.name) for file, leaves in leaves_by_file(content.messages) for leaf in leaves]
        shown = self._shown(content, keys)
        for file, key in keys:
            yield (file, key), shown.get((file, key), ()) or _listed_on(file, key)

    def _shown(self, content: Content, wanted: Iterable[MessageKey]) -> PagesOf:
        """The client's pages with each of these messages.

        One exercise after the other is looked through, until a page is known for each message.
        """
        keys, found = frozenset(wanted), dict[MessageKey, dict[str, None]]()
        named = sorted({Path(file).stem for file, _ in keys} & set(content.exercises))
        for exercise in dict.fromkeys((*named, self.prescription.exercise, *content.exercises)):
            if keys <= found.keys() or exercise not in content.exercises:
                continue
            for shown in shown_texts(content, exercise, self.profile, self.prescription, self.at):
                for message in keys.intersection(shown.messages):
                    found.setdefault(message, {})[shown.page] = None
        return {key: tuple(pages) for key, pages in found.items()}

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
        at = (*at[:number], fault, *at[number + 1 :])
    return ".".join(str(part + 1) if isinstance(part, int) else part for part in at)


def _listed_on(file: str, key: str) -> tuple[str, ...]:
    """The page that lists a message which no page of the client draws, with the command that shows it."""
    table = key.partition(".")[0]
    if file not in SHOWN_BY:
        return (page_name(file, WHOLE),)
    command = SHOWN_BY[file].get(table)
    return (f"{page_name(file, table)} ({command})",) if command is not None else ()
