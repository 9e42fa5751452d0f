"""SHA-256 without OpenSSL gives what hashlib gives."""

import hashlib
import subprocess
import sys

import pytest

from coach.sha256 import _own, sha256

ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"  # FIPS 180-2, appendix B.1 (from memory)


@pytest.mark.parametrize("size", [0, 3, 64, 1_000_000])
def test_it_is_the_hash_that_the_standard_library_gives(size: int) -> None:
    data = bytes(index % 251 for index in range(size))
    whole, parts = sha256(data), _own()(data[:2])
    parts.update(data[2:])
    assert whole.hexdigest() == parts.hexdigest() == hashlib.sha256(data).hexdigest()
    assert sha256(b"abc").hexdigest() == ABC


@pytest.mark.parametrize(("size", "loaded"), [(600_000, False), (800_000, True)])
def test_openssl_is_loaded_where_much_is_hashed(size: int, loaded: bool) -> None:
    code = f"""
import sys
from coach.sha256 import sha256
for _ in range(8):
    sha256(bytes({size // 8}))
print("_hashlib" in sys.modules, sha256(b"abc").hexdigest())
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(loaded), ABC]
