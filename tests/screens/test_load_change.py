"""What a client is told to change for a new load: only what is another one, and what stays."""

import pytest
from msgspec.structs import replace

from coach.model.record import LoadChanged
from coach.screens.client.rest_pages import change_line
from tests.clocks import START
from tests.plans import begun


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"grade": "striped"}, "Change only the band: knotted to striped, one strand. Stay at the 85 cm mark."),
        ({"strands": 2}, "Change only the strands: from one strand to two strands, with the knotted band. Stay at"),
        ({"distance_cm": 70}, "Change only the mark: 85 cm to 70 cm. Keep the knotted band, one strand."),
        ({"grade": "striped", "distance_cm": 70}, "Change band and mark. Band: striped, one strand. Mark: 70 cm, in"),
        (
            {"grade": "striped", "underfoot": True},
            "Change only the band: knotted to striped, one strand. Again 85 cm",
        ),
        ({}, ""),
    ],
)
def test_what_changes_is_named_and_what_stays(other: dict[str, object], said: str) -> None:
    state = begun("tern")
    rungs = state.record.current_rungs
    new = replace(rungs, step=replace(rungs.step, **other))
    changed = LoadChanged(at=START, rule="form_fault", rungs=new)
    after = state._replace(record=replace(state.record, entry=(*state.record.entry, changed)))
    assert change_line(after).startswith(said)
    assert bool(change_line(after)) == bool(said)
    assert change_line(state) == ""
