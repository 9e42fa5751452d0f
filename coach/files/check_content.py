"""Whether the files of a content folder fit each other, in every language."""

from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from pathlib import Path
from typing import get_args

from coach.files.check_exercise import bands_resist
from coach.files.check_needs import check_need_words, check_needs
from coach.files.check_places import places_fit
from coach.files.content import (
    EXERCISES,
    FORM,
    LIMITS,
    RULES,
    SAFETY,
    SCREENS,
    exercise_files,
    languages,
    load_content,
)
from coach.files.diagnostic import Diagnostic, FileFault, in_order, whole_file
from coach.files.expected import KeyPath
from coach.files.source import Source
from coach.files.toml import read_model
from coach.files.value_faults import nearest
from coach.model.content import Form, Safety
from coach.model.content_set import Content, Gap, Words
from coach.model.exercise import Landmark
from coach.model.language import places
from coach.model.page_words.all_pages import PAGES
from coach.progression.conditions import CONDITIONS, OF_A_SET

_Check = Callable[[Path, Content], Iterator[Diagnostic]]


def check_content(folder: Path) -> tuple[Diagnostic, ...]:
    """Every fault of a content folder; empty where all is well."""
    spoken = languages(folder)
    faults: dict[Diagnostic, None] = {}  # a shared file is read once for each language; its faults are said once
    if not spoken:
        what, mend = "there are no words here", "add a folder for a language, such as en"
        return (whole_file(folder, what, "a folder for each language", mend),)
    shared = True
    for language in spoken:
        gaps: list[Gap] = []
        try:
            content = load_content(folder, language, told=gaps.extend)
        except FileFault as fault:
            faults.update(dict.fromkeys(fault.faults))
            continue
        checks: tuple[_Check, ...] = (*_SHARED, *_IN_WORDS) if shared else _IN_WORDS
        shared = False
        for check in checks:
            faults.update(dict.fromkeys(check(folder, content)))
        meant = {(str(fault.path), fault.nearest) for fault in faults}
        faults.update(dict.fromkeys(_gap_faults((*content.words.gaps, *gaps), content.words, meant)))
    return in_order(faults)


def _gap_faults(gaps: Iterable[Gap], words: Words, meant: Set[tuple[str, str | None]]) -> Iterator[Diagnostic]:
    """Lines that are said in another language; not those of which a misspelt name was named already."""
    instead = f"until then it is said in {words.fallback}"
    for gap in gaps:
        path, key = Path(gap.file), tuple(gap.key.split("."))
        if not gap.key:
            what = f"there is no such file, so its words are said in {words.fallback}"
            mend = f"put {words.fallback}/{path.name} into the language {words.language}"
            yield whole_file(path, what, "a file of this name in each language", mend)
        elif (gap.file, key[-1]) not in meant:
            where = f" to [{'.'.join(key[:-1])}]" if key[:-1] else ""
            what, mend = f"{gap.key} has no words", f"add {key[-1]}{where}; {instead}"
            yield Source(path).at_key(key, what, "each line in each language", mend)


def _names_once(folder: Path, content: Content) -> Iterator[Diagnostic]:
    """In a list, each name stands for one entry. Read again as lists: by name, a second one is lost."""
    form, safety = read_model(folder / FORM, Form), read_model(folder / SAFETY, Safety)
    lists: tuple[tuple[str, str, Sequence[str]], ...] = (
        (LIMITS, "limit", [limit.name for limit in content.limits]),
        (RULES, "rule", [rule.name for rule in content.rules]),
        (FORM, "question", [question.name for question in form.question]),
        (SAFETY, "check", [check.name for check in safety.check]),
        (SAFETY, "sign", [sign.name for sign in safety.sign]),
        (SAFETY, "region", [region.name for region in safety.region]),
    )
    for file, kind, names in lists:
        for index, name in enumerate(names):
            if name in names[:index]:
                what, mend = f"a second {kind} is called {name}", "give one of them another name"
                yield Source(folder / file).at_value((kind, index, "name"), what, "each name once", mend)


