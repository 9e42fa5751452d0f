"""A digest of what was read, whole: found by walking through the objects, field by field."""

import os
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from msgspec import Struct

from coach.frozen import FromFile, as_json
from coach.sha256 import sha256


def digest_of(*values: object) -> bytes:
    """The SHA-256 of values: structs, frozen classes, mappings, sequences, bytes and plain values, nested in any way.

    A path counts by its last part, so that a folder can be moved. A function is left out. Raises TypeError for a
    value of any other type.
    """
    digest = sha256()
    add_value(values, digest.update)
    return digest.digest()


def add_value(value: object, update: Callable[[bytes], None]) -> None:
    """Add a value to a digest, each part with its length, so that no two values give the same bytes."""
    if isinstance(value, bytes):
        update(b"%d " % len(value) + value)
    elif isinstance(value, FromFile):
        add_value(as_json(value), update)
    elif isinstance(value, Path):
        add_value(os.fsencode(value.name), update)
    elif value is None or isinstance(value, str | int | float | date):
        add_value(repr(value).encode(), update)
    elif isinstance(value, Mapping):
        update(b"mapping of %d " % len(value))
        for key, item in value.items():
            add_value(key, update)
            add_value(item, update)
    elif isinstance(value, tuple | list):
        update(b"sequence of %d " % len(value))
        for item in value:
            add_value(item, update)
    elif isinstance(value, Struct):
        for name in value.__struct_fields__:
            add_value(getattr(value, name), update)
    elif not callable(value):
        raise TypeError(f"no fingerprint of {type(value).__name__}")
