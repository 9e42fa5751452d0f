"""What was typed at a visit, as the text of its file; and to which field a fault in that text belongs."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from msgspec import Struct, field

from coach.model.content_entries import HowOften
from coach.model.programme.visit_file import VisitFile
from coach.toml.diagnostic import Diagnostic
from coach.toml.expected import expected_at
from coach.toml.input_parsing import parse_input_at
from coach.toml.nearest_name import nearest_name
from coach.toml.typed_values import DateOrder
from coach.toml.writer import toml_value

_LISTS = ("ranges", "strengths", "form", "goals", "needs", "condition")
_TABLES = ("discharge",)
# A row with nothing but these was not filled in: they have values from before.
_FROM_BEFORE: Mapping[str, frozenset[str]] = {
    "strengths": frozenset({"lever_m"}),
    "goals": frozenset({"measure", "target", "by"}),
}
_NAMED_KINDS = ("condition", "condition_over")
_OFTEN: Mapping[str, HowOften] = {"0": "never", "1": "once", "2": "more_than_once", "u": "not_sure"}

_SUCH_AS = {
    "ranges": "such as ranges.external.0.right.active_deg",
    "strengths": "such as strengths.external.0.right.force_n",
    "form": "such as form.external_rotation.elbow",
    "goals": "such as goals.1.what",
    "needs": "such as needs.not_seen.what",
    "condition": "such as condition.kind",
    "discharge": "such as discharge.reason",
}
Said = Mapping[tuple[str, str], HowOften]
"""What the client answered last, by the name of the exercise and of the question."""


class VisitText(Struct, frozen=True):
    """The text of a visit, with the field of each line; a line that begins a table has the prefix of its fields."""

    text: str
    lines: Mapping[int, str] = field(default_factory=dict)

    def field_of(self, fault: Diagnostic, fields: Sequence[str]) -> str:
        """The field that a fault is about: that of its line, else one that it names, else the last of all."""
        own = self.lines.get(fault.line)
        if own is not None and own in fields:
            return own
        named = set(re.findall(r"\w+", fault.what))
        table = own.rpartition(".")[0] if own is not None else ""
        near = [key for key in fields if table and key.startswith(f"{table}.")]
        by_name = (key for key in (near or fields) if key.rpartition(".")[2] in named)
        return next(by_name, next(iter(near), fields[-1]))


def visit_text(typed: Mapping[str, str], at: datetime, said: Said, dates: DateOrder | None = None) -> VisitText:
    """The text of a visit from what was typed, by the keys of the fields.

    They are such as ranges.external.0.right.active_deg, strengths.external.0.left.force_n, form.EXERCISE.QUESTION,
    goals.1.what, needs.NEED.what, condition.kind, discharge.reason, irritability, note, next_visit, kind, initials.
    Nothing typed is nothing said. A need with a day alone is asked again; with what was done it is answered.
    """
    given = {key: text.strip() for key, text in typed.items() if text.strip()}
    lines, by_line = ["format = 2", f"at = {at.isoformat(timespec='seconds')}"], dict[int, str]()

    def add(name: str, value: object, key: str) -> None:
        lines.append(f"{name} = {toml_value(value)}")
        by_line[len(lines)] = key

    for key in (one for one in given if "." not in one):
        add(key, _value(given[key], (key,), dates), key)
    for head, table, row in _rows(given):
        lines.extend(("", f"[[{head}]]" if head in _LISTS else f"[{head}]"))
        by_line[len(lines)] = f"{table}."
        for name, value in _named(head, table, said, given).items():
            add(name, value, f"{table}.")
        for name, text in row.items():
            own = "seen" if head == "form" else name
            place = (head, 0, own) if head in _LISTS else (head, own)
            add(own, _value(text, place, dates), table if head == "form" else f"{table}.{name}")
    return VisitText("\n".join(lines) + "\n", by_line)


def unknown_field(typed: Mapping[str, str]) -> str:
    """What is wrong with the key of a field that was typed; empty where every key is one of a visit."""
    known = [name for name in VisitFile.model_fields if name not in ("format", "at", "written")]
    for key in typed:
        head, *rest = key.split(".")
        parts = {"ranges": 4, "strengths": 4, "form": 2, "goals": 2, "needs": 2, "condition": 1, "discharge": 1}
        if head not in known:
            near = nearest_name(head, known)
            return f"{key} is no field of a visit: one of {', '.join(known)}" + (f"; nearest: {near}" if near else "")
        if len(rest) < parts.get(head, 0) or (rest and head not in parts):
            return f"{key} is no field of a visit: {_SUCH_AS.get(head, head)}"
    return ""


def _rows(given: Mapping[str, str]) -> Iterator[tuple[str, str, dict[str, str]]]:
    """Each table that was filled in: the key of the list, the prefix of its fields, and what was typed into them."""
    rows: dict[str, dict[str, str]] = {}
    for key, text in given.items():
        head = key.partition(".")[0]
        if head not in (*_LISTS, *_TABLES) or "." not in key:
            continue
        table, name = (key, "seen") if head == "form" else (key.rpartition(".")[0], key.rpartition(".")[2])
        rows.setdefault(table, {})[name] = text
    for head in (*_LISTS, *_TABLES):
        for table, row in rows.items():
            if table.partition(".")[0] == head and row.keys() - _FROM_BEFORE.get(head, frozenset()):
                yield head, table, row


def _named(head: str, table: str, said: Said, given: Mapping[str, str]) -> dict[str, object]:
    """The values of a table that its name says, or that follow from what was typed elsewhere."""
    parts = table.split(".")
    if head in ("ranges", "strengths"):
        return {"position": ".".join(parts[2:-1]), "direction": parts[1], "side": parts[-1]}
    if head == "form":
        exercise, question = parts[1], ".".join(parts[2:])
        answered = said.get((exercise, question))
        return {"exercise": exercise, "question": question, **({"client_said": answered} if answered else {})}
    if head == "needs":
        how = {} if f"{table}.how" in given else {"how": "answered" if f"{table}.what" in given else "ask_again"}
        return {"need": parts[1], **how}
    if head == "condition" and "condition.by" not in given and "initials" in given:
        return {"by": given["initials"]}
    return {}


def _value(text: str, path: tuple[str | int, ...], dates: DateOrder | None) -> object:
    """A value as its model expects it; of a choice the first letters are enough."""
    expected = expected_at(VisitFile, path, {})
    choices = [str(one) for one in expected.choices] if expected is not None else []
    if choices and path[-1] == "seen" and text in _OFTEN:
        return _OFTEN[text]
    begun = [one for one in choices if one.startswith(text.casefold().replace(" ", "_"))]
    if len(begun) == 1:
        return begun[0]
    if path[0] in _NAMED_KINDS and path[-1] in ("kind", "condition_over"):
        text = text.lower()  # names in files have no capitals
    return parse_input_at(text, VisitFile, path, dates)
