"""What a text must say, and that the lists of what must and must not be said are still whole."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from coach.authoring.check_pages import MESSAGE_FILES
from coach.authoring.check_placeholders import texts_by_place
from coach.authoring.check_wording import FORBIDDEN, search_for
from coach.content_files.content_folder import WORDING, ContentFiles, shipped_folder
from coach.content_files.language_data import FALLBACK
from coach.content_files.overlays import APPENDED
from coach.model.content import Content
from coach.model.message_format import sentences
from coach.model.messages.wording import MustSay, Wording
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
    is_shipped = is_there(shipped_folder() / language / WORDING)
    own_word = f"say it, or add your own word for it to words in {WORDING}"  # where no list came with the program
    fix = "say it in one of these words" if is_shipped else own_word
    unsaid: dict[tuple[Path, KeyPath], list[tuple[str, str]]] = {}
    for must in own.must_say if own is not None else ():
        file, *key = must.at.split(".")
        for folder in (files.folder, *([files.clinic] if files.clinic is not None else [])):
            if folder == files.clinic and APPENDED in key:
                continue
            path = folder / language / f"{file}.toml"
            for at, said in _places(key, path):
                if not any(_says(must, text) for text in said):
                    unsaid.setdefault((path, at), []).append((_unsaid(must, said), must.reason))
    for (path, at), told in unsaid.items():  # what one text lacks is one fault
        what = ", and ".join(dict.fromkeys(one for one, _ in told))
        yield SourceFile(path).at_key(at, f"this text {what}", told[0][1], fix)


def _places(pattern: Sequence[str], path: Path) -> Iterator[tuple[KeyPath, tuple[str, ...]]]:
    """The places of a file that a key means, in which * is any one part of it, with their texts."""
    places = texts_by_place(path)
    if "*" not in pattern:
        yield from (places[key] for key in (tuple(pattern),) if key in places)
        return
    yield from (found for key, found in places.items() if _fits(pattern, key))


def _says(must: MustSay, text: str) -> bool:
    """Whether a text has one of the words, in a sentence that does not take it back."""
    said, denied = search_for(must.words), search_for(must.denied_by)
    if not must.denied_by:
        return said.find(text) is not None
    return any(said.find(one) is not None and denied.find(one) is None for one in sentences(text))


def _unsaid(must: MustSay, texts: Iterable[str]) -> str:
    """What is wrong with a text that does not say it, or says it in a sentence with a not."""
    for one in (one for text in texts for one in sentences(text)):
        found = search_for(must.words).find(one)
        denied = search_for(must.denied_by).find(one) if must.denied_by else None
        if found is not None and denied is not None:
            return f"says {found!r} in a sentence with {denied!r}, which takes it back"
    return f"does not say {' or '.join(map(repr, must.words))}"


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
        if not any(next(_places(key, one), None) for one in paths):
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
    for number in shipped.number:
        kept = {word for one in here.number if one.name == number.name for word in one.words}
        lost = [word for word in number.words if word not in kept]
        if lost:
            what = f"{{{number.name}}} is no longer known by: {_few(lost)}"
            fix = f'add them to the words of the [[number]] with name = "{number.name}"'
            yield SourceFile(path).at_key(("number",), what, "all words of the list that came with the program", fix)
    for must in shipped.must_say:
        there = (one for one in enumerate(here.must_say) if one[1].at == must.at)
        same = [one for one in there if set(one[1].words) & set(must.words)]
        if same and not any(_is_as_strict(one, must) for _, one in same):
            yield _widened(path, *same[0], must)
        if not same:
            what = f"nothing looks any more whether {must.at} says: {_few(must.words)}"
            fix = f'add the [[must_say]] with at = "{must.at}" again'
            expected = "each [[must_say]] of the list that came with the program"
            yield SourceFile(path).at_key(("must_say",), what, expected, fix)


def _is_as_strict(here: MustSay, shipped: MustSay) -> bool:
    return set(here.words) <= set(shipped.words) and set(shipped.denied_by) <= set(here.denied_by)


def _widened(path: Path, number: int, here: MustSay, shipped: MustSay) -> Diagnostic:
    """A fault for what is less protection: a text with the added word alone would pass, or one that takes it back."""
    source, expected = SourceFile(path), f"one or more of: {', '.join(shipped.words)}"
    added = next((index for index, word in enumerate(here.words) if word not in shipped.words), None)
    if added is not None:
        what = f"with the word {here.words[added]!r} alone, {here.at} would not say what it must"
        return source.at_value(("must_say", number, "words", added), what, expected, "take this word out")
    lost = [word for word in shipped.denied_by if word not in here.denied_by]
    what, fix = f"{here.at} may take back what it must say: {_few(lost)}", "add them to denied_by"
    return source.at_key(("must_say", number, "denied_by"), what, f"at least {', '.join(shipped.denied_by)}", fix)


def _few(words: Sequence[str]) -> str:
    return ", ".join(words[:3]) + (f" and {len(words) - 3} more" if len(words) > 3 else "")


def _read(path: Path) -> Wording | None:
    """A list of words; None where there is none, or where it cannot be read, which the check of the words tells."""
    with suppress(FileFault):
        return read_model(path, Wording) if is_there(path) else None
    return None


def _fits(pattern: Sequence[str], key: Sequence[str]) -> bool:
    return len(pattern) == len(key) and all(part in ("*", name) for part, name in zip(pattern, key, strict=True))
