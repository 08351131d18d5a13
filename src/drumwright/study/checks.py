"""The checks behind the gates: one condition over all samples of a season, or one decided without numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.drum import plate_entry
from drumwright.machine.pump.motor import sizes
from drumwright.machine.pump.stock import Abrasion, rated_pressure
from drumwright.machine.stand.height import BESIDE_HEIGHT, needed_height
from drumwright.product.particles import Hardness, passage_required
from drumwright.station.arrangement import Choice, plate_with_port
from drumwright.station.balance import Balance
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
# Checks that fail below their limit; all others fail above it.
LOWER_LIMITS = frozenset({"feed.passage", "feed.inlet", "feed.frozen", "rate.flow"})
ENOUGH_FLOW = 0.98  # share of the wanted flow that counts as reached


@dataclass(frozen=True, slots=True)
class Check:
    """A condition of one gate in one season.

    `ok` is an array over samples (the point of likely values first); `value` and `limit` likewise or floats.
    `decided` is False where a needed answer or model is missing: then `ok` is all False and not counted.
    """

    key: str
    gate: str
    season: str
    ok: NDArray[np.bool_]
    value: Array
    limit: Array
    kind: str
    figure: str
    decided: bool = True

    @property
    def probability(self) -> float:
        """Share of samples that pass, the point left out where there are more."""
        return float(self.ok[1:].mean()) if self.ok.size > 1 else float(self.ok[0])


def abrasion_class(inputs: Inputs) -> Abrasion:
    """Abrasion class of the product: a named mineral filler counts as abrasive until shown otherwise."""
    filler = inputs.estimates.get("product.filler_share")
    if inputs.choices["product.abrasive"] or (
        filler is not None and filler.likely > 0.0 and inputs.choices["product.abrasive"] is None
    ):
        return "abrasive"
    return "mild" if inputs.choices["product.shear_sensitive"] else "clean"


def weakest_part(inputs: Inputs, sample: Sample, choice: Choice) -> Array:
    """Pressure of the weakest part outside the pump [Pa(g)]: the line's class, or less where asked."""
    if choice.pressure_class is not None:
        weakest = np.full_like(sample["line.pressure_class"], choice.pressure_class)
    else:
        weakest = sample["line.pressure_class"]
    if "enquiry.pressure_limit" in sample:
        weakest = np.minimum(weakest, sample["enquiry.pressure_limit"])
    return weakest


def passages(inputs: Inputs, choice: Choice) -> dict[str, float]:
    """Free passage of every part on the product's path [m]."""
    own = inputs.estimates.get("line.own_hose_bore")
    bore = choice.bore or inputs.likely("line.bore")
    found = {
        "plate": choice.port,
        "pump": choice.pump.passage,
        "hose": bore if own is None or choice.bore else own.likely,
        "line": bore,
    }
    smallest = inputs.estimates.get("line.smallest_passage")
    if smallest is not None and choice.bore is None:
        found["line"] = min(found["line"], smallest.likely)
    return found


def required_passage(inputs: Inputs) -> float:
    """Free passage the largest particle asks for [m]; 0 without particles."""
    size = inputs.estimates.get("product.particles.size")
    if size is None:
        return 0.0
    hardness = inputs.choices["product.particles.hardness"] or "soft"
    return float(passage_required(size.likely, cast(Hardness, hardness)))


def static_checks(inputs: Inputs, choice: Choice) -> list[Check]:
    """Checks that need no balance: entry of the plate and passage of particles."""
    kind = inputs.choices["container.kind"] or "straight_drum"
    entry = plate_entry(kind)
    checks = [
        _flat("container.entry", "container_plate", entry == "enters", 0.0, 0.0, "", entry != "not_judged")
    ]
    hard = [
        inputs.likely(key) for key in ("product.freezes_at", "product.sets_at") if key in inputs.estimates
    ]
    if hard:
        coldest = max(inputs.likely("product.temperature.low"), choice.warm_to or 0.0)
        checks.append(_flat("feed.frozen", "feed", coldest > max(hard), coldest, max(hard), "temperature"))
    need = required_passage(inputs)
    if need > 0.0 and "line.bore" in inputs.estimates:
        have = min(passages(inputs, choice).values())
        checks.append(_flat("feed.passage", "feed", have >= need, have, need, "diameter"))
    return checks


