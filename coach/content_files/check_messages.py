"""The check of the messages of one language: whether they fit the entries that they belong to."""

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec.structs import replace

from coach.content_files.content_folder import CONDITIONS, FORM, RULES, SAFETY, ContentFiles
from coach.content_files.language_data import FALLBACK
from coach.model.content import Content
from coach.model.content_entries import Form, Rule
from coach.model.message_format import placeholders
from coach.model.messages.entries import PositionMessages
from coach.progression.condition_numbers import CONDITION_NUMBERS
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.fast_reader import read_fast
from coach.toml.nearest_name import nearest_name
from coach.toml.reader import is_there, read_model, read_text
from coach.toml.source_file import SourceFile
from coach.toml.syntax_faults import parse_tolerantly

SECOND_CUE = "second cue"  # what a fault of this kind is about, with the position


def check_position_messages(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each position has its messages, and one cue for each fault that it asks about."""
    faults = list(dict.fromkeys(question.fault for question in content.questions.values()))
    for stem, exercise in content.exercises.items():
        messages = content.messages.exercises[stem]
        language, own = content.messages.language, files.own_positions(f"{stem}.toml")
        source = SourceFile(files.messages(language, f"{stem}.toml"))
        names = [position.name for position in exercise.positions]
        found = missing_and_unknown(source, ("position",), "position", names, messages.position)
        yield from (replace(fault, about=(f"{stem} position", fault.about[1])) for fault in found if fault.about)
        for position in exercise.positions:
            name = position.name
            spoken = (language, FALLBACK) if files.clinic is not None else ()
            of_clinic = [files.clinic / one / f"{stem}.toml" for one in spoken if files.clinic is not None]
            if name in own:
                source = SourceFile(next((path for path in of_clinic if is_there(path)), source.path))
            position_messages = messages.position.get(name)
            if position_messages is not None:
                asked = [content.questions[each].fault for each in position.questions if each in content.questions]
                second = tuple(_second_cues(source, name, asked))
                if of_clinic and of_clinic[0] != source.path:  # what it says otherwise
                    second += tuple(_second_cues(SourceFile(of_clinic[0]), name, ()))
                # With a second cue for one fault, another has none: it is the second that is to be mended.
                yield from second or _check_cues(source, name, position_messages, asked, faults)


def _check_cues(
    source: SourceFile, position: str, messages: PositionMessages, asked: Iterable[str], faults: list[str]
) -> Iterator[Diagnostic]:
    cues = [cue.fault for cue in messages.cues]
    unknown = [fault for fault in cues if fault not in faults]
    without = [fault for fault in dict.fromkeys(asked) if fault not in cues]
    renamed = without[0] if len(unknown) == len(without) == 1 else None
    for number, fault in enumerate(cues):
        key: KeyPath = ("position", position, "cues", number, "fault")
        if fault not in faults:
            found = source.unknown_value(key, f"there is no fault {fault}", fault, faults, kind="fault", taken=cues)
            is_renamed = renamed is not None and found.nearest not in without
            yield replace(found, fix=f"write {renamed}", nearest=renamed) if is_renamed else found
    for fault in without if renamed is None else ():
        if nearest_name(fault, unknown) is None:
            what = f"position {position} asks about {fault} and has no cue that prevents it"
            fix = f'add [[position.{position}.cues]] with fault = "{fault}" and a text'
            found = source.at_key(("position", position), what, "a cue for each fault asked about", fix)
            yield replace(found, about=("fault", fault))


def _second_cues(source: SourceFile, position: str, asked: Iterable[str]) -> Iterator[Diagnostic]:
    """Cues in the file itself, not in the fallback language, for a fault that has a cue already."""
    of_position = _table(source, "position").get(position, {})
    cues = [cue.get("fault") for cue in of_position.get("cues", ())]
    for number, fault in enumerate(cues):
        if fault in cues[:number]:
            what = f"position {position} has a second cue for {fault}, which is never shown"
            key: KeyPath = ("position", position, "cues", number, "fault")
            without = " or ".join(one for one in dict.fromkeys(asked) if one not in cues)
            fix = f"write {without} in one of them" if without else "keep one of them"
            yield replace(source.at_value(key, what, "one cue for each fault", fix), about=(SECOND_CUE, position))


def _table(source: SourceFile, name: str) -> dict[str, Any]:
    """A table as it stands in a file, without what other files add to it; empty if there is none."""
    if not is_there(source.path):
        return {}
    text = read_text(source.path)
    data = read_fast(text)
    return dict((data if data is not None else parse_tolerantly(text, source.path)[0]).get(name, {}))


def check_entry_messages(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each question, fault, check, sign, region, rule and condition has its messages, and each message its entry."""
    messages, language = content.messages, content.messages.language
    form, safety, rules, conditions = (
        SourceFile(files.folder / language / name) for name in (FORM, SAFETY, RULES, CONDITIONS)
    )
    questions = [*content.questions]
    faults = [question.fault for question in content.questions.values()]
    own_form = _messages_of_own_form(files, language)
    added = read_model(files.own_form, Form).question if files.own_form is not None else ()
    own_questions, own_faults = [one.name for one in added], [one.fault for one in added]
    if own_form is not None:
        yield from _missing(own_form, ("question",), "question", own_questions, messages.form.question)
        yield from _missing(own_form, ("fault",), "fault", own_faults, messages.form.fault)
    signs = [sign.name for sign in content.signs]
    for kind, entries, named, own in (
        ("question", questions, messages.form.question, own_questions),
        ("fault", faults, messages.form.fault, own_faults),
    ):
        # What the clinic's own lack is told above, and what they have too much, in its own file.
        here = _table(own_form, kind) if own_form is not None else {}
        told = own if own_form is not None else ()
        of_clinic = here.keys() - (set(entries) - set(own))  # a shipped one it may say otherwise
        yield from missing_and_unknown(form, (kind,), kind, entries, [*(set(named) - of_clinic), *told])
        if own_form is not None:
            yield from _unknown(own_form, (kind,), kind, entries, here)
    yield from missing_and_unknown(safety, ("check",), "check", content.checks, messages.safety.check)
    yield from missing_and_unknown(safety, ("sign",), "sign", signs, messages.safety.sign)
    yield from missing_and_unknown(safety, ("region",), "region", content.regions, messages.safety.region)
    yield from missing_and_unknown(
        rules, ("rule",), "rule", [rule.name for rule in content.rules], messages.rules.rule
    )
    of_conditions = messages.conditions.condition
    yield from missing_and_unknown(conditions, ("condition",), "condition", content.conditions, of_conditions)


def _messages_of_own_form(files: ContentFiles, language: str) -> SourceFile | None:
    """The file with the messages of a clinic's own form questions, in the language or in English."""
    if files.clinic is None or files.own_form is None:
        return None
    paths = [files.clinic / name / FORM for name in (language, FALLBACK)]
    return next((SourceFile(path) for path in paths if is_there(path)), None)


def check_rule_numbers(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """The sentences of a rule only use its own numbers."""
    source = SourceFile(files.folder / content.messages.language / RULES)
    for rule in content.rules:
        sentences = content.messages.rules.rule.get(rule.name)
        texts = sentences.model_dump(exclude_none=True) if sentences else {}
        for reader, text in texts.items():
            for name in sorted(placeholders(text) - _known_numbers(rule)):
                what = f"{{{name}}} is not a number of the rule {rule.name}"
                numbers = ", ".join(f"{{{number}}}" for number in rule.numbers)
                fix = f"use one of its numbers, or add {name} to numbers in {RULES} if the test provides it"
                expected = f"one of {numbers}" if numbers else "a sentence without numbers"
                near = nearest_name(name, list(rule.numbers))
                yield source.at_value(("rule", rule.name, reader), what, expected, fix, near)


def _known_numbers(rule: Rule) -> set[str]:
    """The numbers of a rule, and all those of its test where one is misspelt: that is reported in rules.toml."""
    given = set(CONDITION_NUMBERS.get(rule.when, rule.numbers))
    return set(rule.numbers) if set(rule.numbers) <= given else given | set(rule.numbers)


def missing_and_unknown(
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
            where = ".".join(map(str, table))
            tables = kind in ("position", "question", "check", "rule", "condition")
            fix = f"add the table [{where}.{name}]" if tables else f"add {name} to [{where}]"
            found = source.at_key(table, what, f"a message for each {kind}", fix)
            yield replace(found, about=(kind, name))


def _unknown(
    source: SourceFile, table: KeyPath, kind: str, entries: Iterable[str], messages: Iterable[str]
) -> Iterator[Diagnostic]:
    known, named = list(dict.fromkeys(entries)), list(messages)
    for name in named:
        if name not in known:
            free = [entry for entry in known if not source.has((*table, entry))]  # or it comes from another language
            near = nearest_name(name, [entry for entry in free if entry not in named]) or nearest_name(name, free)
            what, expected = f"there is no {kind} {name}", f"one of {', '.join(known)}"
            fix = f"write {near}" if near else f"remove this message, or add the {kind} {name}"
            yield replace(source.at_key((*table, name), what, expected, fix, near), about=(kind, name))
