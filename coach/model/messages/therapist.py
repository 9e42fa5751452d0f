"""LANGUAGE/therapist.toml: what the therapist reads, a section for each screen, report and command."""

from typing import Annotated, Literal

from pydantic import Field

from coach.model.base import Frozen, Line, Name
from coach.model.exercise import Coordinate, Direction
from coach.model.messages.measured import MeasuredMessages
from coach.model.messages.therapist_reports import (
    BackupMessages,
    BandsReportMessages,
    DecisionTableMessages,
    ExportMessages,
    ForecastMessages,
    HistoryChartMessages,
    HistoryMessages,
    PreviewMessages,
    SetupReportMessages,
)
from coach.model.option_names import CaseloadOrder, InstructionKind
from coach.model.record import Status
from coach.model.step_names import StepName


class CaseloadMessages(Frozen):
    """The caseload: all clients of a folder, one line each."""

    title: Line
    as_of: Line
    filtered: Line
    reading: Line
    columns: Annotated[tuple[Line, ...], Field(min_length=7, max_length=7)]
    legend: Line
    nothing: Line
    today: Line
    days: Line
    share: Line
    more: Line
    no_match: Line
    type_to_filter: Line
    typed: Line
    sorted_by: Line
    direction: dict[Direction, Line]
    need: dict[Name, Line]
    order: dict[CaseloadOrder, Line]
    keys: dict[Literal["open", "sort", "clear", "leave", "again", "choose"], Line]


ReportName = Literal["preview", "decisions", "setup", "pictures", "steering", "history", "forecast", "check"]


class ClientScreenMessages(Frozen):
    """One client, opened from the caseload."""

    title: Line
    stands: Line
    seen: Line
    never_seen: Line
    needs_title: Line
    no_need: Line
    decided_title: Line
    tell_title: Line
    load: Line
    no_load: Line
    working: Line
    files_title: Line
    status: dict[Status, Line]
    report: dict[ReportName, Line]
    keys: dict[Literal["back", "scroll", "open", "pictures"], Line]


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
    keys: dict[Name, Line]
    exercises: Line
    heading: dict[Literal["client", "home", "band", "plan", "measured", "history", "lengths"], Line]
    field: dict[StepName, Line] = Field(description="the label of each field, by its key")
    hint: dict[StepName, Line] = Field(description="how to write the value of a field, where that is not obvious")


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
    limit: Line
    bands: Line
    goal: Line


class SteeringMessages(Frozen):
    """Instructions to sign, and what they change."""

    title: Line
    choose: Line
    before: Line
    after: Line
    nothing: Line
    alike: Line
    standing: Line
    script: Line
    leads: Line
    none_while_in_review: Line
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
    taken_back: Line
    no_effect: Line
    may_take_back: Line
    reading: Line
    leave: Line
    leave_yes: Line
    leave_no: Line
    saved_note: Line
    limit_how: Line
    at_position: Line
    checked: Line
    status: dict[Status, Line]
    state: StandingMessages
    instruction: dict[InstructionKind, InstructionMessages]
    part: dict[Literal["dose", "limits", "setups", "programme"], InstructionMessages]
    field: dict[StepName, Line] = Field(description="the label of each field, by its key")
    keys: dict[Name, Line]


PreviewKey = Literal["step", "part", "fewer", "timeline", "compare", "decisions", "setup", "clean", "back"]


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
    keys: dict[PreviewKey, Line]


class TherapistMessages(Frozen):
    """What the therapist reads. A session does not read this file."""

    format: Literal[1]
    caseload: CaseloadMessages
    client_screen: ClientScreenMessages
    intake: IntakeMessages
    steering: SteeringMessages
    preview: PreviewMessages
    preview_screen: PreviewScreenMessages
    decision_table: DecisionTableMessages
    forecast: ForecastMessages
    along: dict[Coordinate, Line]
    setup_report: SetupReportMessages
    bands_report: BandsReportMessages
    history: HistoryMessages
    history_charts: HistoryChartMessages
    measured: MeasuredMessages
    export: ExportMessages
    backup: BackupMessages
