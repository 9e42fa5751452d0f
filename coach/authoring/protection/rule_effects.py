"""What the rules must do: at each test of the shipped rules, no less than there."""

from collections.abc import Iterator, Mapping

from msgspec import Struct
from msgspec.structs import replace

from coach.authoring.protection.as_shipped import shipped_content
from coach.content_files.check_rule_order import EFFECT, LOWERS, STOPS
from coach.content_files.content_folder import RULES, ContentFiles
from coach.model.content import Content
from coach.model.content_entries import Effect, Rule
from coach.progression.condition_numbers import ALWAYS
from coach.progression.session_conditions import CONDITIONS
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import KeyPath
from coach.toml.source_file import SourceFile


class _AtLeast(Struct, frozen=True):
    """The effects that protect a client no less than one, what they do, and what follows without them."""

    effects: tuple[Effect, ...]
    does: str
    must: str
    otherwise: str


_STOP = ("stops the session", "stop the session", "the session would go on there")
_LOWER = ("lowers the load", "lower the load", "the load would stay there")
_NOW: tuple[Effect, ...] = tuple(effect for effect in LOWERS if effect != "easier_next")
_AT_LEAST: Mapping[Effect, _AtLeast] = {
    "stop_and_review": _AtLeast(("stop_and_review",), *_STOP),
    "stop_and_easier": _AtLeast(("stop_and_easier", "stop_and_review"), *_STOP),
    "stop_for_today": _AtLeast(STOPS, *_STOP),
    **dict.fromkeys(_NOW, _AtLeast((*_NOW, *STOPS), *_LOWER)),
    "easier_next": _AtLeast((*LOWERS, *STOPS), *_LOWER),
    "hold": _AtLeast(("hold", *LOWERS, *STOPS), "holds the load", "hold the load", "the load could rise there"),
    "then_review": _AtLeast(
        ("then_review", "stop_and_review"), "asks for a review", "ask for a review", "nobody would look then"
    ),
    "tell": _AtLeast(
        ("tell", "then_review", "stop_and_review"),
        "tells the therapist",
        "tell the therapist",
        "nobody would know of it then",
    ),
}


def check_stops(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A test that stops the session in the shipped rules stops it here too, at the same moments."""
    return _weaker_rules(files, content, STOPS)


def check_rule_effects(files: ContentFiles, content: Content) -> Iterator[Diagnostic]:
    """A test that protects a client in the shipped rules does so here too, and no less."""
    return _weaker_rules(files, content, tuple(_AT_LEAST))


def _weaker_rules(files: ContentFiles, content: Content, effects: tuple[Effect, ...]) -> Iterator[Diagnostic]:
    shipped, source = shipped_content(), SourceFile(files.folder / RULES)
    for model in shipped.rules if shipped is not None else ():
        if model.then not in effects or model.when in ALWAYS:
            continue
        least = _AT_LEAST[model.then]
        here = [(index, rule) for index, rule in enumerate(content.rules) if rule.when == model.when]
        if not here and any(rule.name == model.name and rule.when not in CONDITIONS for rule in content.rules):
            continue  # its `when` is misspelt: told, and the cause
        if not here:
            named = any(rule.name == model.name for rule in content.rules)
            if named or model.name not in content.messages.rules.rule:  # else its message without a rule is told
                what, fix = f"no rule {least.does} at {model.when}", f'add a [[rule]] with when = "{model.when}"'
                yield source.at_key(("rule",), what, "one that does", f'{fix} and then = "{model.then}"')
        elif all(_lacks(rule, model, least) is not None for _, rule in here):
            index, rule = next((one for one in here if one[1].name == model.name), here[0])
            yield from _weaker(source, index, rule, model)


def _lacks(rule: Rule, model: Rule, least: _AtLeast) -> str | None:
    """The key in which a rule protects less than the shipped one; None if in none."""
    if rule.then not in least.effects:
        return "then"
    if set(model.levels) - set(rule.levels):
        return "levels"
    return "too_much" if model.too_much and not rule.too_much else None


def _weaker(source: SourceFile, index: int, rule: Rule, model: Rule) -> Iterator[Diagnostic]:
    least = _AT_LEAST[model.then]
    lacking = _lacks(rule, model, least)
    key: KeyPath = ("rule", index, str(lacking))
    if lacking == "then":
        allowed = " or ".join(f'"{effect}"' for effect in least.effects)
        what = f'{rule.name} must {least.must}, and then = "{rule.then}" does not'
        found = source.at_value(key, what, allowed, f'write then = "{model.then}"')
        yield replace(found, about=(EFFECT, rule.name))
    elif lacking == "levels":
        for level in model.levels:
            if level not in rule.levels:
                what = f'{rule.name} is not tried at "{level}", so {least.otherwise}'
                yield source.at_value(key, what, f'"{level}" in the list', f'add "{level}"')
    else:
        what = f"{rule.name} is a load that was too much, and too_much is not true"
        yield source.at_key(key, what, "too_much = true, as in the shipped rules", "write too_much = true")
