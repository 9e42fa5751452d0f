"""Sessions of a client with a programme, as they would have been done, written into a copy of the client's folder."""

from datetime import datetime
from pathlib import Path

from coach.model.answers_file import Answers
from coach.session.simulation.programme_rehearsal import rehearse_programme
from coach.store import record_file
from coach.store.client_folder import records_folder
from coach.store.client_store import ClientStore
from coach.store.programme.opening import todays_exercises


def play(folder: Path, at: datetime, answers: Answers | None = None) -> Path:
    """One session of the exercises that are due at this time; returns the path of its record."""
    plans = todays_exercises(ClientStore.read(folder), at).plans
    session = rehearse_programme(plans, answers or Answers(), at).file
    path = record_file.create(records_folder(folder), session.model_copy(update={"entry": ()}))
    record_file.append(path, session.entry)
    ClientStore.read(folder).save(at)
    return path
