"""What a computer at home knows of the clinic, kept next to its keys and outside of the client's folder."""

from collections.abc import Container
from pathlib import Path
from typing import Annotated, Literal

from platformdirs import user_state_path

from coach.exchange.other_side import OtherSide
from coach.exchange.parcel import Parcel
from coach.exchange.public_keys import ClientId, KeyText
from coach.frozen import Bounds, Field
from coach.model.base import Frozen
from coach.store.client_paths import PROFILE
from coach.toml.atomic_write import make_folder, replace_file
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

_COMMENT = "The clinic's keys, and what was sent and taken. Written by the program."


class HomeBook(Frozen):
    """The clinic, the code for it until it has answered, and the keys of it that are no longer good."""

    format: Literal[1] = 1
    client: ClientId
    clinic: OtherSide
    code: str | None = None
    no_longer_good: tuple[KeyText, ...] = ()
    profile: Annotated[int, Bounds(ge=0)] = Field(
        default=0, description="the number of the parcel that profile.toml came with"
    )

    def with_clinic(self, clinic: OtherSide, parcel: Parcel, new: Container[str]) -> "HomeBook":
        """The same after a parcel of the clinic was taken: the code is no longer needed."""
        profile = parcel.number if PROFILE in new else self.profile
        return self.model_copy(update={"clinic": clinic, "code": None, "profile": profile})


def home_book_path(client: ClientId) -> Path:
    """Where the book of this computer is for a client."""
    return user_state_path("steady-arc", appauthor=False) / "exchange" / f"{client}.toml"


def read_home_book(client: ClientId) -> HomeBook | None:
    """The book of this computer for a client, None where it has none. Raises FileFault."""
    path = home_book_path(client)
    return read_model(path, HomeBook) if is_there(path) else None


def save_home_book(book: HomeBook) -> None:
    """Replace the book, completely or not at all. Raises OSError."""
    path = home_book_path(book.client)
    make_folder(path.parent)
    replace_file(path, dump({"format": 1} | book.model_dump(exclude_none=True, exclude_defaults=True), _COMMENT))
