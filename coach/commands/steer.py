"""`coach steer`: the therapist's instructions, shown before they are signed."""

import argparse
import sys
from typing import TYPE_CHECKING, get_args

from coach.commands.support.arguments import Commands, add_command, add_content, add_exercise
from coach.commands.support.exercises import exercises_of, name_of
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE, NOT_NOW, USAGE, print_error
from coach.commands.support.steering import compare_sessions, steering_screen

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.store.client_store import ClientStore
    from coach.store.therapist.steering import ClientSnapshot, InstructionRequest

# The key of a value that is given without one.
_DEFAULT_KEY = {"unlock_position": "position", "cap_position": "position", "freeze_load": "until"}
_DEFAULT_KEY |= {"take_back": "signed_at"}
_LOAD_KEYS = ("grade", "strands", "distance_cm", "share")


def add_commands(commands: Commands) -> None:
    """Add steer."""
    from coach.model.option_names import InstructionKind

    steer = add_command(
        commands,
        "steer",
        _steer,
        "An instruction changes the dose, a limit, a setup or the bands in use; clears a "
        "position; ends a review; overrules, freezes or caps the load; or takes an earlier "
        "instruction back. The next session is shown before and after the change; then "
        "you sign, and the instruction is written: of a programme into a file of its own, "
        "else to prescription.toml. Nothing is written before you sign.",
        (
            "coach steer demo_profiles/tern",
            "coach steer demo_profiles/tern change dose.sets=2 limits.pain_max=3 \\\n"
            '      --initials KB --reason "sore again"',
            "coach steer demo_profiles/tern overrule grade=striped strands=1 \\\n"
            '      distance_cm=90 --initials KB --reason "form first" --yes',
        ),
    )
    steer.add_argument(
        "instruction",
        nargs="?",
        metavar="INSTRUCTION",
        help=f"{', '.join(get_args(InstructionKind))}; without it, the pages in the terminal open",
    )
    steer.add_argument(
        "values",
        nargs="*",
        metavar="KEY=VALUE",
        help="the values of the instruction, with the keys of prescription.toml; for unlock_position, cap_position, "
        "freeze_load and take_back the value alone is enough",
    )
    steer.add_argument("--initials", metavar="AB", help="2 to 4 capital letters; asked for if left out")
    steer.add_argument("--reason", metavar="TEXT", help="the reason, in a few words; asked for if left out")
    steer.add_argument("--yes", action="store_true", help="sign without asking, after the change is shown")
    add_exercise(steer)
    add_content(steer)


def _steer(arguments: argparse.Namespace) -> int:
    from coach.reports.text.instructions import instructions_text
    from coach.screens.terminal import shows_screens

    store = client_store(arguments.profile)
    content = store.content
    unnamed = _which_exercise(store, arguments)
    if unnamed:
        return print_error(unnamed, USAGE)
    if arguments.instruction is None and shows_screens():
        from coach.screens.therapist.therapist_app import TherapistApp

        profile, first = store.profile, steering_screen(arguments.profile, content, arguments.exercise)
        return TherapistApp(first, profile.theme, profile.signs).run_to_end()
    if arguments.instruction is None:
        print(instructions_text(store), end="")
        return FINE
    messages = content.messages.therapist.steering
    initials = _ask(messages.initials) if arguments.initials is None else arguments.initials
    reason = _ask(f"{messages.reason} ({messages.reason_how})") if arguments.reason is None else arguments.reason
    request = _parse_request(arguments, initials, reason)
    return print_error(request, USAGE) if isinstance(request, str) else _show_and_sign(arguments, request, content)


def _which_exercise(store: "ClientStore", arguments: argparse.Namespace) -> str:
    """That an exercise has to be named, or must not be; empty where neither is so.

    Raises Refusal for a name that is none.
    """
    from coach.model.instruction import OF_EVERY_EXERCISE, OF_ONE_EXERCISE

    each = exercises_of(store, arguments.exercise)
    if arguments.exercise is not None and len(store.exercises) > 1 and arguments.instruction in OF_EVERY_EXERCISE:
        return f"{arguments.instruction} is for every exercise of the programme: leave --exercise out"
    if len(each) == 1:
        arguments.exercise = each[0].folder.name
    elif arguments.instruction in OF_ONE_EXERCISE and not _is_of_every_exercise(arguments):
        names = ", ".join(map(name_of, each))
        return f"{arguments.instruction} is for one exercise: name it with --exercise, one of {names}"
    return ""


def _is_of_every_exercise(arguments: argparse.Namespace) -> bool:
    """Whether only the day of a repair is changed, which is the client's."""
    keys = {text.partition("=")[0].strip() for text in arguments.values}
    return arguments.instruction == "change" and keys == {"repaired_on"}


def _ask(question: str) -> str:
    """The answer typed at the terminal; empty without a terminal."""
    if sys.stdin is None or not sys.stdin.isatty():
        return ""
    try:
        return input(f"{question}: ")
    except EOFError:
        return ""


def _parse_request(arguments: argparse.Namespace, initials: str, reason: str) -> "InstructionRequest | str":
    """The instruction as typed, its values by key; or an error message."""
    from coach.store.therapist.steering import InstructionRequest

    typed: dict[str, str] = {}
    for text in arguments.values:
        key, equals, value = text.partition("=")
        if not equals and arguments.instruction not in _DEFAULT_KEY:
            return f"{text} is not KEY=VALUE: write the key as in prescription.toml, = and the value"
        key, value = (key.strip(), value) if equals else (_DEFAULT_KEY[arguments.instruction], text)
        typed[f"load.{key}" if key in _LOAD_KEYS and arguments.instruction == "overrule" else key] = value
    if arguments.instruction == "change":
        return InstructionRequest(arguments.instruction, initials, reason, values=typed)
    return InstructionRequest(arguments.instruction, initials, reason, fields=typed)


def _print_conditions(snapshot: "ClientSnapshot", content: "Content") -> None:
    """The client's conditions and irritability, as of today."""
    from coach.reports.text.layout import paragraph
    from coach.session.admission.client_conditions import therapist_lines
    from coach.store.clock import now

    profile, limits = snapshot.folder.profile, content.limit_values(snapshot.folder.prescription.limits)
    for text in therapist_lines(profile.condition, profile.irritability, content, limits, now().at.date()):
        print("\n".join(paragraph(text)))


def _show_and_sign(arguments: argparse.Namespace, request: "InstructionRequest", content: "Content") -> int:
    """Show what the instruction would change, and sign it if the therapist confirms."""
    from coach.model.message_format import fill
    from coach.overview.instruction_lines import instruction_text
    from coach.reports.text.next_session import comparison_text
    from coach.store.clock import now
    from coach.store.therapist.steering import propose_instruction, read_snapshot, sign_instruction

    messages, snapshot = content.messages.therapist.steering, read_snapshot(arguments.profile, arguments.exercise)
    proposed = propose_instruction(snapshot, request, content, now().at)
    _print_conditions(snapshot, content)
    print(comparison_text(compare_sessions(content, snapshot, proposed), messages), flush=True)
    if not arguments.yes:
        if sys.stdin is None or not sys.stdin.isatty():
            return print_error(messages.needs_yes, NOT_NOW)
        if _ask(messages.ask).strip().lower() != "y":
            return print_error(messages.not_signed, NOT_NOW)
    sign_instruction(snapshot, proposed)
    instruction = proposed.instruction
    values = {
        "initials": instruction.initials,
        "at": instruction.at.strftime("%Y-%m-%d %H:%M"),
        "instruction": instruction_text(instruction, content.messages),
    }
    print(fill(messages.signed, values))
    return FINE
