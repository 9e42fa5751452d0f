"""An exercise and its arm positions: geometry and what is asked, free of any language."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Annotated, Literal

from msgspec.structs import force_setattr

from coach.frozen import Bounds, Field, check
from coach.model.base import Frozen, Line, Name, PositionDeg, named_position, position_in_words
from coach.model.no_session import NoSession
from coach.model.option_names import Direction

Landmark = Literal["floor", "knee", "hip", "elbow", "shoulder", "eye"]
BandRuns = Literal["level", "downward"]
"""External and internal rotation about the upper arm; the straight arm raised or lowered about the shoulder; the hand
pulled to the side of the trunk or pressed forward from it on a level line."""
Coordinate = Literal["angle", "path"]
"""What a motion is counted in: degrees, with a load in newton metres; or centimetres, with a load in newtons."""
LoadUnit = Literal["Nm", "N"]
LOAD_UNITS: Mapping[Coordinate, LoadUnit] = MappingProxyType({"angle": "Nm", "path": "N"})
AnchorKind = Literal["fixed", "foot"]
AnchorSide = Literal["other", "exercising"]
Mark = Literal["read", "abstract", "second hand", "memory", "ours", "common practice", "computed"]


def coordinate_of(direction: Direction) -> Coordinate:
    """What a motion in this direction is counted in."""
    return "path" if direction in ("pull", "press") else "angle"


class NoPosition(NoSession):
    """An exercise has no arm position of this name."""


class NoExercise(ValueError):
    """There is no exercise of this name."""


class Position(Frozen):
    """One arm position and the motion made in it, along one coordinate that grows in the direction of the exercise.

    A rotation is counted in degrees, 0 with the forearm pointing forward. The straight arm is counted in degrees from
    where it begins: hanging, or at shoulder height. A pull or press is counted in centimetres, 0 where it begins.
    """

    name: Name = Field(
        default="",
        description="what it is called in every other file; without it, its abduction_deg. Two positions at one "
        "abduction need names of their own",
    )
    abduction_deg: PositionDeg = Field(
        description="how far the upper arm is lifted: 0 at the side to 90 at shoulder height; "
        "for a motion that moves the upper arm, as it is with the arm at the side: 0"
    )
    direction: Direction = Field(
        description="the motion that the band resists: external or internal rotation; raise or lower the straight "
        "arm; pull or press the hand along a level line"
    )
    plane_deg: Annotated[float, Bounds(ge=0, le=90)] = Field(
        description="plane of elevation: 0 frontal, 30 scapular, 90 sagittal; 90 for pull and press"
    )
    elbow_gap_cm: Annotated[float, Bounds(ge=0, le=15)] = Field(
        default=0, description="width of the gap kept between elbow and trunk, with the arm at the side"
    )
    arc_start_deg: Annotated[float, Bounds(ge=-90, le=90)] = Field(
        description="start of the arc, in degrees; in centimetres for a path"
    )
    available_deg: Annotated[float, Bounds(ge=0, le=120)] = Field(
        description="available range where the therapist has not measured it, in degrees; in centimetres for a path"
    )
    available_source: Line = Field(description="where the available range comes from")
    anchor: AnchorKind = Field(
        default="fixed", description="fixed: to something at home; foot: the client stands on the band"
    )
    anchor_side: AnchorSide = Field(description="the side of the client on which the anchor is")
    anchor_landmark: Landmark = Field(description="anchor height where the therapist has not fixed one")
    band_runs: BandRuns | None = Field(
        default=None, description="how the band must run to the anchor at the start of the arc; None: any way"
    )
    body_turn_deg: Annotated[float, Bounds(ge=0, le=180)] = Field(description="90 side-on, 0 facing the anchor")
    setup_source: Line = Field(description="where the setup comes from")
    checks: tuple[Name, ...] = Field(description="checks before the first repetition, in order")
    questions: tuple[Name, ...] = Field(
        description="form questions in order: the first `form_each_set` after every set, the others take turns"
    )
    later: tuple[Name, ...] = Field(
        default=(),
        description="those of the questions that are shown and asked one by one once the others are known: until a "
        "client was shown one, nothing waits for it",
    )

    @check
    def _named_by_its_degrees(self) -> None:
        if not self.name:
            force_setattr(self, "name", str(self.abduction_deg))

    @property
    def coordinate(self) -> Coordinate:
        """Whether the motion is counted as an angle in degrees or as a path in centimetres."""
        return coordinate_of(self.direction)

    @property
    def in_words(self) -> str:
        """The position in the words of an error message."""
        return position_in_words(self.name)

    @property
    def key_of_name(self) -> Literal["abduction_deg", "name"]:
        """The key that gives the position its name in the file."""
        return "abduction_deg" if self.name == str(self.abduction_deg) else "name"

    @property
    def rotates(self) -> bool:
        """Whether the motion is a rotation about the upper arm."""
        return self.direction in ("external", "internal")

    @property
    def load_unit(self) -> LoadUnit:
        """The unit of the load along the coordinate."""
        return LOAD_UNITS[self.coordinate]

    @check
    def _moves_from_the_side(self) -> None:
        if self.abduction_deg and not self.rotates:
            raise ValueError(
                f"abduction_deg is {self.abduction_deg}, and {self.direction} moves the upper arm: write 0, "
                "and say where the arc starts with arc_start_deg"
            )
        if self.arc_start_deg < 0 and not self.rotates:
            raise ValueError(f"arc_start_deg is below 0, where {self.direction} begins: write 0 or more")

    @check
    def _stands_on_the_band(self) -> None:
        if self.anchor == "foot" and (self.anchor_landmark, self.anchor_side) != ("floor", "exercising"):
            raise ValueError(
                'anchor = "foot" is the foot of the exercising side on the floor: write '
                'anchor_landmark = "floor" and anchor_side = "exercising"'
            )

    @check
    def _gap_at_the_side(self) -> None:
        if self.elbow_gap_cm and not self.rotates:
            raise ValueError(f"elbow_gap_cm belongs to a rotation, not to {self.direction}: take the line out")
        if self.elbow_gap_cm and self.abduction_deg:
            raise ValueError(
                f"elbow_gap_cm belongs to the arm at the side, and this position lifts it to {self.abduction_deg} "
                "degrees: take the line out"
            )

    @check
    def _asks_what_comes_later(self) -> None:
        other = next((name for name in self.later if name not in self.questions), None)
        if other is not None:
            raise ValueError(f"later names {other}, which is not in questions: add it there too, or take it out here")

    @check
    def _ends_beyond_its_start(self) -> None:
        if self.available_deg <= self.arc_start_deg:
            raise ValueError("available_deg is not beyond arc_start_deg, where the arc starts: write a larger one")


class Exercise(Frozen):
    """One exercise; its positions in the order in which the trade takes them."""

    format: Literal[1]
    name: Name = Field(description="the name of the file")
    positions: Annotated[tuple[Position, ...], Bounds(min_length=1)] = Field(
        description="arm positions in the order in which the trade takes them"
    )

    def position(self, name: Name) -> Position:
        """The position of this name. Raises NoPosition if the exercise has none."""
        for position in self.positions:
            if position.name == name:
                return position
        raise NoPosition(f"{self.name} has no {named_position(name)}, only {', '.join(self.position_names)}")

    @property
    def position_names(self) -> tuple[Name, ...]:
        """The names of the positions, in order."""
        return tuple(position.name for position in self.positions)

    def is_above(self, name: Name, other: Name) -> bool:
        """Whether the arm is lifted higher in a position than in another.

        A name that is no position is taken for its degrees, or for the arm at the side:
        such a cap lets nothing higher.
        """
        return self._lifted_deg(name) > self._lifted_deg(other)

    def _lifted_deg(self, name: Name) -> int:
        named = (position.abduction_deg for position in self.positions if position.name == name)
        return next(named, int(name) if name.isdecimal() else 0)
