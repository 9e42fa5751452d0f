"""A sealed file tells nothing without its key, and one that is torn, altered or none at all is refused in words."""

import os
import random
import re
import tracemalloc
import zlib
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from coach.exchange import parcel as parcels
from coach.exchange.own_keys import OwnKeys
from coach.exchange.parcel import Parcel, unpacked
from coach.exchange.sealed_file import MOST_BYTES, PADDED_TO, open_sealed, read_sealed, seal
from coach.toml.diagnostic import FileFault
from tests.exchange.machines import NOW, clinic_and_home, put

_HEAD = len(b"steady-arc sealed 1\n0123456789abcdef\n")
_SEALED = 48  # what a sealed box adds: the sender's passing key, and what shows that nothing was altered


@pytest.fixture(scope="module")
def sender() -> OwnKeys:
    """Keys of who writes."""
    return OwnKeys.new()


@pytest.fixture(scope="module")
def receiver() -> OwnKeys:
    """Keys of who reads."""
    return OwnKeys.new()


def reason(action: Callable[[], object]) -> str:
    """Why something is refused."""
    with pytest.raises(FileFault) as refused:
        action()
    return str(refused.value)


def open_bytes(tmp_path: Path, data: bytes, receiver: OwnKeys) -> object:
    """What is in a file."""
    return open_sealed(read_sealed(put(tmp_path, "a", data)), receiver)


def test_what_was_sealed_is_opened(tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    opened = open_sealed(read_sealed(put(tmp_path, "a", seal(b"hello", sender, receiver.public))), receiver)
    assert (opened.message, opened.signer) == (b"hello", sender.public.verify)


def test_it_tells_its_size_in_steps_and_for_whom_it_is_and_nothing_else(sender: OwnKeys, receiver: OwnKeys) -> None:
    """Two files of one text have nothing in common but their heads: they cannot even be told to say the same."""
    draw = random.Random(1)
    text = b"Anna Musterfrau " * 200
    first, again = (seal(text, sender, receiver.public) for _ in range(2))
    assert first[:_HEAD] == again[:_HEAD] == f"steady-arc sealed 1\n{receiver.public.key_id}\n".encode()
    same = sum(one == other for one, other in zip(first[_HEAD:], again[_HEAD:], strict=True))
    assert same / (len(first) - _HEAD) < 0.02  # by chance one byte of 256
    for said in (b"Anna", bytes.fromhex(sender.public.verify), bytes.fromhex(sender.public.seal)):
        assert said not in first
    sizes = {len(seal(draw.randbytes(size), sender, receiver.public)) for size in range(0, 3900, 300)}
    assert sizes == {_HEAD + _SEALED + PADDED_TO}


def test_no_name_of_a_file_or_a_client_is_in_what_home_sends(tmp_path: Path) -> None:
    _, home = clinic_and_home(tmp_path, records=True)
    sent = home.send()
    assert len(sent.names) == 6
    for word in (b"records", b"curlew", b"2026", b"toml", b"pain", sent.to.verify.encode()):
        assert word not in sent.data[_HEAD:]


def test_torn_at_every_byte_it_is_refused(tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    whole = seal(b"hello", sender, receiver.public)
    for length in (*range(_HEAD + 120), *range(_HEAD + 120, len(whole), 61), len(whole) - 1):
        said = reason(partial(open_bytes, tmp_path, whole[:length], receiver))
        assert "torn" in said if length >= _HEAD else "no sealed file" in said


def test_altered_at_any_byte_it_is_refused(tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    whole = seal(b"hello", sender, receiver.public)
    for at in (*range(_HEAD + 120), *range(_HEAD + 120, len(whole), 61), len(whole) - 1):
        altered = bytearray(whole)
        altered[at] ^= 1
        if at < _HEAD - 18 or at >= _HEAD:  # the key id says only for whom it is
            said = reason(partial(open_bytes, tmp_path, bytes(altered), receiver))
            assert re.search("altered|no sealed file|written by a", said)


def test_sealed_for_somebody_else_it_stays_closed(tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    assert "altered" in reason(lambda: open_bytes(tmp_path, seal(b"x", sender, sender.public), receiver))


def test_a_signature_of_somebody_else_does_not_fit(tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    """The sender's public part with the signature of another."""
    from nacl.bindings import sodium_pad
    from nacl.public import PublicKey, SealedBox
    from nacl.signing import SigningKey

    forged = bytes.fromhex(sender.public.verify) + bytes(SigningKey(receiver.signing).sign(b"hello"))
    box = SealedBox(PublicKey(bytes.fromhex(receiver.public.seal))).encrypt(sodium_pad(forged, PADDED_TO))
    head = f"steady-arc sealed 1\n{receiver.public.key_id}\n".encode()
    assert "altered" in reason(lambda: open_bytes(tmp_path, head + box, receiver))


@pytest.mark.parametrize(("number", "said"), [(2, "a newer Steady Arc"), (0, "an older Steady Arc")])
def test_another_format_is_named(number: int, said: str, tmp_path: Path, sender: OwnKeys, receiver: OwnKeys) -> None:
    data = seal(b"hello", sender, receiver.public).replace(b"sealed 1", b"sealed %d" % number, 1)
    assert said in reason(lambda: open_bytes(tmp_path, data, receiver))
    parcel = zlib.compress(b'{"format": %d, "unheard": 1}' % number)
    assert said in reason(lambda: unpacked(tmp_path, parcel))


def test_a_hundred_megabytes_of_zeros_are_not_read(tmp_path: Path) -> None:
    large, small = tmp_path / "large.sealed", tmp_path / "small.sealed"
    for path, size in ((large, 100 * 2**20), (small, MOST_BYTES)):
        with path.open("wb") as file:
            os.truncate(file.fileno(), size)
    tracemalloc.start()
    assert "larger than 16 MiB" in reason(lambda: read_sealed(large))
    assert "no sealed file" in reason(lambda: read_sealed(small))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 2**20


def test_what_would_unpack_to_a_hundred_megabytes_is_refused(tmp_path: Path) -> None:
    packed_zeros = zlib.compress(bytes(100 * 2**20), 9)
    tracemalloc.start()
    assert "larger than 16 MiB" in reason(lambda: unpacked(tmp_path, packed_zeros))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 3 * parcels.MOST_BYTES


@pytest.mark.parametrize(
    "inside", [b"", b"[]", b"null", b'{"format": 1}', b'{"a":' * 3000, b"\xff", b'{"format": true}']
)
def test_what_is_signed_and_no_letter_is_refused(inside: bytes, tmp_path: Path) -> None:
    assert "cannot be read as a parcel" in reason(lambda: unpacked(tmp_path, zlib.compress(inside)))


def test_what_is_signed_and_not_packed_or_cut_off_is_refused(tmp_path: Path) -> None:
    assert "cannot be read as a parcel" in reason(lambda: unpacked(tmp_path, b"[]"))
    assert "is cut off" in reason(lambda: unpacked(tmp_path, zlib.compress(b"[]" * 100)[:-3]))


def test_a_folder_or_a_pipe_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.sealed")
    assert "not an ordinary file" in reason(lambda: read_sealed(tmp_path / "pipe.sealed"))
    assert "not an ordinary file" in reason(lambda: read_sealed(tmp_path))
    assert "no such file" in reason(lambda: read_sealed(tmp_path / "none.sealed"))


def _parcel(sender: OwnKeys) -> Parcel:
    return Parcel(client="0" * 32, sender=sender.public, receiver="0" * 64, number=1, knows=0, at=NOW)
