"""The content that all languages share: limits, rules, form questions, checks and signs."""

from typing import Annotated, Literal, get_args

from coach.frozen import Bounds, Field, check, form
from coach.model.band import BandGrade
from coach.model.base import Frozen, Line, Name
from coach.model.exercise import Mark

Fault = Name  # the faults are those that the questions in form.toml reveal
Level = Literal["check_in", "set", "session"]
Effect = Literal[
    "stop_and_review",
    "stop_for_today",
    "stop_and_easier",
    "easier_now",
    "after_gap_now",
    "lighter_now",
    "easier_next",
    "hold",
    "repetitions_up",
    "load_up",
    "suggest_position",
    "complete",
    "tell",
    "then_review",
]
Urgency = Literal["emergency", "same_day", "therapist"]

# The warning sign that the program knows by name: pain at night may be signed as known, and is then asked about.
SignName = Literal["night_pain"]
# Every limit that the program reads. limits.toml must have each of them; tests/authoring/test_declared.py finds
# a limit that code reads and that is not declared here.
LimitName = Literal[
    "taut_at_start",
    "elongation_max",
    "load_rise_min",
    "load_rise_max",
    "first_step_low",
    "first_step_high",
    "strength_share_high",
    "target_share_control",
    "target_share_strength",
    "heavier_same_band",
    "heavier_other_band",
    "easier_surely",
    "point_misfit_max",
    "kept_gain_min",
    "light_effort",
    "u_scale_n",
    "u_point_length_m",
    "u_resting_length_m",
    "u_mark_m",
    "u_feet_m",
    "u_anchor_height_m",
    "u_body_turn_deg",
    "u_elevation_deg",
    "u_elbow_gap_m",
    "u_lever_m",
    "u_lever_from_stature_m",
    "u_arm_mass",
    "u_band_age",
    "band_age_max",
    "pain_max",
    "pain_above_usual",
    "pain_rise_allowed",
    "usual_days",
    "usual_check_ins",
    "usual_share",
    "pain_high_check_ins",
    "pain_review",
    "pain_stop_days",
    "pain_stops_max",
    "injection_days",
    "not_sure_allowed",
    "sessions_in_a_row",
    "under_sessions",
    "long_gap_days",
    "long_gap_load",
    "longer_gap_days",
    "longer_gap_load",
    "gap_measure_days",
    "night_pain_days",
    "irritability_days",
    "gave_way_days",
    "familiarisation_days",
    "pain_rise_tell",
    "pain_rise_regress",
    "pain_check_ins",
    "review_weeks",
    "repair_weeks",
    "activity_days",
    "activity_change",
    "range_lost_deg",
    "range_lost_cm",
    "cue_each_set_until",
    "teach_each_session",
    "teaching_places",
    "trial_places",
    "form_each_set",
    "form_asked_sessions",
    "try_fault_below_deg",
    "pace_phases_from",
    "pace_ends_from",
    "pace_none_from",
    "trial_every_sessions",
    "trial_repetitions",
    "timing_error_max",
    "practice_repetitions",
    "first_count_in_s",
    "take_place_s",
    "practice_count_in_s",
    "plan_ask_days",
    "cue_first_set_until",
    "gap_s",
    "ask_again_min",
    "resume_within_min",
    "question_s",
    "reading_s",
    "check_s",
    "spoken_longer",
    "not_seen_days",
    "under_watch_sessions",
    "adherence_weeks",
    "range_error_deg",
    "range_error_others_deg",
    "strength_error",
    "pain_error",
    "audit_least",
    "forecast_strength_low",
    "forecast_strength_high",
    "forecast_gain",
    "forecast_gain_share",
    "forecast_keep_days",
    "forecast_loss",
    "forecast_variation",
    "forecast_fault_first",
    "forecast_fault_last",
    "forecast_learning",
    "forecast_pain",
    "forecast_pain_sd",
    "forecast_flare",
    "forecast_flare_over",
    "forecast_flare_points",
    "forecast_flare_days",
    "forecast_unsettled",
    "forecast_missed",
    "forecast_away",
    "forecast_away_days",
    "forecast_review_days",
    "measured_tempo_within",
    "measured_off_tempo",
    "measured_range_lost_deg",
    "answers_compared_least",
    "answers_relied_on",
    "measured_elbow_drift_deg",
    "measured_on_axis",
    "measured_axis_off_deg",
    "measured_repetitions_least",
    "measured_shortest_of_asked",
    "measured_turn_least_deg",
    "measured_turn_back_of_usual",
    "measured_cut_off_of_usual",
    "measured_alike_low",
    "measured_alike_high",
    "measured_alike_share",
    "measured_within_from_deg",
    "measured_within_to_deg",
    "u_measured_within_deg",
    "u_measured_drift_deg",
    "measured_pause_least_s",
    "measured_pause_most_s",
    "measured_apart_s",
]


