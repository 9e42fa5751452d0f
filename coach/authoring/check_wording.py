"""The check of the words that a client reads: what must not be said is a fault, what to think twice about a note."""

import re
from collections.abc import Iterator
from functools import cached_property, lru_cache
from pathlib import Path
from unicodedata import normalize

from msgspec import Struct

from coach.authoring.check_placeholders import texts_in_file
from coach.content_files.content_folder import CLIENT, FORM, LETTER, RULES, SAFETY, WORDING, ContentFiles, languages
from coach.content_files.language_data import FALLBACK
from coach.content_files.read_content import read_content
from coach.model.content import Content
from coach.model.message_format import sentences
from coach.model.messages.wording import Term, Wording
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.expected import KeyPath
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

FORBIDDEN = {
    "promise": "a promise",
    "diagnosis": "a diagnosis",
    "illness": "the name of an illness",
    "unsafe": "advice to go on against pain or a warning",
}
# The keys of a rule whose sentences the client reads.
_CLIENT_KEYS = frozenset(("client", "change", "missing"))
_SENTENCE_END = re.compile(r"[!?;](?=\s+\w)")


class _Message(Struct, frozen=True):
    """A text that a client reads, with its place."""

    source: SourceFile
    at: KeyPath
    text: str

    @property
    def is_cue(self) -> bool:
        told = "first_cue" in self.at or ("cues" in self.at and self.at[-1] not in ("fault", "praise"))
        return self.at[0] == "position" and told

    @property
    def is_question(self) -> bool:
        return self.at[-1] == "ask" and self.at[0] in ("question", "check")

    def note(self, what: str, expected: str, reason: str) -> Diagnostic:
        return self.source.at_value(self.at, what, expected, reason)


_SPELLINGS = str.maketrans({"ä": "(?:ä|ae)", "ö": "(?:ö|oe)", "ü": "(?:ü|ue)", "ß": "(?:ß|ss)"})
_ALIKE = str.maketrans({"\u2019": "'", "\u2010": "-", "\u2011": "-", "\u00ad": None, "\u200b": None})


_MOST_TEXTS = 8192  # that one search keeps: far more than a content has. Ours


@lru_cache(maxsize=4096)  # each text is looked through for several terms
def _plain(text: str) -> str:
    """A text with whole letters (Unicode, form C), one space between words, and plain hyphens and apostrophes."""
    return " ".join(normalize("NFC", text).translate(_ALIKE).split())


class Search(Struct, frozen=True, dict=True):
    """Words to look for in a text, and phrases that contain them and are passed over."""

    words: tuple[str, ...]
    unless: tuple[str, ...] = ()

    @cached_property
    def _found(self) -> dict[str, str | None]:
        """What was found in each text so far: a content that is edited is looked through again at each change."""
        return {}

    @cached_property
    def _form(self) -> re.Pattern[str]:
        each = (re.escape(_plain(words).lower()).replace(r"\*", r"\w*").replace(r"\ ", " ") for words in self.words)
        either = "|".join(each).translate(_SPELLINGS)
        return re.compile(rf"(?<!\w)(?:{either})(?!\w)", re.IGNORECASE)

    def find(self, text: str) -> str | None:
        """The words as they stand in the text, outside of what may be said; None if they do not.

        However they are spaced and spelt: with two spaces, from another computer, with ue for ü.
        """
        if text not in self._found:
            if len(self._found) >= _MOST_TEXTS:
                self._found.clear()
            self._found[text] = self._looked_for(_plain(text))
        return self._found[text]

    def _looked_for(self, text: str) -> str | None:
        found = self._form.search(text)
        if found is not None and self.unless:
            for phrase in self.unless:
                text = re.sub(re.escape(_plain(phrase)), "", text, flags=re.IGNORECASE)
            found = self._form.search(text)
        return found[0] if found is not None else None


@lru_cache(maxsize=256)
def search_for(words: tuple[str, ...], unless: tuple[str, ...] = ()) -> Search:
    """The search for these words, which keeps what it found."""
    return Search(words, unless)


