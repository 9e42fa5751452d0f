"""What takes long to make and nobody writes to is made by the first process of a test run that needs it."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from filelock import FileLock


def made_once(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """The folder that `make` has filled, the same for all processes of this run."""
    base = factory.getbasetemp()
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    folder, finished = shared / name, shared / f"{name}.finished"
    with FileLock(shared / f"{name}.lock"):
        if not finished.exists():
            make(folder)
            finished.touch()
    return folder
