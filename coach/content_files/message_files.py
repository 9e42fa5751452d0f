"""The files of words of one language, with what stands in for a missing line, and what a clinic says otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from coach.content_files.overlays import ADDED, Data, Key, lines_of, named_at, with_clinic, with_fallback
from coach.model.content import Gap, Own
from coach.model.message_format import ENGLISH, Language
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.reader import Table, read_model, read_table, read_text

Model = TypeVar("Model", bound=BaseModel)

_MAY_BE_NEW = (ADDED, "how_to_tell")
FALLBACK = ENGLISH.name  # what comes with the program is whole in it


@dataclass(frozen=True)
class WordFiles:
    """The folder of a language, of the language that stands in for it, and of the clinic's own words.

    `gaps` and `own` grow with every file that is read.
    """

    spoken: Path
    language: Language
    fallback: Path | None = None
    clinic: Path | None = None
    gaps: list[Gap] = field(default_factory=list)
    own: list[Own] = field(default_factory=list)

    def read(self, name: str, model: type[Model], clinics: type[BaseModel] | None = None) -> Model:
        """A file of words. FileFault with every fault of every file that has a part in it.

        `clinics` is what a clinic may write in a file of this name; None where it may not.
        """
        clinic_has_it = clinics is not None and self.clinic is not None and (self.clinic / name).exists()
        if self.language is ENGLISH and not clinic_has_it:
            return read_model(self.spoken / name, model)  # nothing stands over it or under it
        layers = [*self._shipped(name, model)]
        data: Data = layers[0].table.data
        for layer in layers[1:]:
            data = with_fallback(data, layer.table.data)
        if self.fallback is not None:
            self.gaps.extend(_gaps(layers, self.spoken / name))
        if clinic_has_it and clinics is not None and self.clinic is not None:
            torn = any(layer.table.faults for layer in layers)
            layers.append(Layer(_table(self.clinic / name, clinics), clinics, data, torn))
            self.own.extend(_own(layers[-1]))
            data = with_clinic(data, layers[-1].table.data)
        try:
            value = model.model_validate(data, context=self.language)
        except ValidationError:
            raise FileFault(fault for layer in layers for fault in layer.faults) from None
        faults = [fault for layer in layers for fault in (layer.faults if layer.model is not model else layer.spoilt)]
        if faults:
            raise FileFault(faults)
        return value

    def _shipped(self, name: str, model: type[BaseModel]) -> Iterator["Layer"]:
        """The file of the language, over the one that stands in for it."""
        if self.fallback is None:
            yield Layer(_table(self.spoken / name, model), model, None)
            return
        below = _table(self.fallback / name, model)
        yield Layer(below, model, None)
        if (self.spoken / name).exists():
            yield Layer(_table(self.spoken / name, model), model, below.data, torn_below=bool(below.faults))


@dataclass(frozen=True)
class Layer:
    """One file that has a part in it, the model it is written for, and what lies below it, if anything does.

    `torn_below`: what lies below could not all be read, so nobody knows which names it has.
    """

    table: Table
    model: type[BaseModel]
    below: Data | None
    torn_below: bool = False

    @property
    def faults(self) -> list[Diagnostic]:
        """Everything wrong with it; only in the lowest file is a missing line a fault."""
        misfits = self.table.misfits(self.model, part=self.below is not None)
        return [*self.table.faults, *(misfits or self.strangers)]

    @property
    def spoilt(self) -> list[Diagnostic]:
        """What is wrong with it though all of it together fits the model."""
        return [*self.table.faults, *self.strangers]

    @property
    def strangers(self) -> list[Diagnostic]:
        """Tables that the file below does not have: misspelt names."""
        if self.below is None or self.torn_below:
            return []
        if "format" not in self.table.data:
            return [whole_file(self.table.path, "format is missing", "format = 1", "write it as the first line")]
        known = {line.key[:end] for line in lines_of(self.below) for end in range(len(line.key))}
        tables = dict.fromkeys(line.key[:-1] for line in lines_of(self.table.data))
        strange = (
            next((key[:end] for end in range(1, len(key) + 1) if key[:end] not in known), None) for key in tables
        )
        found = dict.fromkeys(key for key in strange if key is not None and key[-1] not in _MAY_BE_NEW)
        return [self._strange(key, known) for key in found]

    def _strange(self, key: Key, known: set[Key]) -> Diagnostic:
        from coach.toml.source_file import Source
        from coach.toml.value_faults import nearest

        beside = sorted({other[-1] for other in known if len(other) == len(key) and other[:-1] == key[:-1]})
        what, mend = f"there is no {'.'.join(key)} to be said otherwise", "write a name that there is, or take it out"
        source, named = Source(self.table.path), named_at(self.table.data, key)
        say, place = (source.at_key, key) if named is None else (source.at_value, named)
        return say(place, what, f"one of {', '.join(beside)}", mend, nearest(key[-1], beside))


def _table(path: Path, model: type[BaseModel]) -> Table:
    return read_table(read_text(path), path, model)


def _gaps(layers: list[Layer], path: Path) -> Iterator[Gap]:
    if len(layers) < 2:
        yield Gap(str(path), "")
        return
    said = {line.key for line in lines_of(layers[1].table.data)}
    yield from (Gap(str(path), line.name) for line in lines_of(layers[0].table.data) if line.key not in said)


def _own(layer: Layer) -> Iterator[Own]:
    there = {line.key: line.text for line in lines_of(layer.below or {})}
    for line in lines_of(layer.table.data):
        if line.key != ("format",):
            shipped = "" if ADDED in line.key else there.get(line.key, "")
            yield Own(str(layer.table.path), line.name, str(shipped), str(line.text))
