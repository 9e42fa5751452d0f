"""LANGUAGE/wording.toml: words that must not be said to a client, and words to think twice about."""

from typing import Annotated, Literal

from coach.frozen import Bounds, Field, form
from coach.model.base import Frozen, Line

# The first four are faults in anything that a client reads. The others are pointed out: a negation in a question, a
# second instruction in a cue, a cue that turns attention to the body instead of the effect of the movement.
TermKind = Literal["promise", "diagnosis", "illness", "unsafe", "negation", "second_instruction", "internal_focus"]


class Term(Frozen):
    """Words to look for, and why."""

    kind: TermKind = Field(description="what is wrong with it, which decides where it is looked for")
    words: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="each is looked for as whole words, in small or capital letters; * at its end is any ending"
    )
    unless: tuple[Line, ...] = Field(default=(), description="phrases that contain the words and may be said")
    reason: Line = Field(description="why, for the coach who wrote it, with the source where there is one")


class MustSay(Frozen):
    """A text on which a client's safety hangs, and words of which it has one at least."""

    at: Annotated[str, form(r"^[a-z_]+(\.([a-z0-9_]+|\*))+$", max_length=200)] = Field(
        description="the file without its ending, and the key in it; * stands for each name there"
    )
    words: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="one of them is in the text, as a whole word; * at its end is any ending"
    )
    denied_by: tuple[Line, ...] = Field(
        default=(), description="words that take it back: a sentence that has one of them does not say it"
    )
    reason: Line = Field(description="why, for the coach who wrote it")


class Number(Frozen):
    """A length of the setup that is filled in, and words that stand with this one and no other."""

    name: Literal["anchor_height_cm", "distance_cm", "underfoot_cm"] = Field(description="without its braces")
    words: Annotated[tuple[Line, ...], Bounds(min_length=1)] = Field(
        description="where one of another length's words stands with it and none of these, the two are swapped"
    )


class Wording(Frozen):
    """LANGUAGE/wording.toml: the words of one language."""

    format: Literal[1]
    must_say: tuple[MustSay, ...] = Field(default=(), description="what a text must say")
    number: tuple[Number, ...] = Field(default=(), description="the lengths of the setup")
    term: Annotated[tuple[Term, ...], Bounds(min_length=1)] = Field(description="in the order of the report")
