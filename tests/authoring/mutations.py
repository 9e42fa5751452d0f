"""Changes made at random to a folder of hand-written files: what somebody does who slips, forgets or misreads."""

import random
import re
import shutil
from collections.abc import Callable
from pathlib import Path

Mutation = Callable[[str, random.Random], str]

_NAME = re.compile(r'"([a-z][a-z0-9_]{2,})"')
_NUMBER = re.compile(r"(?<== )-?\d+(?:\.\d+)?")
_TEXT = re.compile(r'"[^"\n]{12,}"')
_LIST = re.compile(r"= (\[[^\[\]\n]*\])")
_BLOCK = re.compile(r"^\[.*?(?=^\[|\Z)", re.DOTALL | re.MULTILINE)
_PLACEHOLDER = re.compile(r"\{\w+[^{}]*\}")


def _replaced(form: re.Pattern[str], new: Callable[[str, random.Random], str]) -> Mutation:
    def mutate(text: str, chance: random.Random) -> str:
        found = list(form.finditer(text))
        if not found:
            return text
        one = chance.choice(found)
        group = 1 if form.groups else 0
        return text[: one.start(group)] + new(one[group], chance) + text[one.end(group) :]

    return mutate


def _typo(name: str, chance: random.Random) -> str:
    at = chance.randrange(len(name))
    return chance.choice([name[:at] + name[at + 1 :], name[:at] + chance.choice("aeiou_x") + name[at + 1 :]])


def _other_name(text: str, chance: random.Random) -> str:
    names = [found[1] for found in _NAME.finditer(text)]
    if len(names) < 2:
        return text
    one, other = chance.sample(names, 2)
    return text.replace(f'"{one}"', f'"{other}"', 1)


def _line(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    other = chance.randrange(len(lines))
    kind = chance.choice(["delete", "double", "swap", "move"])
    if kind == "swap":
        lines[at], lines[other] = lines[other], lines[at]
    elif kind == "double":
        lines.insert(at, lines[at])
    else:
        taken = lines.pop(at)
        if kind == "move":
            lines.insert(other, taken)
    return "\n".join(lines)


def _block(text: str, chance: random.Random) -> str:
    blocks = list(_BLOCK.finditer(text))
    if not blocks:
        return text
    one, other = chance.choice(blocks), chance.choice(blocks)
    kind = chance.choice(["delete", "double", "swap"])
    if kind == "delete":
        return text[: one.start()] + text[one.end() :]
    if kind == "double" or one == other:
        return text[: one.end()] + one[0] + text[one.end() :]
    first, second = sorted((one, other), key=lambda block: block.start())
    between = text[first.end() : second.start()]
    return text[: first.start()] + second[0] + between + first[0] + text[second.end() :]


def _number(number: str, chance: random.Random) -> str:
    value = float(number)
    new = chance.choice([0, -value, value * 10, value * 1e6, value + 1, value - 1, value / 2, 1])
    return f"{new:g}" if "." not in number or chance.random() < 0.5 else f"{new:.2f}"


def _items(written: str, chance: random.Random) -> str:
    items = [item for item in written[1:-1].split(", ") if item]
    kind = chance.choice(["empty", "drop", "shuffle", "double"])
    if kind == "empty" or not items:
        return "[]"
    if kind == "drop":
        items.pop(chance.randrange(len(items)))
    elif kind == "double":
        items.append(chance.choice(items))
    else:
        chance.shuffle(items)
    return f"[{', '.join(items)}]"


def _words(text: str, chance: random.Random) -> str:
    new = chance.choice(["{side}", "{load}", "{pain}", "{x", "\\t", "x" * 70, "", "ß ü"])
    at = chance.randrange(1, len(text))
    return text[:at] + new + text[at:]


def _kind(value: str, chance: random.Random) -> str:
    """A value of another kind: a text for a number, a list for a text, and so on."""
    bare = value.strip('"')
    return chance.choice([f'"{bare}"', bare, f"[{value}]", "true", "3", "2026-11-28", "{}", '"true"'])


def _place(found: str, chance: random.Random) -> str:
    others = ["{side}", "{load}", "{sets|set|sets}", found.upper(), found.replace("{", "{{"), f"{found}{found}"]
    return chance.choice(["", "{typo}", found[:-1], found[:-1] + "|x}", *others])


MUTATIONS: dict[str, Mutation] = {
    "typo": _replaced(_NAME, _typo),
    "key": _replaced(re.compile(r"^(\w+) =", re.MULTILINE), _typo),
    "header": _replaced(re.compile(r"^\[+([\w.]+)\]+$", re.MULTILINE), _typo),
    "name": _other_name,
    "line": _line,
    "block": _block,
    "number": _replaced(_NUMBER, _number),
    "list": _replaced(_LIST, _items),
    "text": _replaced(_TEXT, _words),
    "kind": _replaced(re.compile(r"^\w+ = (.+)$", re.MULTILINE), _kind),
    "removed": _replaced(re.compile(r"^\w+ = [^\n]*\n", re.MULTILINE), lambda *_: ""),
    "placeholder": _replaced(_PLACEHOLDER, _place),
}


def mutate(folder: Path, chance: random.Random) -> list[str]:
    """Change one or two things in a content folder or in a clinic's; says what."""
    if chance.random() < 0.04:
        return [_moved(folder, chance)]
    files = sorted(folder.rglob("*.toml"))
    # The entries that code and other files name are few beside the messages, and are as often changed.
    entries = [path for path in files if path.parent == folder or path.parent.name in ("exercises", "stand_in")]
    of_german = [path for path in files if path.parent.name == "de"] or files
    done = []
    for _ in range(chance.choice([1, 1, 2])):
        path = chance.choice(chance.choices([entries, files, of_german], [5, 3, 2])[0])
        kind = chance.choice(list(MUTATIONS))
        text = path.read_text(encoding="utf-8")
        path.write_text(MUTATIONS[kind](text, chance), encoding="utf-8")
        done.append(f"{path.relative_to(folder)}: {kind}")
    return done


def _moved(folder: Path, chance: random.Random) -> str:
    """A file or a folder that is renamed, removed, copied under another name, or emptied."""
    path = chance.choice(sorted([*folder.rglob("*.toml"), *(one for one in folder.iterdir() if one.is_dir())]))
    name, kind = path.relative_to(folder), chance.choice(["remove", "rename", "ending", "copy", "empty"])
    other = path.with_name(f"{_typo(path.stem, chance) or 'x'}{path.suffix}")
    other = other if other != path else path.with_name(f"{path.stem}2{path.suffix}")
    if kind == "rename":
        path.rename(other)
    elif kind == "ending":
        path.rename(path.with_suffix(".txt"))
    elif kind == "remove" and path.is_dir():
        shutil.rmtree(path)
    elif kind == "remove":
        path.unlink()
    elif path.is_dir():
        shutil.copytree(path, other, dirs_exist_ok=True)
    elif kind == "copy":
        shutil.copy(path, other)
    else:
        path.write_text("format = 1\n", encoding="utf-8")
    return f"{name}: {kind}"
