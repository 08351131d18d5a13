"""The checks behind the gates: one condition over all samples of a season, or one decided without numbers."""

from __future__ import annotations

from dataclasses import replace
from typing import cast

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.kept import Kept
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.motor import sizes
from drumwright.machine.pump.operate import greatest_air, stall_pressure
from drumwright.machine.pump.stock import Abrasion, Pump, rated_pressure
from drumwright.machine.stand.height import BESIDE_HEIGHT, needed_height
from drumwright.product.particles import PASSAGE_FACTORS, Hardness, passage_required
from drumwright.station.arrangement import Choice, plate_with_port
from drumwright.station.balance import Balance
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.line_card import free_passage
from drumwright.study.bridging import hopper_bridge, p95_factor
from drumwright.study.check import Check, flat, judge
from drumwright.study.container_checks import entry_checks, outlet_checks, plate_checks
from drumwright.study.stand_findings import free_base_check

Array = NDArray[np.float64]
ENOUGH_FLOW = 0.98  # share of the wanted flow that counts as reached


def abrasion_class(inputs: Inputs) -> Abrasion:
    """Abrasion class of the product: a named mineral filler counts as abrasive until shown otherwise.

    Pieces that are hard, or of which nobody said that they are not, count as mild at least.
    """
    hard = [inputs.estimates.get(f"product.{name}") for name in ("filler_share", "quartz_share")]
    named = any(share is not None and share.high > 0.0 for share in hard)
    if inputs.choices["product.abrasive"] or (named and inputs.choices["product.abrasive"] is None):
        return "abrasive"
    if "product.particles.size" in inputs.estimates and "hard" in counted_hardness(inputs):
        return "mild"
    return "sensitive" if inputs.choices["product.shear_sensitive"] else "clean"


_FLASH_MARGIN = 15.0  # [K] product or hall this close to the flash point counts as flammable; assumed


def flammable(inputs: Inputs) -> bool:
    """Whether the product was called flammable, or gets near its stated flash point."""
    flash = inputs.estimates.get("product.flash_point")
    if flash is None:
        return bool(inputs.choices["product.flammable"])
    warmest = max(inputs.likely("product.temperature.high"), inputs.likely("site.hall_temperature"))
    return bool(inputs.choices["product.flammable"]) or flash.low <= warmest + _FLASH_MARGIN


def weakest_part(inputs: Inputs, sample: Sample, choice: Choice) -> Array:
    """Pressure of the weakest part outside the pump [Pa(g)]: the line's class, or less where asked."""
    if choice.pressure_class is not None:
        weakest = np.full_like(sample["line.pressure_class"], choice.pressure_class)
    else:
        weakest = sample["line.pressure_class"]
    if "enquiry.pressure_limit" in sample:
        weakest = np.minimum(weakest, sample["enquiry.pressure_limit"])
    return weakest


def air_allowed(inputs: Inputs, sample: Sample, choice: Choice) -> tuple[Array, float]:
    """Air at which a pump driven by air stalls at the weakest part, and the air it bears itself [Pa(g)]."""
    one = {"site.air_pressure": np.ones_like(sample["site.air_pressure"])}
    ratio = stall_pressure(choice.pump, 0.0, 0.0, one)
    return np.asarray(weakest_part(inputs, sample, choice) / ratio), greatest_air(choice.pump)


def passages(inputs: Inputs, choice: Choice) -> dict[str, float]:
    """Free passage of every part on the product's path [m]."""
    own = inputs.estimates.get("line.own_hose_bore")
    bore = choice.bore or inputs.likely("line.bore")
    found = {
        "plate": choice.port,
        "pump": pump_passage(inputs, choice.pump),
        "hose": bore if own is None or choice.bore else own.likely,
        "line": bore,
    }
    if inputs.pieces:
        found["line"] = min(found["line"], free_passage(inputs.pieces, choice.bore)[0])
    smallest = inputs.estimates.get("line.smallest_passage")
    if smallest is not None and choice.bore is None:
        found["line"] = min(found["line"], smallest.likely)
    return found


def counted_hardness(inputs: Inputs) -> tuple[Hardness, ...]:
    """How hard the pieces may be: as said, else anything, for silence makes them no softer."""
    said = inputs.choices["product.particles.hardness"]
    return tuple(PASSAGE_FACTORS) if said is None else (cast(Hardness, said),)


def required_passage(inputs: Inputs) -> float:
    """Free passage the largest particle asks for [m]; 0 without particles."""
    size = inputs.estimates.get("product.particles.size")
    if size is None:
        return 0.0
    return max(float(passage_required(size.high, hardness)) for hardness in counted_hardness(inputs))


