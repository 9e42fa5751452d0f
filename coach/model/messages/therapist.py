"""LANGUAGE/therapist.toml: what the therapist reads, a section for each screen, report and command."""

from typing import Annotated, Literal, get_args

from coach.frozen import EveryName, Field
from coach.model.base import Complete, Frozen, Line, Name
from coach.model.condition import Apprehension
from coach.model.content_entries import LimitName
from coach.model.exercise import Coordinate
from coach.model.messages.at_home import TakeHomeReportMessages, WhereMessages
from coach.model.messages.audit import AuditMessages
from coach.model.messages.exchange import KeysMessages
from coach.model.messages.measured import MeasuredMessages
from coach.model.messages.several_exercises import ProgrammeReportMessages, UpgradeMessages
from coach.model.messages.therapist_reports import (
    BackupMessages,
    BandsReportMessages,
    CaseloadMessages,
    DecisionTableMessages,
    ExportMessages,
    ForecastMessages,
    HistoryChartMessages,
    HistoryMessages,
    PreviewMessages,
    SetupReportMessages,
    WorkingMessages,
)
from coach.model.messages.visits import VisitMessages
from coach.model.option_names import AnsweringPage, InstructionKind
from coach.model.record import Status
from coach.model.step_names import StepName

PageName = Literal[
    "caseload",
    "client",
    "charts",
    "history",
    "decisions",
    "setup",
    "forecast",
    "bands",
    "check",
    "unavailable",
    "compare",
    "visit",
    "steering",
    "signing",
    "preview",
    "timeline",
    "intake",
]
FirstOpened = Literal[AnsweringPage, "preview"]
FirstKey = Literal[
    FirstOpened,
    "open_client",
    "open_needing",
    "nobody",
    "form",
    "chart",
    "session",
    "read",
    "put_right",
    "part",
    "page",
    "go_to",
    "fill_in",
    "save",
    "sign",
    "read_on",
]


class PageMessages(Frozen):
    """The head of each page: what the page is for, and what the one key does that is named first."""

    purpose: Complete[PageName, Line]
    now: Complete[FirstKey, Line]


ReportName = Literal[FirstOpened, "decisions", "setup", "pictures", "history", "forecast"]


class ClientScreenMessages(Frozen):
    """One client, opened from the caseload."""

    title: Line
    page_title: Line
    stands: Line
    held: Line = Field(description="in place of the status of who may not start a session now")
    programme_title: Line
    stands_title: Line
    programme_line: Line
    instructions_title: Line
    seen: Line
    visited: Line
    never_seen: Line
    exercise: Line
    exercise_needs: Line
    needs_title: Line
    no_need: Line
    decided_title: Line
    tell_title: Line
    no_session_title: Line
    worst_pain: Line
    kept: Line
    conditions_title: Line
    measured_title: Line
    load: Line
    no_load: Line
    working: Line
    files_title: Line
    files_fine: Line
    above: Line
    below: Line
    status: Complete[Status, Line]
    report: Complete[ReportName, Line]
    keys: Complete[Literal["back", "scroll", "open", "choose", "pictures", "exercise", "part"], Line]


# A key of a list, such as a band's name, stands alone.
IntakeField = Literal[
    "profile.name",
    "profile.side",
    "profile.stature_m",
    "profile.mass_kg",
    "profile.fractions",
    "profile.language",
    "profile.lengths.grip_lever_m",
    "profile.lengths.shoulder_height_m",
    "profile.lengths.upper_arm_m",
    "profile.home.anchor_heights_cm",
    "profile.home.nearest_cm",
    "profile.home.farthest_cm",
    "profile.home.strands",
    "profile.plan.days",
    "profile.plan.at",
    "profile.plan.when",
    "profile.plan.where",
    "profile.plan.if_not",
    "name",
    "looks",
    "resting_length_m",
    "points",
    "available_deg",
    "force_n",
    "lever_m",
    "prescription.exercise",
    "prescription.goal",
    "prescription.positions",
    "prescription.initials",
    "prescription.dose.sets",
    "prescription.dose.repetitions_min",
    "prescription.dose.repetitions_max",
    "prescription.dose.rest_s",
    "prescription.dose.count_in_s",
    "prescription.dose.days_a_week",
    "prescription.dose.tempo",
    "prescription.limits.pain_max",
    "prescription.repaired_on",
    "prescription.history",
    "prescription.activities",
]


class IntakeMessages(Frozen):
    """The form for a new client."""

    title: Line
    how: Line
    none_yet: Line
    first: Line
    first_underfoot: Line
    save: Line
    save_yes: Line
    save_no: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    saved: Line
    not_saved: Line
    keys: Complete[Literal["line", "part", "save", "leave"], Line]
    shelf: Line
    exercises: Line
    heading: Complete[Literal["client", "home", "band", "plan", "measured", "history", "lengths", "exercise"], Line]
    field: Annotated[dict[StepName, Line], EveryName(get_args(IntakeField))] = Field(
        description="the label of each field, by its key"
    )
    hint: dict[StepName, Line] = Field(description="how to write the value of a field, where that is not obvious")


