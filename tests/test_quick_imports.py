"""Modules found and loaded with less work are the same modules, and whatever is not as expected is left to Python."""

import json
import os
import py_compile
import subprocess
import sys
from importlib.machinery import EXTENSION_SUFFIXES, PathFinder
from importlib.util import cache_from_source, module_from_spec
from pathlib import Path
from types import ModuleType

import pytest

from coach.quick_imports import QuickFinder

_TREE = Path(__file__).parent.parent
# What a module tells of itself, of each module below some packages, and how many were found quickly.
_TOLD = """
import importlib, json, pkgutil, sys
if sys.argv[1] == "quickly":
    from coach.quick_imports import import_asyncio, import_quickly
    import_quickly()
    import_asyncio()
import coach.session, coach.screens.client.views, textual, msgspec, asyncio
told, quick = {}, 0
for package in (coach.session, coach.screens.client, textual.css, msgspec, asyncio):
    for one in pkgutil.iter_modules(package.__path__, package.__name__ + "."):
        if not one.name.endswith("__main__"):
            try:
                importlib.import_module(one.name)
            except ImportError:
                pass  # asyncio has modules of other systems
for name, module in sorted(sys.modules.items()):
    spec = getattr(module, "__spec__", None)
    if spec is not None and name.partition(".")[0] in ("coach", "textual", "msgspec", "rich", "asyncio"):
        paths = list(getattr(module, "__path__", []))
        cached = getattr(module, "__cached__", None)
        told[name] = [module.__file__, cached, module.__package__, paths, spec.origin, spec.parent]
        quick += type(spec.loader).__name__ == "QuickLoader"
del told["coach"], told["asyncio"], told["msgspec"], told["textual"]
told.pop("coach.quick_imports", None)
print(json.dumps([told, quick, "_ssl" in sys.modules]))
"""


def _told(how: str, *options: str) -> tuple[dict[str, object], int, bool]:
    done = subprocess.run(
        [sys.executable, *options, "-c", _TOLD, how], cwd=_TREE, capture_output=True, text=True, check=True
    )
    told, quick, has_ssl = json.loads(done.stdout)
    return told, quick, has_ssl


def test_modules_are_what_they_are_otherwise_and_openssl_is_not_loaded() -> None:
    usual, none_quick, _ = _told("usually")
    told, quick, has_ssl = _told("quickly")
    different = {name for name in usual if told.get(name) != usual[name]} - {"asyncio.sslproto"}
    assert not different
    assert none_quick == 0
    assert quick > 200
    assert not has_ssl


def test_asyncio_works_without_openssl_and_others_may_have_it() -> None:
    code = (
        "from coach.quick_imports import import_asyncio; import_asyncio()\n"
        "import asyncio, sys; assert '_ssl' not in sys.modules\n"
        "async def talk(): return (await asyncio.gather(asyncio.sleep(0, 1), asyncio.to_thread(int, 2)))\n"
        "assert asyncio.run(talk()) == [1, 2]\n"
        "import ssl; assert ssl.OPENSSL_VERSION\n"
    )
    subprocess.run([sys.executable, "-c", code], cwd=_TREE, check=True)


_OF_THE_PALETTE = ("textual.command", "textual.widgets._input", "textual.widgets._option_list", "textual.fuzzy")


def test_textual_is_loaded_without_its_command_palette_and_others_may_have_it() -> None:
    code = f"""
import sys
from coach.quick_imports import import_textual
import_textual()
import textual.app
assert not [name for name in {_OF_THE_PALETTE} if name in sys.modules]
try:
    textual.app.CommandPalette()
    raise SystemExit("made of nothing")
except RuntimeError as error:
    assert "CommandPalette was left out" in str(error)
from textual.command import CommandPalette
from textual.widgets import Input
assert CommandPalette.__module__ == "textual.command"
assert CommandPalette(), Input()
"""
    subprocess.run([sys.executable, "-c", code], cwd=_TREE, check=True)


def test_where_textual_needs_more_of_the_palette_it_is_loaded_as_usual() -> None:
    code = """
import coach.quick_imports as quick
quick._OfNoUse = print  # no class can be derived from it
quick.import_textual()
import textual.app, textual.command
assert textual.app.CommandPalette is textual.command.CommandPalette
"""
    subprocess.run([sys.executable, "-c", code], cwd=_TREE, check=True)


def test_no_app_has_the_command_palette() -> None:
    import coach.screens.client.session_app
    import coach.screens.coach.proof_app
    import coach.screens.therapist.therapist_app  # noqa: F401
    from coach.screens.base_app import BaseApp

    apps: list[type[BaseApp]] = [BaseApp, *BaseApp.__subclasses__()]
    assert [one for one in apps if one.ENABLE_COMMAND_PALETTE] == []


