"""Whether a question asks for what its answers mean: yes for a check that is met, how often for a fault.

A check says three times what it is about: as a question, as what a yes means (`stated`, or else `about`), and as what
a no means. A form question has its fault in words, and what is correct and wrong beside each other. A question that
is nearer to the other side would be answered the wrong way round.
"""

import re
from collections.abc import Iterator

from coach.authoring.check_placeholders import texts_in_file
from coach.content_files.content_folder import FORM, SAFETY, ContentFiles
from coach.model.content import Content
from coach.toml.diagnostic import Diagnostic
from coach.toml.source_file import SourceFile

_WORD = re.compile(r"[^\W\d_]+")
_PLACE = re.compile(r"\{[^}]*\}")
# "Correct: ... Wrong: ...", in any language.
_LABELLED = re.compile(r"\s*\w+:(?P<right>.*[.!?])\s+\w+:(?P<wrong>.*)", re.DOTALL)
# Ours: forms of one word share so many letters in English and German; fewer would join different words.
_STEM = 4
_Told = tuple[str, str, str]  # what is wrong, what is expected, what to do


def check_asked_right(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A fault for each check and form question that seems to be asked the wrong way round."""
    folders = (files.folder, *([files.clinic] if files.clinic is not None else []))
    for path in (folder / content.messages.language / file for folder in folders for file in (SAFETY, FORM)):
        for at, ask in texts_in_file(path):
            if len(at) == 3 and at[2] == "ask":
                told = (_check if path.name == SAFETY else _question)(str(at[1]), _stems(ask), content)
                if told is not None:
                    yield SourceFile(path).at_value(at, *told)


def _check(name: str, ask: frozenset[str], content: Content) -> _Told | None:
    words = content.messages.safety.check.get(name)
    met = (words.stated or words.about) if words is not None else ""
    yes, no = _stems(met), _stems(words.fails) if words is not None else frozenset()
    fails = no - yes
    if words is None or _share(ask, fails) <= _share(ask, yes - no):
        return None
    if not words.stated and not fails <= ask:
        return None  # `about` is so short that few of its words need be in the question
    what = "this seems to ask for what fails: a yes would let a client go on with it"
    key = "stated" if words.stated else "about"
    fix = f"ask so that yes is right, in the words of {key}; or set {key} and fails right"
    return what, f"a question to which yes means: {met}", fix


def _question(name: str, ask: frozenset[str], content: Content) -> _Told | None:
    question, words = content.questions.get(name), content.messages.form.question.get(name)
    fault = content.messages.form.fault.get(question.fault) if question is not None else None
    sides = _LABELLED.fullmatch(words.teach) if words is not None else None
    if fault is None or sides is None:
        return None  # what is missing is told elsewhere
    right, wrong = _stems(sides["right"]), _stems(sides["wrong"]) | _stems(fault)
    if ask & (wrong - right) or not ask & (right - wrong):
        return None
    what = "this seems to ask how often it went right, and its answers are counted as a fault"
    return what, f"how often: {fault}", "ask how often the fault happened, with a word of what is wrong in teach"


def _stems(text: str) -> frozenset[str]:
    return frozenset(word[:_STEM].lower() for word in _WORD.findall(_PLACE.sub(" ", text)))


def _share(asked: frozenset[str], side: frozenset[str]) -> float:
    """How much of what one side alone says is in the question."""
    return len(asked & side) / max(len(side), 1)
