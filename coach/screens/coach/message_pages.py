"""Messages that no page of a session draws, as pages: each table of a file, and the command that shows it.

With the client's pages every message of the content is on some page of the proof.
"""

from collections.abc import Callable, Iterator, Mapping

from coach.content_files.content_folder import CLIENT, COACH, CONDITIONS, FORM, LETTER, RULES, SAFETY, THERAPIST
from coach.content_files.overlays import Leaf, leaves_of
from coach.frozen import FromFile
from coach.model.content import Content, Messages
from coach.screens.client.page_types import TextPage
from coach.toml.diagnostic import FileFault

# The command that shows each table of messages. A table that is not listed is drawn on the client's pages alone.
_SESSION = "coach session"
WHOLE = "whole"  # the page with every message of an exercise
SHOWN_BY: Mapping[str, Mapping[str, str]] = {
    FORM: {"fault": _SESSION, "question": _SESSION},
    SAFETY: dict.fromkeys(
        ("cautions_stop", "cautions", "cautions_at_first", "check", "sign", "trouble", "region", "urgency"), _SESSION
    ),
    RULES: {"rule": "coach history", "measured": "coach history"}
    | dict.fromkeys(("change", "missing", "stop_why", "not_clear", "landmark"), _SESSION),
    CLIENT: {
        **dict.fromkeys(("scale", "keys", "now", "today", "question", "setup", "set", "drawing", "rest"), _SESSION),
        **dict.fromkeys(("feedback", "lesson", "own_tempo", "confirm", "pain", "end", "offer"), _SESSION),
        "exchange": "coach receive",
        **dict.fromkeys(("check_in", "bad_day", "instead", "plan", "programme"), _SESSION),
        "practice": "coach practice",
        "sound": "coach sound",
        "voice": _SESSION,
        "progress": "coach progress",
        "measured": _SESSION,
        "rehearsal": "coach rehearse",
        "plain": "coach session --plain",
        "front_door": "coach",
        "take_home": "coach take-home",
        "handout": "coach handout",
    },
    CONDITIONS: {
        **dict.fromkeys(("condition", "closed", "held"), _SESSION),
        **dict.fromkeys(("dated", "judged", "judged_long_ago", "irritability"), "coach preview"),
        "finding": "coach steer",
    },
    THERAPIST: {
        **dict.fromkeys(("pages", "caseload", "client_screen"), "coach caseload"),
        **dict.fromkeys(("preview", "preview_screen", "decision_table"), "coach preview"),
        **dict.fromkeys(("history", "history_charts"), "coach history"),
        **dict.fromkeys(("along", "setup_report"), "coach setup"),
        "intake": "coach intake",
        "steering": "coach steer",
        "visit": "coach visit",
        "forecast": "coach forecast",
        "bands_report": "coach bands",
        "measured": "coach measured",
        "programme": "coach preview",
        "export": "coach export",
        "backup": "coach backup",
        "working": "coach backup",
        "audit": "coach audit",
        "upgrade": "coach upgrade",
        "where": "coach where",
        "take_home": "coach take-home",
        "keys": "coach keys",
    },
    COACH: {
        "schemas_written": "coach schema",
        "proof": "coach proof",
        "changed": "coach changed",
        "new": "coach new",
    },
    LETTER: dict.fromkeys(
        ("referrer", "client", "what", "motion", "unit", "on", "nothing", "written"), "coach letter"
    ),
}


def leaves_by_file(messages: Messages) -> Iterator[tuple[str, tuple[Leaf, ...]]]:
    """Each file with every message in it; those that cannot be read are left out, as the check reports them."""
    models: Mapping[str, Callable[[], FromFile]] = {
        FORM: lambda: messages.form,
        SAFETY: lambda: messages.safety,
        RULES: lambda: messages.rules,
        CLIENT: lambda: messages.client,
        CONDITIONS: lambda: messages.conditions,
        THERAPIST: lambda: messages.therapist,
        COACH: lambda: messages.coach,
        LETTER: lambda: messages.letter,
    }
    for stem, of_exercise in messages.exercises.items():
        yield f"{stem}.toml", _leaves(of_exercise.model_dump(exclude_none=True))
    for file, read in models.items():
        try:
            yield file, _leaves(read().model_dump(exclude_none=True))
        except FileFault:
            continue


def _leaves(data: Mapping[str, object]) -> tuple[Leaf, ...]:
    return tuple(leaf for leaf in leaves_of(data) if isinstance(leaf.value, str))


def message_pages(content: Content, exercise: str) -> Mapping[str, TextPage]:
    """A page for each table of messages, by its name, such as `messages.client.offer`, and one for the exercise."""
    tables: dict[str, TextPage] = {}
    for file, leaves in leaves_by_file(content.messages):
        if file == f"{exercise}.toml":
            tables[page_name(file, WHOLE)] = TextPage(file, _SESSION, listed=tuple(map(_line, leaves)))
        for table, command in SHOWN_BY.get(file, {}).items():
            listed = tuple(_line(leaf) for leaf in leaves if leaf.key[0] == table)
            tables[page_name(file, table)] = TextPage(f"{file} [{table}]", command, listed=listed)
    return tables


def _line(leaf: Leaf) -> str:
    return f"{leaf.name}: {leaf.value}"


def page_name(file: str, table: str) -> str:
    """The name of the page that lists a table of a file."""
    return f"messages.{file.removesuffix('.toml')}.{table}"
