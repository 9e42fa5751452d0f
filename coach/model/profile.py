"""Who the client is, what was measured, and what stands at home. Pseudonyms only."""

from datetime import date
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from coach.model.band import BandGrade
from coach.model.base import Frozen, Name, PositionDeg
from coach.model.exercise import Direction
from coach.model.theme_name import ThemeName


class Lengths(Frozen):
    """Measured lengths; what is missing is taken from published fractions of stature."""

    shoulder_height_m: Annotated[float, Field(gt=0.5, lt=2.2)] | None = None
    half_biacromial_m: Annotated[float, Field(gt=0.08, lt=0.35)] | None = None
    upper_arm_m: Annotated[float, Field(gt=0.15, lt=0.5)] | None = None
    grip_lever_m: Annotated[float, Field(gt=0.15, lt=0.5)] | None = None
    foot_m: Annotated[float, Field(gt=0.15, lt=0.4)] | None = None


class AvailableRange(Frozen):
    """How far the client rotates with no band, in one position and one direction."""

    position_deg: PositionDeg
    direction: Direction = "external"
    available_deg: Annotated[float, Field(ge=5, le=120)]
    on: date


class Strength(Frozen):
    """Maximal isometric rotation in one position and one direction: a force at a lever."""

    position_deg: PositionDeg
    direction: Direction = "external"
    force_n: Annotated[float, Field(gt=0, le=500)]
    lever_m: Annotated[float, Field(gt=0.1, le=0.5)]
    on: date


class Home(Frozen):
    """Where the client can fix the band and stand."""

    anchor_heights_cm: Annotated[tuple[int, ...], Field(min_length=1)]
    nearest_cm: Annotated[int, Field(ge=20, le=500)]
    farthest_cm: Annotated[int, Field(ge=20, le=500)]
    mark_every_cm: Annotated[int, Field(ge=1, le=50)] = 5
    strands: Annotated[tuple[Literal[1, 2], ...], Field(min_length=1)] = (1,)

    @model_validator(mode="after")
    def _near_before_far(self) -> Self:
        if self.farthest_cm < self.nearest_cm:
            raise ValueError("farthest_cm is nearer than nearest_cm: swap them")
        for height in self.anchor_heights_cm:
            if not 0 <= height <= 300:
                raise ValueError(f"an anchor at {height} cm is outside 0 to 300 cm")
        return self


class SoundSettings(Frozen):
    """What the client wants to hear in a session; everything heard is on the screen as well."""

    tones: bool = True
    voice: bool = False


class Profile(Frozen):
    """profile.toml: one client."""

    format: Literal[1]
    name: Name
    side: Literal["left", "right"]
    language: Annotated[str, Field(pattern=r"^[a-z]{2}$")] = "en"
    stature_m: Annotated[float, Field(ge=1.0, le=2.3)]
    mass_kg: Annotated[float, Field(ge=25, le=250)]
    fractions: Literal["women", "men", "both"] = Field(
        default="both", description="whose published body fractions stand in for lengths not measured"
    )
    lengths: Lengths = Lengths()
    ranges: tuple[AvailableRange, ...] = ()
    strengths: tuple[Strength, ...] = ()
    home: Home
    bands: Annotated[tuple[BandGrade, ...], Field(min_length=1)]
    sound: SoundSettings = SoundSettings()
    theme: ThemeName = Field(default="dusk", description="dark, light, or with high contrast")

    @model_validator(mode="after")
    def _one_band_a_name(self) -> Self:
        names = [band.name for band in self.bands]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"two bands are called {name}: give each its own name")
        return self

    def available_deg(self, position_deg: int, direction: Direction) -> float | None:
        """The newest measured available range in a position and direction, or None where nobody measured it."""
        here = (position_deg, direction)
        measured = [range_ for range_ in self.ranges if (range_.position_deg, range_.direction) == here]
        return max(measured, key=lambda range_: range_.on).available_deg if measured else None

    def with_bands(self, names: tuple[str, ...]) -> "Profile":
        """The client with only these of the bands at home; with all of them where none is named."""
        return self.model_copy(
            update={"bands": tuple(band for band in self.bands if not names or band.name in names)}
        )
