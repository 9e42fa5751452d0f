"""The content as the rules use it: rules in order, their messages, and the limits."""

from collections.abc import Iterator, Mapping
from functools import cache, cached_property

from msgspec import Struct

from coach.model import step_names
from coach.model.base import MOST_SETS
from coach.model.content import Content
from coach.model.content_entries import FormQuestion, Level, Rule
from coach.model.option_names import UNKNOWN_PAIN
from coach.model.record import Record

HIGH_IRRITABILITY = "high_irritability"  # what a record says was the reason that nothing rose


class AskedInSet(Struct, frozen=True):
    """A form question in one set, with its step name and, in older records, that of its follow-up question."""

    question: FormQuestion
    step: str
    often: str | None


class RuleBook(Struct, frozen=True, dict=True):
    """The rules, messages and limits of one content in one language, indexed for the progression."""

    content: Content

    @cached_property
    def rules_by_name(self) -> Mapping[str, Rule]:
        """The rules by name. A record may name a rule that no longer exists."""
        return {rule.name: rule for rule in self.content.rules}

    @cached_property
    def side_rules(self) -> tuple[Rule, ...]:
        """The rules that add a message or a review to the decision without making it."""
        return tuple(rule for rule in self.content.rules if rule.adds_to_decision)

    @cached_property
    def overload_rules(self) -> frozenset[str]:
        """The rules by which the load itself was too much."""
        return frozenset(rule.name for rule in self.content.rules if rule.too_much)

    @cached_property
    def _by_level(self) -> Mapping[Level, tuple[Rule, ...]]:
        deciding = [rule for rule in self.content.rules if not rule.adds_to_decision]
        return {
            "check_in": tuple(rule for rule in deciding if "check_in" in rule.levels),
            "set": tuple(rule for rule in deciding if "set" in rule.levels),
            "session": tuple(deciding),
        }

    def rules_at(self, level: Level) -> tuple[Rule, ...]:
        """The deciding rules of a level in the order they are tried; for "session" all of them."""
        return self._by_level[level]

    @cached_property
    def _limits(self) -> dict[tuple[tuple[str, float], ...], Mapping[str, float]]:
        """Limits already computed, by what the therapist moved: they are read several times a session."""
        return {}

    def limits(self, moved: Mapping[str, float]) -> Mapping[str, float]:
        """Every limit by name, with the values that the therapist moved for one client in place."""
        key = tuple(moved.items())
        if key not in self._limits:
            self._limits[key] = self.content.limit_values(dict(moved))
        return self._limits[key]

    @cached_property
    def value_labels(self) -> Mapping[str, str]:
        """Labels for the names in a rule's numbers: missing conditions, reasons, signs, troubles, faults, checks."""
        messages = self.content.messages
        fails = {name: check.fails for name, check in messages.safety.check.items()}
        check_in = messages.client.check_in
        asked: dict[str, str] = {str(name): text for name, text in (*check_in.gap.items(), *check_in.relief.items())}
        kinds = {name: kind.name for name, kind in messages.conditions.condition.items()}
        return {
            **kinds,
            HIGH_IRRITABILITY: messages.conditions.irritability["high"],
            **asked,
            **messages.rules.missing,
            **messages.rules.measured,
            **messages.rules.stop_why,
            **messages.rules.not_clear,
            **messages.safety.sign,
            **messages.safety.trouble,
            **messages.form.fault,
            **{name: question.about for name, question in messages.form.question.items()},
            **fails,
            UNKNOWN_PAIN: "?",
        }

    @cached_property
    def stopping_checks(self) -> tuple[str, ...]:
        """The checks that end the session where they are answered no."""
        return tuple(check.name for check in self.content.checks.values() if check.on_no == "stop")

    @cached_property
    def passable_checks(self) -> tuple[str, ...]:
        """The checks that may still be answered no after one correction, without ending the session."""
        return tuple(check.name for check in self.content.checks.values() if check.on_no == "mend_once")

    def failed_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check answered no that ends the session, or None."""
        return _first_no(self.stopping_checks, answers)

    def unmet_check(self, answers: Mapping[str, int | str]) -> str | None:
        """The first check still answered no after one correction, or None."""
        return _first_no(self.passable_checks, answers)

    @cached_property
    def _questions(self) -> dict[tuple[tuple[str, ...], int], tuple[AskedInSet, ...]]:
        """Form questions already looked up, by their names and the set."""
        return {}

    def form_questions(self, record: Record) -> tuple[str, ...]:
        """The names of the form questions of a record's position; of an older record those that it could ask.

        Raises NoExercise where the content has no exercise of that name.
        """
        position = self.content.exercise(record.exercise).position(record.position)
        if record.form:
            return position.questions
        names = [name for name in position.questions if name not in position.later]
        return tuple(name for name in names if self.content.questions[name].fault_answer is not None)

    def asked_in_set(self, record: Record, number: int) -> tuple[AskedInSet, ...]:
        """The form questions of a set, in order: those that the record names, else all of its position.

        Raises NoExercise where the content has no exercise of that name.
        """
        asked = record.form[number - 1] if number <= len(record.form) else self.form_questions(record)
        key = asked, number
        if key not in self._questions:
            self._questions[key] = tuple(self._asked_in_set(*key))
        return self._questions[key]

    def _asked_in_set(self, names: tuple[str, ...], number: int) -> Iterator[AskedInSet]:
        for name in names:
            if name not in self.content.questions:  # the content has changed since
                continue
            question = self.content.questions[name]
            often = question.follow_up
            step = step_names.in_set(number, name)
            yield AskedInSet(question, step, None if often is None else step_names.in_set(number, often))


def _first_no(checks: tuple[str, ...], answers: Mapping[str, int | str]) -> str | None:
    if "no" not in answers.values():  # as in most sessions
        return None
    return next((name for name in checks if any(answers.get(step) == "no" for step in _steps_of(name))), None)


@cache
def _steps_of(check: str) -> tuple[str, ...]:
    """Where a check is made: before the first repetition, and before each later set that has another band."""
    again = (step_names.check_again(check, number) for number in range(2, MOST_SETS + 1))
    return (step_names.check(check), *again)
