"""The private keys of this computer, in files that only their owner can read, with a passphrase where it is wanted.

The clinic has one pair of keys, which all of its people and computers use; a computer at home has one for each
client. They are kept outside of every client's folder, so that a copied folder or a backup brings none along.
"""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Annotated, Literal

from msgspec import Struct
from msgspec.structs import replace
from nacl.exceptions import CryptoError
from nacl.public import PrivateKey
from nacl.pwhash import argon2id
from nacl.secret import SecretBox
from nacl.signing import SigningKey
from nacl.utils import random
from platformdirs import user_state_path

from coach.exchange.public_keys import ClientId, KeyChange, KeyText, PublicKeys
from coach.frozen import form
from coach.model.base import Frozen
from coach.toml.atomic_write import make_folder, replace_file
from coach.toml.diagnostic import FileFault, Refusal, error_reason, whole_file
from coach.toml.new_file import write_new
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump

AskPassphrase = Callable[[Path], str]
_SALT = Annotated[str, form(r"^[0-9a-f]{32}$")]
_HEX = Annotated[str, form(r"^([0-9a-f]{2})+$")]
_COMMENT = "Private keys. Whoever has this file reads what is sealed for you, and signs as you: keep it to yourself."


class OwnKeys(Struct, frozen=True):
    """Both private keys: one signs, the other opens what is sealed for its public part."""

    signing: bytes
    opening: bytes

    @classmethod
    def new(cls) -> "OwnKeys":
        """New keys, drawn at random."""
        return cls(bytes(SigningKey.generate()), bytes(PrivateKey.generate()))

    @property
    def public(self) -> PublicKeys:
        """What the other side may know."""
        verify = bytes(SigningKey(self.signing).verify_key).hex()
        return PublicKeys(verify=verify, seal=bytes(PrivateKey(self.opening).public_key).hex())


class KeyFile(Frozen):
    """A file with private keys, as they are or locked with a passphrase, and their public parts beside them."""

    format: Literal[1] = 1
    verify: KeyText
    seal: KeyText
    signing: KeyText | None = None
    opening: KeyText | None = None
    salt: _SALT | None = None
    locked: _HEX | None = None
    changes: tuple[KeyChange, ...] = ()

    @property
    def public(self) -> PublicKeys:
        """The public parts, which need no passphrase."""
        return PublicKeys(verify=self.verify, seal=self.seal)


def keys_folder() -> Path:
    """Where this computer keeps private keys."""
    return user_state_path("steady-arc", appauthor=False) / "keys"


def clinic_key_path() -> Path:
    """The file of the clinic's keys; another computer of the clinic needs a copy of it at its own such place."""
    return keys_folder() / "clinic.toml"


def former_key_paths() -> tuple[Path, ...]:
    """The files of keys that the clinic had before: they still open what was sealed for them."""
    return tuple(sorted(keys_folder().glob("clinic_before_*.toml")))


def former_key_path(public: PublicKeys) -> Path:
    """Where keys are kept that the clinic had before."""
    return keys_folder() / f"clinic_before_{public.key_id}.toml"


def home_key_path(client: ClientId) -> Path:
    """The file of the keys of this computer at home for a client."""
    return keys_folder() / f"home_{client}.toml"


def read_key_file(path: Path) -> KeyFile | None:
    """A file of keys, None where there is none. Raises FileFault."""
    return _read(path) if is_there(path) else None


def _read(path: Path) -> KeyFile:
    """A file of keys. Raises FileFault, without the line that is wrong: it may hold a private key."""
    try:
        return read_model(path, KeyFile)
    except FileFault as fault:
        raise FileFault(replace(one, text="") for one in fault.faults) from None


def make_keys(path: Path) -> KeyFile:
    """Draw new keys and write them, also in the place of others. Raises FileFault."""
    made = _drawn(path)
    replace_key_file(path, made)
    return made


