"""Teach, then do, then ask: a fault is shown before the first set, and only after that it is asked about or named."""

import re
from datetime import timedelta

import pytest
from msgspec.structs import replace

from coach.commands.support.coach_content import profile_and_prescription
from coach.drawing.shapes import Stroke
from coach.model.answers_file import Answers
from coach.model.condition import ClientCondition
from coach.model.content_entries import FormQuestion
from coach.model.exercise import Position
from coach.model.messages.entries import PositionMessages
from coach.model.option_names import TellBy
from coach.model.progress import Progress
from coach.progression.state_machine import advance
from coach.screens.client.key_bindings import binding_for
from coach.screens.client.page_types import Drawing, LessonPage, TextPage
from coach.screens.client.pages import page_at
from coach.screens.client.setup_context import SetupCache, setup_context
from coach.screens.sound.said_so_far import SaidSoFar
from coach.screens.sound.spoken_lines import set_start_words, state_words
from coach.session.phrases import how_to_tell, position_messages
from coach.session.plan import Plan, plan_session, script_of
from coach.session.rehearsal import first_state, rehearsed_states
from coach.session.runner import back, go_on
from coach.session.screen_catalogue import plan_for_position
from coach.session.script import Ask, Teach, Work, remaining_script
from coach.session.state import Instant, State
from tests.clocks import START
from tests.plans import plan_of, shipped

# Every client of the demo clinic that has another exercise, motion or number of questions.
CLIENTS = ("tern", "avocet")


def newcomer(name: str = "tern", **update: object) -> Plan:
    """A client before the first session, to whom nothing was shown."""
    before = plan_of(name).before.model_copy(update={"taught": {}, "form_asked": {}, **update})
    return replace(plan_of(name), before=before)


def states(plan: Plan, days: int = 0, **given: int | str) -> list[State]:
    """Every state of a session; a double underscore in a name stands for its dot."""
    first = first_state(plan, START + timedelta(days=days))
    answers = {name.replace("__", "."): value for name, value in given.items()}
    return [first, *rehearsed_states(first, Answers(answer=answers))]


def lessons(seen: list[State]) -> list[str]:
    """The questions whose faults were shown, in order."""
    return list(dict.fromkeys(state.step.question for state in seen if isinstance(state.step, Teach)))


def asked(seen: list[State]) -> list[list[str]]:
    """The form questions after each set."""
    found: dict[int, list[str]] = {}
    for step in seen[0].script.steps:
        if isinstance(step, Ask) and step.scale == "how_often":
            found.setdefault(step.set_number, []).append(step.question)
    return list(found.values())


def after(plan: Plan, seen: list[State]) -> Progress:
    return advance(plan.before, seen[-1].record, plan.book).after


def test_two_faults_a_session_until_all_but_the_later_were_shown_and_only_those_are_asked_about() -> None:
    plan, course = newcomer(), []
    for number in range(7):
        seen = states(plan, days=2 * number)
        course.append((lessons(seen), asked(seen)))
        plan = replace(plan, before=after(plan, seen))
    assert course == [
        (["blade", "elbow"], [["blade", "elbow"]] * 3),
        (["range", "slack"], [["blade", "elbow", "range"], ["blade", "elbow"], ["blade", "elbow"]]),
        (["tempo"], [["blade", "elbow", "slack"], ["blade", "elbow", "tempo"], ["blade", "elbow"]]),
        ([], [["blade", "elbow", "range"], ["blade", "elbow"], ["blade", "elbow"]]),  # the own tempo is timed
        (["trunk"], [["blade", "elbow", "trunk"], ["blade", "elbow", "slack"], ["blade", "elbow"]]),
        # No room for another: two of these three are due.
        ([], [["blade", "elbow", "range"], ["blade", "elbow", "tempo"], ["blade", "elbow", "slack"]]),
        (["shrug"], [["blade", "elbow", "shrug"], ["blade", "elbow", "trunk"], ["blade", "elbow"]]),
    ]


