"""Other places of the anchor, and what it costs that the therapist fixed one."""

from coach.mechanics.setup_alternatives import AlternativeSetup, FixedDistanceCost, SetupAlternatives
from coach.mechanics.torque import Arc
from coach.model.message_format import fill
from coach.model.messages.setup_report import SetupReportWords
from coach.reports.text.layout import columns, heading, nm, paragraph, percent
from coach.session.plan import Plan


def places_lines(plan: Plan, prices: SetupAlternatives) -> list[str]:
    """A table of the anchor heights and the body turns, the one in use marked."""
    words = plan.content.words.of(SetupReportWords)
    cells = [("", *words.places_columns)]
    for option in prices.heights:
        said = words.place_height if option.at_home else words.place_not_at_home
        cells.append(_cells(option, fill(said, {"anchor_height_cm": option.anchor_height_cm})))
    for option in prices.turns:
        cells.append(_cells(option, fill(words.place_turn, {"turn": f"{option.body_turn_deg:g}"})))
    return [
        *heading(words.places_title),
        *columns(cells, words.places_title, left=2),
        "",
        *paragraph(words.places_part),
    ]


def _cells(option: AlternativeSetup, place: str) -> tuple[str, ...]:
    mark = ">" if option.in_use else ""
    if option.step is None or option.arc is None:
        return mark, place, *["-"] * 6
    arc = option.arc
    stretch = f"{percent(arc.elongation[0])}-{percent(max(arc.elongation))} %"
    torques = (nm(arc.mean_nm), nm(arc.start_nm), nm(arc.end_nm))
    return mark, place, f"{option.step.distance_cm} cm", *torques, f"{percent(arc.evenness)} %", stretch


def price_of_height(plan: Plan, prices: SetupAlternatives, arc: Arc) -> list[str]:
    """What the fixed height costs, in one sentence; nothing where none is fixed."""
    words = plan.content.words.of(SetupReportWords)
    free = prices.free_height
    return _price(plan, free, fill(words.free_height, vars(free)), arc) if free else []


def price_of_turn(plan: Plan, prices: SetupAlternatives, arc: Arc) -> list[str]:
    """What the fixed body turn costs."""
    words = plan.content.words.of(SetupReportWords)
    free = prices.free_turn
    return _price(plan, free, fill(words.free_turn, {"turn": f"{free.body_turn_deg:g}"}), arc) if free else []


def _price(plan: Plan, free: AlternativeSetup, said: str, arc: Arc) -> list[str]:
    words = plan.content.words.of(SetupReportWords)
    if free.in_use:
        return [fill(words.price_nothing, {"free": said})]
    if free.arc is None:
        return [fill(words.price_no_step, {"free": said})]
    values = {
        "free": said,
        "end": nm(arc.end_nm),
        "end_free": nm(free.arc.end_nm),
        "kept": percent(arc.evenness),
        "kept_free": percent(free.arc.evenness),
    }
    return [fill(words.price, values)]


def price_of_distance(plan: Plan, price: FixedDistanceCost | None) -> list[str]:
    """What the fixed distance leaves of the ladder."""
    if price is None:
        return []
    words = plan.content.words.of(SetupReportWords)
    rise, rise_free = (
        words.price_no_rise if one is None else fill(words.price_rise, {"rise": percent(one)})
        for one in (price.rise, price.rise_free)
    )
    return [fill(words.price_distance, {**vars(price), "rise": rise, "rise_free": rise_free})]
