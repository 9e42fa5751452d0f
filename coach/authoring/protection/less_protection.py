"""What protects a client in the content that came with the program, and is weaker or gone in another content.

That content is the measure, so that each threshold, sign and condition stands in one place, with its source.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Protocol, get_args

from msgspec.structs import replace

from coach.authoring.protection.as_shipped import shipped_content
from coach.authoring.protection.rule_effects import check_rule_effects
from coach.content_files.caseload_needs import NEEDS, load_needs
from coach.content_files.content_folder import CONDITIONS, FORM, LIMITS, SAFETY, ContentFiles, shipped_folder
from coach.model.content import Content
from coach.model.content_entries import Form, Urgency
from coach.toml.diagnostic import Diagnostic, FileFault
from coach.toml.expected import KeyPath
from coach.toml.reader import read_model
from coach.toml.source_file import SourceFile

_SHIPPED = "as it is there, or stricter"
_ON_NO = ("stop", "mend", "mend_once")  # from the strictest
_URGENCIES = get_args(Urgency)  # from the most urgent


class _Entry(Protocol):
    @property
    def name(self) -> str: ...


# Whether a value of a key is as strict as the shipped one.
_Strict = Callable[[object, object], bool]


def _kept(here: object, shipped: object) -> bool:
    return bool(here) or not shipped


def _all_of(here: object, shipped: object) -> bool:
    return isinstance(here, Sequence) and isinstance(shipped, Sequence) and set(shipped) <= set(here)


def _at_least(here: object, shipped: object) -> bool:
    return not isinstance(shipped, int | float) or (isinstance(here, int | float) and here >= shipped)


def _at_most(here: object, shipped: object) -> bool:
    return not isinstance(shipped, int | float) or (isinstance(here, int | float) and here <= shipped)


def _not_added(here: object, shipped: object) -> bool:
    return bool(shipped) or not here


def _same(here: object, shipped: object) -> bool:
    return here == shipped


def _before_in(order: Sequence[object]) -> _Strict:
    return lambda here, shipped: order.index(here) <= order.index(shipped)


_SIGN: Mapping[str, _Strict] = {"asked": _all_of, "urgency": _before_in(_URGENCIES)}
_CHECK: Mapping[str, _Strict] = {"on_no": _before_in(_ON_NO), "once": _not_added}
_REGION: Mapping[str, _Strict] = {"sign": _same}
_QUESTION: Mapping[str, _Strict] = {"overload": _kept, "harmless": _not_added}
_NEED: Mapping[str, _Strict] = {"rules": _all_of, "holds_client": _kept}
_CONDITION: Mapping[str, _Strict] = {
    "needs_permission": _kept,
    "floor_weeks": _at_least,
    "closed_above_deg": _at_most,
    "motions_closed": _all_of,
    "range_max_deg": _at_most,
    "latex_free_only": _kept,
    "no_rise_days": _at_least,
    "night_pain_stays_a_sign": _kept,
    "no_fault_is_tried": _kept,
}


def check_protection(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """Everything by which a content protects a client less than the one that came with the program."""
    shipped = shipped_content()
    if shipped is None:
        return
    yield from _bounds(files, content, shipped)
    safety, form, conditions = (SourceFile(files.folder / file) for file in (SAFETY, FORM, CONDITIONS))
    yield from _gone(
        safety, "sign", content.signs, shipped.signs, "without it a client with this sign would train on"
    )
    yield from _weaker(safety, "sign", content.signs, shipped.signs, _SIGN)
    yield from _weaker(safety, "check", [*content.checks.values()], [*shipped.checks.values()], _CHECK)
    with_sign = [region for region in shipped.regions.values() if region.sign is not None]
    why = "without it pain there would count as pain of the shoulder"
    yield from _gone(safety, "region", [*content.regions.values()], with_sign, why)
    yield from _weaker(safety, "region", [*content.regions.values()], with_sign, _REGION)
    yield from _weaker(form, "question", [*content.questions.values()], [*shipped.questions.values()], _QUESTION)
    kinds, known = [*content.conditions.values()], [*shipped.conditions.values()]
    yield from _gone(conditions, "condition", kinds, known, "without it nothing is closed for a client who has it")
    yield from _weaker(conditions, "condition", kinds, known, _CONDITION)
    yield from check_rule_effects(files, content)
    with suppress(FileFault):  # told by the check of the needs
        here, there = load_needs(files.folder), load_needs(shipped_folder())
        yield from _gone(SourceFile(files.folder / NEEDS), "need", here, there, "without it nobody is told of it")
        yield from _weaker(SourceFile(files.folder / NEEDS), "need", here, there, _NEED)


def gone_notes(folder: Path) -> Iterator[Diagnostic]:
    """A note for each shipped form question that is gone or has another name: no fault, and its answers are lost."""
    shipped = shipped_content()
    try:
        here = read_model(folder / FORM, Form).question
    except FileFault:
        return  # reported by the check
    names = [question.name for question in here]
    for name in shipped.questions if shipped is not None else ():
        if name not in names:
            what = f"the question {name} of the program is not here: what clients answered to it is not read any more"
            fix = f'if it only got another name, write name = "{name}" again'
            yield SourceFile(folder / FORM).at_key(("question",), what, fix=fix)


def _bounds(files: ContentFiles, content: Content, shipped: Content) -> Iterator[Diagnostic]:
    """A guarding bound of a limit that was moved outward, or that no longer guards."""
    known = {limit.name: limit for limit in shipped.limits}
    for index, limit in enumerate(content.limits):
        there = known.get(limit.name)
        if there is None or there.guards is None:
            continue
        if limit.guards != there.guards:
            what = f"{limit.name} does not say that its bound {there.guards} protects a client"
            source, fix = SourceFile(files.folder / LIMITS), f'write guards = "{there.guards}"'
            at = ("limit", index, "guards") if limit.guards is not None else ("limit", index)
            yield (source.at_value if limit.guards is not None else source.at_key)(at, what, f'"{there.guards}"', fix)
        here, bound = (limit.low, there.low) if there.guards == "low" else (limit.high, there.high)
        if here < bound if there.guards == "low" else here > bound:
            side = "below" if there.guards == "low" else "above"
            what = f"{there.guards} {here:g} of {limit.name} is {side} {bound:g}, the bound that protects a client"
            source, fix = SourceFile(files.folder / LIMITS), f"write {there.guards} = {bound:g}, and a value within"
            yield source.at_value(("limit", index, there.guards), what, f"{bound:g} or narrower: {there.source}", fix)


def _gone(
    source: SourceFile, kind: str, here: Iterable[_Entry], shipped: Iterable[_Entry], why: str
) -> Iterator[Diagnostic]:
    """Each shipped entry that is no longer there."""
    names = [one.name for one in here]
    for one in shipped:
        if one.name not in names:
            what, fix = f"the {kind} {one.name} is gone: {why}", f'add the [[{kind}]] with name = "{one.name}" again'
            expected = f"each {kind} of the content that came with the program, by the same name"
            yield replace(source.at_key((kind,), what, expected, fix), about=(kind, one.name))


def _weaker(
    source: SourceFile,
    kind: str,
    here: Sequence[_Entry],
    shipped: Iterable[_Entry],
    keys: Mapping[str, _Strict],
) -> Iterator[Diagnostic]:
    """Each key of an entry that protects less than that of the shipped entry of the same name."""
    known = {one.name: one for one in shipped}
    for index, one in enumerate(here):
        for key, strict in keys.items():
            there = getattr(known.get(one.name), key, None)
            value = getattr(one, key)
            if one.name in known and not strict(value, there):
                what = f"{key} of {one.name} protects a client less than the program's own content"
                yield _weaker_at(source, (kind, index, key), what, there)


def _weaker_at(source: SourceFile, key: KeyPath, what: str, shipped: object) -> Diagnostic:
    """At the key, or at the heading of its table where it is not written."""
    if not shipped:  # what was added opens something
        return source.at_key(key, what, f"no {key[-1]}, {_SHIPPED}", "take the line out")
    wanted = f"{key[-1]} = {_written(shipped)}"
    return source.at_key(key, what, f"{wanted}, {_SHIPPED}", f"write {wanted}")


def _written(value: object) -> str:
    """A value as it stands in the file."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, tuple):
        return f"[{', '.join(map(_written, value))}]"
    return f'"{value}"' if isinstance(value, str) else f"{value:g}" if isinstance(value, int | float) else str(value)