def test_what_went_wrong_last_time_is_shown_again() -> None:
    plan = plan_of("tern")
    faulty = after(plan, states(plan, set_2__elbow="once"))
    again = replace(plan, before=faulty)
    assert lessons(states(again, days=2)) == ["elbow"]
    learned = replace(plan, before=faulty.model_copy(update={"clean_sets": 3}))
    assert lessons(states(learned, days=2)) == []


def test_what_was_shown_is_kept_in_the_record_and_only_once_it_was() -> None:
    plan = newcomer()
    seen = states(plan)
    assert seen[-1].record.taught == ("blade_pulled_back", "elbow_drifted")
    before = next(state for state in seen if isinstance(state.step, Teach))
    assert before.record.taught == ()


def test_an_interrupted_session_shows_only_what_was_not_shown_yet() -> None:
    plan = newcomer()
    second = [state for state in states(plan) if isinstance(state.step, Teach)][-1]
    left = remaining_script(script_of(plan, second.record), second.record)
    assert [step.question for step in left.steps if isinstance(step, Teach)] == ["elbow"]


def test_back_leads_to_the_lesson_before() -> None:
    second = [state for state in states(newcomer()) if isinstance(state.step, Teach)][-1]
    assert back(second, Instant(second.seen_s, START)).step.name == "teach.blade"


PLACES = [(name, position) for name, one in shipped().exercises.items() for position in one.positions]


def tells_of(question: FormQuestion, cues: PositionMessages) -> list[re.Pattern[str]]:
    """Every way in which a message names the fault of a question: asked, said, corrected, or how to tell it."""
    form = shipped().messages.form
    texts, of_fault = form.question[question.name], [one for one in cues.cues if one.fault == question.fault]
    whole = (texts.ask, texts.teach, form.fault[question.fault], *texts.how_to_tell, *texts.tell_by.values())
    corrected = [text for one in of_fault for text in (one.text, *one.variants) if text != cues.first_cue]
    named = [re.escape(line.split("{")[0]) for line in (*whole, *corrected)]
    return [re.compile(one) for one in (*named, rf"asked about:[^.]*(: |, ){re.escape(texts.about)}[,.]")]


def said_and_shown(state: State, setups: SetupCache) -> str:
    """Everything that a page shows, and everything that the voice says of it."""
    page = page_at(state, setups.of(state), state.seen_s)
    return "\n".join((str(page), *state_words(page, state, setups, SaidSoFar(in_full=True)), *set_start_words(state)))


@pytest.mark.parametrize(("exercise", "position"), PLACES, ids=[f"{name}-{one.name}" for name, one in PLACES])
def test_no_message_names_a_fault_before_it_was_shown(exercise: str, position: Position) -> None:
    """Over the sessions of the first weeks, with faults and without: no page that is seen, no line by ear."""
    plan = at_first(exercise, position)
    cues = position_messages(plan)
    tells = {
        shipped().questions[name].fault: tells_of(shipped().questions[name], cues) for name in position.questions
    }
    setups, checked, known = SetupCache(), 0, set[str]()
    lately = {
        "form_asked": dict.fromkeys(position.questions, 0),
        "trial_ago": 0,
    }  # there is room for what comes later
    courses = ({}, {"set_1__elbow": "once"}, {"set_1__slack": "once"}, {}, *[{}] * len(position.later))
    for number, given in enumerate(courses):
        asked = {name: value for name, value in given.items() if name.split("__")[1] in position.questions}
        seen = states(plan, days=2 * number, **asked)
        known = {*plan.before.taught.get(exercise, ())}
        for state in seen:
            known |= set(state.record.taught)
            if isinstance(state.step, Teach):
                known.add(state.step.fault)
            text = said_and_shown(state, setups)
            for fault in tells.keys() - known:
                checked += 1
                assert not [one.pattern for one in tells[fault] if one.search(text)], (state.step.name, fault)
        then = after(plan, seen)
        plan = replace(plan, before=then.model_copy(update=lately) if number >= 3 else then)
    assert checked
    assert known >= tells.keys(), "every fault was shown in the end"


