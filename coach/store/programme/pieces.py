"""The bands that a client has from the clinic's shelf: pieces of rolls, which are measured once in clinic.toml."""

from pathlib import Path
from typing import TYPE_CHECKING

from coach.content_files.clinic_limits import CLINIC, read_clinic
from coach.model.band import BandGrade, BandPiece, BandPoint, EarlierMeasurement
from coach.model.profile import Profile
from coach.store.client_paths import clinic_of
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_model

if TYPE_CHECKING:
    from coach.toml.source_file import SourceFile

_DIGITS = 4


def read_profile(path: Path) -> Profile:
    """The profile in a client's folder, with its pieces among the bands. Raises FileFault."""
    profile = read_model(path, Profile)
    if not profile.pieces:
        return profile
    from coach.toml.source_file import SourceFile

    return with_pieces(profile, SourceFile(path))


def with_pieces(profile: Profile, source: "SourceFile") -> Profile:
    """The profile with each piece among its bands, as the roll was measured when the client got it.

    `source` is profile.toml in the client's folder. Raises FileFault for a roll that the clinic does not have.
    """
    if not profile.pieces:
        return profile
    rolls = {roll.name: roll for roll in read_clinic(clinic_of(source.path.parent)).bands}
    faults = [
        source.unknown_value(
            ("pieces", index, "roll"), f"{CLINIC} has no band called {piece.roll}", piece.roll, list(rolls)
        )
        for index, piece in enumerate(profile.pieces)
        if piece.roll not in rolls
    ]
    if faults:
        raise FileFault(faults)
    cut = tuple(band_of(piece, rolls[piece.roll]) for piece in profile.pieces)
    return profile.model_copy(update={"bands": (*profile.bands, *cut), "pieces": ()})


def band_of(piece: BandPiece, roll: BandGrade) -> BandGrade:
    """A piece as a band of the client.

    It has the measurement of the roll that was the newest on the day on which the client got it, and its use is
    counted from that day. Tension depends on elongation and not on the resting length (A5), so each point of the roll
    is one of the piece at a length in proportion.
    """
    known: list[EarlierMeasurement | BandGrade] = [*roll.earlier, roll]
    before = [one for one in known if one.measured_on is None or one.measured_on <= piece.given_on]
    measured = before[-1] if before else known[0]
    length_m = piece.resting_length_m or measured.resting_length_m
    share = length_m / measured.resting_length_m
    points = tuple(
        BandPoint(length_m=round(one.length_m * share, _DIGITS), force_n=one.force_n) for one in measured.points
    )
    return BandGrade(
        name=piece.called,
        looks=piece.looks or roll.looks,
        resting_length_m=length_m,
        measured_on=piece.given_on,
        latex_free=roll.latex_free,
        points=points,
    )
