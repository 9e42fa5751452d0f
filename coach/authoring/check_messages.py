"""The check of the messages of one language: whether they fit the entries that they belong to."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import get_args

from coach.content_files.content_folder import (
    CLIENT,
    COACH,
    CONDITIONS,
    FORM,
    RULES,
    SAFETY,
    THERAPIST,
    exercise_files,
)
from coach.model.content import Content
from coach.model.exercise import Landmark
from coach.model.message_format import placeholders
from coach.toml.diagnostic import Diagnostic, FileFault, whole_file
from coach.toml.expected import KeyPath
from coach.toml.nearest_name import nearest_name
from coach.toml.source_file import SourceFile


def check_position_messages(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each position has its messages, and a cue for each fault that it asks about."""
    faults = list(dict.fromkeys(question.fault for question in content.questions.values()))
    for stem, exercise in content.exercises.items():
        messages = content.messages.exercises[stem]
        source = SourceFile(folder / content.messages.language / f"{stem}.toml")
        names = [position.name for position in exercise.positions]
        yield from _missing_and_unknown(source, ("position",), "position", names, messages.position)
        for position in exercise.positions:
            position_messages = messages.position.get(position.name)
            if position_messages is None:
                continue
            cues = {cue.fault for cue in position_messages.cues}
            for number, cue in enumerate(position_messages.cues):
                if cue.fault not in faults:
                    key = ("position", position.name, "cues", number, "fault")
                    yield source.unknown_value(key, f"there is no fault {cue.fault}", cue.fault, faults)
            asked = [content.questions[name].fault for name in position.questions if name in content.questions]
            for fault in dict.fromkeys(asked):
                if fault not in cues:
                    what = f"position {position.name} asks about {fault} and has no cue that prevents it"
                    where = f"position.{position.name}"
                    fix = f'add [[{where}.cues]] with fault = "{fault}" and a text'
                    yield source.at_key(tuple(where.split(".")), what, "a cue for each fault asked about", fix)


def check_entry_messages(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Each question, fault, check, sign, region, rule and landmark has its messages, and each message its entry."""
    messages = content.messages
    form, safety, rules = (SourceFile(folder / messages.language / name) for name in (FORM, SAFETY, RULES))
    faults = [question.fault for question in content.questions.values()]
    landmarks = [position.anchor_landmark for each in content.exercises.values() for position in each.positions]
    yield from _missing_and_unknown(form, ("question",), "question", content.questions, messages.form.question)
    yield from _missing_and_unknown(form, ("fault",), "fault", faults, messages.form.fault)
    yield from _missing_and_unknown(safety, ("check",), "check", content.checks, messages.safety.check)
    yield from _missing_and_unknown(
        safety, ("sign",), "sign", [sign.name for sign in content.signs], messages.safety.sign
    )
    yield from _missing_and_unknown(safety, ("region",), "region", content.regions, messages.safety.region)
    yield from _missing(safety, ("urgency",), "urgency", [s.urgency for s in content.signs], messages.safety.urgency)
    yield from _missing_and_unknown(
        rules, ("rule",), "rule", [rule.name for rule in content.rules], messages.rules.rule
    )
    yield from _missing(rules, ("landmark",), "landmark", landmarks, messages.rules.landmark)
    yield from _unknown(rules, ("landmark",), "landmark", get_args(Landmark), messages.rules.landmark)


def check_rule_numbers(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """The sentences of a rule only use its own numbers."""
    source = SourceFile(folder / content.messages.language / RULES)
    for rule in content.rules:
        sentences = content.messages.rules.rule.get(rule.name)
        for reader, text in (("client", sentences.client), ("therapist", sentences.therapist)) if sentences else ():
            for name in sorted(placeholders(text) - set(rule.numbers)):
                what = f"{{{name}}} is not a number of the rule {rule.name}"
                numbers = ", ".join(f"{{{number}}}" for number in rule.numbers)
                fix = f"use one of its numbers, or add {name} to numbers in {RULES} if the test provides it"
                expected = f"one of {numbers}" if numbers else "a sentence without numbers"
                yield source.at_value(
                    ("rule", rule.name, reader), what, expected, fix, nearest_name(name, list(rule.numbers))
                )


def check_pages(_: Path, content: Content) -> Iterator[Diagnostic]:
    """The messages that a session does not read: only this check reads all of them."""
    for read in (content.messages.read_therapist, content.messages.read_coach):
        try:
            read()
        except FileFault as fault:
            yield from fault.faults


def check_extra_files(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """Message files that belong to no exercise: misspelt or left over."""
    known = [path.name for path in exercise_files(folder)]
    others = (FORM, SAFETY, RULES, CLIENT, CONDITIONS, THERAPIST, COACH)
    for path in sorted((folder / content.messages.language).glob("*.toml")):
        if path.name not in (*known, *others):
            near = nearest_name(path.stem, [Path(name).stem for name in (*known, *others)])
            what, fix = (
                f"there is no exercise and no message file called {path.stem}",
                "rename it, or remove it",
            )
            yield whole_file(
                path, what, f"one of {', '.join(sorted((*known, *others)))}", fix, near and f"{near}.toml"
            )


def _missing_and_unknown(
    source: SourceFile, table: KeyPath, kind: str, entries: Iterable[str], messages: Iterable[str]
) -> Iterator[Diagnostic]:
    """Each entry has its message, and each message its entry; a misspelt name is reported once."""
    known, named = list(dict.fromkeys(entries)), list(messages)
    without = [name for name in known if name not in named]
    meant = {nearest_name(name, without) for name in named if name not in known}
    yield from _missing(source, table, kind, [name for name in known if name not in meant], named)
    yield from _unknown(source, table, kind, known, named)


def _missing(
    source: SourceFile, table: KeyPath, kind: str, entries: Iterable[str], messages: Iterable[str]
) -> Iterator[Diagnostic]:
    named = list(messages)
    for name in dict.fromkeys(entries):
        if name not in named:
            what = f"the {kind} {name} has no message"
            fix = f"add {name} to {'.'.join(map(str, table))}"
            yield source.at_key(table, what, f"a message for each {kind}", fix, nearest_name(name, named))


def _unknown(
    source: SourceFile, table: KeyPath, kind: str, entries: Iterable[str], messages: Iterable[str]
) -> Iterator[Diagnostic]:
    known, named = list(dict.fromkeys(entries)), list(messages)
    for name in named:
        if name not in known:
            near = nearest_name(name, [entry for entry in known if entry not in named]) or nearest_name(name, known)
            what, fix = f"there is no {kind} {name}", "write an existing name, or remove this one"
            yield source.at_key((*table, name), what, f"one of {', '.join(known)}", fix, near)
