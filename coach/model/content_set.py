"""All content together, in one language: what the files of a content folder say."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.model.content import Check, FormQuestion, Limit, Rule, Sign
from coach.model.exercise import Exercise
from coach.model.screen_words import ScreenWords
from coach.model.words import ExerciseWords, FormWords, RulesWords, SafetyWords


@dataclass(frozen=True)
class Words:
    """The words of one language."""

    language: str
    exercises: Mapping[str, ExerciseWords]
    form: FormWords
    safety: SafetyWords
    rules: RulesWords
    screens: ScreenWords


@dataclass(frozen=True)
class Content:
    """The content folder, read; everything by its name."""

    exercises: Mapping[str, Exercise]
    limits: tuple[Limit, ...]
    rules: tuple[Rule, ...]
    questions: Mapping[str, FormQuestion]
    checks: Mapping[str, Check]
    signs: tuple[Sign, ...]
    words: Words

    def limit_values(self, moved: Mapping[str, float]) -> dict[str, float]:
        """Every limit by name, with the therapist's own values held inside the hard bounds."""
        return {
            limit.name: min(max(moved.get(limit.name, limit.value), limit.low), limit.high) for limit in self.limits
        }
