"""The client's own plan: profile.toml holds the one of the intake, plan.toml the one that the client said last."""

from pathlib import Path

from coach.model.profile import Profile, TrainingPlan, TrainingPlanFile
from coach.store.client_paths import PLAN
from coach.toml.atomic_write import replace_file
from coach.toml.diagnostic import FileFault
from coach.toml.reader import is_there, read_model
from coach.toml.writer import dump_by_hand


def read_plan(folder: Path, profile: Profile) -> TrainingPlan | None:
    """The plan in use; a damaged plan.toml counts as none, so that no session is lost for it."""
    if not is_there(folder / PLAN):
        return profile.plan
    try:
        return read_model(folder / PLAN, TrainingPlanFile)
    except FileFault:
        return profile.plan


def write_plan(folder: Path, plan: TrainingPlan) -> None:
    """Replace plan.toml, completely or not at all. Raises OSError."""
    values = plan.model_dump(exclude_none=True, exclude={"format"})
    replace_file(folder / PLAN, dump_by_hand({"format": 1, **values}))
