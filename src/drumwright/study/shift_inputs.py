"""From a case to the plan of one shift: what was said, and what is taken where nothing was."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.tables import read_toml
from drumwright.machine.delivery.destination import is_closed
from drumwright.machine.delivery.hopper import least_pump_flow
from drumwright.station.inputs import Inputs, resolve
from drumwright.station.records import Case
from drumwright.station.vessel import way_out
from drumwright.study.shift_buffer import closed_pot, open_volume
from drumwright.study.shift_formula import change_of, supplies
from drumwright.study.shift_plan import Plan, Stop
from drumwright.study.shift_times import Element, Spread, elements_of, layout_of

NO_HOPPER = 5.0  # [s] of the draw: less than that bridges nothing and counts as none
HIGHEST_START = 0.98  # share of the hopper: with no band at all the pump would start without end
SHORTEST = 5.0  # [s] a container takes: faster than that is no work of people
# What a closed pot gives rests on them.
RESTS = ("destination.pressure", "line.pressure_class", "model.precharge_share", "site.altitude")
STATED_PALLET = {"single": 1, "four": 4}


@dataclass(frozen=True, slots=True)
class Taken:
    """One number of the shift that nobody said.

    Parameters
    ----------
    name : str
        Field, or the element of a change.
    kind : str
    estimate : Estimate
    source : str
    """

    name: str
    kind: str
    estimate: Estimate
    source: str


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan with what it rests on.

    Parameters
    ----------
    plan : Plan
    factor : float
        Availability times planned utilisation of the formulas [-].
    taken : tuple of Taken
    notes : tuple of Phrase
    products : int
        Products in the shift.
    promised : bool
        Whether flow without a break was asked for.
    """

    plan: Plan
    factor: float
    taken: tuple[Taken, ...]
    notes: tuple[Phrase, ...]
    products: int
    promised: bool


class _Filled:
    """Numbers of the shift as said or as taken; keeps what was taken."""

    def __init__(self, case: Case, inputs: Inputs) -> None:
        self.case, self.inputs = case, inputs
        self.taken: list[Taken] = []
        self._table = read_toml("shift.toml")

    def number(self, name: str) -> float:
        """A number of the shift."""
        said = getattr(self.case.shift, name)
        return float(said.likely) if said is not None else self.assumed(name)

    def assumed(self, name: str) -> float:
        """What the table takes for a number, noted."""
        row = self._table["assumed"][name]
        estimate = Estimate(row["low"], row["likely"], row["high"], row["basis"])
        self.note(f"shift.{name}", row["kind"], estimate, row["source"])
        return estimate.likely

    def known(self, name: str) -> float:
        """An input of the whole case, noted where it is a default."""
        estimate = self.inputs.estimates[name]
        if name in self.inputs.defaulted:
            row = self.inputs.rows[name]
            self.note(name, row.kind, estimate, row.source)
        return estimate.likely

    def note(self, name: str, kind: str, estimate: Estimate, source: str) -> None:
        """Note what is taken, once."""
        row = Taken(name, kind, estimate, source)
        if row not in self.taken:
            self.taken.append(row)

    def elements(self, layout: str) -> tuple[Element, ...]:
        """Elements of the layout with the customer's own times in place of ours."""
        said = {
            item.name: item.time
            for item in self.case.shift.element
            if item.name is not None and item.time is not None
        }
        liner = self.inputs.choices["container.liner"] != "none"
        found = elements_of(layout, said, liner)  # type: ignore[arg-type]
        rows = self._table["element"]
        for item in found:
            if not item.stated:
                self.note(f"shift.element.{item.name}", "duration", item.time, rows[item.name]["source"])
        return found


def prepare(case: Case, buffer: float | None = None) -> Prepared:
    """Plan the shift of a case as it was asked.

    Parameters
    ----------
    case : Case
    buffer : float, optional
        Volume of the hopper in place of that of the case [m3].

    Raises
    ------
    QuantityError
        If neither a flow nor drums a shift were named, or the container is emptied by a lance.
    """
    duty = case.duty[0] if case.duty else None
    product = next((each for each in case.product if duty and each.name == duty.product), case.product[0])
    named = [each for each in case.container if duty and each.name == duty.container]
    container = next(iter(named or case.container), None)
    inputs = resolve(case, product, container, duty)
    if "enquiry.flow" not in inputs.estimates:
        raise QuantityError(*trouble("SHF-001"))
    if way_out(inputs.kind) == "opening":
        raise QuantityError(*trouble("SHF-002"))
    filled = _Filled(case, inputs)
    plan, notes = _plan(filled, buffer)
    if len(case.product) > 1 or len(case.duty) > 1:
        notes.insert(0, phrase("SHF-one_duty", name=product.name))
    products = max(len(case.product), round(inputs.likely("enquiry.recipes_per_shift")))
    promised = bool(inputs.choices["enquiry.uninterrupted"])
    factor = filled.known("model.availability")
    return Prepared(plan, factor, tuple(filled.taken), tuple(notes), products, promised)