@pytest.mark.parametrize("options", [("-O",), ("-B", "-X", "pycache_prefix=elsewhere")])
def test_where_compiled_files_have_other_names_python_finds_them(options: tuple[str, ...]) -> None:
    assert _told("quickly", *options)[1] == 0


def _package(folder: Path, **modules: str) -> Path:
    package = folder / "pk"
    package.mkdir()
    for name, code in {"__init__": "", **modules}.items():
        (package / f"{name}.py").write_text(code)
        py_compile.compile(str(package / f"{name}.py"))
    return package


def _loaded(package: Path, name: str) -> ModuleType:
    spec = QuickFinder().find_spec(f"pk.{name}", [str(package)])
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_module_is_of_its_compiled_file(tmp_path: Path) -> None:
    package = _package(tmp_path, one="said = 'here'")
    # The same source by its size and time, but another code: it tells that the compiled file was loaded.
    compiled, source = Path(cache_from_source(str(package / "one.py"))), package / "one.py"
    before = source.stat()
    source.write_text("said = 'HERE'")
    os.utime(source, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert _loaded(package, "one").said == "here"
    assert _loaded(package, "one").__cached__ == str(compiled)


@pytest.mark.parametrize("what", ["longer", "later", "another format", "by its hash", "moved"])
def test_a_compiled_file_that_is_not_of_the_source_is_not_used(tmp_path: Path, what: str) -> None:
    package = _package(tmp_path, one="said = 'here'")
    source, compiled = package / "one.py", Path(cache_from_source(str(package / "one.py")))
    held, before = compiled.read_bytes(), source.stat()
    if what == "longer":
        source.write_text("said = 'there'")
        os.utime(source, ns=(before.st_atime_ns, before.st_mtime_ns))
    elif what == "later":
        source.write_text("said = 'HERE'")
        os.utime(source, ns=(before.st_atime_ns, before.st_mtime_ns + 2_000_000_000))
    elif what == "another format":
        compiled.write_bytes(b"\0\0" + held[2:])
    elif what == "by its hash":
        mode = py_compile.PycInvalidationMode.CHECKED_HASH
        source.write_text("said = 'HERE'")
        py_compile.compile(str(source), invalidation_mode=mode)
        os.utime(source, ns=(before.st_atime_ns, before.st_mtime_ns))
    else:
        package = package.rename(tmp_path / "moved")
        source = package / "one.py"
    loaded = _loaded(package, "one")
    said = {"longer": "there", "later": "HERE", "by its hash": "HERE"}
    assert loaded.said == said.get(what, "here")
    assert loaded.__file__ == str(source)


def test_what_python_would_take_first_is_left_to_python(tmp_path: Path) -> None:
    package = _package(tmp_path, one="", two="", three="")
    (package / f"one{EXTENSION_SUFFIXES[0]}").write_bytes(b"")
    (package / "two").mkdir()
    (package / "two" / "__init__.py").write_text("")
    (package / "no_package").mkdir()
    finder = QuickFinder()
    for name in ("one", "no_package", "absent"):
        assert finder.find_spec(f"pk.{name}", [str(package)]) is None, name
    assert finder.find_spec("pk.three", [str(package)]) is not None
    assert finder.find_spec("pk.three", [str(package), str(tmp_path)]) is None, "a package of two folders"
    assert finder.find_spec("pk", None) is None, "a module on the path"
    assert finder.find_spec("pk.one", [str(tmp_path / "gone")]) is None
    found, usual = finder.find_spec("pk.two", [str(package)]), PathFinder.find_spec("pk.two", [str(package)])
    assert found is not None
    assert usual is not None
    assert found.origin == usual.origin == str(package / "two" / "__init__.py")


def test_a_module_that_has_gone_since_its_folder_was_listed_is_left_to_python(tmp_path: Path) -> None:
    package = _package(tmp_path, one="", two="")
    (package / "folder.py").mkdir()
    finder = QuickFinder()
    assert finder.find_spec("pk.one", [str(package)]) is not None
    (package / "two.py").unlink()
    assert finder.find_spec("pk.two", [str(package)]) is None
    assert finder.find_spec("pk.folder", [str(package)]) is None
    (package / "three.py").write_text("")
    finder.invalidate_caches()
    assert finder.find_spec("pk.three", [str(package)]) is not None


def test_a_package_is_found_with_its_folder(tmp_path: Path) -> None:
    package = _package(tmp_path)
    inside = package / "inner"
    inside.mkdir()
    (inside / "__init__.py").write_text("")
    spec = QuickFinder().find_spec("pk.inner", [str(package)])
    assert spec is not None
    assert spec.submodule_search_locations == [str(inside)]
    assert spec.origin == str(inside / "__init__.py")