SteeringField = Literal[
    "position",
    "available_deg",
    "until",
    "signed_at",
    "apprehension",
    "despite",
    "conditions",
    "load.grade",
    "load.strands",
    "load.distance_cm",
    "load.share",
    "repetitions",
    "dose.sets",
    "dose.sets_least",
    "dose.repetitions_min",
    "dose.repetitions_max",
    "dose.tempo.out_s",
    "dose.tempo.hold_s",
    "dose.tempo.back_s",
    "dose.tempo.relax_s",
    "dose.rest_s",
    "dose.count_in_s",
    "dose.days_a_week",
    "goal",
    "exercise",
    "positions",
    "bands",
    "activities",
    "measured_holds",
    "repaired_on",
    "anchor_height_cm",
    "body_turn_deg",
    "distance_cm",
    "mean_nm",
    "record",
    "wrong_at",
    "right_at",
]


InstructionGroup = Literal["go_on", "hold_back", "allow_more", "change", "correct"]


class InstructionMessages(Frozen):
    """The name of an instruction, and what it does."""

    name: Line
    how: Line


class StandingMessages(Frozen):
    """Where the client stands, one line for each value."""

    position: Line
    load: Line
    dose: Line
    tempo: Line
    frozen: Line
    frozen_open: Line
    range_cap: Line
    position_cap: Line
    allowed: Line
    night_pain: Line
    limit: Line
    bands: Line
    goal: Line


class SteeringMessages(Frozen):
    """Instructions to sign, and what they change."""

    page_now: Line
    page_then: Line
    title: Line
    form_title: Line
    signing_title: Line
    marks: Line
    before: Line
    after: Line
    nothing: Line
    alike: Line
    standing: Line
    script: Line
    leads: Line
    lead: Line
    no_session: Line
    sign: Line
    initials: Line
    reason: Line
    reason_how: Line
    signed: Line
    not_signed: Line
    ask: Line
    needs_yes: Line
    history: Line
    no_history: Line
    change_line: Line
    nothing_there: Line
    known_condition: Line = Field(description="a condition that whoever signed knew of, with its day")
    taken_back: Line
    no_effect: Line
    for_all: Line = Field(description="that an instruction is for every exercise of the programme")
    may_take_back: Line
    pending: Line
    reading: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    saved_note: Line
    limit_how: Line
    at_position: Line
    checked: Line
    status: Complete[Status, Line]
    state: StandingMessages
    instruction: Complete[InstructionKind, InstructionMessages]
    group: Complete[InstructionGroup, Line] = Field(description="what the instructions below each other are for")
    part: Complete[Literal["dose", "limits", "setups", "programme"], InstructionMessages]
    field: Annotated[dict[StepName, Line], EveryName(get_args(SteeringField))] = Field(
        description="the label of each field, by its key"
    )
    limit: Annotated[dict[Name, Line], EveryName(get_args(LimitName))] = Field(
        description="what each limit is, by its name"
    )
    apprehension: Complete[Apprehension, Line] = Field(description="the finding on testing")
    keys: Complete[Literal["line", "show", "sign", "back", "leave", "letter", "open", "choose", "scroll"], Line]


PreviewKey = Literal[
    "step", "part", "exercise", "fewer", "timeline", "compare", "decisions", "setup", "clean", "back"
]


class PreviewScreenMessages(Frozen):
    """Messages below the client's own pages in the preview."""

    where: Line
    changed: Line
    clean: Line
    clients_key: Line
    not_so: Line
    timeline_title: Line
    compare_title: Line
    decisions_title: Line
    setup_title: Line
    stuck: Line
    keys: Complete[PreviewKey, Line]


class TherapistMessages(Frozen):
    """What the therapist reads. A session does not read this file."""

    format: Literal[1]
    pages: PageMessages
    caseload: CaseloadMessages
    client_screen: ClientScreenMessages
    intake: IntakeMessages
    steering: SteeringMessages
    preview: PreviewMessages
    preview_screen: PreviewScreenMessages
    decision_table: DecisionTableMessages
    forecast: ForecastMessages
    along: Complete[Coordinate, Line]
    setup_report: SetupReportMessages
    bands_report: BandsReportMessages
    history: HistoryMessages
    history_charts: HistoryChartMessages
    measured: MeasuredMessages
    visit: VisitMessages
    programme: ProgrammeReportMessages
    export: ExportMessages
    backup: BackupMessages
    upgrade: UpgradeMessages
    where: WhereMessages
    take_home: TakeHomeReportMessages
    keys: KeysMessages
    working: WorkingMessages
    audit: AuditMessages