def test_a_message_that_names_a_fault_too_early_is_found() -> None:
    """The patterns above, tried on the page of a question and on the cue that is shown after its fault."""
    seen = states(plan_of("tern"), set_1__elbow="once")
    setups, cues = SetupCache(), position_messages(plan_of("tern"))
    found = "\n".join(said_and_shown(state, setups) for state in seen)
    for name in ("blade", "elbow"):
        hits = [one.pattern for one in tells_of(shipped().questions[name], cues) if one.search(found)]
        assert len(hits) >= 3, name


def at_first(exercise: str, position: Position) -> Plan:
    """The first session of a client at one position of an exercise, to whom nothing was shown."""
    profile, prescription = profile_and_prescription(None)
    plan = plan_for_position(profile, prescription, shipped(), exercise, position.name, START)
    update: dict[str, object] = {"taught": {}, "form_asked": {}, "last_session": None}
    return replace(plan, before=plan.before.model_copy(update=update))


def with_condition(plan: Plan, kind: str) -> Plan:
    condition = ClientCondition(kind=kind, on=START.date() - timedelta(days=400), by="AB")
    return replace(plan, profile=plan.profile.model_copy(update={"condition": (condition,)}))


def tried(plan: Plan) -> dict[str, bool]:
    return {
        step.question: step.tried
        for step in script_of(plan, first_state(plan, START).record).steps
        if isinstance(step, Teach)
    }


def test_only_harmless_faults_are_tried() -> None:
    shown = newcomer(taught={"external_rotation": ("elbow_drifted", "end_range_lost", "tempo_rushed")})
    assert tried(shown) == {"blade": True, "slack": False}


@pytest.mark.parametrize("kind", ["instability", "cuff_repair", "stabilisation", "joint_replacement"])
def test_with_instability_or_surgery_faults_are_only_drawn(kind: str) -> None:
    assert set(tried(with_condition(newcomer(), kind)).values()) == {False}
    assert set(tried(with_condition(newcomer(), "latex_allergy")).values()) == {True}


def test_at_shoulder_height_and_after_a_repair_faults_are_only_drawn() -> None:
    plan = newcomer()
    before = plan.before.model_copy(update={"position": "90"})
    high = plan_session(plan.profile, plan.prescription, plan.content, before)
    assert set(tried(high).values()) == {False}
    assert set(tried(newcomer(repaired_on=START.date() - timedelta(weeks=60))).values()) == {False}


def lesson_at(elapsed_s: float, question: str) -> LessonPage:
    faults = [one.fault for one in shipped().questions.values() if one.name != question]
    seen = states(newcomer(taught={"external_rotation": tuple(faults)}))
    state = next(state for state in seen if isinstance(state.step, Teach))
    page = page_at(state, setup_context(state.plan, state.record), state.seen_s + elapsed_s)
    assert isinstance(page, LessonPage)
    return page


def arms(drawing: Drawing | None) -> tuple[Stroke, ...]:
    """The arm and the band of a drawing."""
    assert drawing is not None
    return tuple(stroke for stroke in drawing.scene.strokes if stroke.role in ("arm_now", "band_now"))


@pytest.mark.parametrize("question", ["blade", "elbow", "range"])
def test_both_drawings_move_and_part_where_the_fault_is(question: str) -> None:
    """At the start of the arc they are alike; at its end they differ."""
    start, end = lesson_at(0.0, question), lesson_at(3.5, question)
    assert arms(start.right) == arms(start.wrong)
    assert arms(end.right) != arms(start.right)
    assert arms(end.right) != arms(end.wrong)


def test_a_rushed_return_is_drawn_faster_and_a_slack_band_sags_at_the_start() -> None:
    out, back_early = lesson_at(3.5, "tempo"), lesson_at(6.5, "tempo")
    assert arms(out.right) == arms(out.wrong)
    assert arms(back_early.right) != arms(back_early.wrong)
    early, late = lesson_at(0.0, "slack"), lesson_at(4.0, "slack")
    assert arms(early.right) != arms(early.wrong)
    assert arms(late.right) == arms(late.wrong)


