"""How the modules of a command are found and loaded: as Python does it, with less work for each.

A session needs six hundred modules. Python takes a tenth of a millisecond for a small one, most of it for questions
whose answers are known here: one listing tells what a folder holds, and the compiled file of a module lies beside it.
Whatever is not as expected is left to Python's own finder and loader, which are asked next.
"""

import os
import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import MAGIC_NUMBER
from io import FileIO
from marshal import loads
from stat import S_ISREG
from types import CodeType, ModuleType

_SOURCE = ".py"
_PACKAGE = "__init__"
_COMPILED = f".{sys.implementation.cache_tag}.pyc"
# A compiled file begins with the number of its format, no flags, and the time and size of its source (PEP 552).
_BEGINNING = MAGIC_NUMBER + bytes(4)
_HEAD_BYTES = 16
_APP, _PALETTE, _TEXTUAL = "textual.app", "textual.command", "textual"
_Names = tuple[frozenset[str], frozenset[str]]


def import_quickly() -> None:
    """Find and load modules with less work from now on; called once, when a command starts."""
    if not sys.flags.optimize and sys.pycache_prefix is None:  # else compiled files have other names
        sys.meta_path.insert(0, QuickFinder())


def import_asyncio() -> None:
    """Load asyncio, which screens need, without OpenSSL, which it would load for connections; there are none.

    OpenSSL takes a thirtieth of a start. asyncio does without it, as in a Python that was built without it.
    """
    if "asyncio" not in sys.modules and "ssl" not in sys.modules:
        sys.modules["ssl"] = None  # type: ignore[assignment]
        try:
            import asyncio  # noqa: F401
        finally:
            del sys.modules["ssl"]


def import_textual() -> None:
    """Load Textual's app without its command palette, which no screen here has, and without the widgets of that.

    They take a twentieth of a start. Where a version of Textual needs more of the palette, it is loaded as usual.
    """
    import_asyncio()
    if _APP in sys.modules or _PALETTE in sys.modules:
        return
    before = frozenset(sys.modules)
    sys.modules[_PALETTE] = _LeftOut(_PALETTE)
    try:
        import textual.app  # noqa: F401
    except Exception:  # whatever it does with a class that is not there
        for name in [name for name in sys.modules if name.startswith(_TEXTUAL) and name not in before]:
            del sys.modules[name]
    finally:
        sys.modules.pop(_PALETTE, None)  # whoever imports it later gets it


class _LeftOut(ModuleType):
    """A module of which only the names are there, as classes of which nothing can be made."""

    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)
        return type(name, (_OfNoUse,), {})


class _OfNoUse:
    def __init__(self, *_: object, **__: object) -> None:
        raise RuntimeError(f"{type(self).__name__} was left out when Textual was loaded: see import_textual")


class QuickFinder:
    """Finds modules inside packages that are one folder each, where a module can be nothing but a file of source."""

    def __init__(self) -> None:
        self._inside: dict[str, _Names] = {}

    def find_spec(self, fullname: str, path: Sequence[str] | None, _: ModuleType | None = None) -> ModuleSpec | None:
        """Where a module is; None leaves it to the finders that come after this one."""
        if path is None or len(path) != 1:
            return None
        folder, last = path[0], fullname.rpartition(".")[2]
        modules, others = self._in(folder)
        if last in modules:
            return _spec(fullname, folder, last)
        if last in others and _PACKAGE in self._in(own := f"{folder}{os.sep}{last}")[0]:
            return _spec(fullname, own, _PACKAGE)
        return None

    def invalidate_caches(self) -> None:
        """Forget what folders held."""
        self._inside.clear()

    def _in(self, folder: str) -> _Names:
        if folder not in self._inside:
            self._inside[folder] = _listed(folder)
        return self._inside[folder]


def _listed(folder: str) -> _Names:
    """The modules of a folder that are nothing but a file of source, and the names of everything else in it."""
    try:
        names = os.listdir(folder)  # noqa: PTH208  # only names are needed
    except OSError:
        names = []
    others = frozenset(name for name in names if not name.endswith(_SOURCE))
    # A folder or a library of the same name is what Python would take first.
    taken = {name.partition(".")[0] for name in others}
    return frozenset(name[: -len(_SOURCE)] for name in names if name.endswith(_SOURCE)) - taken, others


def _spec(name: str, folder: str, stem: str) -> ModuleSpec | None:
    """The module of a file of source; None where there is none, though there was one when its folder was listed."""
    source = f"{folder}{os.sep}{stem}{_SOURCE}"
    try:
        now = os.stat(source)  # noqa: PTH116  # a Path would take as long as the rest
    except OSError:
        return None
    if not S_ISREG(now.st_mode):
        return None
    compiled = f"{folder}{os.sep}__pycache__{os.sep}{stem}{_COMPILED}"
    loader = QuickLoader(name, source)
    loader.compiled, loader.beginning = compiled, _BEGINNING + _word(int(now.st_mtime)) + _word(now.st_size)
    spec = ModuleSpec(name, loader, origin=source, is_package=stem == _PACKAGE)
    if spec.submodule_search_locations is not None:
        spec.submodule_search_locations.append(folder)
    spec.has_location = True
    spec.cached = compiled
    return spec


class QuickLoader(SourceFileLoader):
    """Loads a module from its compiled file, where that begins as one of the source does that was found."""

    compiled = ""
    beginning = b""

    def get_code(self, fullname: str) -> CodeType | None:
        """The code of the module."""
        code = self._from_compiled()
        return super().get_code(fullname) if code is None else code

    def _from_compiled(self) -> CodeType | None:
        try:
            with FileIO(self.compiled) as file:
                held = file.read()
        except OSError:
            return None
        if held[:_HEAD_BYTES] != self.beginning:
            return None
        code = loads(memoryview(held)[_HEAD_BYTES:])
        return code if isinstance(code, CodeType) and code.co_filename == self.path else None


def _word(number: int) -> bytes:
    return (number & 0xFFFF_FFFF).to_bytes(4, "little")
