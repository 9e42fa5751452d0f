"""Alternative anchor heights and body turns, and the cost of those that the therapist fixed."""

from msgspec.structs import asdict

from coach.mechanics.setup_alternatives import AlternativeSetup, FixedDistanceCost, SetupAlternatives
from coach.mechanics.torque import Arc
from coach.model.message_format import fill
from coach.reports.text.layout import columns, heading, nm, paragraph, percent
from coach.session.plan import Plan


def alternatives_lines(plan: Plan, prices: SetupAlternatives) -> list[str]:
    """A table of anchor heights and body turns, with the current ones marked."""
    messages = plan.content.messages.therapist.setup_report
    if not prices.heights and not prices.turns:
        return []
    unit = {"unit": plan.position.load_unit}
    cells = [("", *(fill(column, unit) for column in messages.places_columns))]
    for option in prices.heights:
        place = messages.place_height if option.at_home else messages.place_not_at_home
        cells.append(_cells(option, fill(place, {"anchor_height_cm": option.anchor_height_cm})))
    for option in prices.turns:
        cells.append(_cells(option, fill(messages.place_turn, {"turn": f"{option.body_turn_deg:g}"})))
    return [
        *heading(messages.places_title),
        *columns(cells, messages.places_title, left=2),
        "",
        *paragraph(messages.places_part),
    ]


def _cells(option: AlternativeSetup, place: str) -> tuple[str, ...]:
    mark = ">" if option.in_use else ""
    if option.step is None or option.arc is None:
        return mark, place, *["-"] * 6
    arc = option.arc
    stretch = f"{percent(arc.elongation[0])}-{percent(max(arc.elongation))} %"
    torques = (nm(arc.mean_nm), nm(arc.start_nm), nm(arc.end_nm))
    return mark, place, f"{option.step.distance_cm} cm", *torques, f"{percent(arc.evenness)} %", stretch


def fixed_height_cost(plan: Plan, prices: SetupAlternatives, arc: Arc) -> list[str]:
    """The cost of a fixed anchor height as a sentence; empty if none is fixed."""
    messages = plan.content.messages.therapist.setup_report
    free = prices.free_height
    return _fixed_cost(plan, free, fill(messages.free_height, asdict(free)), arc) if free else []


def fixed_turn_cost(plan: Plan, prices: SetupAlternatives, arc: Arc) -> list[str]:
    """The cost of a fixed body turn as a sentence; empty if none is fixed."""
    messages = plan.content.messages.therapist.setup_report
    free = prices.free_turn
    return _fixed_cost(plan, free, fill(messages.free_turn, {"turn": f"{free.body_turn_deg:g}"}), arc) if free else []


def _fixed_cost(plan: Plan, free: AlternativeSetup, name: str, arc: Arc) -> list[str]:
    messages = plan.content.messages.therapist.setup_report
    if free.in_use:
        return [fill(messages.price_nothing, {"free": name})]
    if free.arc is None:
        return [fill(messages.price_no_step, {"free": name})]
    values = {
        "free": name,
        "unit": plan.position.load_unit,
        "end": nm(arc.end_nm),
        "end_free": nm(free.arc.end_nm),
        "kept": percent(arc.evenness),
        "kept_free": percent(free.arc.evenness),
    }
    return [fill(messages.price, values)]


def fixed_distance_cost(plan: Plan, price: FixedDistanceCost | None) -> list[str]:
    """What remains of the ladder with a fixed distance, as a sentence; empty if none is fixed."""
    if price is None:
        return []
    messages = plan.content.messages.therapist.setup_report
    rise, rise_free = (
        messages.price_no_rise if one is None else fill(messages.price_rise, {"rise": percent(one)})
        for one in (price.rise, price.rise_free)
    )
    return [fill(messages.price_distance, {**asdict(price), "rise": rise, "rise_free": rise_free})]
