"""The content of a content folder in one language."""

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from msgspec import Struct, field

from coach.model.condition import Condition, ConditionsMessages
from coach.model.content_entries import Check, Clinic, FormQuestion, Limit, Region, Rule, Sign
from coach.model.exercise import Exercise, NoExercise
from coach.model.message_format import fill
from coach.model.messages.client import ClientMessages
from coach.model.messages.entries import ExerciseMessages, FormMessages, RulesMessages, SafetyMessages
from coach.model.option_names import Direction
from coach.value_digest import digest_of

if TYPE_CHECKING:
    from coach.model.messages.coach import CoachMessages
    from coach.model.messages.letter import LetterMessages
    from coach.model.messages.therapist import TherapistMessages


class Gap(Struct, frozen=True):
    """A message that the language lacks and that is shown in the fallback; an empty key means the whole file."""

    file: str
    key: str


class ClinicOverride(Struct, frozen=True):
    """A message or limit that a clinic changed; `shipped` is empty for one that the clinic added."""

    file: str
    key: str
    shipped: str
    override: str


class Messages(Struct, frozen=True):
    """The messages of one language.

    `gaps` are the lines of a session that the language lacks, and `fallback` is the language that they are shown in.
    Those for the therapist, for the coach and of letters are read when first asked for, so that a session does not
    wait for them.
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


def nothing() -> None:
    """Do nothing."""


class Content(Struct, frozen=True, dict=True):
    """A content folder that was read; `keep` keeps it for the next start, or does nothing."""

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
    clinic: Clinic = field(default_factory=Clinic)
    keep: Callable[[], None] = nothing

    def exercise(self, name: str) -> Exercise:
        """The exercise of this name. Raises NoExercise, which lists the known names."""
        if name not in self.exercises:
            known = ", ".join(self.exercises)
            raise NoExercise(
                f"there is no exercise {name} in the content, only {known}: write one of them in prescription.toml, "
                f"or bring back its file, exercises/{name}.toml"
            )
        return self.exercises[name]

    def position_label(self, name: str, exercise: str | None = None) -> str:
        """A position in a sentence: its degrees, where it is named by them, or else its title in the messages.

        Without an exercise, the title is that of the first one with a position of this name.
        """
        change = self.messages.rules.change
        if name.isdecimal():
            return fill(change["position"], {"degrees": name})
        exercises = self.messages.exercises
        for one in exercises if exercise is None else (exercise,):
            if one in exercises and name in exercises[one].position:
                return fill(change["position_named"], {"title": exercises[one].position[name].title})
        return name

    def abduction_deg(self, name: str, direction: Direction) -> int:
        """How far the arm is lifted in a position of this name and direction; 0 where no exercise has it now."""
        positions = (one for exercise in self.exercises.values() for one in exercise.positions)
        same = (one.abduction_deg for one in positions if (one.name, one.direction) == (name, direction))
        return next(same, int(name) if name.isdecimal() else 0)

    def limit_values(self, moved: Mapping[str, float]) -> dict[str, float]:
        """The limits by name; values that the therapist moved are clamped to the hard bounds."""
        if not moved:
            return dict(self._unmoved)
        return {
            limit.name: min(max(moved.get(limit.name, limit.value), limit.low), limit.high) for limit in self.limits
        }

    @cached_property
    def digest(self) -> bytes:
        """A digest of all that was read, for the fingerprint of what follows from it; it is kept with the content."""
        return digest_of(*(getattr(self, name) for name in self.__struct_fields__))

    @cached_property
    def _unmoved(self) -> Mapping[str, float]:
        """The limits of clients for whom none was moved, which are most: a caseload asks for them for each."""
        return {limit.name: min(max(limit.value, limit.low), limit.high) for limit in self.limits}
