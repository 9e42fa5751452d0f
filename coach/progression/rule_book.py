"""What a judgement needs of the content: the rules in their order, their words, and the limits they read."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from coach.model import step_names
from coach.model.content import FormQuestion, Level, Rule
from coach.model.content_set import Content


@dataclass(frozen=True)
class AskedInSet:
    """A form question in one set: the step it is asked at, and that of its follow-up."""

    question: FormQuestion
    step: str
    often: str | None


@dataclass(frozen=True)
class RuleBook:
    """The content as the progression sees it, in one language; `names` says faults, signs and checks in words."""

    content: Content
    names: Mapping[str, str]
    stopping_checks: tuple[str, ...]
    passable_checks: tuple[str, ...]

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
        """Whatever a number of a rule may name, in words."""
        return {**self.content.words.rules.missing, **self.names}

    @cached_property
    def _stopping_steps(self) -> tuple[tuple[str, str], ...]:
        return tuple((step_names.check(name), name) for name in self.stopping_checks)

    @cached_property
    def _passable_steps(self) -> tuple[tuple[str, str], ...]:
        return tuple((step_names.check(name), name) for name in self.passable_checks)

    def failed_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check that was answered no and ends the session; None where none was."""
        return next((name for step, name in self._stopping_steps if answers.get(step) == "no"), None)

    def unmet_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check that stayed a no and was passed as it is; None where none was."""
        return next((name for step, name in self._passable_steps if answers.get(step) == "no"), None)

    def asked(self, exercise: str, position_deg: int) -> tuple[str, ...]:
        """The form questions of a position, in order; NoExercise where the content has none of that name."""
        return self.content.exercise(exercise).position(position_deg).questions

    @cached_property
    def _questions(self) -> Callable[[str, int, int], tuple[AskedInSet, ...]]:
        return lru_cache(maxsize=64)(lambda *of: tuple(self._asked_in_set(*of)))

    def asked_in_set(self, exercise: str, position_deg: int, number: int) -> tuple[AskedInSet, ...]:
        """The form questions of a set of a position, in order."""
        return self._questions(exercise, position_deg, number)

    def _asked_in_set(self, exercise: str, position_deg: int, number: int) -> Iterator[AskedInSet]:
        for name in self.asked(exercise, position_deg):
            question = self.content.questions[name]
            often = question.follow_up
            step = step_names.in_set(number, name)
            yield AskedInSet(question, step, None if often is None else step_names.in_set(number, often))


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
        passable_checks=tuple(check.name for check in content.checks.values() if check.on_no == "mend_once"),
    )
