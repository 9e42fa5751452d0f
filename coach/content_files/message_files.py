"""The message files of one language, with its fallback language and the overrides of a clinic."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import TypeVar

from msgspec import Struct, field
from msgspec.structs import replace

from coach.content_files.language_data import FALLBACK
from coach.content_files.overlays import (
    APPENDED,
    OWN,
    Data,
    Key,
    leaves_of,
    path_of_name,
    with_fallback,
    with_overrides,
)
from coach.frozen import FromFile
from coach.model.content import ClinicOverride, Gap
from coach.model.message_format import ENGLISH, Language, LocalizedLine
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import ParsedFile, fitted, is_there, parse_table, read_model, read_text

Model = TypeVar("Model", bound=FromFile)

_MAY_BE_NEW = (APPENDED, "how_to_tell", "tell_by", OWN)


class MessageFiles(Struct, frozen=True):
    """The folders of a language, of its fallback language, and of a clinic's overrides in it.

    `gaps` and `overrides` grow with every file that is read.
    """

    folder: Path
    language: Language
    fallback: Path | None = None
    clinic: Path | None = None
    gaps: list[Gap] = field(default_factory=list)
    overrides: list[ClinicOverride] = field(default_factory=list)

    def read(
        self,
        name: str,
        model: type[Model],
        clinics: type[FromFile] | None = None,
        added: frozenset[Key] = frozenset(),
    ) -> Model:
        """A message file with its overlays. Raises FileFault with every fault of every file that it is made of.

        `clinics` is the model of what a clinic may override in a file of this name; None if it may override nothing.
        `added` are the tables of entries that the clinic added: these are all in its own files.
        """
        own = list(self._own_files(name, added)) if clinics is not None else []
        own_model: type[FromFile] = clinics if clinics is not None else model
        if self.language is ENGLISH and not own:
            return read_model(self.folder / name, model)  # there is nothing to merge
        layers = [*self._shipped(name, model)]
        data: Data = layers[0].table.data
        for layer in layers[1:]:
            data = with_fallback(data, layer.table.data)
        if self.fallback is not None:
            self.gaps.extend(_gaps(layers, self.folder / name))
        for path in own:
            incomplete = any(layer.has_faults for layer in layers)
            layers.append(Layer(_table(path, own_model), own_model, data, incomplete, added=added))
            whole = path.parent == self.clinic
            if whole:
                self.overrides.extend(_overrides(layers[-1]))
            data = with_overrides(data, layers[-1].table.data if whole else _only(layers[-1].table.data, added))
        value = fitted(data, model, partial(LocalizedLine, language=self.language))
        if not isinstance(value, FromFile):
            faults = [fault for layer in layers for fault in layer.faults]
            # What an added entry lacks is in no file.
            raise FileFault(faults or layers[-1].table.diagnostics(value, model))
        faults = [
            fault
            for layer in layers
            for fault in (layer.faults if layer.model is not model else layer.faults_of_whole)
        ]
        if faults:
            raise FileFault(faults)
        return value

    def _own_files(self, name: str, added: frozenset[Key]) -> Iterator[Path]:
        """The clinic's files of this name: in the fallback language for what it added, and in the language."""
        if self.clinic is None:
            return
        folders = [self.clinic.parent / FALLBACK] if added and self.clinic.name != FALLBACK else []
        yield from (path for folder in (*folders, self.clinic) if is_there(path := folder / name))

    def _shipped(self, name: str, model: type[FromFile]) -> Iterator["Layer"]:
        """The file of the fallback language, if there is one, and that of the language."""
        if self.fallback is None:
            yield Layer(_table(self.folder / name, model), model, None)
            return
        below = _table(self.fallback / name, model)
        yield Layer(below, model, None)
        if is_there(self.folder / name):
            yield Layer(
                _table(self.folder / name, model),
                model,
                below.data,
                below_incomplete=Layer(below, model, None).has_faults,
                is_translation=True,
            )


