"""What is known of a stop that only the therapist ends, said before whatever else keeps a session from starting.

A client who was told to call for help, and starts again, must not read about a file or another window instead.
"""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from coach.commands.support.output import FINE, print_error
from coach.toml.diagnostic import FileFault
from coach.toml.reader import read_bytes

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.store.client_store import ClientStore

_LANGUAGE = re.compile(r'^\s*language\s*=\s*["\'](\w+)["\']', re.MULTILINE)
_LONG_AGO, _UNKNOWN = datetime.min.replace(tzinfo=UTC), datetime.max.replace(tzinfo=UTC)

Table = Mapping[str, Any]


def say_before(error: Exception, client: Path) -> None:
    """Say what is known of a stop before an error that keeps a session from starting, unless that says it."""
    advice = known_advice(client)
    if advice and advice not in str(error):
        print_error(advice, FINE)


def say_of(store: "ClientStore") -> None:
    """Say it of a client whose files can be read, before something else that keeps a session from starting."""
    advice = ""
    with suppress(Exception):
        advice = advice_of(store)
    if advice:
        print_error(advice, FINE)


def known_advice(client: Path) -> str:
    """What the client is to do because of a stop that only the therapist ends, as far as it can be read.

    Needs no lock. Empty where nothing of the kind is known; raises nothing, whatever the files are.
    """
    with suppress(Exception):
        from coach.store.client_store import ClientStore

        return advice_of(ClientStore.read(client))
    with suppress(Exception):
        return _advice_as_far_as_read(client)
    return ""


def advice_of(store: "ClientStore") -> str:
    """The same of a client whose files can be read."""
    from coach.session.admission.admit import admit
    from coach.store.clock import now

    for one in store.exercises:
        if one.progress.status == "review":
            return admit(one.profile, one.prescription, one.content, one.progress, now().at).sentence
    return ""


def _advice_as_far_as_read(client: Path) -> str:
    """The same from whichever files can be read; a review that was ended since does not count."""
    content, cleared = _content_of(client), _review_ended_at(client)
    in_records = [one for one in _in_records(client, content) if _at(one[0]) >= cleared]
    known = [*_in_progress(client, cleared), *in_records]
    if not known:
        return ""
    from coach.model.message_format import fill
    from coach.session.phrases import urgency_of

    _, sign, reason = next((one for one in known if one[1]), known[0])
    urgent = urgency_of(sign, content) if sign else ""
    return f"{urgent} {fill(content.messages.client.offer.review, {'reason': reason})}".strip()


def _content_of(client: Path) -> "Content":
    """The content in the client's language and of their clinic; else the one that can be read."""
    from coach.content_files.content_folder import content_folder, languages, load_content
    from coach.content_files.language_data import FALLBACK
    from coach.store.client_paths import PROFILE, clinic_of

    language = FALLBACK
    with suppress(FileFault):
        found = _LANGUAGE.search(read_bytes(client / PROFILE).decode("utf-8", errors="replace"))
        language = found[1] if found is not None and found[1] in languages(content_folder()) else FALLBACK
    with suppress(Exception):
        return load_content(content_folder(), language, clinic_of(client))
    return load_content(content_folder(), language)


def _in_progress(client: Path, cleared: datetime) -> Iterator[tuple[object, str, str]]:
    """When the therapist last looked, the sign and the reason of each exercise that is in review by progress.toml.

    A review that was ended since is left out: the file was not written since, and does not know of it.
    """
    from coach.store.client_paths import PROGRESS

    saved = _table(client / PROGRESS)
    for one in _tables(saved.get("exercises")) or (saved,):
        decision, looked = one.get("decision"), one.get("looked_at")
        knew = cleared == _LONG_AGO or (looked is not None and _at(looked) >= cleared)
        if one.get("status") == "review" and knew and isinstance(decision, Mapping):
            yield looked, *_said(decision)


def _in_records(client: Path, content: "Content") -> Iterator[tuple[object, str, str]]:
    """The same of each session that led to a review, and of each sign that was chosen or answered last."""
    from coach.store.client_paths import RECORDS

    signs = {one.name for one in content.signs}
    for path in sorted((client / RECORDS).glob("*.toml"), reverse=True):
        last: tuple[object, str, str] | None = None
        for entry in _tables(_table(path).get("entry")):
            decision, value = entry.get("decision"), entry.get("value")
            if isinstance(decision, Mapping):
                last = (entry.get("at"), *_said(decision)) if decision.get("status") == "review" else None
            elif entry.get("kind") == "taken_back":
                last = None
            elif isinstance(value, str) and value in signs:
                last = (entry.get("at"), value, "")
        if last is not None:
            yield last


def _said(decision: Table) -> tuple[str, str]:
    """The sign and the reason of a decision; the sign is empty where it was another stop."""
    numbers, reason = decision.get("numbers"), decision.get("reason")
    sign = numbers.get("sign") if isinstance(numbers, Mapping) else None
    return sign if isinstance(sign, str) else "", reason if isinstance(reason, str) else ""


def _review_ended_at(client: Path) -> datetime:
    """When the therapist last ended a review, by the instructions that can be read."""
    from coach.store.client_paths import INSTRUCTIONS, PRESCRIPTION

    signed = [_table(path) for path in sorted((client / INSTRUCTIONS).glob("*.toml"))]
    signed += _tables(_table(client / PRESCRIPTION).get("sign_offs"))
    ended = (_at(one.get("at")) for one in signed if one.get("what") == "end_review")
    return max((at for at in ended if at != _UNKNOWN), default=_LONG_AGO)


def _at(when: object) -> datetime:
    """A moment as it is compared; one that cannot be read counts as after all others, so that no stop is missed."""
    return when if isinstance(when, datetime) and when.tzinfo is not None else _UNKNOWN


def _table(path: Path) -> Table:
    """A TOML file as its table; without what cannot be read, none of it where that is all."""
    with suppress(FileFault):  # also of what is no ordinary file: a pipe would be read for ever
        text = read_bytes(path).decode("utf-8", errors="replace")
        for cut in (text, text[: text.rfind("\n# whole")]):
            with suppress(tomllib.TOMLDecodeError, RecursionError):
                return tomllib.loads(cut)
    return {}


def _tables(value: object) -> Sequence[Table]:
    """The tables of a list; none where it is no list."""
    return tuple(one for one in value if isinstance(one, Mapping)) if isinstance(value, list) else ()
