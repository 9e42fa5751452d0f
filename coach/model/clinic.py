"""What a clinic says of itself, in clinic.toml of its folder."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.band import BandGrade
from coach.model.base import Frozen, Line


class Clinic(Frozen):
    """clinic.toml: what stands on handouts and letters, and how dates and numbers are written."""

    format: Literal[1] = 1
    name: Line | None = Field(default=None, description="the clinic as it stands at the head of a letter")
    address: Annotated[tuple[Line, ...], Field(max_length=4)] = Field(
        default=(), description="the lines below the name at the head of a letter"
    )
    phone: Line | None = Field(default=None, description="the number that clients and referrers ring")
    dates: Literal["day first", "month first"] | None = Field(
        default=None,
        description="how a date such as 4.3.2026 is typed here; without it, it is asked for with the year first",
    )
    locale: Annotated[str, Field(pattern=r"^[a-z]{2}_[A-Z]{2}$")] | None = Field(
        default=None,
        description="language and country, such as de_DE: the decimal mark and the separator of tables for a "
        "spreadsheet, and the dates of a letter",
    )
    bands: tuple[BandGrade, ...] = Field(
        default=(), description="the clinic's shelf: rolls measured once, of which clients get pieces by name"
    )
