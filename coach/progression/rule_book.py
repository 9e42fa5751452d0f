"""What a judgement needs of the content: the rules in their order, their words, and the limits they read."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from coach.model import step_names
from coach.model.content import Content
from coach.model.content_entries import FormQuestion, Level, Rule


@dataclass(frozen=True)
class AskedInSet:
    """A form question in one set: the step it is asked at, and that of its follow-up."""

    question: FormQuestion
    step: str
    often: str | None


@dataclass(frozen=True)
class RuleBook:
    """The content as the progression sees it, in one language."""

    content: Content

    @cached_property
    def named(self) -> Mapping[str, Rule]:
        """The rules by their names; a record may name one that is no more."""
        return {rule.name: rule for rule in self.content.rules}

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

    @cached_property
    def in_words(self) -> Mapping[str, str]:
        """Whatever a number of a rule may name, in words: what is missing, signs, troubles, faults and checks."""
        words = self.content.words
        fails = {name: check.fails for name, check in words.safety.check.items()}
        return {**words.rules.missing, **words.safety.sign, **words.safety.trouble, **words.form.fault, **fails}

    @cached_property
    def stopping_checks(self) -> tuple[str, ...]:
        """The checks that end the session where they are answered no."""
        return tuple(check.name for check in self.content.checks.values() if check.on_no == "stop")

    @cached_property
    def passable_checks(self) -> tuple[str, ...]:
        """The checks that may stay a no after mending."""
        return tuple(check.name for check in self.content.checks.values() if check.on_no == "mend_once")

    def failed_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check that was answered no and ends the session; None where none was."""
        return _first_no(self.stopping_checks, answers)

    def unmet_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check that stayed a no and was passed as it is; None where none was."""
        return _first_no(self.passable_checks, answers)

    @cached_property
    def _questions(self) -> Callable[[str, int, int], tuple[AskedInSet, ...]]:
        return lru_cache(maxsize=64)(lambda *of: tuple(self._asked_in_set(*of)))

    def asked_in_set(self, exercise: str, position_deg: int, number: int) -> tuple[AskedInSet, ...]:
        """The form questions of a set of a position, in order; NoExercise where the content has none of that name."""
        return self._questions(exercise, position_deg, number)

    def _asked_in_set(self, exercise: str, position_deg: int, number: int) -> Iterator[AskedInSet]:
        for name in self.content.exercise(exercise).position(position_deg).questions:
            question = self.content.questions[name]
            often = question.follow_up
            step = step_names.in_set(number, name)
            yield AskedInSet(question, step, None if often is None else step_names.in_set(number, often))


def _first_no(checks: tuple[str, ...], answers: Mapping[str, int | str]) -> str | None:
    return next((name for name in checks if answers.get(step_names.check(name)) == "no"), None)
