"""SHA-256 of what a start reads, without OpenSSL, which takes longer to load than a start takes to hash."""

import sys
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from hashlib import _Hash

    _Make = Callable[[bytes], _Hash]

_OWN = ("_sha2", "_sha256")  # Python's own module, from 3.12 on and before
_FEW_BYTES = 700_000  # from about here on OpenSSL is quicker, its loading included; our own measure


class _Sha256:
    """Makes hashes by Python's own module until much was hashed, or OpenSSL is loaded anyway."""

    def __init__(self) -> None:
        self._make = _own()
        self._left = _FEW_BYTES

    def __call__(self, data: bytes = b"") -> "_Hash":
        """The hash of some bytes, to which more can be added."""
        self._left -= len(data)
        if self._left < 0 or "hashlib" in sys.modules:
            from hashlib import sha256

            self._make = sha256
        return self._make(data)


def _own() -> "_Make":
    for name in _OWN:
        with suppress(ImportError, AttributeError):  # a Python may be built without it
            made: _Make = import_module(name).sha256
            return made
    from hashlib import sha256

    return sha256


sha256 = _Sha256()