def pump_passage(inputs: Inputs, pump: Pump) -> float:
    """Free passage of a pump for the pieces of a case [m]: a bore through which the same piece would go.

    Hard pieces pass gears and lobes only below their clearance (physics book 4.10), whatever the pocket.
    """
    limits, counted = family_of(pump).particle_limits(pump), counted_hardness(inputs)
    greatest = min(limits[hardness] for hardness in counted)
    return min(pump.passage, greatest * max(PASSAGE_FACTORS[hardness] for hardness in counted))


def static_checks(inputs: Inputs, choice: Choice, coldest: float | None = None) -> list[Check]:
    """Checks that need no balance: entry of the plate, frozen product, passage of particles.

    `coldest` is the coldest core when it is emptied [K], where that is not the winter temperature as said.
    """
    checks = entry_checks(inputs, choice)
    hard = [
        inputs.likely(key) for key in ("product.freezes_at", "product.sets_at") if key in inputs.estimates
    ]
    if hard:
        said = inputs.likely("product.temperature.low") if coldest is None else coldest
        coldest = max(said, choice.warm_to or 0.0)
        checks.append(flat("feed.frozen", "feed", coldest > max(hard), coldest, max(hard), "temperature"))
    need = required_passage(inputs)
    if need > 0.0 and "line.bore" in inputs.estimates:
        have = min(passages(inputs, choice).values())
        checks.append(flat("feed.passage", "feed", have >= need, have, need, "diameter"))
    return checks


def season_checks(
    inputs: Inputs,
    sample: Sample,
    state: Balance,
    choice: Choice,
    abrasion: Abrasion,
    season: str,
    kept: Kept | None = None,
) -> list[Check]:
    """All checks of one season from its balance; `kept` is the store of this sample and law."""
    reached = judge(season, "rate.flow", "rate", state.flow, state.wanted_flow, "flow", False, "station.flow")
    return [
        *_standing(inputs, sample, state, choice, season, kept),
        judge(
            season, "feed.inlet", "feed", state.inlet_absolute, state.inlet_required, "pressure_absolute",
            False, "feed.inlet_absolute",
        ),
        *_pressure_checks(inputs, sample, state, choice, abrasion, season),
        replace(reached, ok=state.flow >= ENOUGH_FLOW * state.wanted_flow),
        *_shift_checks(inputs, sample, state, choice, season),
    ]  # fmt: skip


def _standing(
    inputs: Inputs, sample: Sample, state: Balance, choice: Choice, season: str, kept: Kept | None
) -> list[Check]:
    """Height of the mast and load of the seal, where there is a plate."""
    if not choice.plated:
        return outlet_checks(sample, state, season, kept)
    above = judge(
        season, "stand.height", "container_plate", height(sample, choice), sample["site.ceiling"], "length",
        True, "stand.height",
    )  # fmt: skip
    free = free_base_check(inputs, sample, state, choice, season)
    return [above, *free, *plate_checks(inputs, sample, state, choice, season)]


def _pressure_checks(
    inputs: Inputs, sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion, season: str
) -> list[Check]:
    """Running and restart pressure against line, pump and motor."""
    allowed = sample["line.working_share"] * weakest_part(inputs, sample, choice)
    rated = np.full_like(allowed, rated_pressure(choice.pump, abrasion))
    added, restarted = state.pressure_added, state.restart_gauge
    if not choice.pump.turns:
        rated = np.minimum(rated, stall_pressure(choice.pump, 0.0, 0.0, sample))
        added = state.running_gauge
    largest = np.full_like(allowed, sizes(inputs.likely("site.mains_frequency"))[-1])
    rows: tuple[tuple[str, Array, Array, str, str], ...] = (
        ("pressure.running", state.running_gauge, allowed, "pressure_gauge", "line.total"),
        ("pressure.restart", restarted, allowed, "pressure_gauge", "line.restart"),
        ("pressure.pump", added, rated, "pressure_difference", "pump.pressure_added"),
        ("pressure.restart_pump", restarted, rated, "pressure_difference", "line.restart"),
        ("pressure.motor", state.load.motor_required, largest, "power", "pump.motor_required"),
    )  # fmt: skip
    return [
        judge(season, key, "pressure", value, limit, kind, True, figure)
        for key, value, limit, kind, figure in rows
    ]


def _shift_checks(inputs: Inputs, sample: Sample, state: Balance, choice: Choice, season: str) -> list[Check]:
    """Time of station and people in a shift, and flow without a break, each where it was asked."""
    checks = []
    used = utilisation(inputs, sample, state, choice)
    if used is not None:
        one = np.ones_like(used)
        checks.append(
            judge(season, "rate.utilisation", "rate", used, one, "fraction", True, "station.utilisation")
        )
        hands = hands_share(inputs, sample, choice)
        stated = "enquiry.operator_share" not in inputs.defaulted
        limit = sample["enquiry.operator_share"] if stated else one
        checks.append(
            judge(season, "people.hands", "people", hands, limit, "fraction", True, "people.hands_share")
        )
    if inputs.choices["enquiry.uninterrupted"]:
        checks.append(_goes_on(inputs, sample, state, choice, season))
    return checks