def test_the_page_says_how_to_tell_and_how_to_try() -> None:
    page = lesson_at(0.0, "elbow")
    assert page.lead.startswith("Correct: the elbow stays")
    assert page.lines[-1].startswith("Try it once without the band")
    assert page.lines[0] == "Check yourself by: 1 hand  2 mirror  3 somebody watching  Enter none"
    assert [line.partition(":")[0] for line in page.lines[1:4]] == ["Hand", "Mirror", "Somebody watching"]
    assert lesson_at(0.0, "slack").lines[-1] == "Only look at the wrong one; do not try it."


@pytest.mark.parametrize(
    ("question", "way", "lines"),
    [
        ("elbow", "mirror", ["Mirror: "]),
        ("elbow", None, ["Hand: ", "Mirror: ", "Somebody watching: "]),
        ("straight", "watched", ["Hand: ", "Mirror: "]),  # it has no such line, so all of them are shown
        ("range", "hand", ["Look: ", "Short by "]),  # and here what holds for every way is enough
        ("range", "mirror", ["Mirror: ", "Look: ", "Short by "]),
    ],
)
def test_how_to_tell_is_said_in_the_way_that_was_chosen(question: str, way: TellBy | None, lines: list[str]) -> None:
    told = how_to_tell(question, plan_of("tern"), way)
    assert [line[: len(start)] for line, start in zip(told, lines, strict=True)] == lines


def test_the_first_lesson_asks_how_and_the_number_goes_on() -> None:
    """No press more than before: the number takes the place of Enter."""
    state = next(one for one in states(newcomer()) if isinstance(one.step, Teach))
    binding = binding_for("2", state)
    assert binding is not None
    chosen = binding.run(state, Instant(state.seen_s + 9, START))
    assert (chosen.tell_by, chosen.step.name) == ("mirror", "teach.elbow")
    assert chosen.record.taught == ("blade_pulled_back",)
    assert binding_for("2", chosen) is None
    page = page_at(chosen, setup_context(chosen.plan, chosen.record), chosen.seen_s)
    assert isinstance(page, LessonPage)
    assert [line for line in page.lines if line.startswith(("Hand: ", "Mirror: ", "Check yourself by"))] == [
        "Mirror: The elbow changes its height, or its gap to the ribs."
    ]


def test_it_is_changed_by_a_key_also_over_a_form_question() -> None:
    state = next(one for one in states(plan_of("tern")) if one.step.name == "set_1.blade")
    now = Instant(state.seen_s + 1, START)
    asked = pressed("m", state, now)
    assert asked.question is not None
    assert asked.question.name == "setup.tell_by"
    told = pressed("3", asked, now)
    assert (told.tell_by, told.question) == ("watched", state.question)
    page = page_at(told, setup_context(told.plan, told.record), told.seen_s)
    assert isinstance(page, TextPage)
    assert page.listed == ("Somebody watching: The blade slides toward the spine.",)


def pressed(key: str, state: State, now: Instant) -> State:
    binding = binding_for(key, state)
    assert binding is not None
    return binding.run(state, now)


def test_what_will_be_asked_is_named_before_the_set() -> None:
    plan = plan_of("tern")
    for state in states(plan):
        if state.step.name == "reach":
            page = str(page_at(state, setup_context(plan, state.record), state.seen_s))
            assert "You will be asked about: the shoulder blade, the elbow, reaching the line." in page
        if state.step.name == "set_3.rest":
            page = str(page_at(state, setup_context(plan, state.record), state.seen_s))
            assert "You will be asked about: the shoulder blade, the elbow, the tempo." in page


def test_the_enter_key_leads_from_the_lessons_to_the_first_set() -> None:
    state = next(state for state in states(newcomer()) if isinstance(state.step, Teach))
    for _ in range(3):
        state = go_on(state, Instant(state.seen_s + 1, START))
    assert isinstance(state.step, Work)
