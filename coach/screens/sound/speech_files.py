"""Words as sound files: made by a speech program in the background, and kept in the user's cache.

The files are derived: they can be deleted at any time and are made again when they are needed.
"""

import hashlib
import os
import subprocess
import threading
import time
import wave
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from coach.screens.sound.players import Command, NoVoice, Program, Voice
from coach.screens.sound.speech import voice_name
from coach.toml.user_cache import cache_folder, private_folder

# A line takes a few hundredths of a second with one program and up to a second with another.
_LONGEST_RENDER_S = 20.0
# Files of setups that are long over are not needed any more.
_KEPT_DAYS = 60
_FOLDER = "speech"
_HEADER_BYTES, _BYTES_A_SECOND = 44, 2 * 22_050


class SpeechFiles:
    """Says words by playing their files. A line asked for before its turn is made next."""

    reads_pages = True

    def __init__(self, voice: Voice, renderer: Program, player: Program, language: str) -> None:
        self.program = player
        self.no_voice: NoVoice | None = None
        self._voice = voice
        self._renderer = renderer
        self._language = language
        self._name = ""
        self._ready: dict[str, tuple[Path, float]] = {}
        self._urgent: deque[str] = deque()
        self._later: Iterator[str] = iter(())
        self._work = threading.Condition()
        self._closed = False
        self._running: subprocess.Popen[bytes] | None = None
        self._thread = threading.Thread(target=self._make_all, name="speech", daemon=True)

    def length_s(self, words: str) -> float | None:
        """The length of the file; None while it is being made, which this brings forward."""
        with self._work:
            if words in self._ready:
                return self._ready[words][1]
            if words not in self._urgent:
                self._urgent.append(words)
                self._work.notify()
        return None

    def command(self, words: str) -> Command:
        """The command that plays the file of words that are ready."""
        return self.program.command(file=str(self._ready[words][0]))

    def silence(self) -> Command | None:
        """Nothing but ending the player is needed."""
        return None

    def prepare(self, lines: Iterable[str]) -> None:
        """Begin to make the files of these lines, in this order."""
        self._later = iter(lines)
        self._thread.start()

    def close(self) -> None:
        """Stop making files; what is half made is removed."""
        with self._work:
            self._closed = True
            self._work.notify()
            if self._running is not None:
                self._running.kill()
        if self._thread.ident is not None:
            self._thread.join(_LONGEST_RENDER_S)

    def _make_all(self) -> None:
        try:
            folder = private_folder(cache_folder(os.environ) / _FOLDER)
            _remove_old(folder)
            if self._voice.listing and not self._find_name():
                self.no_voice = "no_language"
                return
            while (words := self._next_words()) is not None:
                self._make(words, folder)
        except (OSError, subprocess.SubprocessError):
            self.no_voice = "failed"

    def _find_name(self) -> bool:
        listing = subprocess.run(
            self._voice.listing, stdin=subprocess.DEVNULL, capture_output=True, timeout=_LONGEST_RENDER_S, check=True
        )
        lines = listing.stdout.decode("utf-8", errors="replace").splitlines()
        self._name = voice_name(lines, self._language) or ""
        return bool(self._name)

    def _next_words(self) -> str | None:
        """The line to make next; None once the session is over. Waits while nothing is left to be made."""
        while True:
            with self._work:
                if self._closed:
                    return None
                if self._urgent:
                    return self._urgent.popleft()
            following = next(self._later, None)  # computed here, so that the screen is not held up by it
            with self._work:
                if following is not None and following not in self._ready:
                    return following
                if following is None and not self._urgent and not self._closed:
                    self._work.wait()

    def _make(self, words: str, folder: Path) -> None:
        if words in self._ready:
            return
        path = folder / f"{_name_of(words, self._language, self._voice.name)}.wav"
        if path.exists():
            with suppress(OSError):
                os.utime(path)
        else:
            half = path.with_suffix(f".{os.getpid()}.half")
            try:
                self._render(words, half)
                half.chmod(0o600)
                half.replace(path)
            finally:
                half.unlink(missing_ok=True)
        length_s = seconds_of(path)
        with self._work:
            self._ready[words] = (path, length_s)

    def _render(self, words: str, file: Path) -> None:
        """Run the speech program. Raises CalledProcessError if it fails, or was ended because the session is over."""
        command = self._renderer.command(words=words, language=self._language, file=str(file), voice=self._name)
        nothing = subprocess.DEVNULL
        with self._work:
            if self._closed:
                raise subprocess.SubprocessError
            self._running = subprocess.Popen(
                command.line, stdin=nothing, stdout=nothing, stderr=nothing, env=with_variables(command)
            )
        try:
            code = self._running.wait(_LONGEST_RENDER_S)
        except subprocess.TimeoutExpired:
            self._running.kill()
            self._running.wait()
            raise
        finally:
            self._running = None
        if code or not file.exists():
            raise subprocess.CalledProcessError(code, command.line)


def with_variables(command: Command) -> Mapping[str, str] | None:
    """The environment of a command; None for that of this program."""
    return {**os.environ, **dict(command.environment)} if command.environment else None


def seconds_of(path: Path) -> float:
    """The length of a WAV file; from its size if its header is of a newer kind than this interpreter reads."""
    try:
        with wave.open(str(path)) as file:
            return float(file.getnframes() / file.getframerate())
    except (wave.Error, EOFError):
        return max(0, path.stat().st_size - _HEADER_BYTES) / _BYTES_A_SECOND


def _name_of(words: str, language: str, program: str) -> str:
    """A name that is the same for the same words and says nothing about them."""
    return hashlib.sha256("\0".join((program, language, words)).encode()).hexdigest()[:32]


def _remove_old(folder: Path) -> None:
    oldest = time.time() - _KEPT_DAYS * 24 * 3600
    for file in folder.iterdir():
        with suppress(OSError):
            if file.stat().st_mtime < oldest:
                file.unlink()
