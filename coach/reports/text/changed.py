"""What an edit of the content changes: the script and all other words side by side, and which clients it touches."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from coach.model.base import Frozen
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.authoring import ChangedWords
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.overview.comparison import Part, compare
from coach.overview.comparison_text import Headings, compare_lines
from coach.reports.text.layout import WIDTH, heading, paragraph
from coach.reports.text.preview import script_lines
from coach.session.plan import open_record
from coach.session.screen_catalogue import plan_at

_Place = tuple[str, int]


@dataclass(frozen=True)
class StandIn:
    """For whom the scripts are written."""

    profile: Profile
    prescription: Prescription


@dataclass(frozen=True)
class Touched:
    """One client of a caseload: the comparison of the next session, or why there is none."""

    name: str
    compared: tuple[Part, ...] = ()
    why_not: str = ""

    @property
    def lines(self) -> int:
        """How many lines of it are others."""
        return sum(pair.mark != "same" for part in self.compared for pair in part.pairs)


def content_parts(
    before: Sequence[Content], after: Sequence[Content], stand_in: StandIn, words: ChangedWords, at: datetime
) -> tuple[Part, ...]:
    """Two contents in the same languages: the script of every position, every line of words, then what all share."""
    parts: list[Part] = []
    for one, other in zip(before, after, strict=True):
        for place in dict.fromkeys((*_places(one), *_places(other))):
            scripts = (_script(content, place, stand_in, at) for content in (one, other))
            parts.append(Part(_title(place, other, words), compare(*scripts)))
        title = fill(words.lines, {"language": other.words.language})
        parts.append(Part(title, compare(list(_lines(one)), list(_lines(other)))))
    shared = compare(list(_values(before[0])), list(_values(after[0])))
    return (*parts, Part(words.values, shared))


def entries_for(before: Content, after: Content, prescription: Prescription, words: ChangedWords) -> tuple[Part, ...]:
    """What a client may be told or judged by sooner or later: the entries of their exercise and positions, and the
    limits that the prescription does not set itself."""
    title = fill(words.lines, {"language": after.words.language})
    both = ((title, _lines), (words.values, _values))
    return tuple(
        Part(
            name,
            compare(
                *([one for one in of(content) if _is_for(one, prescription, content)] for content in (before, after))
            ),
        )
        for name, of in both
    )


def _is_for(entry: str, prescription: Prescription, content: Content) -> bool:
    keys = entry.partition(": ")[0].split(".")
    if keys[0] == "limits":
        return keys[1] not in prescription.limits
    if keys[1] in content.exercises and keys[1] != prescription.exercise:
        return False
    degrees = keys[3] if keys[2:3] == ["position"] and len(keys) > 3 else ""
    return not degrees or int(degrees) in prescription.positions


def changed_text(parts: tuple[Part, ...], words: ChangedWords) -> str:
    """What differs, side by side, at most 80 columns wide."""
    lines = compare_lines(parts, Headings(words.before, words.after, words.alike), WIDTH)
    return "\n".join(lines or paragraph(words.nothing)) + "\n"


def touched_text(clients: tuple[Touched, ...], words: ChangedWords) -> str:
    """Each client in a line; of a client looked at alone, the whole comparison."""
    lines = heading(words.clients)
    for client in clients:
        line = words.not_read if client.why_not else words.touched if client.lines else words.untouched
        values = {"client": client.name, "lines": client.lines, "why": client.why_not}
        lines += paragraph(fill(line, values))
    if len(clients) == 1 and clients[0].lines:
        lines += ["", *compare_lines(clients[0].compared, Headings(words.before, words.after, words.alike), WIDTH)]
    return "\n".join(lines) + "\n"


def _places(content: Content) -> Iterator[_Place]:
    for name, exercise in content.exercises.items():
        yield from ((name, position.abduction_deg) for position in exercise.positions)


def _title(place: _Place, content: Content, words: ChangedWords) -> str:
    values = {"exercise": place[0], "position": place[1], "language": content.words.language}
    return fill(words.script, values)


def _script(content: Content, place: _Place, stand_in: StandIn, at: datetime) -> list[str]:
    """The lines of the script at a place; nothing where the content has no such place, or why there is none."""
    if place not in set(_places(content)):
        return []
    try:
        plan = plan_at(stand_in.profile, stand_in.prescription, content, *place, at)
    except NoSession as none:
        return [str(none)]
    return [text for _, texts in script_lines(plan, open_record(plan, at)) for text in texts]


def _values(content: Content) -> Iterator[str]:
    """Everything that holds for every language, each under its name."""
    yield from _flat("exercises", content.exercises)
    yield from _flat("limits", {limit.name: limit for limit in content.limits})
    yield from _flat("rules", {rule.name: rule for rule in content.rules})
    yield from _flat("form", content.questions)
    yield from _flat("safety.check", content.checks)
    yield from _flat("safety.sign", {sign.name: sign for sign in content.signs})
    yield from _flat("safety.region", content.regions)


def _lines(content: Content) -> Iterator[str]:
    """Every line of words that a client may read, each under its name."""
    words = content.words
    named = (("form", words.form), ("safety", words.safety), ("rules", words.rules), ("screens", words.screens))
    for name, model in (*words.exercises.items(), *named):
        yield from _flat(f"{words.language}.{name}", model)


def _flat(name: str, value: object) -> Iterator[str]:
    if isinstance(value, Frozen):
        value = {key: getattr(value, key) for key in type(value).model_fields}
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _flat(f"{name}.{key}", inner)
    elif isinstance(value, tuple) and value and not isinstance(value[0], str):
        for number, inner in enumerate(value, 1):
            yield from _flat(f"{name}.{getattr(inner, 'fault', number)}", inner)
    elif isinstance(value, tuple):
        yield from (f"{name}: {line}" for line in value)
    elif value is not None:
        yield f"{name}: {value}"