class Limit(Frozen):
    """A threshold, with the hard bounds inside which the therapist may move it."""

    name: Name = Field(description="the name that rules and prescriptions use")
    value: float = Field(description="the value unless the therapist moved it")
    low: Annotated[float, Bounds(ge=0)] = Field(description="the hard bound below")
    high: float = Field(description="the hard bound above")
    unit: Line = Field(description="what the number counts")
    guards: Literal["low", "high"] | None = Field(
        default=None, description="the bound that protects a client, which no content may move outward"
    )
    source: Line = Field(description="where the number comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")

    @check
    def _inside_its_bounds(self) -> None:
        if self.low > self.high:
            raise ValueError(f"low {self.low:g} of {self.name} is above its high {self.high:g}: swap them")
        if not self.low <= self.value <= self.high:
            raise ValueError(
                f"value {self.value:g} of {self.name} is outside its own bounds {self.low:g} to {self.high:g}: "
                "write one inside"
            )


class Limits(Frozen):
    """limits.toml: every threshold."""

    format: Literal[1]
    limit: tuple[Limit, ...] = Field(description="the thresholds, each name once")


class ClinicLimits(Frozen):
    """clinic/limits.toml: limits that a clinic moves for all its clients, inside their hard bounds."""

    format: Literal[1]
    limits: dict[Name, float]


class Rule(Frozen):
    """One rule of the progression: when it matches, what it does, and where it comes from."""

    name: Name = Field(description="its messages have this name in rules.toml of each language")
    when: Name = Field(description="the test that the rule makes")
    levels: Annotated[tuple[Level, ...], Bounds(min_length=1)] = Field(description="when it is tried")
    then: Effect = Field(description="what it does to the session and the load")
    limits: tuple[Name, ...] = Field(default=(), description="the limits that the test reads")
    numbers: tuple[Name, ...] = Field(default=(), description="the numbers that its messages may contain")
    too_much: bool = Field(
        default=False, description="the load itself was too much, so more is required before it is tried again"
    )
    source: Line = Field(description="where the rule comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")

    @property
    def adds_to_decision(self) -> bool:
        """Whether the rule only reports to the therapist or asks for a review, and another rule decides."""
        return self.then in ("tell", "then_review")


class Rules(Frozen):
    """rules.toml: in the order in which they are tried; the first match wins."""

    format: Literal[1]
    rule: Annotated[tuple[Rule, ...], Bounds(min_length=1)] = Field(
        description="in the order in which they are tried; the first match wins"
    )


WrongForm = Literal[
    "shoulder_back",
    "shoulder_forward",
    "shoulder_up",
    "elbow_away",
    "hand_short",
    "band_slack",
    "trunk_turns",
    "arm_bends",
    "thumb_down",
    "past_the_end",
    "too_fast",
]
HowOften = Literal["never", "once", "more_than_once", "not_sure"]
HOW_OFTEN: tuple[HowOften, ...] = get_args(HowOften)


