"""What a text must say, and that the lists of what must and must not be said are still whole."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from itertools import groupby
from pathlib import Path

from coach.authoring.check_pages import MESSAGE_FILES
from coach.authoring.check_placeholders import texts_in_file
from coach.authoring.check_wording import FORBIDDEN, WORDING, Search
from coach.content_files.content_folder import ContentFiles, shipped_folder
from coach.content_files.language_data import FALLBACK
from coach.content_files.overlays import APPENDED
from coach.model.content import Content
from coach.model.messages.wording import Wording
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.expected import KeyPath
from coach.toml.reader import is_there, read_model
from coach.toml.source_file import SourceFile


def check_must_say(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each text on which a client's safety hangs, and which has none of the words that belong to it.

    The lines of a list are one text. A clinic's cautions are added to a list, so they need not say it all.
    """
    language = content.messages.language
    own = _read(files.folder / language / WORDING) if not any(check_whole_lists(files, content)) else None
    for must in own.must_say if own is not None else ():
        file, *key = must.at.split(".")
        for folder in (files.folder, *([files.clinic] if files.clinic is not None else [])):
            if folder == files.clinic and APPENDED in key:
                continue
            path = folder / language / f"{file}.toml"
            for at, texts in groupby(texts_in_file(path), key=lambda one: _without_number(one[0])):
                if _fits(key, at) and not any(Search(must.words).find(text) for _, text in texts):
                    what = f"this text does not say {' or '.join(map(repr, must.words))}"
                    fix = f"say it, or add your own word for it to words in {WORDING}"
                    yield SourceFile(path).at_key(at, what, must.reason, fix)


def check_whole_lists(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each word that the shipped list of a language has and the list here lacks."""
    path = files.folder / content.messages.language / WORDING
    shipped, here = _read(shipped_folder() / content.messages.language / WORDING), _read(path)
    names = {*MESSAGE_FILES, *(one.name for one in files.exercises())}
    misnamed = any(one.name not in names for one in path.parent.glob("*.toml"))  # told, and the cause
    if shipped is not None and not is_there(path) and not misnamed:
        what, fix = "without this file no words are looked for", "bring it back"
        yield whole_file(path, what, "words that must and must not be said", fix)
    known = {must.at for must in shipped.must_say} if shipped is not None else set()
    misspelt = tuple(_no_text(files, path, here, known)) if here is not None else ()
    yield from misspelt
    if shipped is not None and here is not None and not misspelt:
        yield from _shortened(path, here, shipped)


def _no_text(files: ContentFiles, path: Path, here: Wording, known: Collection[str]) -> Iterator[Diagnostic]:
    """Each place that no file has a text at. Where a text is gone, that is told elsewhere."""
    for number, must in enumerate(here.must_say):
        if must.at in known:
            continue
        file, *key = must.at.split(".")
        paths = dict.fromkeys((path.parent / f"{file}.toml", files.folder / FALLBACK / f"{file}.toml"))
        if not any(_fits(key, _without_number(at)) for one in paths for at, _ in texts_in_file(one)):
            what, expected = f"there is no text {must.at}", "a file without its ending, and a key in it"
            fix = "write the file and the key as they are, such as safety.sign.lump"
            yield SourceFile(path).at_value(("must_say", number, "at"), what, expected, fix)


def _shortened(path: Path, here: Wording, shipped: Wording) -> Iterator[Diagnostic]:
    for kind in FORBIDDEN:
        words = {word for term in here.term if term.kind == kind for word in term.words}
        lost = [word for term in shipped.term if term.kind == kind for word in term.words if word not in words]
        if lost:
            what = f"{FORBIDDEN[kind]} is no longer found in: {_few(lost)}"
            expected = "all words of the list that came with the program; more may be added"
            fix = f'add them to the words of a [[term]] with kind = "{kind}"'
            yield SourceFile(path).at_key(("term",), what, expected, fix)
    for must in shipped.must_say:
        if not any(one.at == must.at and set(one.words) & set(must.words) for one in here.must_say):
            what = f"nothing looks any more whether {must.at} says: {_few(must.words)}"
            fix = f'add the [[must_say]] with at = "{must.at}" again'
            expected = "each [[must_say]] of the list that came with the program; other words may be added to it"
            yield SourceFile(path).at_key(("must_say",), what, expected, fix)


def _few(words: Sequence[str]) -> str:
    return ", ".join(words[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")


def _read(path: Path) -> Wording | None:
    """A list of words; None where there is none, or where it cannot be read, which the check of the words tells."""
    with suppress(FileFault):
        return read_model(path, Wording) if is_there(path) else None
    return None


def _without_number(at: KeyPath) -> KeyPath:
    """The key of a text; of a line in a list, that of the list."""
    return at[:-1] if isinstance(at[-1], int) else at


def _fits(pattern: Iterable[str], at: KeyPath) -> bool:
    parts = [*pattern]
    return len(parts) == len(at) and all(part in ("*", str(name)) for part, name in zip(parts, at, strict=True))
