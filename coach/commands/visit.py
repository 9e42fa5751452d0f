"""`coach visit`: one visit or contact: measured again, noted, answered, signed."""

import argparse
import sys
from typing import TYPE_CHECKING

from coach.commands.clinic.visiting import compare_after_visit, subject_of, visit_screen
from coach.commands.support.arguments import Commands, add_command, add_content
from coach.commands.support.loading import client_store
from coach.commands.support.output import FINE, NOT_NOW, USAGE, print_error

if TYPE_CHECKING:
    from coach.model.content import Content
    from coach.screens.therapist.visit.visit_basis import VisitSubject
    from coach.store.therapist.signing_visits import ProposedVisit


def add_commands(commands: Commands) -> None:
    """Add visit."""
    visit = add_command(
        commands,
        "visit",
        _visit,
        "One page: what was done since the client was last seen, then range, strength, form, "
        "goals, notes, what was done about each need, and the next visit. What is typed is "
        "kept until you sign. What was measured is shown beside what was known, with what is "
        "beyond the error of measuring, and with the next session before and after it. "
        "A visit is a file of its own in visits/ and is never changed. It goes home with coach take-home and "
        "coach send, and its notes can be read there.",
        (
            "coach visit demo_profiles/tern",
            "coach visit demo_profiles/plover ranges.external.0.right.active_deg=70 \\\n"
            '      note="less wary" --initials KB --yes',
            "coach visit demo_profiles/heron kind=phone needs.not_seen.how=not_reached \\\n      --initials KB --yes",
        ),
    )
    visit.add_argument(
        "values",
        nargs="*",
        metavar="KEY=VALUE",
        help="without the page: ranges.MOTION.POSITION.SIDE.active_deg, strengths.MOTION.POSITION.SIDE.force_n and "
        "lever_m, form.EXERCISE.QUESTION, goals.1.what, needs.NEED.what, irritability, note, agreed, next_visit, "
        "discharge.reason, kind",
    )
    visit.add_argument("--initials", metavar="AB", default="", help="2 to 4 capital letters")
    visit.add_argument("--yes", action="store_true", help="sign without asking, after the change is shown")
    add_content(visit)


def _visit(arguments: argparse.Namespace) -> int:
    from coach.screens.terminal import shows_screens

    store = client_store(arguments.profile)
    content = store.content
    if not arguments.values and shows_screens():
        from coach.screens.therapist.therapist_app import TherapistApp

        screen = visit_screen(arguments.profile, content)
        code = TherapistApp(screen, store.profile.theme, store.profile.signs).run_to_end()
        print(_after_page(screen.signed, arguments, content))
        return code
    subject = subject_of(arguments.profile, content)
    if not arguments.values:
        print("\n".join(_report(subject, content)))
        return FINE
    typed: dict[str, str] = {"initials": arguments.initials}
    for text in arguments.values:
        key, equals, value = text.partition("=")
        if not equals:
            return print_error(f"{text} is not KEY=VALUE: write the key of a field, = and the value", USAGE)
        typed[key.strip()] = value
    return _show_and_sign(arguments, subject, typed, content)


def _report(subject: "VisitSubject", content: "Content") -> list[str]:
    """What was done since the client was last seen, then every visit and contact."""
    from coach.overview.visits.since_visit import since_lines
    from coach.overview.visits.visit_summary import contact_line
    from coach.reports.text.layout import paragraph

    messages, visits = content.messages.therapist.visit, subject.store.folder.visits
    lines = [part for line in since_lines(subject.since, content) for part in paragraph(line)]
    contacts = [part for one in visits for part in paragraph(contact_line(one, content))]
    return [*lines, "", messages.contacts, *(contacts or [messages.no_contact])]


def _after_page(signed: str | None, arguments: argparse.Namespace, content: "Content") -> str:
    from coach.model.message_format import fill

    messages = content.messages.therapist.visit
    return signed or fill(messages.not_signed, {"folder": arguments.profile})


def _show_and_sign(
    arguments: argparse.Namespace, subject: "VisitSubject", typed: dict[str, str], content: "Content"
) -> int:
    """Show what the visit says and changes, and sign it if the therapist confirms."""
    from coach.model.message_format import fill
    from coach.store.clock import now
    from coach.store.therapist.signing_visits import propose_visit, sign_visit
    from coach.store.therapist.visit_values import unknown_field, visit_text

    messages = content.messages.therapist.visit
    unknown = unknown_field(typed)
    if unknown:
        return print_error(unknown, USAGE)
    text = visit_text(typed, now().at, subject.basis.said, content.clinic.dates)
    proposed = propose_visit(subject.seen, text.text, content)
    print(_compared(subject, proposed, content), flush=True)
    if not arguments.yes:
        if sys.stdin is None or not sys.stdin.isatty():
            return print_error(messages.needs_yes, NOT_NOW)
        if input(f"{messages.ask}: ").strip().lower() != "y":
            return print_error(fill(messages.not_signed, {"folder": arguments.profile}), NOT_NOW)
    signed = sign_visit(subject.seen, proposed)
    print(fill(messages.signed, {"initials": signed.initials, "at": signed.at.strftime("%Y-%m-%d %H:%M")}))
    return FINE


def _compared(subject: "VisitSubject", proposed: "ProposedVisit", content: "Content") -> str:
    from coach.overview.comparison_text import ComparisonHeadings, comparison_lines
    from coach.overview.text_columns import WIDTH
    from coach.overview.visits.visit_summary import VisitInWords

    messages, folder = content.messages.therapist.visit, subject.store.folder
    limits = content.limit_values(folder.prescription.limits)
    words = VisitInWords(proposed.visit, folder.own_profile, folder.visits, limits, content)
    parts = (*words.parts(), *compare_after_visit(content, subject.store, proposed))
    headings = ComparisonHeadings(messages.before, messages.today, messages.alike)
    return "\n".join(comparison_lines(parts, headings, WIDTH) or [messages.nothing_follows])