def check_wording(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each promise, diagnosis and illness in what a client reads, with the reason."""
    language = content.messages.language
    try:
        terms = _terms(files.folder, language)
    except FileFault as fault:
        yield from fault.faults
        return
    undone = tuple(_undone(SourceFile(files.folder / language / WORDING), terms))
    yield from undone
    if undone:
        return
    searches = [(term, search_for(term.words, term.unless)) for term in terms if term.kind in FORBIDDEN]
    for message in _messages(files, language):
        for term, search in searches:
            found = search.find(message.text)
            if found is not None:
                what = f"{found!r} is {FORBIDDEN[term.kind]}, and must not be said to a client"
                yield message.note(what, "what to do or to notice", term.reason)


def _undone(source: SourceFile, terms: tuple[Term, ...]) -> Iterator[Diagnostic]:
    """A fault for each exception that is the term itself, so that nothing would be found, or that is no phrase."""
    for number, term in enumerate(terms):
        for index, phrase in enumerate(term.unless):
            if "*" in phrase or search_for(term.words).find(phrase) == phrase:
                what = f"unless = {phrase!r} is no phrase in which the words may be said"
                key: KeyPath = ("term", number, "unless", index)
                expected, fix = (
                    "more words than the term itself, without *",
                    "write the whole phrase that may be said",
                )
                yield source.at_value(key, what, expected, fix)


def wording_notes(folder: Path) -> Iterator[Diagnostic]:
    """What to think twice about, in each language: no faults. Nothing for files that cannot be read."""
    files = ContentFiles(folder)
    for language in languages(folder):
        try:
            terms = _terms(folder, language)
        except FileFault:
            continue  # reported by the check
        if not terms:
            what, fix = "without this file no words are looked for", "write one like that of another language"
            yield whole_file(folder / language / WORDING, what, "words that must not be said", fix)
        for message in _messages(files, language):
            yield from _notes_on(message, terms)
    yield from _cues_never_shown(folder)


def _notes_on(message: _Message, terms: tuple[Term, ...]) -> Iterator[Diagnostic]:
    kinds = {"negation": message.is_question, "second_instruction": message.is_cue, "internal_focus": message.is_cue}
    texts = {
        "negation": "{!r} in a question: the opposite answer is easily given",
        "second_instruction": "{!r}: this cue may be two instructions",
        "internal_focus": "{!r}: this cue turns attention to the body, not to the effect of the movement",
    }
    told: set[str] = set()
    for term in terms:
        found = search_for(term.words, term.unless).find(message.text) if kinds.get(term.kind, False) else None
        if found is not None:
            told.add(term.kind)
            yield message.note(texts[term.kind].format(found), "", term.reason)
    has_two = len(sentences(message.text)) > 1 or _SENTENCE_END.search(message.text)
    if message.is_cue and "second_instruction" not in told and has_two:
        what = "this cue has two sentences, so it may be two instructions"
        yield message.note(what, "", "keep the one that matters")


def _cues_never_shown(folder: Path) -> Iterator[Diagnostic]:
    """Cues for faults that their position does not ask about: they only reach the handout."""
    try:
        content = read_content(folder, FALLBACK)
    except FileFault:
        return
    for stem, exercise in content.exercises.items():
        source, messages = SourceFile(folder / FALLBACK / f"{stem}.toml"), content.messages.exercises[stem].position
        for position in exercise.positions:
            name = position.name
            asked = {content.questions[each].fault for each in position.questions if each in content.questions}
            for number, cue in enumerate(messages[name].cues if name in messages else ()):
                if cue.fault not in asked:
                    what = f"no question of position {name} asks about {cue.fault}, so no session shows this cue"
                    fix = "ask the question there too; until then the cue is only on the handout"
                    yield source.at_value(("position", name, "cues", number, "fault"), what, "", fix)


def _terms(folder: Path, language: str) -> tuple[Term, ...]:
    """The terms of a language; empty if it has no list. Raises FileFault."""
    path = folder / language / WORDING
    return read_model(path, Wording).term if path.exists() else ()


def _messages(files: ContentFiles, language: str) -> Iterator[_Message]:
    """Every text in a language that a client reads."""
    names = dict.fromkeys((*(path.name for path in files.exercises()), FORM, SAFETY, RULES, CLIENT, LETTER))
    folders = [files.folder, *([files.clinic] if files.clinic is not None else [])]
    for path in (folder / language / name for folder in folders for name in names):
        if path.exists():
            for at, text in texts_in_file(path):
                if path.name != RULES or _CLIENT_KEYS & set(at):
                    yield _Message(SourceFile(path), at, text)
