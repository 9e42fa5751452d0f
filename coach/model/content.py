"""The content of a content folder in one language."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from coach.model.clinic import Clinic
from coach.model.condition import Condition, ConditionsMessages
from coach.model.content_entries import Check, FormQuestion, Limit, Region, Rule, Sign
from coach.model.exercise import Exercise, NoExercise
from coach.model.messages.client import ClientMessages
from coach.model.messages.entries import ExerciseMessages, FormMessages, RulesMessages, SafetyMessages

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.messages.letter import LetterMessages
    from coach.model.messages.therapist import TherapistMessages


@dataclass(frozen=True)
class Gap:
    """A message that the language lacks and that is shown in the fallback; an empty key means the whole file."""

    file: str
    key: str


@dataclass(frozen=True)
class ClinicOverride:
    """A message or limit that a clinic changed; `shipped` is empty for one that the clinic added."""

    file: str
    key: str
    shipped: str
    override: str


@dataclass(frozen=True)
class Messages:
    """The messages of one language.

    `gaps` are the lines of a session that the language lacks, and `fallback` is the language that they are shown in.
    Those for the therapist, for the coach and of letters are read when first asked for, so that a session does not wait for them.
    """

    language: str
    exercises: Mapping[str, ExerciseMessages]
    form: FormMessages
    safety: SafetyMessages
    rules: RulesMessages
    client: ClientMessages
    conditions: ConditionsMessages
    read_therapist: "Callable[[], TherapistMessages]"
    read_coach: "Callable[[], CoachMessages]"
    read_letter: "Callable[[], LetterMessages]"
    gaps: tuple[Gap, ...] = ()
    fallback: str = ""

    @property
    def therapist(self) -> "TherapistMessages":
        """What the therapist reads. FileFault with every fault of its file."""
        return self.read_therapist()

    @property
    def coach(self) -> "CoachMessages":
        """What the coach reads. FileFault with every fault of its file."""
        return self.read_coach()

    @property
    def letter(self) -> "LetterMessages":
        """What letters say, as the clinic has them. FileFault with every fault of its files."""
        return self.read_letter()


@dataclass(frozen=True)
class Content:
    """A content folder that was read."""

    exercises: Mapping[str, Exercise]
    limits: tuple[Limit, ...]
    rules: tuple[Rule, ...]
    questions: Mapping[str, FormQuestion]
    checks: Mapping[str, Check]
    signs: tuple[Sign, ...]
    regions: Mapping[str, Region]
    messages: Messages
    overrides: tuple[ClinicOverride, ...] = ()
    conditions: Mapping[str, Condition] = field(default_factory=dict)
    clinic: Clinic = Clinic()

    def exercise(self, name: str) -> Exercise:
        """The exercise of this name. Raises NoExercise, which lists the known names."""
        if name not in self.exercises:
            known = ", ".join(self.exercises)
            raise NoExercise(
                f"there is no exercise {name} in the content, only {known}: write one of them in prescription.toml, "
                f"or bring back its file, exercises/{name}.toml"
            )
        return self.exercises[name]

    def limit_values(self, moved: Mapping[str, float]) -> dict[str, float]:
        """The limits by name; values that the therapist moved are clamped to the hard bounds."""
        if not moved:
            return dict(self._unmoved)
        return {
            limit.name: min(max(moved.get(limit.name, limit.value), limit.low), limit.high) for limit in self.limits
        }

    @cached_property
    def _unmoved(self) -> Mapping[str, float]:
        """The limits of clients for whom none was moved, which are most: a caseload asks for them for each."""
        return {limit.name: min(max(limit.value, limit.low), limit.high) for limit in self.limits}
