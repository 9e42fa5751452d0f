"""What the therapist can say, as pages to fill in: the word that each page signs, and the values it asks for."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Literal

from pydantic import BaseModel

from coach.model.content import Content
from coach.model.instruction import SignOff, Word
from coach.model.message_format import fill
from coach.model.messages.steering import OneWord, SteeringWords
from coach.model.prescription import Prescription
from coach.screens.widgets.form import Field
from coach.store.therapist.prescription_file import value_at
from coach.toml.expected import at
from coach.toml.input_parsing import as_typed, asked_for

INITIALS, REASON = "initials", "reason"
_TEMPO = tuple(f"dose.tempo.{name}" for name in ("out_s", "hold_s", "back_s", "relax_s"))
_SETS = tuple(f"dose.{name}" for name in ("sets", "sets_least", "repetitions_min", "repetitions_max"))
_DOSE = (*_SETS, *_TEMPO, "dose.rest_s", "dose.count_in_s", "dose.days_a_week")
_PROGRAMME = ("goal", "positions", "bands", "activities", "repaired_on")
_SETUP = ("anchor_height_cm", "body_turn_deg", "distance_cm")


@dataclass(frozen=True)
class Now:
    """The client as they are: what the pages begin with. `back`: what may be taken back, when it was signed."""

    data: Mapping[str, object]
    prescription: Prescription
    position_deg: int
    content: Content
    back: tuple[str, ...]

    @property
    def words(self) -> SteeringWords:
        """The words of the pages."""
        return self.content.words.of(SteeringWords)


@dataclass(frozen=True)
class WordPage:
    """A key, the word that it signs, and the fields that it asks for; `part` names the part that a change is of."""

    key: str
    word: Word
    fields: Callable[[Now], Sequence[Field]]
    part: Literal["dose", "limits", "setups", "programme"] | None = None

    def called(self, words: SteeringWords) -> OneWord:
        """What the page is called, and what it does."""
        return words.part[self.part] if self.part else words.word[self.word]


def _field(model: type[BaseModel], now: Now, key: str, typed: str = "", label: str = "") -> Field:
    """A field with what its model expects of it."""
    here = at(model, tuple(key.split(".")), {})
    how = asked_for(here)
    return Field(key, label or now.words.field[key], typed, how)


def _said(now: Now, *keys: str, **begun: str) -> tuple[Field, ...]:
    """What belongs to a word, empty but for what it is begun with."""
    return tuple(_field(SignOff, now, key, begun.get(key, "")) for key in keys)


def _changed(now: Now, keys: Sequence[str]) -> tuple[Field, ...]:
    """Values of the prescription as they stand in it."""
    return tuple(_field(Prescription, now, key, as_typed(value_at(now.data, key))) for key in keys)


def _limits(now: Now) -> Sequence[Field]:
    """Every limit; empty where the therapist has not moved it."""
    fields = []
    for limit in now.content.limits:
        numbers = {"value": limit.value, "low": limit.low, "high": limit.high}
        in_digits = {name: f"{number:g}" for name, number in numbers.items()}
        how = fill(now.words.limit_how, {**in_digits, "unit": limit.unit})
        typed = as_typed(value_at(now.data, f"limits.{limit.name}"))
        fields.append(Field(f"limits.{limit.name}", limit.name, typed, f"{how} {limit.source}"))
    return fields


def _setups(now: Now) -> Sequence[Field]:
    """What is fixed in each position, and the load at which it is done with."""
    fields: list[Field] = []
    for degrees in now.prescription.positions:
        fields.append(Field("", fill(now.words.at_position, {"position_deg": degrees})))
        keys = [f"setups.{degrees}.{name}" for name in _SETUP] + [f"targets.{degrees}.mean_nm"]
        for key in keys:
            head, _, name = key.split(".")
            here = at(Prescription, (head, 0, name), {})
            how = asked_for(here)
            fields.append(Field(key, now.words.field[name], as_typed(value_at(now.data, key)), how))
    return fields


def _no_field(_: Now) -> Sequence[Field]:
    return ()


PAGES: tuple[WordPage, ...] = (
    WordPage("e", "end_review", _no_field),
    WordPage("u", "unlock_position", lambda now: _said(now, "position_deg")),
    WordPage(
        "o", "overrule", lambda now: _said(now, "load.grade", "load.strands", "load.distance_cm", "repetitions")
    ),
    WordPage("f", "freeze_load", lambda now: _said(now, "until")),
    WordPage("l", "lift_freeze", _no_field),
    WordPage(
        "r", "cap_range", lambda now: _said(now, "position_deg", "available_deg", position_deg=str(now.position_deg))
    ),
    WordPage("p", "cap_position", lambda now: _said(now, "position_deg")),
    WordPage("c", "lift_caps", _no_field),
    WordPage("s", "allow_strengthening", _no_field),
    WordPage("d", "change", partial(_changed, keys=_DOSE), "dose"),
    WordPage("m", "change", _limits, "limits"),
    WordPage("t", "change", _setups, "setups"),
    WordPage("g", "change", partial(_changed, keys=_PROGRAMME), "programme"),
    WordPage("z", "take_back", lambda now: _said(now, "signed_at", signed_at=next(iter(now.back), ""))),
)


def fields_of(page: WordPage, now: Now) -> tuple[Field, ...]:
    """The fields of a page, with the signature below."""
    words = now.words
    signature = (
        _field(SignOff, now, INITIALS, "", words.initials),
        Field(REASON, words.reason, "", words.reason_how),
    )
    return (*page.fields(now), Field("", words.sign), *signature)
