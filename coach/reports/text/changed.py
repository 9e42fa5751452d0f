"""What an edit of the content changes: scripts and messages side by side, and the clients it affects."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from msgspec import Struct

from coach.model.base import Frozen, Name
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.coach import ChangedMessages
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.overview.comparison import ComparisonPart, compare
from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
from coach.overview.text_columns import WIDTH
from coach.reports.text.layout import heading, paragraph
from coach.reports.text.preview import script_lines
from coach.session.plan import open_record
from coach.session.screen_catalogue import plan_for_position

_Place = tuple[str, Name]


class StandIn(Struct, frozen=True):
    """The client for whom the scripts are made."""

    profile: Profile
    prescription: Prescription


class ClientComparison(Struct, frozen=True):
    """The effect of an edit on one client: the compared parts, or why there is no comparison."""

    name: str
    compared: tuple[ComparisonPart, ...] = ()
    why_not: str = ""

    @property
    def lines(self) -> int:
        """How many lines differ."""
        return sum(pair.mark != "same" for part in self.compared for pair in part.pairs)


def content_parts(
    before: Sequence[Content], after: Sequence[Content], stand_in: StandIn, messages: ChangedMessages, at: datetime
) -> tuple[ComparisonPart, ...]:
    """Compare two contents in the same languages: the scripts of all positions, all messages, then all values."""
    parts: list[ComparisonPart] = []
    for one, other in zip(before, after, strict=True):
        for place in dict.fromkeys((*_places(one), *_places(other))):
            scripts = (_script(content, place, stand_in, at) for content in (one, other))
            parts.append(ComparisonPart(_title(place, other, messages), compare(*scripts)))
        title = fill(messages.lines, {"language": other.messages.language})
        parts.append(ComparisonPart(title, compare(list(_lines(one)), list(_lines(other)))))
    shared = compare(list(_values(before[0])), list(_values(after[0])))
    return (*parts, ComparisonPart(messages.values, shared))


def entries_for(
    before: Content, after: Content, prescription: Prescription, messages: ChangedMessages
) -> tuple[ComparisonPart, ...]:
    """Compare the entries that can affect a client.

    These are the entries of their exercise and positions, and the limits that the prescription does not set.
    """
    title = fill(messages.lines, {"language": after.messages.language})
    both = ((title, _lines), (messages.values, _values))
    return tuple(
        ComparisonPart(
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
    name = keys[3] if keys[2:3] == ["position"] and len(keys) > 3 else ""
    return not name or name in prescription.positions


def changed_text(parts: tuple[ComparisonPart, ...], messages: ChangedMessages) -> str:
    """The differences side by side, at most 80 columns wide."""
    lines = comparison_lines(parts, ComparisonHeadings(messages.before, messages.after, messages.alike), WIDTH)
    return "\n".join(lines or paragraph(messages.nothing)) + "\n"


def client_comparisons_text(clients: tuple[ClientComparison, ...], messages: ChangedMessages) -> str:
    """One line for each client; for a single client also the full comparison."""
    lines = heading(messages.clients)
    for client in clients:
        line = messages.not_read if client.why_not else messages.touched if client.lines else messages.untouched
        values = {"client": client.name, "lines": client.lines, "why": client.why_not}
        lines += paragraph(fill(line, values))
    if len(clients) == 1 and clients[0].lines:
        lines += [
            "",
            *comparison_lines(
                clients[0].compared, ComparisonHeadings(messages.before, messages.after, messages.alike), WIDTH
            ),
        ]
    return "\n".join(lines) + "\n"


def _places(content: Content) -> Iterator[_Place]:
    for name, exercise in content.exercises.items():
        yield from ((name, position) for position in exercise.position_names)


def _title(place: _Place, content: Content, messages: ChangedMessages) -> str:
    values = {"exercise": place[0], "position": place[1], "language": content.messages.language}
    return fill(messages.script, values)


def _script(content: Content, place: _Place, stand_in: StandIn, at: datetime) -> list[str]:
    """The script lines for a position: empty if the content lacks it, or the reason why there is no session."""
    if place not in set(_places(content)):
        return []
    try:
        plan = plan_for_position(stand_in.profile, stand_in.prescription, content, *place, at)
    except NoSession as none:
        return [str(none)]
    return [text for _, texts in script_lines(plan, open_record(plan, at)) for text in texts]


def _values(content: Content) -> Iterator[str]:
    """Every value of the content that is independent of language, with its name."""
    yield from _flat("exercises", content.exercises)
    yield from _flat("limits", {limit.name: limit for limit in content.limits})
    yield from _flat("rules", {rule.name: rule for rule in content.rules})
    yield from _flat("form", content.questions)
    yield from _flat("safety.check", content.checks)
    yield from _flat("safety.sign", {sign.name: sign for sign in content.signs})
    yield from _flat("safety.region", content.regions)


def _lines(content: Content) -> Iterator[str]:
    """Every message that a client may read, with its name."""
    messages = content.messages
    named = (
        ("form", messages.form),
        ("safety", messages.safety),
        ("rules", messages.rules),
        ("screens", messages.client),
    )
    for name, model in (*messages.exercises.items(), *named):
        yield from _flat(f"{messages.language}.{name}", model)


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
