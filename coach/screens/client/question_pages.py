"""The pages of a question, and of the confirmation of an answer that ends the session."""

from collections.abc import Mapping

from msgspec.structs import replace

from coach.mechanics.setup import Setup
from coach.model import step_names
from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.record import Answered, Chosen, Decision, Record, SetDone
from coach.progression.state_machine import decide
from coach.screens.client.key_bindings import PAIN, TELL_BY_KEY
from coach.screens.client.page_types import AnswerOption, Drawing, RestPage, ScreenPage, TextPage
from coach.session.answer_keys import TEN, Choice, choices, shown_key
from coach.session.phrases import answer_text, option_text, question_text, urgency_text
from coach.session.plan import Plan
from coach.session.runner import confirm
from coach.session.script import Ask, is_due
from coach.session.state import Instant, State


def question_page(state: State, question: Ask, values: Mapping[str, object], setup: Setup) -> TextPage:
    """The page of a question; `values` are those of the setup in use. What it asks about was shown before."""
    plan, messages = state.plan, question_text(question, state.plan, state.tell_by)
    said, how = state.record.last_said(question.name), plan.content.messages.client.setup.how_to_tell_title
    failed = question.group == step_names.CHECK and state.record.answer(question.name) == "no"
    return TextPage(
        title=messages.title,
        lead=messages.ask,
        list_title=fill(how, {"key": TELL_BY_KEY.key}) if messages.how_to_tell else "",
        listed=messages.how_to_tell,
        more=plan.content.messages.client.keys.more_to_tell if messages.how_to_tell else "",
        choices=tuple(
            AnswerOption(_key(choice, plan), option_text(question, choice.value, plan), choice.value == said)
            for choice in choices(question, plan.content.signs)
        ),
        low=messages.low or "",
        high=messages.high or "",
        alert=fill(plan.content.messages.safety.check[question.question].mend, values) if failed else "",
        at_mark=bool(question.set_number) and state.asking is None,  # who pressed a key for it is at the keyboard
        turn=_turn(state, question),
        banner=plan.content.messages.client.set.over if _set_just_ended(state, question) else "",
        fault=_fault_drawing(question, plan, setup),
    )


def _fault_drawing(question: Ask, plan: Plan, setup: Setup) -> Drawing | None:
    if question.scale != "how_often":
        return None
    from coach.screens.client.lesson_pages import fault_drawing

    return fault_drawing(question.question, plan, setup)


def _turn(state: State, question: Ask) -> str:
    """Which of the questions that are asked together this is; empty for one that a key brought up."""
    asks = (step for step in state.script.steps if isinstance(step, Ask) and step.group == question.group)
    together = (step for step in asks if step.before_set == question.before_set)
    names = [step.name for step in together if is_due(step, state.record)]
    if state.asking is not None or question.name not in names:
        return ""
    values = {"number": names.index(question.name) + 1, "count": len(names)}
    return fill(state.plan.content.messages.client.scale.turn, values)


def _key(choice: Choice, plan: Plan) -> str:
    """The key that is shown: a number is typed as it is written, and yes has the letter of the language."""
    number = isinstance(choice.value, int) and choice.key == TEN
    return str(choice.value) if number else shown_key(choice, plan.content)


def _set_just_ended(state: State, question: Ask) -> bool:
    last = state.record.entry[-1] if state.record.entry else None
    return question.question == step_names.PAIN and isinstance(last, SetDone)


def confirm_page(state: State, chosen: Chosen) -> TextPage:
    """What was chosen, what to do about it, and the question whether it is so."""
    content = state.plan.content
    messages = content.messages.client.confirm
    after = confirm(state, Instant(state.seen_s, chosen.at))
    ended = after.record.ended
    closes = ended is not None and ended.decision.status == "review"
    ends = content.messages.client.programme.ends if after.another_follows else messages.ends
    unsure = content.messages.safety.trouble["not_sure"]
    answer = unsure if chosen.value == "not_sure" else answer_text(chosen.value, content)
    asked = state.question.name == chosen.step if state.question is not None else False
    question = (question_text(state.question, state.plan).ask,) if state.question is not None and asked else ()
    yes = shown_key(Choice("y", "yes"), content)
    return TextPage(
        title=messages.title,
        lead=fill(messages.chosen, {"answer": answer}),
        lines=(*question, messages.closes if closes and not state.plan.practice else ends),
        choices=(AnswerOption(yes, messages.yes), AnswerOption("n", messages.no)),
        alert=_at_once(state, chosen, ended.decision) if ended is not None else "",
    )


def choice_left(plan: Plan, record: Record) -> tuple[str, str]:
    """What to do about a choice that would stop the session and was not confirmed, and the choice in words.

    Both are empty where there is none; the first also where nobody has to be called.
    """
    chosen = record.unconfirmed
    if chosen is None or record.ended is not None:
        return "", ""
    decision, content = decide(plan.before, record, plan.book), plan.content
    closes = decision.reason if decision.status == "review" else ""
    return urgency_text(decision, content) or closes, _choice_in_words(chosen, content)


def _choice_in_words(chosen: Chosen, content: Content) -> str:
    """What was chosen, to be read on a page that does not have its question."""
    said, checks = answer_text(chosen.value, content), content.messages.safety.check
    if isinstance(chosen.value, int):
        return fill(content.messages.client.offer.chosen_pain, {"pain": chosen.value})
    if chosen.value == "not_sure":
        return content.messages.safety.trouble["not_sure"]
    check = checks.get(step_names.check_of(chosen.step)) if step_names.group_of(chosen.step) == "check" else None
    return said if check is None else f"{check.ask} {said}"


def _at_once(state: State, chosen: Chosen, decision: Decision) -> str:
    """What to do before anything is read: whom to call after a sign, else what to do with band and arm."""
    content = state.plan.content
    messages = content.messages.client.confirm
    if urgent := urgency_text(decision, content):
        return urgent
    if step_names.group_of(chosen.step) == step_names.CHECK_IN or state.plan.practice:
        return messages.take_up_none
    return messages.unsafe if "what" in decision.numbers else messages.put_down


def with_pain_within_limit(page: ScreenPage, state: State) -> ScreenPage:
    """The page with a line on the pain that was answered just before, if it is within the limit."""
    last = state.record.entry[-1] if state.record.entry else None
    if not isinstance(last, Answered) or not isinstance(last.value, int) or not last.value or state.over:
        return page
    pains = (step_names.PAIN, step_names.TROUBLE_PAIN, step_names.within_group(step_names.PAIN_NOW))
    if step_names.within_group(last.step) not in pains or not isinstance(page, TextPage | RestPage):
        return page
    values = {"pain": last.value, "limit": state.plan.pain_limit, "key": PAIN.key}
    line = fill(state.plan.content.messages.client.pain.within, values)
    if isinstance(page, TextPage) and (page.steps or (page.choices and state.chosen is None)):
        return replace(page, remark=f"{line} {page.remark}".strip())
    return replace(page, lines=(line, *page.lines))
