"""The check of the content files that all languages share: whether they fit each other and what code asks for."""

from collections.abc import Iterable, Iterator, Sequence
from typing import get_args

from msgspec.structs import replace

from coach.content_files.content_folder import FORM, LIMITS, RULES, SAFETY, ContentFiles
from coach.model.base import named_position
from coach.model.content import Content
from coach.model.content_entries import Form, LimitName, SignName, Urgency
from coach.model.exercise import Position
from coach.model.messages.client import ScaleMessages, ScreenQuestion
from coach.model.messages.entries import Trouble
from coach.model.record import SkipReason
from coach.progression.condition_numbers import ALWAYS, CONDITION_NUMBERS
from coach.progression.session_conditions import CONDITIONS, SET_CONDITIONS
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

# The kind and the name of every entry that the program itself looks for.
NO_LAST_RULE = "no rule always matches"
READ_BY_NAME = frozenset(
    (kind, name) for kind, names in (("limit", LimitName), ("sign", SignName)) for name in get_args(names)
)
_EMERGENCY_ASKED = {
    "check_in": "the check-in does not ask about it",
    "set": "the pain key does not ask about it in a set",
}


def check_read_by_name(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each limit and each sign that the program reads is there."""
    named = {
        "limit": (LIMITS, [limit.name for limit in content.limits]),
        "sign": (SAFETY, [sign.name for sign in content.signs]),
    }
    for kind, name in sorted(READ_BY_NAME):
        file, names = named[kind]
        if name not in names:
            what = f"the {kind} {name} is missing, and the program reads it"
            fix = f'add a [[{kind}]] with name = "{name}"'
            found = SourceFile(files.folder / file).at_key((kind,), what, f"each {kind} that is read", fix)
            yield replace(found, about=(kind, name))


def check_exercises(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each position is there once, and only uses names that exist."""
    for stem, exercise in content.exercises.items():
        for index, position in enumerate(exercise.positions):
            path, number = files.position(stem, index)
            source = SourceFile(path)
            if position.name in exercise.position_names[:index]:
                what = f"there is a second {named_position(position.name)}"
                fix = "give it a name of its own, or remove one of them"
                yield source.at_value(("positions", number, position.key_of_name), what, "each position once", fix)
            yield from _check_asked(source, number, position, content)


def _check_asked(source: SourceFile, index: int, position: Position, content: Content) -> Iterator[Diagnostic]:
    """What a position checks and asks exists, each once; it asks something, and makes each check that can stop."""
    stopping = [check.name for check in content.checks.values() if check.on_no == "stop"]
    for kind, names, known in (
        ("check", position.checks, content.checks),
        ("question", position.questions, content.questions),
    ):
        key: KeyPath = ("positions", index, f"{kind}s")
        if not names:
            what = f"position {position.name} has no {kind}"
            fix = f"name at least one {kind} of {SAFETY if kind == 'check' else FORM}"
            yield source.at_value(key, what, f"one or more of {', '.join(known)}", fix)
        for number, name in enumerate(names):
            if name not in known:
                what = f"there is no {kind} {name}"
                yield source.unknown_value((*key, number), what, name, known, kind=kind, taken=names)
            elif name in names[:number]:
                yield source.at_value((*key, number), f"{name} is here twice", "each name once", "remove one of them")
    for name in stopping if position.checks else ():
        if name not in position.checks:
            what = f"position {position.name} does not make the check {name}, which can stop a session"
            expected, fix = "each check that can stop a session, in every position", f'add "{name}" to checks'
            found = source.at_value(("positions", index, "checks"), what, expected, fix)
            yield replace(found, about=("check", name))


def check_rules(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each rule only uses limits and numbers that exist, and is tried where its test is possible; one matches."""
    source = SourceFile(files.folder / RULES)
    limits = [limit.name for limit in content.limits]
    for index, rule in enumerate(content.rules):
        for number, name in enumerate(rule.limits):
            if name not in limits:
                key: KeyPath = ("rule", index, "limits", number)
                what = f"there is no limit {name}"
                yield source.unknown_value(key, what, name, limits, kind="limit", taken=rule.limits)
        if rule.when not in CONDITIONS:
            yield source.unknown_value(
                ("rule", index, "when"), f"there is no test {rule.when}", rule.when, CONDITIONS
            )
            continue
        if "set" in rule.levels and rule.when not in SET_CONDITIONS:
            what = f"{rule.when} depends on more than one set, so it cannot be tried after each"
            fix = f'remove "set", or test one of {", ".join(sorted(SET_CONDITIONS))}'
            yield source.at_value(("rule", index, "levels"), what, 'levels without "set"', fix)
        for number, name in enumerate(rule.numbers):
            if name not in CONDITION_NUMBERS[rule.when]:
                what = f"the test {rule.when} gives no number {name}"
                key, known = ("rule", index, "numbers", number), CONDITION_NUMBERS[rule.when]
                fix = "write one of them, or remove it" if set(known) - set(rule.numbers) else "remove it"
                if rule.when != rule.name and name in CONDITION_NUMBERS.get(rule.name, ()):
                    fix = f'write when = "{rule.name}", which gives it, or remove it'
                yield source.unknown_value(key, what, name, known, fix, taken=rule.numbers)
    yield from _check_last_rule(source, content)


def _check_last_rule(source: SourceFile, content: Content) -> Iterator[Diagnostic]:
    """One deciding rule always matches, and it is the last: without one, a session would end without a decision."""
    deciding = [(index, rule) for index, rule in enumerate(content.rules) if not rule.adds_to_decision]
    always = [number for number, (_, rule) in enumerate(deciding) if rule.when in ALWAYS]
    names = " or ".join(f'when = "{name}"' for name in sorted(ALWAYS))
    if not always:
        what = f"{NO_LAST_RULE} ({names}), so some sessions would end without a decision"
        fix = f'add a last [[rule]] with {names} and then = "hold"'
        found = source.at_key(("rule",), what, f"a last rule with {names}", fix)
        last = len(content.rules) - 1
        if content.rules[last].name not in content.messages.rules.rule:  # it was renamed, and its test with it
            fix = f"name the last rule {sorted(ALWAYS)[0]} as before, with {names}"
            found = source.at_value(("rule", last, "when"), what, f"a last rule with {names}", fix)
        yield replace(found, about=("rule", sorted(ALWAYS)[0]))
        return
    first, after = deciding[always[0]], deciding[always[0] + 1 :]
    if len(after) == 1:
        (index, rule), fix = after[0], "move it up"
        what = f"the rule {rule.name} is never reached: {first[1].name} before it always matches"
    elif after:
        (index, rule), fix = first, "move it to the end"
        what = f"{len(after)} rules after {rule.name} are never reached, as it always matches"
    if after:
        yield source.at_value(("rule", index, "name"), what, f"the rule with {names} last", fix)


def check_follow_ups(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A follow-up is not also a question, and belongs to one question."""
    questions = [one for one in content.questions.values() if one.follow_up is not None]
    for question in questions:
        name = str(question.follow_up)
        others = [one.name for one in questions if one.follow_up == name and one is not question]
        # Of two questions with one follow-up, the wrong one is that whose name it does not begin with.
        mine = name.startswith(question.name) or (question.name < min(others, default="") and name not in others)
        if name in content.questions:
            what = f"{name} is a question of its own, and no step that followed {question.name} in older records"
        elif others and not (mine and not any(name.startswith(other) for other in others)):
            what = f"the follow-up {name} belongs to another question already: {', '.join(others)}"
        else:
            continue
        source, key = _of_question(files, content, question.name)
        expected, fix = "the name of that step", f"write {question.name}_often, or take the line out"
        yield source.at_value((*key, "follow_up"), what, expected, fix)


def _of_question(files: ContentFiles, content: Content, name: str) -> tuple[SourceFile, KeyPath]:
    """The file of a form question and its table there: a clinic's own come after those shipped."""
    index, shipped = [*content.questions].index(name), len(read_model(files.folder / FORM, Form).question)
    own = files.own_form
    if own is not None and index >= shipped:
        return SourceFile(own), ("question", index - shipped)
    return SourceFile(files.folder / FORM), ("question", index)


def check_faults(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Each fault is asked about by one question, and each drawing shows one fault."""
    questions = list(content.questions.values())
    for index, question in enumerate(questions):
        for key, value in (("fault", question.fault), ("wrong", question.wrong)):
            first = next((one for one in questions[:index] if value is not None and getattr(one, key) == value), None)
            if first is not None:
                source, table = _of_question(files, content, question.name)
                kind = "fault" if key == "fault" else "drawing"
                what = f"{value} is the {kind} of the question {first.name} already"
                yield source.at_value((*table, key), what, f"a {kind} of its own", "write another one in one of them")


def check_taken_names(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """No question has a name of the session's own questions, and no sign, region or check that of another kind."""
    form, safety = SourceFile(files.folder / FORM), SourceFile(files.folder / SAFETY)
    for index, question in enumerate(content.questions.values()):
        for key, name in (("name", question.name), ("follow_up", question.follow_up)):
            if name in get_args(ScreenQuestion):
                yield _taken(form, ("question", index, key), str(name), "a question that every session asks")
    answers = dict.fromkeys((*ScaleMessages.model_fields, *get_args(SkipReason)), "another answer")
    answers |= dict.fromkeys(get_args(Trouble), "an answer to the question what is wrong")
    for kind, names in (
        ("sign", [sign.name for sign in content.signs]),
        ("region", list(content.regions)),
    ):
        for index, name in enumerate(names):
            if name in answers:
                yield _taken(safety, (kind, index, "name"), name, answers[name])
        answers |= dict.fromkeys(names, f"a {kind}")


def check_safety(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A check can stop, signs stand in the order of their urgency, and an emergency is asked about at all times."""
    source, urgencies = SourceFile(files.folder / SAFETY), get_args(Urgency)
    made = {name for each in content.exercises.values() for one in each.positions for name in one.checks}
    stopping = [check for check in content.checks.values() if check.on_no == "stop"]
    if not stopping and made <= content.checks.keys():  # else the one that is missing is told
        fix = 'write on_no = "stop" for the check of the band itself'
        yield source.at_key(("check",), "no check can stop a session", "one that does", fix)
    for index, sign in enumerate(content.signs):
        sooner = urgencies[: urgencies.index(sign.urgency)]
        later = next((one for one in content.signs[index + 1 :] if one.urgency in sooner), None)
        if later is not None:
            what = f"{sign.name} ({sign.urgency}) stands before {later.name} ({later.urgency})"
            fix = "set the urgency right, or move the sign down"
            yield source.at_value(("sign", index, "urgency"), what, "the most urgent signs first", fix)
        for level, told in _EMERGENCY_ASKED.items():
            if sign.urgency == urgencies[0] and level not in sign.asked:
                what = f"{sign.name} is an emergency, and {told}"
                yield source.at_value(("sign", index, "asked"), what, f'"{level}" in the list', f'add "{level}"')


def _taken(source: SourceFile, key: KeyPath, name: str, by: str) -> Diagnostic:
    return source.at_value(key, f"{name} is the name of {by}", "a name of its own", "give it another name")


def check_regions(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """The warning sign of a region exists, and pain in one region counts as an emergency: that of the chest."""
    signs = [sign.name for sign in content.signs]
    emergencies = [sign.name for sign in content.signs if sign.urgency == get_args(Urgency)[0]]
    if emergencies and content.regions and all(region.sign is None for region in content.regions.values()):
        what = f"no region of pain leads to {emergencies[0]}, so pain there would count as pain of the shoulder"
        fix = f'add sign = "{emergencies[0]}" to the [[region]] that means it'
        source = SourceFile(files.folder / SAFETY)
        yield source.at_key(("region",), what, "one with the sign of an emergency", fix)
    for index, region in enumerate(content.regions.values()):
        if region.sign is not None and region.sign not in signs:
            yield SourceFile(files.folder / SAFETY).unknown_value(
                ("region", index, "sign"), f"there is no sign {region.sign}", region.sign, signs, kind="sign"
            )


def second_names(source: SourceFile, kind: str, names: Sequence[str]) -> Iterator[Diagnostic]:
    """A fault for each name in a list of tables that is there a second time."""
    for index, name in enumerate(names):
        if name in names[:index]:
            what, fix = f"a second {kind} is called {name}", "give one of them another name"
            yield source.at_value((kind, index, "name"), what, "each name once", fix)


def unused_names(
    source: SourceFile, kind: str, names: Iterable[str], used: Iterable[str], by: str
) -> Iterator[Diagnostic]:
    """A fault for each entry of a list of tables that nothing uses."""
    users = set(used)
    for index, name in enumerate(names):
        if name not in users:
            what = f"{by} the {kind} {name}"
            fix = "remove it" if kind == "limit" else f"name it in the {kind}s of a position, or remove it here"
            found = source.at_value((kind, index, "name"), what, f"only a {kind} that is used", fix)
            yield replace(found, about=(kind, name))
