"""All content together, in one language: what the files of a content folder say."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from coach.model.condition import Condition, ConditionsMessages
from coach.model.content_entries import Check, FormQuestion, Limit, Region, Rule, Sign
from coach.model.exercise import Exercise, NoExercise
from coach.model.messages.base_messages import PageWords
from coach.model.messages.entries import ExerciseWords, FormWords, RulesWords, SafetyWords
from coach.model.messages.session_screens import ScreenWords

Page = TypeVar("Page", bound=PageWords)


class PageReader(Protocol):
    """Reads the words of one page when they are asked for."""

    def __call__(self, kind: type[Page]) -> Page: ...


@dataclass(frozen=True)
class Gap:
    """A line that the language lacks, so that it is said in another one; no key: the whole file."""

    file: str
    key: str


@dataclass(frozen=True)
class Own:
    """What a clinic says or sets otherwise than the shipped content, where `shipped` is empty besides it."""

    file: str
    key: str
    shipped: str
    own: str


@dataclass(frozen=True)
class Words:
    """The words of one language. Those of a page are read from `of`, when it is asked for them.

    `gaps` are the lines of a session that stand in for missing ones, `fallback` the language they are in.
    """

    language: str
    exercises: Mapping[str, ExerciseWords]
    form: FormWords
    safety: SafetyWords
    rules: RulesWords
    screens: ScreenWords
    of: PageReader
    conditions: ConditionsMessages
    gaps: tuple[Gap, ...] = ()
    fallback: str = ""


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
    own: tuple[Own, ...] = ()
    conditions: Mapping[str, Condition] = field(default_factory=dict)

    def exercise(self, name: str) -> Exercise:
        """The exercise of this name; NoExercise, with the names there are, where there is none."""
        if name not in self.exercises:
            known = ", ".join(self.exercises)
            raise NoExercise(
                f"there is no exercise {name} in the content, only {known}: write one of them in prescription.toml, "
                f"or bring back its file, exercises/{name}.toml"
            )
        return self.exercises[name]

    def limit_values(self, moved: Mapping[str, float]) -> dict[str, float]:
        """Every limit by name, with the therapist's own values held inside the hard bounds."""
        return {
            limit.name: min(max(moved.get(limit.name, limit.value), limit.low), limit.high) for limit in self.limits
        }
