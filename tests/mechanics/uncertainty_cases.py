"""Stated intervals and chances of ladders beside the draws of the Monte Carlo model."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from coach.content_files.content_folder import content_folder, load_content
from coach.mechanics.anchor_placement import place_anchor
from coach.mechanics.ladder import build_ladder
from coach.model.exercise import Position
from coach.model.no_session import NoSession
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.toml.reader import read_model
from tests.demo.pristine import DEMO
from tests.mechanics.clients import LIMITS, prescription
from tests.mechanics.monte_carlo import mean_torques
from tests.mechanics.random_clients import random_clients


@dataclass(frozen=True)
class Case:
    """One client in one position."""

    name: str
    profile: Profile
    prescription: Prescription
    position: Position


@dataclass(frozen=True)
class Held:
    """One ladder: the share of draws inside each stated interval, and the errors of the stated chances."""

    name: str
    coverage: tuple[float, ...]
    chance_errors: tuple[float, ...]

    @property
    def holds(self) -> bool:
        """Whether every interval from 5 to 95 % holds 86 to 93 % of the draws."""
        return min(self.coverage) >= 0.86 and max(self.coverage) <= 0.93


def demo_cases() -> Iterator[Case]:
    """Every position of every demo client with one exercise."""
    content = load_content(content_folder(), "en")
    for folder in sorted(path for path in DEMO.iterdir() if (path / "prescription.toml").exists()):
        profile = read_model(folder / "profile.toml", Profile)
        prescribed = read_model(folder / "prescription.toml", Prescription)
        for degrees in prescribed.positions:
            position = content.exercise(prescribed.exercise).position(degrees)
            yield Case(f"{folder.name} at {degrees}", profile.with_bands(prescribed.bands), prescribed, position)


def random_cases(seed: int, count: int) -> Iterator[Case]:
    """So many random clients that have a ladder."""
    found = 0
    for number, (profile, position) in enumerate(random_clients(seed, 4 * count)):
        case = Case(f"random {number} at {position.abduction_deg}", profile, prescription(), position)
        try:
            build_ladder(case.profile, case.prescription, case.position, LIMITS)
        except NoSession:
            continue
        yield case
        found += 1
        if found == count:
            return


def check(case: Case, draws: int, limits: Mapping[str, float] = LIMITS) -> Held:
    """The stated figures of a ladder beside so many draws."""
    ladder = build_ladder(case.profile, case.prescription, case.position, limits)
    anchor = place_anchor(case.profile, case.prescription, case.position, limits).anchor
    drawn = mean_torques(case.profile, case.position, anchor, ladder.steps, limits, draws)
    coverage, errors = [], []
    for step, torques in zip(ladder.steps, drawn, strict=True):
        assert step.low_nm is not None
        assert step.high_nm is not None
        coverage.append(float(np.mean((torques >= step.low_nm) & (torques <= step.high_nm))))
    for index in range(0, len(ladder.steps), max(1, len(ladder.steps) // 8)):
        for other in range(index + 1, min(index + 9, len(ladder.steps)), 2):
            stated = ladder.comparison.chance_heavier(ladder.steps[other], ladder.steps[index])
            errors.append(abs(stated - float(np.mean(drawn[other] > drawn[index]))))
    return Held(case.name, tuple(coverage), tuple(errors or [0.0]))
