"""What a judgement needs of the content: the rules in their order, their words, and the limits they read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from coach.model.content import Level, Rule
from coach.model.content_set import Content


@dataclass(frozen=True)
class RuleBook:
    """The content as the progression sees it, in one language; `names` says faults, signs and checks in words."""

    content: Content
    names: Mapping[str, str]
    stopping_checks: tuple[str, ...]

    @cached_property
    def beside(self) -> tuple[Rule, ...]:
        """The rules that stand beside the decision."""
        return tuple(rule for rule in self.content.rules if rule.beside)

    @cached_property
    def too_much(self) -> frozenset[str]:
        """The rules by which the load itself was too much."""
        return frozenset(rule.name for rule in self.content.rules if rule.too_much)

    @cached_property
    def _by_level(self) -> Mapping[Level, tuple[Rule, ...]]:
        deciding = [rule for rule in self.content.rules if not rule.beside]
        return {
            "check_in": tuple(rule for rule in deciding if "check_in" in rule.levels),
            "set": tuple(rule for rule in deciding if "set" in rule.levels),
            "session": tuple(deciding),
        }

    def at(self, level: Level) -> tuple[Rule, ...]:
        """The deciding rules that are tried at a level, in order; at the end of the session all of them."""
        return self._by_level[level]

    @cached_property
    def _limits(self) -> Callable[[tuple[tuple[str, float], ...]], Mapping[str, float]]:
        return lru_cache(maxsize=8)(lambda moved: self.content.limit_values(dict(moved)))

    def limits(self, moved: Mapping[str, float]) -> Mapping[str, float]:
        """Every limit by name, with the therapist's own values in place."""
        return self._limits(tuple(moved.items()))

    def asked(self, exercise: str, position_deg: int) -> tuple[str, ...]:
        """The form questions of a position, in order."""
        return self.content.exercises[exercise].position(position_deg).questions


def rule_book(content: Content) -> RuleBook:
    """The rule book of a content folder."""
    words = content.words
    names: dict[str, str] = {**words.safety.sign, **words.safety.trouble}
    names.update({str(fault): said for fault, said in words.form.fault.items()})
    names.update((name, said.fails) for name, said in words.safety.check.items())
    return RuleBook(
        content=content,
        names=names,
        stopping_checks=tuple(check.name for check in content.checks.values() if check.on_no == "stop"),
    )