def _flat(
    key: str, gate: str, ok: bool, value: float, limit: float, kind: str, decided: bool = True
) -> Check:
    return Check(key, gate, "all", np.array([ok]), np.array([value]), np.array([limit]), kind, key, decided)


def season_checks(
    inputs: Inputs, sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion, season: str
) -> list[Check]:
    """All checks of one season from its balance."""

    def check(key: str, gate: str, value: Array, limit: Array, kind: str, below: bool, figure: str) -> Check:
        ok = value <= limit if below else value >= limit
        limits = np.broadcast_to(np.asarray(limit, float), value.shape)
        return Check(key, gate, season, np.asarray(ok), value, limits, kind, figure)

    allowed = sample["line.working_share"] * weakest_part(inputs, sample, choice)
    rated = np.full_like(allowed, rated_pressure(choice.pump, abrasion))
    if choice.pump.family == "air_diaphragm":
        rated = np.minimum(rated, sample["site.air_pressure"])
    checks = [
        check("stand.height", "container_plate", height(sample, choice), sample["site.ceiling"], "length",
              True, "stand.height"),
        check("feed.inlet", "feed", state.inlet_absolute, state.inlet_required, "pressure_absolute",
              False, "feed.inlet_absolute"),
        check("pressure.running", "pressure", state.running_gauge, allowed, "pressure_gauge", True,
              "line.total"),
        check("pressure.restart", "pressure", state.restart_gauge, allowed, "pressure_gauge", True,
              "line.restart"),
        check("pressure.pump", "pressure", state.pressure_added, rated, "pressure_difference", True,
              "pump.pressure_added"),
        check("pressure.motor", "pressure", state.load.motor_required,
              np.full_like(allowed, sizes()[-1]), "power", True, "pump.motor_required"),
        check("rate.flow", "rate", state.flow, ENOUGH_FLOW * state.wanted_flow, "flow", False,
              "station.flow"),
    ]  # fmt: skip
    used = utilisation(inputs, sample, state, choice)
    if used is not None:
        one = np.ones_like(used)
        checks.append(check("rate.utilisation", "rate", used, one, "fraction", True, "station.utilisation"))
        hands = hands_share(inputs, sample, choice)
        limit = sample.get("enquiry.operator_share", one)
        checks.append(check("people.hands", "people", hands, limit, "fraction", True, "people.hands_share"))
    if inputs.choices["enquiry.uninterrupted"]:
        gap = change_time(sample, choice)
        bridge = state.emptying_time if choice.stand == "tandem" or choice.stations > 1 else 0.0 * gap
        checks.append(
            check("rate.uninterrupted", "rate", gap, bridge, "duration", True, "station.change_time")
        )
    return checks


def height(sample: Sample, choice: Choice) -> Array:
    """Height needed, pump on the plate where that fits, else beside the mast [m]."""
    plate = plate_with_port(choice.port)
    drum = sample["container.outside_height"]
    on_plate = needed_height(drum, plate["height"], choice.pump.height)
    beside = needed_height(drum, plate["height"], BESIDE_HEIGHT)
    return np.where(on_plate <= sample["site.ceiling"], on_plate, beside)


def change_time(sample: Sample, choice: Choice) -> Array:
    """Time from one drum empty to the next one flowing [s] (trade book 2.1)."""
    if "enquiry.change_time" in sample and choice.stand != "moving_arm":
        return sample["enquiry.change_time"]
    if choice.stand == "moving_arm":
        return sample["model.change_arm"] + sample["model.pallet_exchange"] / 4.0
    return sample["model.change_fixed"]


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
