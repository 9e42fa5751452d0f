"""Who the client is, what was measured, and what stands at home. Pseudonyms only."""

from datetime import date
from typing import Annotated, Literal, get_args

from coach.frozen import Bounds, Field, check, form
from coach.model.band import BandGrade, BandPiece
from coach.model.base import Frozen, Line, Name, PositionName, Side
from coach.model.condition import ClientCondition, Irritability
from coach.model.exercise import coordinate_of
from coach.model.option_names import Direction, SignChoice, ThemeName


class Lengths(Frozen):
    """Measured lengths; what is missing is taken from published fractions of stature."""

    shoulder_height_m: Annotated[float, Bounds(gt=0.5, lt=2.2)] | None = Field(
        default=None, description="floor to the middle of the shoulder, standing"
    )
    half_biacromial_m: Annotated[float, Bounds(gt=0.08, lt=0.35)] | None = Field(
        default=None, description="from the middle of the chest to the outer end of one shoulder"
    )
    upper_arm_m: Annotated[float, Bounds(gt=0.15, lt=0.5)] | None = Field(
        default=None, description="shoulder to elbow"
    )
    grip_lever_m: Annotated[float, Bounds(gt=0.15, lt=0.5)] | None = Field(
        default=None, description="elbow to the middle of the closed hand"
    )
    foot_m: Annotated[float, Bounds(gt=0.15, lt=0.4)] | None = Field(
        default=None, description="one foot length; distances are told in these"
    )


AvailableDeg = Annotated[float, Bounds(ge=0, le=120)]


class AvailableRange(Frozen):
    """How far the client moves with no band, in one position and one direction.

    The key is available_deg for every motion of format 1; of a path it holds centimetres.
    """

    position: PositionName = Field(description="the position it was measured in")
    direction: Direction = Field(
        default="external", description="which way: external, outward; internal, inward; raise, lower, pull, press"
    )
    available_deg: AvailableDeg = Field(
        description="rotation with no band, from the forearm pointing forward; of a raise or lowering, degrees "
        "from where it begins; of a pull or press, centimetres of the hand's way"
    )
    side: Side | None = Field(default=None, description="the shoulder; without it, that of the profile")
    on: date = Field(description="the day it was measured")


def refuse_wrong_lever(direction: Direction, lever_m: float | None) -> None:
    """Refuse a lever that does not go with a strength in this direction. Raises ValueError."""
    path = coordinate_of(direction) == "path"
    if path and lever_m is not None:
        raise ValueError(f"lever_m is not used for a {direction}, whose strength is a force: take it out")
    if not path and lever_m is None:
        raise ValueError(f"lever_m is missing: the strength of {direction} is a force at a lever")
    if direction in ("external", "internal") and lever_m is not None and lever_m > 0.5:
        raise ValueError(f"lever_m is {lever_m:g}, longer than a forearm: write at most 0.5")


ForceN = Annotated[float, Bounds(gt=0, le=500)]
LeverM = Annotated[float, Bounds(gt=0.1, le=0.9)]


class Strength(Frozen):
    """Maximal isometric strength in one position and one direction: a force at a lever, or a force along a path."""

    position: PositionName = Field(description="the position it was measured in")
    direction: Direction = Field(
        default="external", description="which way: external, outward; internal, inward; raise, lower, pull, press"
    )
    force_n: ForceN = Field(description="the force on the scale, newtons")
    lever_m: LeverM | None = Field(
        default=None,
        description="from the elbow to where the scale pulled; of a raise or lowering, from the shoulder; "
        "of a pull or press none",
    )
    side: Side | None = Field(default=None, description="the shoulder; without it, that of the profile")
    on: date = Field(description="the day it was measured")

    @check
    def _lever_of_an_angle(self) -> None:
        refuse_wrong_lever(self.direction, self.lever_m)

    @property
    def load(self) -> float:
        """The strength as a load along the motion: newton metres, or newtons of a path."""
        return self.force_n if self.lever_m is None else self.force_n * self.lever_m


class Home(Frozen):
    """Where the client can fix the band and stand."""

    anchor_heights_cm: Annotated[tuple[Annotated[int, Bounds(ge=0, le=300)], ...], Bounds(min_length=1)] = Field(
        description="every height at which the band can be fixed"
    )
    nearest_cm: Annotated[int, Bounds(ge=20, le=500)] = Field(
        description="nearest the client can stand to the anchor"
    )
    farthest_cm: Annotated[int, Bounds(ge=20, le=500)] = Field(
        description="farthest the client can stand from the anchor"
    )
    mark_every_cm: Annotated[int, Bounds(ge=1, le=50)] = Field(
        default=5, description="steps between the marks on the floor"
    )
    strands: Annotated[tuple[Literal[1, 2], ...], Bounds(min_length=1)] = Field(
        default=(1,), description="how the client can hold a band: 1 strand, 2 strands, or both"
    )

    underfoot_least_cm: Annotated[int, Bounds(ge=5, le=60)] = Field(
        default=10, description="least length of band under the foot where the client stands on it: a shoe's width"
    )
    underfoot_every_cm: Annotated[int, Bounds(ge=1, le=20)] = Field(
        default=2, description="steps between the marks on the band for the length underfoot"
    )

    @check
    def _near_before_far(self) -> None:
        if self.farthest_cm < self.nearest_cm:
            raise ValueError("farthest_cm is nearer than nearest_cm: swap them")


