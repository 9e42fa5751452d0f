"""What a sealed file is, opened with the library and what Python brings along, and with nothing of this program."""

import json
import tomllib
import zlib
from pathlib import Path

from nacl.bindings import sodium_unpad
from nacl.public import PrivateKey, SealedBox
from nacl.signing import VerifyKey

from tests.exchange.machines import clinic_and_home, put


def test_a_sealed_file_is_opened_by_hand(tmp_path: Path) -> None:
    clinic, home = clinic_and_home(tmp_path, records=True)
    file = put(tmp_path / "post", "a", home.send().data)
    keys = tomllib.loads((clinic.state / "steady-arc" / "keys" / "clinic.toml").read_text())

    kind, _, box = file.read_bytes().split(b"\n", 2)
    padded = SealedBox(PrivateKey(bytes.fromhex(keys["opening"]))).decrypt(box)
    signed = sodium_unpad(padded, 4096)
    message = VerifyKey(signed[:32]).verify(signed[32:])
    parcel = json.loads(zlib.decompress(message))

    assert kind == b"steady-arc sealed 1"
    assert parcel["sender"]["verify"] == signed[:32].hex()
    assert parcel["receiver"] == keys["verify"]
    assert parcel["number"] == 1
    assert parcel["files"] == {f"records/{one.name}": one.read_text() for one in (home.client / "records").iterdir()}
