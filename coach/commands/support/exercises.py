"""The exercises that a command speaks of: all of a client's programme in its order, or the one that is named."""

import argparse
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from coach.commands.support.loading import client_store
from coach.commands.support.output import FAULTS, FINE, print_error

if TYPE_CHECKING:
    from coach.model.record import Record
    from coach.store.client_store import ClientStore


def chosen_exercises(arguments: argparse.Namespace) -> "tuple[ClientStore, ...]":
    """The client looked at for each exercise that is asked for. Raises Refusal where there is none of that name."""
    return exercises_of(client_store(arguments.profile), arguments.exercise)


def exercises_of(store: "ClientStore", name: str | None) -> "tuple[ClientStore, ...]":
    """All exercises of a client in order, or the one of this name. Raises Refusal where there is none."""
    from coach.toml.diagnostic import Refusal, whole_file
    from coach.toml.nearest_name import nearest_name

    named = {name_of(one): one for one in store.exercises}
    if name is None:
        return tuple(named.values())
    if name not in named:
        what = f"{name}: {store.profile.name} has no exercise of that name"
        fix, near = "name one with --exercise, or leave it out for all", nearest_name(name, named)
        raise Refusal([whole_file(Path(name), what, _one_of(named), fix, near)])
    return (named[name],)


def the_one_exercise(stores: "Sequence[ClientStore]", what: str) -> "ClientStore":
    """The only exercise that is asked for, for what is made of one alone. Raises Refusal where there are several."""
    from coach.toml.diagnostic import Refusal, whole_file

    if len(stores) == 1:
        return stores[0]
    said = f"{what} is of one exercise, and {stores[0].profile.name} has {len(stores)}"
    fix = "name one with --exercise"
    raise Refusal([whole_file(Path(), said, _one_of(map(name_of, stores)), fix)])


def name_of(store: "ClientStore") -> str:
    """What an exercise is called in the programme; without a programme, as the exercise itself."""
    return store.folder.name or store.prescription.exercise


def heading_of(store: "ClientStore", with_name: bool = True) -> list[str]:
    """The heading of an exercise; nothing where the client has only one. For the client `with_name` is False."""
    from coach.reports.text.layout import heading

    title = named_title_of(store) if with_name else title_of(store)
    return heading(title) if title else []


def named_title_of(store: "ClientStore") -> str:
    """As `title_of`, with the name of the exercise in the programme, by which --exercise picks it."""
    from coach.model.message_format import fill

    title, messages = title_of(store), store.content.messages.therapist.programme
    return fill(messages.named, {"exercise": title, "name": name_of(store)}) if title else ""


def has_several(store: "ClientStore") -> bool:
    """Whether the client's programme has several exercises."""
    return len(store.folder.prescribed.names) > 1


def records_of(stores: "Sequence[ClientStore]") -> "tuple[Record, ...]":
    """What was done of these exercises of a client, in order of time."""
    names = {store.folder.name for store in stores}
    return tuple(one for one in stores[0].records if one.name in names or None in names)


def title_of(store: "ClientStore") -> str:
    """Which exercise of the programme it is, and its side; empty where the client has only one."""
    from coach.model.message_format import fill
    from coach.session.phrases import exercise_line

    if not has_several(store):
        return ""
    names = store.folder.prescribed.names
    values = {"number": names.index(store.folder.name) + 1, "count": len(names)}
    part = fill(store.content.messages.client.programme.part, values)
    return f"{part}: {exercise_line(store.prescription.exercise, store.profile.side, store.content)}"


def print_each(
    stores: "Sequence[ClientStore]", report: "Callable[[ClientStore], str]", with_name: bool = True
) -> int:
    """Print a report of each exercise, below its heading where the programme has several; returns the exit code.

    Where no load can be planned for one of several, the reason is said in its place and the others follow.
    """
    from coach.model.no_session import NoSession

    code = FINE
    for number, store in enumerate(stores):
        head = heading_of(store, with_name)
        print(*head[0 if number else 1 :], sep="\n", end="\n" if head else "", flush=True)
        try:
            print(report(store), end="", flush=True)
        except NoSession as none:
            if len(stores) == 1:
                raise
            code = print_error(str(none), FAULTS)
    return code


def _one_of(names: Iterable[str]) -> str:
    return f"one of {', '.join(names)}"
