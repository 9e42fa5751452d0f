"""The answers of a session as a FHIR QuestionnaireResponse, grouped as they were asked. Pure."""

from coach.model import step_names
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.profile import Profile
from coach.model.record import Answered, Record
from coach.reports.fhir.parts import (
    LOCAL,
    SESSION,
    Json,
    coding,
    instant,
    place_of,
    reference,
    resource_id,
    session_id,
)
from coach.reports.tables.sets import activities_by_step
from coach.session.phrases import answer_text


def questionnaire_response(profile: Profile, record: Record, content: Content) -> Json | None:
    """The last answer to each question; None without answers, as FHIR does not allow an empty response."""
    # What older records asked after a fault is part of how often it happened; that a key was pressed answers nothing.
    left_out = {*(one.follow_up for one in content.questions.values()), step_names.PAIN_KEY}
    answers = {step: value for step, value in record.answers.items() if step_names.within_group(step) not in left_out}
    if not answers:
        return None
    groups = list(dict.fromkeys(step_names.group_of(step) for step in answers))
    how = record.ended.how if record.ended else None
    status = {"finished": "completed", None: "in-progress"}.get(how, "stopped")
    return {
        "resourceType": "QuestionnaireResponse",
        "id": resource_id(profile.name, "answers", *place_of(record)),
        "partOf": [reference(session_id(profile.name, record))],
        "questionnaire": SESSION,
        "status": status,
        "subject": reference(resource_id(profile.name, "patient")),
        "source": reference(resource_id(profile.name, "patient")),
        "authored": instant(max(entry.at for entry in record.entry if isinstance(entry, Answered))),
        "item": [
            {
                "linkId": group,
                "text": _title(group, content),
                "item": [
                    _item(step, value, record, content) for step, value in answers.items() if _in_group(step, group)
                ],
            }
            for group in groups
        ],
    }


def question_text(step: str, record: Record, content: Content) -> str | None:
    """The text of the question at a step; None if the content no longer has it."""
    messages, rated = content.messages, activities_by_step(record)
    if step in rated:
        return rated[step]
    group, name = step_names.group_of(step), step_names.within_group(step)
    asked = {
        **{own: question.ask for own, question in messages.client.question.items()},
        **{own: question.ask for own, question in messages.form.question.items()},
    }
    if group == step_names.CHECK:
        check = messages.safety.check.get(step_names.check_of(step))
        return None if check is None else check.ask
    return asked.get(_CALLED.get(step, name))


# Steps whose question has another name.
_CALLED = {step_names.OTHER_BAND: "other_band", step_names.SETS_TODAY: "sets_today", step_names.TELL_BY: "tell_by"}


def _in_group(step: str, group: str) -> bool:
    return step_names.group_of(step) == group


def _title(group: str, content: Content) -> str:
    messages = content.messages.therapist.export
    titles = {
        step_names.group_of(step_names.PAIN_NOW): messages.check_in_title,
        step_names.CHECK: messages.checks_title,
        **{f"set_{number}": fill(messages.set_title, {"set": number}) for number in range(1, 7)},
    }
    return titles.get(group, messages.other_title)


def _item(step: str, value: int | str, record: Record, content: Content) -> Json:
    form = content.questions.get(step_names.within_group(step))
    if form is not None:
        group = step_names.group_of(step)
        value = form.how_often(value, record.answer(f"{group}.{form.follow_up}")) or value
    answer: Json = (
        {"valueInteger": value}
        if isinstance(value, int)
        else {"valueCoding": coding(LOCAL, value, answer_text(value, content))}
    )
    text = question_text(step, record, content)
    return {"linkId": step, **({"text": text} if text else {}), "answer": [answer]}