class Layer(Struct, frozen=True):
    """One file of several that are merged, its model, and the data below it; None for the lowest.

    `below_incomplete`: the data below has faults, so its names are not all known. `is_translation`: the file of
    another language over the fallback language, not that of a clinic. `added`: tables that are in no file below.
    """

    table: ParsedFile
    model: type[FromFile]
    below: Data | None
    below_incomplete: bool = False
    is_translation: bool = False
    added: frozenset[Key] = frozenset()

    @property
    def has_faults(self) -> bool:
        """Whether the file is wrong by itself, so that the names in it are not all those that were meant."""
        return bool(self.table.faults or self.table.mismatches(self.model, partial=self.below is not None))

    @property
    def faults(self) -> list[Diagnostic]:
        """Every fault of this file. A missing message is only a fault in the lowest file."""
        mismatches = self.table.mismatches(self.model, partial=self.below is not None)
        return [*self.table.faults, *(mismatches or self.unknown_tables)]

    @property
    def faults_of_whole(self) -> list[Diagnostic]:
        """The faults of this file that do not show when the merged data is checked."""
        return [*self.table.faults, *self.unknown_tables]

    @property
    def unknown_tables(self) -> list[Diagnostic]:
        """A fault for each table that the file below does not have, as its name is misspelt."""
        if self.below is None or self.below_incomplete:
            return []
        if "format" not in self.table.data:
            return [whole_file(self.table.path, "format is missing", "format = 1", "write it as the first line")]
        known = {leaf.key[:end] for leaf in leaves_of(self.below) for end in range(len(leaf.key))}
        tables = dict.fromkeys(leaf.key[:-1] for leaf in leaves_of(self.table.data))
        unknown = (
            next((key[:end] for end in range(1, len(key) + 1) if key[:end] not in known), None) for key in tables
        )
        found = dict.fromkeys(
            key for key in unknown if key is not None and key not in self.added and key[-1] not in _MAY_BE_NEW
        )
        return [self._unknown_table(key, known) for key in found]

    def _unknown_table(self, key: Key, known: set[Key]) -> Diagnostic:
        from coach.toml.nearest_name import nearest_name
        from coach.toml.source_file import SourceFile

        siblings = sorted({other[-1] for other in known if len(other) == len(key) and other[:-1] == key[:-1]})
        where = f"in the messages of {FALLBACK}" if self.is_translation else "to override"
        what, fix = f"there is no {'.'.join(key)} {where}", "write an existing name, or remove this one"
        source, named = SourceFile(self.table.path), path_of_name(self.table.data, key)
        report, path = (source.at_key, key) if named is None else (source.at_value, named)
        taken = {leaf.key[: len(key)] for leaf in leaves_of(self.table.data)}
        free = [name for name in siblings if (*key[:-1], name) not in taken]
        found = report(path, what, f"one of {', '.join(siblings)}", fix, nearest_name(key[-1], free))
        return replace(found, about=_entry_of(key, self.table.path)) if self.is_translation else found


def _entry_of(key: Key, path: Path) -> tuple[str, str] | None:
    """The kind and the name of the entry that a table of messages belongs to."""
    if key[0] == "position":
        return ("fault", key[-1]) if "cues" in key else (f"{path.stem} position", key[1])
    return (key[0], key[1]) if len(key) > 1 else None


def _table(path: Path, model: type[FromFile]) -> ParsedFile:
    return parse_table(read_text(path), path, model)


def _only(data: Data, added: frozenset[Key]) -> Data:
    """The tables of a file that are added entries, and the faults that added questions reveal."""
    tables = {
        table: {name: data[table][name] for of, name in added if of == table and name in data.get(table, {})}
        for table, _ in added
    }
    return {**tables, **({"fault": data["fault"]} if "question" in tables and "fault" in data else {})}


def _gaps(layers: list[Layer], path: Path) -> Iterator[Gap]:
    if len(layers) < 2:
        yield Gap(str(path), "")
        return
    translated = {leaf.key for leaf in leaves_of(layers[1].table.data)}
    missing = (leaf for leaf in leaves_of(layers[0].table.data) if leaf.key not in translated)
    yield from (Gap(str(path), leaf.name) for leaf in missing if OWN not in leaf.key)


def _overrides(layer: Layer) -> Iterator[ClinicOverride]:
    below = {leaf.key: leaf.value for leaf in leaves_of(layer.below or {})}
    for leaf in leaves_of(layer.table.data):
        if leaf.key != ("format",):
            shipped = "" if APPENDED in leaf.key else below.get(leaf.key, "")
            yield ClinicOverride(str(layer.table.path), leaf.name, str(shipped), str(leaf.value))