def _plan(filled: _Filled, buffer: float | None) -> tuple[Plan, list[Phrase]]:
    """The plan without its supply, then with it."""
    inputs = filled.inputs
    stand = inputs.choices["enquiry.stand_wanted"] or "fixed_mast"
    plated = way_out(inputs.kind) == "plate" and inputs.choices["enquiry.plate_wanted"] != "none"
    layout = layout_of(inputs.kind, plated, stand)
    stated = inputs.estimates.get("enquiry.change_time")
    change = None
    if stated is not None:
        change = Spread(stated.likely, filled.known("shift.change_spread"))
    stations = inputs.estimates.get("enquiry.stations")
    count = max(round(stations.likely) if stations is not None else 1, 2 if stand == "tandem" else 1)
    recipes = inputs.likely("enquiry.recipes_per_shift")
    drums = inputs.estimates.get("enquiry.drums_per_shift")
    plan = Plan(
        duration=filled.known("enquiry.shift"), layout=layout, stations=count,
        shared_line=stand == "tandem", volume=inputs.likely("container.usable_volume"),
        pump_flow=filled.known("enquiry.flow"), change=change,
        elements=() if change is not None else filled.elements(layout),
        hands_share=filled.known("model.hands_share") if change is not None else 1.0,
        drums_per_pallet=STATED_PALLET.get(inputs.choices["site.pallet"] or "four", 4),
        react_time=0.0 if change is not None else filled.known("shift.react_time"),
        walk_time=0.0 if change is not None else filled.number("walk_time"),
        operators=round(filled.number("operators")),
        elsewhere=0.0 if change is not None else 1.0 - filled.known("enquiry.operator_share"),
        other_task=0.0 if change is not None else filled.number("other_task"),
        trucks=round(filled.number("trucks")) if change is None else 1,
        truck_wait=filled.number("truck_wait") if change is None else 0.0,
        availability=filled.number("availability"), outage=filled.number("outage"),
        cleans=round(recipes) if recipes > 1.0 else 0,
        cleaning_time=filled.known("enquiry.cleaning_time") if recipes > 1.0 else 0.0,
        drums=drums.likely if drums is not None else 0.0,
    )  # fmt: skip
    if plan.volume / plan.pump_flow + change_of(plan).mean < SHORTEST:
        raise QuantityError(*trouble("SHF-003"))
    supplied, notes = _supply(filled, plan, buffer)
    return supplied, [*_timed(filled, plan), *notes]


def _timed(filled: _Filled, plan: Plan) -> list[Phrase]:
    """That the verdict takes another time for a change that nobody timed."""
    if plan.change is not None:
        return []
    taken = filled.inputs.likely("model.change_fixed")
    if plan.layout == "moving_arm":
        taken = filled.inputs.likely("model.change_arm") + filled.inputs.likely("model.pallet_exchange") / 4.0
    return [phrase("SHF-not_timed", value=taken, far=change_of(plan).mean)]


def _supply(filled: _Filled, plan: Plan, buffer: float | None) -> tuple[Plan, list[Phrase]]:
    """Add what the destination draws, its hopper and its stops, where it draws by itself."""
    case, inputs = filled.case, filled.inputs
    kind = inputs.choices["destination.kind"] or "open_tank"
    if not (supplies(inputs) or is_closed(kind) or kind == "hopper" or case.destination.stop or buffer):
        return plan, []
    draw = inputs.estimates.get("shift.draw", inputs.estimates["enquiry.flow"]).likely
    hopper, notes = _room(filled, buffer)
    hopper = hopper if hopper >= NO_HOPPER * draw else 0.0
    start = min(filled.number("start_level"), HIGHEST_START) if hopper > 0.0 else 0.0
    plan = replace(plan, draw=draw, hopper=hopper, start_level=start * hopper, stops=_stops(filled))
    notes += [] if plan.stops else [phrase("SHF-no_stops")]
    said = case.shift.refill_flow
    if said is not None:
        return replace(plan, pump_flow=said.likely), notes
    if case.shift.draw is not None or hopper <= 0.0:
        return plan, notes
    return _faster_pump(plan, notes)


def _room(filled: _Filled, buffer: float | None) -> tuple[float, list[Phrase]]:
    """What bridges a change [m3]: hoppers less the heel, and what a closed pot gives."""
    inputs, notes = filled.inputs, []
    gross = (
        inputs.likely("destination.hopper_volume") if "destination.hopper_volume" in inputs.estimates else 0.0
    )
    pot = closed_pot(inputs) if buffer is None else None
    gross += open_volume(inputs) if buffer is None else buffer
    room = max(gross - filled.number("heel"), 0.0) if gross > 0.0 else 0.0
    if pot is not None:
        slots = {"high": pot.greatest, "low": pot.least}
        notes.append(phrase("SHF-closed_pot", volume=pot.room, value=pot.volume, **slots))
        room += pot.volume
        for key in RESTS:
            filled.known(key)
    return room, notes


def _faster_pump(plan: Plan, notes: list[Phrase]) -> tuple[Plan, list[Phrase]]:
    """A pump that only equals the draw never fills a hopper again: one a little above the least flow."""
    factor = read_toml("shift.toml")["people"]["refill_factor"]["likely"]
    least = float(least_pump_flow(plan.volume, plan.draw, change_of(plan).mean))
    if not math.isfinite(least):
        return replace(plan, pump_flow=2.0 * plan.draw), [
            *notes,
            phrase("SHF-no_pump", value=2.0 * plan.draw),
        ]
    faster = max(factor * least, plan.pump_flow)
    return replace(plan, pump_flow=faster), [*notes, phrase("SHF-faster_pump", value=faster, limit=least)]


def _stops(filled: _Filled) -> tuple[Stop, ...]:
    """Stops of the destination that say how often and how long."""
    found = []
    for item in filled.case.destination.stop:
        if item.every_run is None or item.lasts is None:
            continue
        spread = item.spread.likely if item.spread is not None else filled.assumed("stop_spread")
        found.append(Stop(item.every_run.likely, item.lasts.likely, spread))
    return tuple(found)