class FormQuestion(Frozen):
    """A question after a set about one fault: how often it happened.

    Records made before all questions were asked alike hold yes or no, and the answer to a follow-up question.
    """

    name: Name = Field(description="its messages have this name in form.toml of each language")
    fault: Fault = Field(description="the fault that it reveals")
    overload: bool = Field(default=False, description="more than once in one set means that the load is too heavy")
    fault_answer: Literal["yes", "no"] | None = Field(
        default=None, description="in older records: the answer that reveals the fault; without it, they did not ask"
    )
    follow_up: Name | None = Field(
        default=None, description="in older records: the step at which yes means more than once"
    )
    wrong: WrongForm | None = Field(
        default=None, description="how the fault is drawn beside the right form; without it only the right form is"
    )
    cue_phase: Literal["out", "hold", "back"] | None = Field(
        default=None,
        description="the phase of a repetition in which the cue against the fault is shown, and said in the first "
        "one; without it, all through the set",
    )
    harmless: bool = Field(default=False, description="may be tried once without the band, to feel the difference")
    when_too_heavy: bool = Field(
        default=False,
        description="a load above the client's strength reveals this fault first; simulated clients use it",
    )

    def how_often(self, answer: object, follow_up: object = None) -> str | None:
        """How often the fault happened, as one of HOW_OFTEN; None where it was not answered.

        An older yes or no is read as well; "at_least_once" where its follow-up question was not asked.
        """
        if answer in HOW_OFTEN:
            return str(answer)
        if answer not in ("yes", "no") or self.fault_answer is None:
            return None
        if answer != self.fault_answer:
            return "never"
        return {"yes": "more_than_once", "no": "once"}.get(str(follow_up), "at_least_once")


class Form(Frozen):
    """form.toml: every form question."""

    format: Literal[1]
    question: Annotated[tuple[FormQuestion, ...], Bounds(min_length=1)] = Field(
        description="every form question; a position names those it asks"
    )


class Check(Frozen):
    """A check before the first repetition; `on_no` says what follows if the answer is no."""

    name: Name = Field(description="its messages have this name in safety.toml of each language")
    on_no: Literal["mend", "mend_once", "stop"] = Field(
        description="mend: say how to fix it and ask again; mend_once: after a second no go on, but the load "
        "does not rise and the therapist is told; stop: end the session"
    )
    where: Literal["anchor", "mark"] = Field(
        default="mark",
        description="anchor: made while the place is set up, before the band is in the hand; mark: at the mark with "
        "the band in the hand. Those of one place are asked together, after one walk",
    )
    in_place_of: Name | None = Field(
        default=None, description="the check that this one takes the place of, where that one does not fit"
    )
    once: bool = Field(
        default=False,
        description="made for the whole session, and not again where another band or other strands are taken up",
    )
    source: Line = Field(description="where the check comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Sign(Frozen):
    """A warning sign: when it is asked about, and how soon the client must see somebody."""

    name: Name = Field(description="its messages have this name in safety.toml of each language")
    asked: Annotated[tuple[Literal["check_in", "set"], ...], Bounds(min_length=1)] = Field(
        description="at the check-in, by the pain key within a set, or both"
    )
    urgency: Urgency = Field(description="how soon the client must see somebody")
    source: Line = Field(description="where the sign comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Region(Frozen):
    """A region of the body that the client can name for pain."""

    name: Name = Field(description="its messages have this name in safety.toml of each language")
    sign: Name | None = Field(default=None, description="pain there is this warning sign")
    source: Line = Field(description="where it comes from")
    mark: Mark = Field(description="how the source was read; ours where there is none")


class Safety(Frozen):
    """safety.toml: checks, warning signs, and regions for pain."""

    format: Literal[1]
    check: tuple[Check, ...] = Field(
        description="checks before the first repetition; a position names those it makes"
    )
    sign: Annotated[tuple[Sign, ...], Bounds(min_length=1, max_length=9)] = Field(
        description="warning signs, the most urgent first"
    )
    region: Annotated[tuple[Region, ...], Bounds(min_length=1, max_length=9)] = Field(
        description="regions for pain, in the order in which they are offered"
    )


class Clinic(Frozen):
    """clinic.toml: what stands on handouts and letters, and how dates and numbers are written."""

    format: Literal[1] = 1
    name: Line | None = Field(default=None, description="the clinic as it stands at the head of a letter")
    address: Annotated[tuple[Line, ...], Bounds(max_length=4)] = Field(
        default=(), description="the lines below the name at the head of a letter"
    )
    phone: Line | None = Field(default=None, description="the number that clients and referrers ring")
    dates: Literal["day first", "month first"] | None = Field(
        default=None,
        description="how a date such as 4.3.2026 is typed here; without it, it is asked for with the year first",
    )
    locale: Annotated[str, form(r"^[a-z]{2}_[A-Z]{2}$")] | None = Field(
        default=None,
        description="language and country, such as de_DE: the decimal mark and the separator of tables for a "
        "spreadsheet, and the dates of a letter",
    )
    bands: tuple[BandGrade, ...] = Field(
        default=(), description="the clinic's shelf: rolls measured once, of which clients get pieces by name"
    )
