"""Sealed files that came, as a command shows them before they are taken: who, what, and what it changes."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from coach.commands.exchange.exchanging import content_at, counted_parts, passphrase_asker, say
from coach.commands.support.output import FAULTS, print_error
from coach.commands.support.progress_bar import counted, progress_bar

if TYPE_CHECKING:
    from coach.exchange.receiving import Came, KeyRing, OpenedParcel, TakingPlan
    from coach.model.caseload import Need
    from coach.model.content import Content
    from coach.model.messages.exchange import ExchangeMessages
    from coach.overview.caseload_lines import CaseloadLine
    from coach.store.client_store import ClientStore
    from coach.toml.diagnostic import Diagnostic


class Incoming(Struct, frozen=True):
    """What came: a plan for each client, those with needs first, what was refused, and how to take a plan.

    `lines` says of each plan what the client needs once it is taken; none at home.
    """

    content: "Content"
    plans: "tuple[TakingPlan, ...]"
    lines: "tuple[CaseloadLine | None, ...]"
    refused: "tuple[Diagnostic, ...]"
    known: int
    take: "Callable[[TakingPlan], TakingPlan]"

    @property
    def new_clinic_digits(self) -> str:
        """The first five numbers of new keys of the clinic; empty where it has none."""
        changes = [change for plan in self.plans for came in plan.came for change in came.changes]
        return changes[-1].after.fingerprint.split()[0] if changes else ""


def home_incoming(files: Sequence[Path], client: Path) -> Incoming:
    """What came for this computer at home. Raises FileFault."""
    from coach.exchange.home_side import home_key_ring, plan_home, take_home
    from coach.exchange.receiving import looked_at
    from coach.store.client_store import ClientStore
    from coach.store.clock import now

    content = content_at(client)
    ring = home_key_ring(client, passphrase_asker(content))
    refused = list["Diagnostic"]()
    found = tuple(_opened(files, ring, refused, content))
    plan = looked_at(plan_home(client, found), content, lambda _: None)

    def take(plan: "TakingPlan") -> "TakingPlan":
        with ClientStore.locked(client) as store:
            again = plan_home(client, found)
            _require_same(plan, again)
            take_home(store, again, now().at)
            return again

    plans = (plan,) if plan.came else ()
    return Incoming(content, plans, (None,) * len(plans), (*refused, *plan.refused), len(plan.known), take)


def clinic_incoming(files: Sequence[Path], folder: Path) -> Incoming:
    """What came for the clients of a folder, or for one client. Raises FileFault."""
    from coach.content_files.caseload_needs import load_needs
    from coach.content_files.content_folder import content_folder
    from coach.exchange.clinic_side import clients_by_id, clinic_key_ring, plan_clinic, take_clinic
    from coach.store.client_paths import clients_in, is_client
    from coach.store.client_store import ClientStore
    from coach.store.clock import now
    from coach.toml.diagnostic import FileFault

    clients = [folder] if is_client(folder) else [folder / name for name in clients_in(folder)]
    content = content_at(clients[0])
    ring, needs = clinic_key_ring(passphrase_asker(content)), load_needs(content_folder())
    refused, known = list["Diagnostic"](), 0
    of_client = _by_client(files, ring, clients_by_id(clients, refused), refused, content)
    looked = list["tuple[TakingPlan, CaseloadLine]"]()
    with progress_bar(content.messages.therapist.working.reading) as show:
        for client, paths in counted(of_client.items(), len(of_client), show):
            try:
                plan, line = _planned(plan_clinic(client, _again(paths, ring), now().at), content, needs)
            except FileFault as fault:
                refused += fault.faults
                continue
            refused += plan.refused
            known += len(plan.known)
            if line is not None:
                looked.append((plan, line))
    looked.sort(key=lambda one: (one[1].rank, -len(one[1].needs), one[0].client.name))

    def take(plan: "TakingPlan") -> "TakingPlan":
        with ClientStore.locked(plan.client) as store:
            again = plan_clinic(plan.client, _again(of_client[plan.client], ring), now().at)
            _require_same(plan, again)
            take_clinic(store, again, now().at)
            return again

    plans, lines = tuple(plan for plan, _ in looked), tuple(line for _, line in looked)
    return Incoming(content, plans, lines, tuple(refused), known, take)


def print_incoming(incoming: Incoming) -> None:
    """Print what was refused with its reasons, then what came, clients with needs first."""
    from coach.model.message_format import fill
    from coach.toml.diagnostic import render

    messages = incoming.content.messages.client.exchange
    for fault in incoming.refused:
        print_error(f"{render(fault)}\n", FAULTS)
    if incoming.refused:
        print_error(fill(messages.refused, {"count": len({fault.path for fault in incoming.refused})}), FAULTS)
    if incoming.known:
        say(fill(messages.known, {"count": incoming.known}))
    for plan, line in zip(incoming.plans, incoming.lines, strict=True):
        for came in plan.came:
            _print_parcel(plan, came, incoming.content, is_home=line is None)
        if line is not None:
            _print_needs(line, messages)


def _print_needs(line: "CaseloadLine", messages: "ExchangeMessages") -> None:
    from coach.model.message_format import fill

    if line.needs_text:
        say(f"  {fill(messages.needs, {'needs': '; '.join(line.needs_text)})}")


def _print_parcel(plan: "TakingPlan", came: "Came", content: "Content", is_home: bool) -> None:
    """Print who wrote a parcel, when, what is new in it, and what is odd."""
    from coach.model.message_format import fill

    messages, at = content.messages.client.exchange, came.at.strftime("%Y-%m-%d %H:%M")
    values = {
        "number": came.number,
        "at": at,
        "client": plan.client.resolve().name,
        "digits": came.sender.fingerprint,
    }
    say(fill(messages.from_clinic if is_home else messages.from_computer, values))
    what = counted_parts(came.new, messages)
    say(f"  {fill(messages.brings, {'what': what}) if what else messages.brings_nothing}")
    for line in _instructions(plan, came, content):
        say(f"    {line}")
    if is_home and "profile.toml" in came.new:
        say(f"  {fill(messages.profile_kept, {'folder': 'exchange'})}")
    if came.new_computer:
        say(f"  {messages.new_computer}")
    for change in came.changes:
        signed = {"at": change.at.strftime("%Y-%m-%d"), "initials": change.initials, "reason": change.reason}
        say(f"  {fill(messages.new_clinic_keys, {**signed, 'digits': change.after.fingerprint})}")
    for note in came.notes:
        say(f"  {fill(messages.note, {'note': note})}")


def _instructions(plan: "TakingPlan", came: "Came", content: "Content") -> "Iterator[str]":
    """What was signed, by whom and why, of each new instruction."""
    from coach.model.instruction import Instruction
    from coach.model.programme.instruction_file import InstructionFile
    from coach.overview.instruction_lines import instruction_text
    from coach.store.client_paths import INSTRUCTIONS
    from coach.toml.reader import parse_model

    for name in came.new:
        if name.startswith(f"{INSTRUCTIONS}/"):
            signed = parse_model(plan.files[name].decode(), Path(name), InstructionFile)
            values = {key: getattr(signed, key) for key in Instruction.model_fields}
            said = instruction_text(Instruction.model_construct(**values), content.messages)
            yield f"{signed.at:%Y-%m-%d %H:%M} {signed.initials}: {said} ({signed.reason})"


def _opened(
    files: Sequence[Path], ring: "KeyRing", refused: "list[Diagnostic]", content: "Content"
) -> "Iterator[OpenedParcel]":
    """The parcels that can be opened; what is wrong with the others is added to `refused`."""
    from coach.toml.diagnostic import FileFault

    with progress_bar(content.messages.therapist.working.opening) as show:
        for file in counted(files, len(files), show):
            try:
                yield ring.open(file)
            except FileFault as fault:
                refused += fault.faults


def _by_client(
    files: Sequence[Path],
    ring: "KeyRing",
    by_id: "dict[str, tuple[Path, ...]]",
    refused: "list[Diagnostic]",
    content: "Content",
) -> dict[Path, list[Path]]:
    """The sealed files of each client; what they say is not held."""
    from coach.exchange.clinic_side import client_of
    from coach.toml.diagnostic import FileFault

    found: dict[Path, list[Path]] = {}
    for one in _opened(files, ring, refused, content):
        try:
            found.setdefault(client_of(one, by_id), []).append(one.path)
        except FileFault as fault:
            refused += fault.faults
    return found


def _again(paths: Iterable[Path], ring: "KeyRing") -> "tuple[OpenedParcel, ...]":
    return tuple(map(ring.open, paths))


def _planned(
    plan: "TakingPlan", content: "Content", needs: "tuple[Need, ...]"
) -> "tuple[TakingPlan, CaseloadLine | None]":
    """A plan that was tried on a copy of the client's folder, and the client's line in the caseload after it.

    No line where there is nothing to take.
    """
    from coach.exchange.receiving import looked_at
    from coach.overview.caseload_lines import LineSources, caseload_line
    from coach.store.client_summary import summary_of_store
    from coach.store.clock import now

    lines, at = list["CaseloadLine"](), now().at

    def look(store: "ClientStore") -> None:
        lines.append(caseload_line(summary_of_store(store, at).summary, LineSources(needs, content, at.date())))

    plan = looked_at(plan, content, look)
    return plan, lines[0] if plan.came and lines else None


def _require_same(shown: "TakingPlan", now: "TakingPlan") -> None:
    """Raise FileFault where a client's folder has changed since a plan was shown, so that it says something else."""
    from coach.toml.diagnostic import FileFault, whole_file

    if now.files == shown.files and len(now.came) == len(shown.came):
        return
    what = "the client's folder has changed since this was shown, and nothing was taken"
    raise FileFault([whole_file(shown.client, what, "", "receive it again")])
