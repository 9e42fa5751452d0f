"""The client's screens for one position, made from content that is being edited; independent of any widget."""

from collections.abc import Mapping
from datetime import datetime
from functools import cached_property

from msgspec import Struct

from coach.model.base import Name
from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.client.key_help import footer
from coach.screens.client.page_types import ScreenPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache
from coach.screens.coach.message_pages import message_pages
from coach.session.screen_catalogue import CatalogueEntry, catalogue_entries, plan_for_position


class ProofSelection(Struct, frozen=True):
    """What the coach has selected: an exercise, one of its positions, a language."""

    exercise: str
    position: Name
    language: str

    def within(self, content: Content) -> "ProofSelection":
        """The same selection, with the first exercise or position if the content does not have the one selected."""
        exercise = self.exercise if self.exercise in content.exercises else next(iter(content.exercises))
        names = content.exercises[exercise].position_names
        position = self.position if self.position in names else names[0]
        return ProofSelection(exercise, position, content.messages.language)


class Proof(Struct, frozen=True, dict=True):
    """Every screen for one selection. A page is made when it is first needed."""

    content: Content
    selection: ProofSelection
    screens: Mapping[str, CatalogueEntry]

    @property
    def names(self) -> tuple[str, ...]:
        """The client's screens in the order of a session, then the tables of messages."""
        return (*self.screens, *self.tables)

    @cached_property
    def tables(self) -> Mapping[str, TextPage]:
        """The pages that list tables of messages, by their names."""
        return message_pages(self.content, self.selection.exercise)

    def page(self, name: str) -> ScreenPage:
        """The page of one screen, or of a table of messages."""
        if name not in self.screens:
            return self.tables[name]
        screen = self.screens[name]
        return page_at(screen.state, self._setups.of(screen.state), screen.at_s)

    def keys(self, name: str) -> list[str]:
        """The keys that work on a screen, each with its name; none on a table of messages."""
        return footer(self.screens[name].state) if name in self.screens else []

    @cached_property
    def pages(self) -> Mapping[str, ScreenPage]:
        """All pages of the client, by the names of the screens."""
        return {name: self.page(name) for name in self.screens}

    def changed_since(self, before: "Proof") -> tuple[str, ...]:
        """The names of screens that differ from those of `before`, or are new; none if the selection was another.

        A table of messages is named only if no screen of the client differs.
        """
        if before.selection != self.selection:
            return ()
        drawn = tuple(name for name, page in self.pages.items() if before.pages.get(name) != page)
        return drawn or tuple(name for name, page in self.tables.items() if before.tables.get(name) != page)

    @cached_property
    def _setups(self) -> SetupCache:
        return SetupCache()


def make_proof(
    content: Content, selection: ProofSelection, profile: Profile, prescription: Prescription, at: datetime
) -> Proof:
    """Make the screens of a client for a selection.

    Raises whatever the mechanics raise when no setup is possible.
    """
    plan = plan_for_position(profile, prescription, content, selection.exercise, selection.position, at)
    return Proof(content, selection, {screen.name: screen for screen in catalogue_entries(plan, at)})
