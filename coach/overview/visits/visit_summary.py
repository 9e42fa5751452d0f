"""A visit in words: what was measured beside what was known before, what was found, agreed and done."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.messages.visits import VisitMessages
from coach.model.option_names import Direction
from coach.model.profile import Profile
from coach.model.programme.visit_file import FormSeen, NeedAnswer, VisitFile
from coach.overview.comparison import ComparisonPart, LineMark, LinePair
from coach.overview.measurement import change_shown
from coach.overview.visits.measured_again import MeasuredAgain, MeasuredKind, measured_again
from coach.progression.programme.after_visit import ended_by

KIND_OF_FIELD: Mapping[str, MeasuredKind] = {
    "active_deg": "range",
    "passive_deg": "passive",
    "force_n": "strength",
    "lever_m": "strength",
    "pain": "test_pain",
}


class VisitInWords(Struct, frozen=True):
    """One visit with what was known before it: the profile on both sides, the visits before, and the limits."""

    visit: VisitFile
    before: Profile
    earlier: Sequence[VisitFile]
    limits: Mapping[str, float]
    content: Content

    @property
    def _messages(self) -> VisitMessages:
        return self.content.messages.therapist.visit

    def parts(self) -> tuple[ComparisonPart, ...]:
        """The visit in two columns: as it was, and as it is with the visit."""
        messages = self._messages.part
        found = (
            (messages["measured"], tuple(self._measured())),
            (messages["found"], tuple(LinePair("new", "", text) for text in self._found())),
            (messages["needs"], tuple(LinePair("new", "", text) for text in self._needs())),
        )
        return tuple(ComparisonPart(title, pairs) for title, pairs in found if pairs)

    def sentences(self) -> Iterator[str]:
        """The same as sentences, one below the other."""
        for one in self._again():
            yield f"{self._name(one)} {self._today(one)}."
        yield from self._found()
        yield from self._needs()

    def told_at(self, field: str) -> str:
        """What was measured in one field, such as ranges.external.0.right.active_deg, as a sentence; else empty."""
        _, direction, *position, side, name = field.split(".")
        at, kind = (".".join(position), direction, side), KIND_OF_FIELD.get(name)
        return next((f"{self._today(one)}." for one in self._again() if one.kind == kind and one.place == at), "")

    def _again(self) -> tuple[MeasuredAgain, ...]:
        return measured_again(self.visit, self.before, self.earlier, self.limits)

    def _measured(self) -> Iterator[LinePair]:
        for one in self._again():
            before = one.before
            values = {"value": _number(before.value), "unit": one.unit, "day": before.on} if before else None
            known = f" {fill(self._messages.value, values)}" if values is not None else ""
            mark: LineMark = "new" if before is None else "noted" if one.beyond == "within" else "changed"
            yield LinePair(mark, f"{self._name(one)}{known}", self._today(one))

    def _name(self, one: MeasuredAgain) -> str:
        position, direction, side = one.place
        values = {"place": place_text(direction, position, self.content), "side": side_text(side, self.content)}
        return fill(self._messages.line[one.kind], values)

    def _today(self, one: MeasuredAgain) -> str:
        value = {"value": _number(one.today), "unit": one.unit}
        if one.before is None:
            return fill(self._messages.change_first, value)
        error = f"{one.error:.3g} {one.unit}".strip() if one.error is not None else ""
        verdict = fill(self._messages.beyond[one.beyond], {"error": error} if error else {})
        change = f"{change_shown(_number(one.before.value), _number(one.today)):+.3g}"
        return fill(self._messages.change, {**value, "change": change, "verdict": verdict})

    def _found(self) -> Iterator[str]:
        visit, messages, content = self.visit, self._messages, self.content
        names = content.messages.conditions.condition
        ended = ended_by(visit, self.earlier)
        if ended is not None:
            values = {"day": ended.on.isoformat(), "reason": messages.reason[ended.reason]}
            yield fill(messages.line["readmitted"], values)
        if visit.irritability is not None:
            yield fill(messages.line["irritability"], {"level": messages.irritability[visit.irritability]})
        for one in visit.condition:
            kind = names[one.kind].name if one.kind in names else one.kind
            yield fill(messages.line["condition"], {"kind": kind, "day": one.on.isoformat()})
        for over in visit.condition_over:
            kind, _, day = over.partition(" ")
            named = names[kind].name if kind in names else kind
            yield fill(messages.line["over"], {"kind": f"{named}, {day}" if day else named})
        yield from (self._form(seen) for seen in visit.form)
        both = [seen.agrees for seen in visit.form if seen.agrees is not None]
        if both:
            yield fill(messages.agreement, {"agree": sum(both), "both": len(both)})
        for goal in visit.goals:
            values = {"what": goal.what, "measure": goal.measure, "day": goal.by.isoformat()}
            numbers = {"today": _number(goal.today), "target": _number(goal.target)}
            yield fill(messages.goal, {**values, **numbers})
        for name, text in (("note", visit.note), ("agreed", visit.agreed)):
            if text:
                yield f"{messages.field['note' if name == 'note' else 'agreed']}: {text}"
        if visit.next_visit is not None:
            yield f"{messages.field['next_visit']}: {visit.next_visit.isoformat()}"
        if visit.discharge is not None:
            more = f" ({visit.discharge.what})" if visit.discharge.what else ""
            reason = f"{messages.reason[visit.discharge.reason]}{more}"
            yield fill(messages.line["discharge"], {"reason": reason})

    def _form(self, seen: FormSeen) -> str:
        messages, said, titles = self._messages, seen.client_said, self.content.messages.exercises
        agrees: str = {True: "agrees", False: "differs", None: "unknown"}[seen.agrees]
        values = {
            "exercise": titles[seen.exercise].title if seen.exercise in titles else seen.exercise,
            "question": question_name(seen.question, self.content),
            "seen": messages.how_often[seen.seen],
            "said": messages.form_agrees["unknown"] if said is None else messages.how_often[said],
        }
        verdict = messages.form_agrees["agrees" if agrees == "agrees" else "differs"] if agrees != "unknown" else ""
        return f"{fill(messages.form, values)}{f' ({verdict})' if verdict else ''}"

    def _needs(self) -> Iterator[str]:
        yield from (self._need(one) for one in self.visit.needs)

    def _need(self, one: NeedAnswer) -> str:
        messages, names = self._messages, self.content.messages.therapist.caseload.need
        values = {"what": one.what or "", "day": one.on.isoformat() if one.on is not None else ""}
        outcome = fill(messages.outcome[one.how], values).strip()
        if one.how == "answered" and one.on is not None:
            outcome = f"{outcome}; {fill(messages.outcome['ask_again'], {**values, 'what': ''}).strip()}"
        return fill(messages.need, {"need": names.get(one.need, one.need), "outcome": outcome})


def place_text(direction: Direction, position: str, content: Content) -> str:
    """A motion and a position in a few words."""
    messages = content.messages.therapist.history_charts
    values = {"motion": messages.direction[direction], "position": content.position_label(position)}
    return fill(messages.motion_at_position, values)


def side_text(side: str, content: Content) -> str:
    """A side in a word."""
    return content.messages.client.setup.side["left" if side == "left" else "right"]


def question_name(question: str, content: Content) -> str:
    """What a form question is about: the fault that it asks for."""
    known = content.questions.get(question)
    return question if known is None else content.messages.form.fault[known.fault]


def contact_line(visit: VisitFile, content: Content) -> str:
    """A visit or contact in one line: its day, who, how, and what was done."""
    messages = content.messages.therapist.visit
    needs = content.messages.therapist.caseload.need
    done = [needs.get(one.need, one.need) for one in visit.needs]
    texts = [*done, *(text for text in (visit.note, visit.agreed) if text)]
    return "  ".join((visit.day.isoformat(), visit.initials, messages.kind[visit.kind], "; ".join(texts))).rstrip()


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.3g}"