def _exercises_fit(folder: Path, content: Content) -> Iterator[Diagnostic]:
    for stem, exercise in content.exercises.items():
        source = Source(folder / EXERCISES / f"{stem}.toml")
        if exercise.name != stem:
            what = f'name = "{exercise.name}" is not the name of the file'
            yield source.at_value(("name",), what, f'name = "{stem}"', "give both one name")
        degrees = [position.abduction_deg for position in exercise.positions]
        for index, position in enumerate(exercise.positions):
            if position.abduction_deg in degrees[:index]:
                what = f"a second position at {position.abduction_deg} degrees"
                yield source.at_value(
                    ("positions", index, "abduction_deg"), what, "each position once", "take one of them out"
                )
            for kind, named, known in (
                ("check", position.checks, content.checks),
                ("question", position.questions, content.questions),
            ):
                for number, name in enumerate(named):
                    if name not in known:
                        yield source.no_such(
                            ("positions", index, f"{kind}s", number), f"there is no {kind} {name}", name, known
                        )


def _rules_fit(folder: Path, content: Content) -> Iterator[Diagnostic]:
    source = Source(folder / RULES)
    limits = [limit.name for limit in content.limits]
    for index, rule in enumerate(content.rules):
        for number, name in enumerate(rule.limits):
            if name not in limits:
                yield source.no_such(("rule", index, "limits", number), f"there is no limit {name}", name, limits)
        if rule.when not in CONDITIONS:
            yield source.no_such(("rule", index, "when"), f"there is no test {rule.when}", rule.when, CONDITIONS)
        elif "set" in rule.levels and rule.when not in OF_A_SET:
            what = f"{rule.when} looks at more than one set, so it cannot be tried after each"
            mend = f'take "set" out, or test one of {", ".join(sorted(OF_A_SET))}'
            yield source.at_value(("rule", index, "levels"), what, 'levels without "set"', mend)


def _follow_ups_fit(folder: Path, content: Content) -> Iterator[Diagnostic]:
    for index, question in enumerate(content.questions.values()):
        if question.follow_up in content.questions:
            what = f"the follow-up {question.follow_up} is a question of its own"
            mend = "give the follow-up its own name, and words in form.toml of each language"
            yield Source(folder / FORM).at_value(("question", index, "follow_up"), what, "another name", mend)


def _regions_fit(folder: Path, content: Content) -> Iterator[Diagnostic]:
    signs = [sign.name for sign in content.signs]
    for index, region in enumerate(content.regions.values()):
        if region.sign is not None and region.sign not in signs:
            yield Source(folder / SAFETY).no_such(
                ("region", index, "sign"), f"there is no sign {region.sign}", region.sign, signs
            )


def _positions_have_words(folder: Path, content: Content) -> Iterator[Diagnostic]:
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


def _entries_have_words(folder: Path, content: Content) -> Iterator[Diagnostic]:
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


def _rule_words_name_numbers(folder: Path, content: Content) -> Iterator[Diagnostic]:
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


def _pages_are_whole(_: Path, content: Content) -> Iterator[Diagnostic]:
    """A session reads no page, so only here every one of them is read."""
    for page in PAGES:
        try:
            content.words.of(page)
        except FileFault as fault:
            yield from fault.faults


def _no_files_beside(folder: Path, content: Content) -> Iterator[Diagnostic]:
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


_SHARED: tuple[_Check, ...] = (
    _names_once,
    _exercises_fit,
    bands_resist,
    _rules_fit,
    _follow_ups_fit,
    _regions_fit,
    check_needs,
)
_IN_WORDS: tuple[_Check, ...] = (
    _positions_have_words,
    _entries_have_words,
    _rule_words_name_numbers,
    _pages_are_whole,
    _no_files_beside,
    places_fit,
    check_need_words,
)