class SoundSettings(Frozen):
    """What the client wants to hear in a session; everything heard is on the screen as well."""

    tones: bool = Field(default=True, description="a tone for each phase")
    voice: bool | None = Field(
        default=None,
        description="pages are also said, where the machine can speak; without this key on screens only",
    )
    piped: bool = Field(
        default=False,
        description="tones and voice also where the plain mode writes into a pipe and not on a terminal",
    )


Weekday = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
WEEKDAYS: tuple[Weekday, ...] = get_args(Weekday)


class TrainingPlan(Frozen):
    """When and where the client means to train, in their words, and what they do if something comes between.

    If-then plans help people to exercise: SMD 0.31 (0.11-0.51), Belanger-Gravel A et al. 2013 (abstract).
    """

    days: tuple[Weekday, ...] = Field(default=(), description="the client's own days")
    at: Annotated[str, form(r"^([01]\d|2[0-3]):[0-5]\d$")] | None = Field(
        default=None, description="the time of day, such as 18:00; without it, calendar entries last the whole day"
    )
    when: Line | None = Field(default=None, description="when, in the client's words: after breakfast")
    where: Line | None = Field(default=None, description="where, in the client's words")
    if_not: Line | None = Field(default=None, description="what the client does if it cannot be done then")
    on: date | None = Field(default=None, description="the day on which the client said it, or kept it, last")


class TrainingPlanFile(TrainingPlan):
    """plan.toml: the plan as the client said it last; it replaces that of profile.toml."""

    format: Literal[1] = 1


class Profile(Frozen):
    """profile.toml: one client."""

    format: Literal[1]
    name: Name = Field(description="a pseudonym")
    side: Side = Field(description="the shoulder that is trained, where the programme names no other")
    language: Annotated[str, form(r"^[a-z]{2}$")] = Field(default="en", description="a language of the content")
    stature_m: Annotated[float, Bounds(ge=1.0, le=2.3)] = Field(description="standing height")
    mass_kg: Annotated[float, Bounds(ge=25, le=250)] = Field(description="body mass")
    fractions: Literal["women", "men", "both"] = Field(
        default="both", description="whose published body fractions stand in for lengths not measured"
    )
    lengths: Lengths = Field(
        default=Lengths(),
        description="measured lengths; those not given are taken from published fractions of stature",
    )
    ranges: tuple[AvailableRange, ...] = Field(default=(), description="measured available ranges")
    strengths: tuple[Strength, ...] = Field(default=(), description="measured strength")
    home: Home = Field(description="where the band can be fixed, and where there is room to stand")
    bands: Annotated[tuple[BandGrade, ...], Bounds(min_length=1)] = Field(
        default=(), description="the bands on the shelf, each with its measured points"
    )
    pieces: tuple[BandPiece, ...] = Field(
        default=(), description="bands of the clinic's shelf that the client has a piece of"
    )
    sound: SoundSettings = SoundSettings()
    plan: TrainingPlan | None = Field(
        default=None, description="when and where the client means to train, as said at intake; plan.toml replaces it"
    )
    condition: tuple[ClientCondition, ...] = Field(
        default=(), description="what closes, caps or asks something: each a kind of conditions.toml, with its day"
    )
    irritability: Irritability | None = Field(
        default=None, description="how irritable the shoulder is, as the therapist judged it"
    )
    theme: ThemeName = Field(default="dusk", description="dark, light, or with high contrast")
    signs: SignChoice = Field(
        default="auto",
        description="what drawings are made of; auto: the finest signs that the terminal is known to draw itself",
    )

    @check
    def _one_band_a_name(self) -> None:
        names = [*(band.name for band in self.bands), *(piece.called for piece in self.pieces)]
        if not names:
            raise ValueError("bands is missing: add a table [[bands]], or [[pieces]] of the clinic's shelf")
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"two bands are called {name}: give each its own name")

    def available_deg(self, position: Name, direction: Direction) -> float | None:
        """The newest measured available range in a position and direction, or None where nobody measured it."""
        here = (position, direction)
        measured = [range_ for range_ in self.ranges if (range_.position, range_.direction) == here]
        return max(measured, key=lambda range_: range_.on).available_deg if measured else None

    def on_side(self, side: Side) -> "Profile":
        """The client as measured on one side, which is then the one that is trained."""
        ranges = tuple(one for one in self.ranges if (one.side or self.side) == side)
        strengths = tuple(one for one in self.strengths if (one.side or self.side) == side)
        return self.model_copy(update={"side": side, "ranges": ranges, "strengths": strengths})

    @property
    def measured_on(self) -> dict[str, date]:
        """The day on which each band was measured, by its name, where that was noted."""
        return {band.name: band.measured_on for band in self.bands if band.measured_on is not None}

    def with_bands(self, names: tuple[str, ...]) -> "Profile":
        """The client with only these of the bands at home; with all of them where none is named."""
        return self.model_copy(
            update={"bands": tuple(band for band in self.bands if not names or band.name in names)}
        )
