"""What was signed since progress.toml was derived, so that it is missed where it is lost before the next session."""

from contextlib import suppress
from pathlib import Path

from msgspec.structs import replace

from coach.store.programme.prescribed import read_prescribed
from coach.store.records.record_damage import FINGERPRINT, Seal, read_seal
from coach.toml.atomic_write import replace_file


def list_signed(path: Path) -> None:
    """Add to a client's seal what is signed and not listed yet, and the version that holds.

    Only for the holder of the lock. progress.toml stays as it is, and so does what the seal says of it: the next
    session applies what was signed. Where nothing can be written the instruction is signed all the same.
    """
    prescribed = read_prescribed(path, [])
    if prescribed is None:
        return
    seal = read_seal(path) or Seal("", "")
    signed = prescribed.instructions if prescribed.programme is not None else prescribed.prescription.sign_offs
    later = seal.later | ({one.at.isoformat() for one in signed} - seal.signed)
    with suppress(OSError):
        listed = replace(seal, later=frozenset(later), prescribed=max(seal.prescribed, prescribed.path.name))
        replace_file(path / FINGERPRINT, listed.as_text())
