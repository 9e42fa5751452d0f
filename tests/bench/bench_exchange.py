"""Sealing and opening 72 KB of records, beside packing and hashing them: `python -m tests.bench.bench_exchange`."""

import hashlib
import subprocess
import sys
import tempfile
import zlib
from pathlib import Path

from coach.exchange.own_keys import OwnKeys
from coach.exchange.parcel import Parcel, packed, unpacked
from coach.exchange.sealed_file import open_sealed, read_sealed, seal
from tests.bench.bench_history import taken_ms
from tests.exchange.machines import CURLEW, NOW

_BYTES = 72 * 1024


def main() -> None:
    """Print the times."""
    sender, receiver = OwnKeys.new(), OwnKeys.new()
    files, size = dict[str, str](), 0
    for number in range(100):
        for record in sorted((CURLEW / "records").glob("*.toml")):
            text = record.read_text()[: _BYTES - size]
            if text:
                files[f"records/{number}{record.name}"] = text
            size += len(text)
    parcel = Parcel(client="0" * 32, sender=sender.public, receiver="0" * 64, number=1, knows=0, at=NOW, files=files)
    message = packed(parcel)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.sealed"
        path.write_bytes(seal(message, sender, receiver.public))
        plain = parcel.model_dump_json().encode()
        rows = {
            "hashed": lambda: hashlib.sha256(plain).digest(),
            "packed": lambda: zlib.compress(plain, 9),
            "packed and sealed": lambda: seal(packed(parcel), sender, receiver.public),
            "opened and read": lambda: unpacked(path, open_sealed(read_sealed(path), receiver).message),
        }
        print(f"{size / 1024:.0f} KB of records, {path.stat().st_size / 1024:.0f} KB sealed")
        for what, work in rows.items():
            print(f"{what:22s}{taken_ms(work):8.1f} ms")
    code = "import time; t = time.perf_counter(); import nacl.public, nacl.signing; print(time.perf_counter() - t)"
    took = [float(subprocess.check_output([sys.executable, "-c", code])) for _ in range(5)]
    print(f"{'library imported':22s}{sorted(took)[2] * 1000:8.1f} ms")


if __name__ == "__main__":
    main()
