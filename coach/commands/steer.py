"""What the therapist says: a word that changes what the client does next, shown first, then signed."""

import argparse
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from coach.commands.support.arguments import declare
from coach.commands.support.loading import client_and_content
from coach.commands.support.output import FINE, NOT_NOW, USAGE, say

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.overview.comparison import Part
    from coach.screens.therapist.steering_screen import SteeringScreen
    from coach.store.therapist.steering import Asked, Proposed, Seen

# What a word is mostly about: a value without a key means this one.
_MEANT = {"unlock_position": "position_deg", "cap_position": "position_deg", "freeze_load": "until"}
_MEANT |= {"take_back": "signed_at"}
_OF_A_LOAD = ("grade", "strands", "distance_cm")


def declare_all(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """steer."""
    from coach.model.instruction import Word

    steer = declare(
        commands,
        "steer",
        _steer,
        "say what the client does next: shown first, then signed",
        "Change the dose, a limit, a setup or the bands in use; unlock a position; end a\n"
        "review; overrule, freeze, cap, take back. What the word changes in the next\n"
        "session is shown beside what it is now; then it is signed and kept in\n"
        "prescription.toml. Nothing is written before that.",
        (
            "coach steer demo_profiles/tern",
            "coach steer demo_profiles/tern change dose.sets=2 limits.pain_max=3 \\\n"
            "      --initials KB --reason 'sore again'",
            "coach steer demo_profiles/tern overrule grade=striped strands=1 \\\n"
            "      distance_cm=90 --initials KB --reason 'form first' --yes",
        ),
    )
    steer.add_argument(
        "word", nargs="?", metavar="WORD", help=f"{', '.join(get_args(Word))}; without one, the pages in the terminal"
    )
    steer.add_argument(
        "values",
        nargs="*",
        metavar="KEY=VALUE",
        help="what belongs to the word, by the keys of prescription.toml; "
        "unlock_position, cap_position, freeze_load and take_back take their value alone as well",
    )
    steer.add_argument("--initials", metavar="AB", help="who signs: 2 to 4 capital letters; asked for without it")
    steer.add_argument("--reason", metavar="TEXT", help="why, in a few words; asked for without it")
    steer.add_argument("--yes", action="store_true", help="sign without being asked, after what changes is shown")


def _steer(chosen: argparse.Namespace) -> int:
    from coach.model.messages.steering import SteeringWords
    from coach.reports.text.instructions import words_so_far
    from coach.screens.terminal import shows_screens

    folder, content = client_and_content(chosen.profile)
    if chosen.word is None and shows_screens():
        from coach.screens.therapist.therapist_app import TherapistApp

        return TherapistApp(steering_screen(chosen.profile, content), folder.profile.theme).go()
    if chosen.word is None:
        print(words_so_far(folder, content), end="")
        return FINE
    words = content.words.of(SteeringWords)
    initials = _typed(words.initials) if chosen.initials is None else chosen.initials
    reason = _typed(f"{words.reason} ({words.reason_how})") if chosen.reason is None else chosen.reason
    asked = _asked(chosen, initials, reason)
    return say(asked, USAGE) if isinstance(asked, str) else _shown_and_signed(chosen, asked, content)


def steering_screen(client: Path, content: "Content") -> "SteeringScreen":
    """The page from which a client is steered."""
    from coach.screens.therapist.steering_screen import SteeringScreen
    from coach.store.clock import now

    return SteeringScreen(client, content, now, partial(_compared, content))


def _compared(content: "Content", seen: "Seen", proposed: "Proposed") -> "tuple[Part, ...]":
    """The next session as it is beside what it would be."""
    from coach.model.messages.steering import SteeringWords
    from coach.reports.text.next_session import next_session, parts
    from coach.store.client_store import judged

    profile, at = seen.folder.profile, proposed.word.at
    before = next_session(profile, seen.folder.prescription, judged(seen.folder, content)[0], content, at)
    after = next_session(profile, proposed.prescription, proposed.progress, content, at)
    return parts(before, after, content.words.of(SteeringWords))


def _typed(question: str) -> str:
    """What somebody types at a terminal; nothing where nobody can."""
    if sys.stdin is None or not sys.stdin.isatty():
        return ""
    try:
        return input(f"{question}: ")
    except EOFError:
        return ""


def _asked(chosen: argparse.Namespace, initials: str, reason: str) -> "Asked | str":
    """What was typed, by its keys; or why it is nothing that can be."""
    from coach.store.therapist.steering import Asked

    typed: dict[str, str] = {}
    for text in chosen.values:
        key, equals, value = text.partition("=")
        if not equals and chosen.word not in _MEANT:
            return f"{text} is not KEY=VALUE: write the key as in prescription.toml, = and the value"
        key, value = (key.strip(), value) if equals else (_MEANT[chosen.word], text)
        typed[f"load.{key}" if key in _OF_A_LOAD and chosen.word == "overrule" else key] = value
    if chosen.word == "change":
        return Asked(chosen.word, initials, reason, values=typed)
    return Asked(chosen.word, initials, reason, said=typed)


def _shown_and_signed(chosen: argparse.Namespace, asked: "Asked", content: "Content") -> int:
    """What the word would change; then, if it is wanted, the word."""
    from coach.model.message_format import fill
    from coach.model.messages.steering import SteeringWords
    from coach.overview.instruction_lines import said_in_words
    from coach.reports.text.next_session import comparison_text
    from coach.store.clock import now
    from coach.store.therapist.steering import look, propose, sign

    words, seen = content.words.of(SteeringWords), look(chosen.profile)
    proposed = propose(seen, asked, content, now().at)
    print(comparison_text(_compared(content, seen, proposed), words), flush=True)
    if not chosen.yes:
        if sys.stdin is None or not sys.stdin.isatty():
            return say(words.needs_yes, NOT_NOW)
        if _typed(words.ask).strip().lower() != "y":
            return say(words.not_signed, NOT_NOW)
    sign(seen, proposed)
    word = proposed.word
    said = {"initials": word.initials, "at": word.at.strftime("%Y-%m-%d %H:%M"), "word": said_in_words(word, words)}
    print(fill(words.signed, said))
    return FINE
