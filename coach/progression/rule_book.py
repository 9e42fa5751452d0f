"""What a judgement needs of the content: the rules in their order, their words, and the limits they read."""

from collections.abc import Mapping
from dataclasses import dataclass

from coach.model.content_set import Content


@dataclass(frozen=True)
class RuleBook:
    """The content as the progression sees it, in one language; `names` says faults, signs and checks in words."""

    content: Content
    names: Mapping[str, str]
    stopping_checks: tuple[str, ...]

    def limits(self, moved: Mapping[str, float]) -> dict[str, float]:
        """Every limit by name, with the therapist's own values in place."""
        return self.content.limit_values(moved)

    def asked(self, exercise: str, position_deg: int) -> tuple[str, ...]:
        """The form questions of a position, in order."""
        return self.content.exercises[exercise].position(position_deg).questions


def rule_book(content: Content) -> RuleBook:
    """The rule book of a content folder."""
    words = content.words
    names: dict[str, str] = {**words.safety.sign, **words.safety.trouble}
    names.update({str(fault): said for fault, said in words.form.fault.items()})
    names.update((name, said.fails) for name, said in words.safety.check.items())
    return RuleBook(
        content=content,
        names=names,
        stopping_checks=tuple(check.name for check in content.checks.values() if check.on_no == "stop"),
    )
