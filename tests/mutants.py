"""Mutation testing of the pure rooms: random small changes of the code, and which of them no test notices.

    python -m tests.mutants --count 20 --seed 1 --room progression --room mechanics

Each mutant is one change of one expression. It is written into a copy of the tree, and the tests of its room run
there until the first failure. A mutant that no test fails on has survived and is printed with its place: either a
test is missing, or the change makes no difference to what the code does. The exit code is 1 where the tests fail
without any change, and 0 otherwise.
"""

import argparse
import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parent.parent
ROOMS = ("progression", "mechanics")
_COPIED = ("coach", "content", "demo_profiles", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
_TIMEOUT_S = 600
_OPPOSITE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}


@dataclass(frozen=True)
class Mutant:
    """One change of one node of a file, numbered in the order of `_parts_that_run` and `_changes_of`."""

    path: Path
    node: int
    change: int
    line: int
    description: str

    def source(self) -> str:
        """The whole source of the file with the change made, without its comments."""
        tree = ast.parse(self.path.read_text(encoding="utf-8"))
        _, change = list(_changes_of(list(_parts_that_run(tree))[self.node]))[self.change]
        change()
        return ast.unparse(ast.fix_missing_locations(tree))


def _changes_of(node: ast.AST) -> Iterator[tuple[str, Callable[[], None]]]:
    """Each small change of one node in place, with its description."""
    match node:
        case ast.Compare():
            for number, operator in enumerate(node.ops):
                other = _OPPOSITE[type(operator)]

                def flip(number: int = number, other: type[ast.cmpop] = other) -> None:
                    node.ops[number] = other()

                yield f"{type(operator).__name__} -> {other.__name__}", flip
        case ast.BoolOp():
            other_bool = ast.Or if isinstance(node.op, ast.And) else ast.And
            yield f"{type(node.op).__name__} -> {other_bool.__name__}", lambda: setattr(node, "op", other_bool())
        case ast.BinOp() if type(node.op) in _ARITHMETIC:
            other_operator = _ARITHMETIC[type(node.op)]
            yield (
                f"{type(node.op).__name__} -> {other_operator.__name__}",
                lambda: setattr(node, "op", other_operator()),
            )
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            neutral = ast.Call(ast.Name("bool"), [node.operand], []) if isinstance(node.op, ast.Not) else None
            dropped = type(node.op).__name__
            yield f"drop {dropped}", lambda: _become(node, neutral or node.operand)
        case ast.Constant(value=bool()):
            yield f"{node.value!r} -> {not node.value}", lambda: setattr(node, "value", not node.value)
        case ast.Constant(value=int() | float()):
            value = node.value
            assert isinstance(value, int | float)
            for step in (1, -1):
                yield f"{value!r} -> {value + step!r}", lambda step=step: setattr(node, "value", value + step)  # type: ignore[misc]
        case ast.Return(value=ast.expr() as returned) if not _is_none(returned):
            yield "return None", lambda: setattr(node, "value", ast.Constant(None))
        case ast.IfExp():
            yield "always the first of two", lambda: setattr(node, "test", ast.Constant(True))
            yield "always the second of two", lambda: setattr(node, "test", ast.Constant(False))


def _is_none(node: ast.expr) -> bool:
    return isinstance(node, ast.Constant) and node.value is None


def _become(node: ast.AST, other: ast.AST) -> None:
    node.__class__ = other.__class__
    node.__dict__ = other.__dict__


def _parts_that_run(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node but annotations, docstrings, decorators, imports and what is raised: no test has to notice those."""
    for field, value in ast.iter_fields(tree):
        if field in ("annotation", "returns", "decorator_list", "type_params") or isinstance(
            tree, ast.Raise | ast.Import
        ):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not (
                isinstance(child, ast.Expr) and isinstance(child.value, ast.Constant)
            ):
                yield child
                yield from _parts_that_run(child)


def mutants_of(path: Path) -> Iterator[Mutant]:
    """Every mutant of a file, in the order of its source."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for number, node in enumerate(_parts_that_run(tree)):
        for change, (description, _) in enumerate(_changes_of(node)):
            yield Mutant(path, number, change, getattr(node, "lineno", 0), description)


def chosen(rooms: Sequence[str], count: int, seed: int) -> list[Mutant]:
    """So many mutants drawn at random from these rooms, the same for the same seed."""
    files = [path for room in rooms for path in sorted((ROOT / "coach" / room).glob("*.py"))]
    every = [mutant for path in files for mutant in mutants_of(path)]
    return random.Random(seed).sample(every, min(count, len(every)))


def _tests_pass(tree: Path, room: str, jobs: str) -> bool:
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", "-n", jobs, f"tests/{room}"]
    environment = {**os.environ, "PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(
            command, cwd=tree, env=environment, capture_output=True, timeout=_TIMEOUT_S, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def run(rooms: Sequence[str], count: int, seed: int, jobs: str = "2") -> int:
    """Run the tests against each mutant and print killed and survived; 1 where they fail without any change."""
    drawn = chosen(rooms, count, seed)
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        tree = Path(folder)
        for name in _COPIED:
            copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy2
            if (ROOT / name).exists():
                copy(ROOT / name, tree / name)
        for room in rooms:
            if not _tests_pass(tree, room, jobs):
                print(f"the tests of {room} fail without any change: repair them first")
                return 1
        survived = []
        for number, mutant in enumerate(drawn, start=1):
            place = mutant.path.relative_to(ROOT)
            original = mutant.path.read_text(encoding="utf-8")
            (tree / place).write_text(mutant.source(), encoding="utf-8")
            alive = _tests_pass(tree, place.parts[1], jobs)
            (tree / place).write_text(original, encoding="utf-8")
            print(
                f"{number:3} {'SURVIVED' if alive else 'killed  '} {place}:{mutant.line}  {mutant.description}",
                flush=True,
            )
            survived += [mutant] if alive else []
    print(f"{len(drawn) - len(survived)} of {len(drawn)} killed, {len(survived)} survived")
    return 0


def main() -> int:
    """The command line."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutants", description="Mutants of the pure rooms.")
    parser.add_argument("--count", type=int, default=20, help="how many mutants")
    parser.add_argument("--seed", type=int, default=1, help="the same seed draws the same mutants")
    parser.add_argument("--room", action="append", choices=ROOMS, help="may be repeated; both without it")
    parser.add_argument("--jobs", default="2", help="pytest workers")
    given = parser.parse_args()
    return run(given.room or ROOMS, given.count, given.seed, given.jobs)


if __name__ == "__main__":
    sys.exit(main())
