"""Whether the words of one language fit the entries that they are of."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import get_args

from coach.content_files.content_folder import (
    FORM,
    RULES,
    SAFETY,
    SCREENS,
    exercise_files,
)
from coach.model.content import Content
from coach.model.exercise import Landmark
from coach.model.message_format import places
from coach.model.messages.all_messages import PAGES
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.expected import KeyPath
from coach.toml.source_file import Source
from coach.toml.value_faults import nearest


def positions_have_words(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each position has its words, and a cue for each fault that it asks about."""
    faults = list(dict.fromkeys(question.fault for question in content.questions.values()))
    for stem, exercise in content.exercises.items():
        words = content.words.exercises[stem]
        source = Source(folder / content.words.language / f"{stem}.toml")
        degrees = [str(position.abduction_deg) for position in exercise.positions]
        yield from _both_ways(source, ("position",), "position", degrees, words.position)
        for position in exercise.positions:
            said = words.position.get(str(position.abduction_deg))
            if said is None:
                continue
            cues = {cue.fault for cue in said.cues}
            for number, cue in enumerate(said.cues):
                if cue.fault not in faults:
                    key = ("position", str(position.abduction_deg), "cues", number, "fault")
                    yield source.no_such(key, f"there is no fault {cue.fault}", cue.fault, faults)
            asked = [content.questions[name].fault for name in position.questions if name in content.questions]
            for fault in dict.fromkeys(asked):
                if fault not in cues:
                    what = f"position {position.abduction_deg} asks for {fault} and has no cue that prevents it"
                    where = f"position.{position.abduction_deg}"
                    mend = f'add [[{where}.cues]] with fault = "{fault}" and a text'
                    yield source.at_key(tuple(where.split(".")), what, "a cue for each fault asked", mend)


def entries_have_words(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each question, fault, check, sign, region, rule and landmark has its words, and each of the words its entry."""
    words = content.words
    form, safety, rules = (Source(folder / words.language / name) for name in (FORM, SAFETY, RULES))
    questions = [*content.questions, *(q.follow_up for q in content.questions.values() if q.follow_up)]
    faults = [question.fault for question in content.questions.values()]
    landmarks = [position.anchor_landmark for each in content.exercises.values() for position in each.positions]
    yield from _both_ways(form, ("question",), "question", questions, words.form.question)
    yield from _both_ways(form, ("fault",), "fault", faults, words.form.fault)
    yield from _both_ways(safety, ("check",), "check", content.checks, words.safety.check)
    yield from _both_ways(safety, ("sign",), "sign", [sign.name for sign in content.signs], words.safety.sign)
    yield from _both_ways(safety, ("region",), "region", content.regions, words.safety.region)
    yield from _unsaid(safety, ("urgency",), "urgency", [s.urgency for s in content.signs], words.safety.urgency)
    yield from _both_ways(rules, ("rule",), "rule", [rule.name for rule in content.rules], words.rules.rule)
    yield from _unsaid(rules, ("landmark",), "landmark", landmarks, words.rules.landmark)
    yield from _unused(rules, ("landmark",), "landmark", get_args(Landmark), words.rules.landmark)


def rule_words_name_numbers(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """The sentences of a rule name only numbers that it gives."""
    source = Source(folder / content.words.language / RULES)
    for rule in content.rules:
        said = content.words.rules.rule.get(rule.name)
        for reader, text in (("client", said.client), ("therapist", said.therapist)) if said else ():
            for name in sorted(places(text) - set(rule.numbers)):
                what = f"{{{name}}} is not a number of the rule {rule.name}"
                numbers = ", ".join(f"{{{number}}}" for number in rule.numbers)
                mend = f"take one of its numbers, or add {name} to numbers in {RULES} if the test gives it"
                expected = f"one of {numbers}" if numbers else "a sentence without numbers"
                yield source.at_value(
                    ("rule", rule.name, reader), what, expected, mend, nearest(name, list(rule.numbers))
                )


def pages_are_whole(_: Path, content: Content) -> Iterator[Diagnostic]:
    """A session reads no page, so only here every one of them is read."""
    for page in PAGES:
        try:
            content.words.of(page)
        except FileFault as fault:
            yield from fault.faults


def no_files_beside(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """A file of words that no exercise has is a misspelt name, or left over."""
    known = [path.name for path in exercise_files(folder)]
    others = (FORM, SAFETY, RULES, SCREENS, *(page.file for page in PAGES))
    for path in sorted((folder / content.words.language).glob("*.toml")):
        if path.name not in (*known, *others):
            near = nearest(path.stem, [Path(name).stem for name in (*known, *others)])
            what, mend = (
                f"no file of words is called {path.stem}, and no exercise is",
                "give it a right name, or take it out",
            )
            yield whole_file(
                path, what, f"one of {', '.join(sorted((*known, *others)))}", mend, near and f"{near}.toml"
            )


def _both_ways(
    source: Source, table: KeyPath, kind: str, entries: Iterable[str], words: Iterable[str]
) -> Iterator[Diagnostic]:
    """Each entry has its words, and each of the words its entry; a misspelt name is said once."""
    known, said = list(dict.fromkeys(entries)), list(words)
    unsaid = [name for name in known if name not in said]
    meant = {nearest(name, unsaid) for name in said if name not in known}
    yield from _unsaid(source, table, kind, [name for name in known if name not in meant], said)
    yield from _unused(source, table, kind, known, said)


def _unsaid(
    source: Source, table: KeyPath, kind: str, entries: Iterable[str], words: Iterable[str]
) -> Iterator[Diagnostic]:
    said = list(words)
    for name in dict.fromkeys(entries):
        if name not in said:
            what = f"the {kind} {name} has no words"
            mend = f"add {name} to {'.'.join(map(str, table))}"
            yield source.at_key(table, what, f"words for each {kind}", mend, nearest(name, said))


def _unused(
    source: Source, table: KeyPath, kind: str, entries: Iterable[str], words: Iterable[str]
) -> Iterator[Diagnostic]:
    known, said = list(dict.fromkeys(entries)), list(words)
    for name in said:
        if name not in known:
            near = nearest(name, [entry for entry in known if entry not in said]) or nearest(name, known)
            what, mend = f"there is no {kind} {name}", "write a name that there is, or take it out"
            yield source.at_key((*table, name), what, f"one of {', '.join(known)}", mend, near)