def clinic_keys() -> KeyFile:
    """The clinic's keys; they are made when they are first needed. Raises FileFault."""
    path = clinic_key_path()
    found = read_key_file(path)
    if found is None:
        with suppress(FileFault):  # another process was first, or the next line says why not
            write_new(path, _text(_drawn(path)))
        found = _read(path)
    return found


def _drawn(path: Path) -> KeyFile:
    """New keys, and a folder for their file. Raises FileFault."""
    try:
        make_folder(path.parent)
    except OSError as error:
        what = f"the folder for keys cannot be made: {error_reason(error)}"
        raise FileFault([whole_file(path.parent, what, "a folder of your own")]) from None
    return plain_key_file(OwnKeys.new())


def unlocked(path: Path, ask: AskPassphrase) -> OwnKeys:
    """The private keys in a file; `ask` gives its passphrase if it has one.

    Raises FileFault where the file cannot be used, and Refusal where the passphrase does not fit.
    """
    file = _read(path)
    keys = _private(path, file, ask)
    if keys.public != file.public:
        fix = "put a copy of the right file in its place"
        raise FileFault([whole_file(path, "the private keys are not those of the public ones beside them", "", fix)])
    return keys


def _private(path: Path, file: KeyFile, ask: AskPassphrase) -> OwnKeys:
    if file.signing is not None and file.opening is not None:
        return OwnKeys(bytes.fromhex(file.signing), bytes.fromhex(file.opening))
    if file.salt is None or file.locked is None:
        expected = "signing and opening, or salt and locked"
        raise FileFault([whole_file(path, "there are no private keys in it", expected)])
    try:
        both = _box(ask(path), bytes.fromhex(file.salt)).decrypt(bytes.fromhex(file.locked))
    except (CryptoError, ValueError):
        what = f"the passphrase does not fit {path.name}"
        raise Refusal([whole_file(path, what, "the passphrase that it was locked with", "try again")]) from None
    return OwnKeys(both[:32], both[32:])


def with_passphrase(path: Path, passphrase: str, ask: AskPassphrase) -> None:
    """Lock a file of keys with a passphrase, or with an empty one unlock it.

    Raises FileFault, and Refusal where its present passphrase is not given.
    """
    file, keys = _read(path), unlocked(path, ask)
    replace_key_file(
        path, plain_key_file(keys, file.changes) if not passphrase else _locked(keys, passphrase, file.changes)
    )


def replace_key_file(path: Path, file: KeyFile) -> None:
    """Replace a file of keys, completely or not at all. Raises FileFault."""
    try:
        replace_file(path, _text(file).decode())
    except OSError as error:
        what = f"the keys cannot be written: {error_reason(error)}"
        raise FileFault([whole_file(path, what, "a folder of your own", "make room, or ask its owner")]) from None


def plain_key_file(keys: OwnKeys, changes: tuple[KeyChange, ...] = ()) -> KeyFile:
    """The file of keys without a passphrase."""
    public, signing, opening = keys.public, keys.signing.hex(), keys.opening.hex()
    return KeyFile(verify=public.verify, seal=public.seal, signing=signing, opening=opening, changes=changes)


def _locked(keys: OwnKeys, passphrase: str, changes: tuple[KeyChange, ...]) -> KeyFile:
    salt = random(argon2id.SALTBYTES)
    locked = bytes(_box(passphrase, salt).encrypt(keys.signing + keys.opening))
    public = keys.public
    return KeyFile(verify=public.verify, seal=public.seal, salt=salt.hex(), locked=locked.hex(), changes=changes)


def _box(passphrase: str, salt: bytes) -> SecretBox:
    """A box that only the passphrase opens; the costs are the library's own for use by hand."""
    costs = argon2id.OPSLIMIT_INTERACTIVE, argon2id.MEMLIMIT_INTERACTIVE
    return SecretBox(argon2id.kdf(SecretBox.KEY_SIZE, passphrase.encode(), salt, *costs))


def _text(file: KeyFile) -> bytes:
    data = {"format": 1} | file.model_dump(exclude_none=True, exclude_defaults=True)
    return dump(data, _COMMENT).encode()
