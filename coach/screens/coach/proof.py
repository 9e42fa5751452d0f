"""The client's screens of one position, from content that is being edited; without any widget."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from coach.model.content import Content
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.screens.client.key_bindings import fitting
from coach.screens.client.pages import Page, RestPage, SetPage, Setups, shown
from coach.session.screen_catalogue import Sight, every_sight, plan_at

AnyPage = Page | SetPage | RestPage


@dataclass(frozen=True)
class Place:
    """What is looked at: an exercise, one of its positions, a language."""

    exercise: str
    position_deg: int
    language: str

    def within(self, content: Content) -> "Place":
        """The same place; the first there is where the content has no such exercise or position."""
        exercise = self.exercise if self.exercise in content.exercises else next(iter(content.exercises))
        degrees = degrees_of(content, exercise)
        return Place(
            exercise, self.position_deg if self.position_deg in degrees else degrees[0], content.words.language
        )


def degrees_of(content: Content, exercise: str) -> tuple[int, ...]:
    """The positions of an exercise."""
    return tuple(position.abduction_deg for position in content.exercises[exercise].positions)


@dataclass(frozen=True)
class Proof:
    """Every screen at one place. A page is made when it is asked for."""

    content: Content
    place: Place
    sights: Mapping[str, Sight]

    def page(self, name: str) -> AnyPage:
        """The page of one screen."""
        sight = self.sights[name]
        return shown(sight.state, self._setups.of(sight.state), sight.at_s)

    def keys(self, name: str) -> list[str]:
        """The keys that the client has there, in words."""
        words = self.content.words.screens.keys.model_dump()
        return [f"{command.key} {words[command.word]}" for command in fitting(self.sights[name].state)]

    @cached_property
    def pages(self) -> Mapping[str, AnyPage]:
        """All of them."""
        return {name: self.page(name) for name in self.sights}

    def changed_since(self, before: "Proof") -> tuple[str, ...]:
        """The screens that are others, or new; none where another place was looked at before."""
        if before.place != self.place:
            return ()
        return tuple(name for name, page in self.pages.items() if before.pages.get(name) != page)

    @cached_property
    def _setups(self) -> Setups:
        return Setups()


def make_proof(content: Content, place: Place, profile: Profile, prescription: Prescription, at: datetime) -> Proof:
    """The screens of this client at a place. Whatever the mechanics refuse is an exception."""
    plan = plan_at(profile, prescription, content, place.exercise, place.position_deg, at)
    return Proof(content, place, {sight.name: sight for sight in every_sight(plan, at)})
