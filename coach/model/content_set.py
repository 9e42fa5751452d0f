"""All content together, in one language: what the files of a content folder say."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Protocol, TypeVar

from coach.model.content import Check, FormQuestion, Limit, Region, Rule, Sign
from coach.model.exercise import Exercise
from coach.model.page_words.page import PageWords
from coach.model.screen_words import ScreenWords
from coach.model.words import ExerciseWords, FormWords, RulesWords, SafetyWords

Page = TypeVar("Page", bound=PageWords)


class PageReader(Protocol):
    """Reads the words of one page when they are asked for."""

    def __call__(self, kind: type[Page]) -> Page: ...


@dataclass(frozen=True)
class Words:
    """The words of one language. Those of a page are read from `of`, when it is asked for them."""

    language: str
    exercises: Mapping[str, ExerciseWords]
    form: FormWords
    safety: SafetyWords
    rules: RulesWords
    screens: ScreenWords
    of: PageReader


@dataclass(frozen=True)
class Content:
    """The content folder, read; everything by its name."""

    exercises: Mapping[str, Exercise]
    limits: tuple[Limit, ...]
    rules: tuple[Rule, ...]
    questions: Mapping[str, FormQuestion]
    checks: Mapping[str, Check]
    signs: tuple[Sign, ...]
    regions: Mapping[str, Region]
    words: Words

    def limit_values(self, moved: Mapping[str, float]) -> dict[str, float]:
        """Every limit by name, with the therapist's own values held inside the hard bounds."""
        return {
            limit.name: min(max(moved.get(limit.name, limit.value), limit.low), limit.high) for limit in self.limits
        }