def _goes_on(inputs: Inputs, sample: Sample, state: Balance, choice: Choice, season: str) -> Check:
    """Flow without a break: a change against the other station, or at its P95 against an open hopper."""
    gap = change_time(sample, choice)
    bridge = 0.0 * gap
    if choice.stand == "tandem" or choice.stations > 1:
        bridge = state.emptying_time
    else:
        away = away_time(sample, choice)
        hopper = hopper_bridge(inputs, sample, state.wanted_flow, gap + away)
        if hopper is not None:
            gap = longest_change(sample, choice) * p95_factor(sample["shift.change_spread"]) + away
            bridge = hopper
    return judge(season, "rate.uninterrupted", "rate", gap, bridge, "duration", True, "station.change_time")


def height(sample: Sample, choice: Choice) -> Array:
    """Height needed under the lowest beam, pump on the plate or beside the mast [m]."""
    plate = plate_with_port(choice.port)
    above = BESIDE_HEIGHT if choice.beside else choice.pump.height
    return needed_height(sample["container.outside_height"], plate["height"], above)


def needs_beside(inputs: Inputs, pump_height: float, port: float) -> bool:
    """Whether a pump on the plate would not fit under the beam, so that it must stand beside the mast."""
    plate = plate_with_port(port)
    needed = needed_height(inputs.likely("container.outside_height"), plate["height"], pump_height)
    return float(needed) > inputs.likely("site.ceiling")


def change_time(sample: Sample, choice: Choice) -> Array:
    """Time from one drum empty to the next one flowing [s] (trade book 2.1)."""
    if "enquiry.change_time" in sample and choice.stated_change:
        return sample["enquiry.change_time"]
    if choice.stand == "moving_arm":
        return sample["model.change_arm"] + sample["model.pallet_exchange"] / 4.0
    return sample["model.change_fixed"]


def away_time(sample: Sample, choice: Choice) -> Array:
    """Time until somebody begins a change [s]; none where a stated change time holds it already."""
    stated = "enquiry.change_time" in sample and choice.stated_change
    return np.zeros_like(sample["shift.react_time"]) if stated else sample["shift.react_time"]


def longest_change(sample: Sample, choice: Choice) -> Array:
    """Mean of the changes that must be bridged [s]: with the exchange of the pallet, where there is one."""
    stated = "enquiry.change_time" in sample and choice.stated_change
    if choice.stand == "moving_arm" and not stated:
        return np.asarray(sample["model.change_arm"] + sample["model.pallet_exchange"])
    return change_time(sample, choice)


def cycle_time(sample: Sample, state: Balance, choice: Choice) -> Array:
    """Time a drum takes one station [s]: change and emptying; in tandem the longer of the two."""
    change = change_time(sample, choice)
    if choice.stand == "tandem":
        return np.maximum(change, state.emptying_time)
    return change + state.emptying_time


def drums_possible(sample: Sample, state: Balance, choice: Choice) -> Array:
    """Drums a shift that all stations can empty: (T - cleaning) a / C (trade book 2.2)."""
    time = sample["enquiry.shift"] * sample["model.availability"] - _cleaning(sample)
    stations = 1 if choice.stand == "tandem" else choice.stations
    return np.maximum(time, 0.0) * stations / cycle_time(sample, state, choice)


def _cleaning(sample: Sample) -> Array:
    """Cleaning inside the shift [s]: one a recipe where several run; a single product is cleaned after it."""
    recipes = sample["enquiry.recipes_per_shift"]
    return np.where(recipes > 1.0, recipes, 0.0) * sample["enquiry.cleaning_time"]


def shift_minutes(inputs: Inputs, sample: Sample, state: Balance, choice: Choice) -> Array | None:
    """Busy time of one station in a shift, cleaning included [s]; None where no drums were named."""
    if "enquiry.drums_per_shift" not in inputs.estimates:
        return None
    stations = 1 if choice.stand == "tandem" else choice.stations
    drums = sample["enquiry.drums_per_shift"] / stations
    return drums * cycle_time(sample, state, choice) + _cleaning(sample)


def utilisation(inputs: Inputs, sample: Sample, state: Balance, choice: Choice) -> Array | None:
    """Busy time over usable time of the shift; 1 is full (trade book 2.2)."""
    busy = shift_minutes(inputs, sample, state, choice)
    if busy is None:
        return None
    return busy / (sample["enquiry.shift"] * sample["model.availability"])


def hands_share(inputs: Inputs, sample: Sample, choice: Choice) -> Array:
    """Share of one person's shift spent with hands on drums."""
    hands = change_time(sample, choice) * sample["model.hands_share"]
    return sample["enquiry.drums_per_shift"] * hands / sample["enquiry.shift"]
