"""From a case with gaps to a complete set of inputs: what was said, and numbered defaults for the rest."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.estimate import Estimate
from drumwright.basis.quantities import read
from drumwright.basis.sampling import scrambled_sobol
from drumwright.basis.tables import read_toml
from drumwright.machine.delivery.destination import is_closed
from drumwright.station.records import Case, Container, Product
from drumwright.station.refusals import HEADSPACE, LEAST_FILL, refuse_unusable

Array = NDArray[np.float64]
Sample = Mapping[str, Array]


@dataclass(frozen=True, slots=True)
class Default:
    """One row of `data/defaults.toml` in SI units."""

    key: str
    kind: str
    estimate: Estimate
    source: str
    flag: str
    owner: str


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything the machine needs, complete: numbers, choices, and which of them are defaults."""

    estimates: Mapping[str, Estimate]
    choices: Mapping[str, Any]
    defaulted: frozenset[str]
    product: Product
    container: Container | None
    missing: frozenset[str] = field(default_factory=frozenset)

    def with_estimate(self, key: str, estimate: Estimate) -> Inputs:
        """Return the same inputs with one number replaced."""
        return replace(self, estimates={**self.estimates, key: estimate})

    def likely(self, key: str) -> float:
        """Likely value of one quantity [SI]."""
        return self.estimates[key].likely


@cache
def defaults() -> Mapping[str, Default]:
    """All numbered defaults by field, in the order of the table."""
    found = {}
    for key, row in read_toml("defaults.toml").items():
        low, likely, high = (read(row[name], row["kind"]) for name in ("low", "likely", "high"))
        estimate = Estimate(low, likely, high, row["basis"], row.get("shape", "triangular"))
        found[key] = Default(key, row["kind"], estimate, row["source"], row["flag"], row["owner"])
    return found


# Quantities read from the case as they stand: (key, table, attribute). Those also in the defaults table are
# filled from it; the others stay absent and are looked for where they matter.
_FIELDS: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    (
        "enquiry",
        "enquiry",
        (
            "flow", "drums_per_shift", "shift", "residue_wanted", "pressure_limit", "recipes_per_shift",
            "cleaning_time", "change_time", "stations", "operator_share", "buffer_volume",
            "buffer_pressure",
        ),
    ),
    (
        "line",
        "line",
        (
            "bore", "length", "rise", "own_hose", "own_hose_bore", "bends", "valves",
            "fittings_diameters", "pressure_class", "working_share", "smallest_passage",
        ),
    ),
    ("site", "site", ("ceiling", "air_pressure", "altitude", "hall_temperature", "store_temperature")),
    (
        "machine",
        "machine",
        (
            "plate_mass", "ram_force", "port_bore", "plate_clearance", "last_rate", "lance_bore",
            "lance_length",
        ),
    ),
    (
        "destination",
        "destination",
        (
            "pressure", "inlet_pressure_low", "inlet_pressure_high", "longest_stop", "valve_closing_time",
            "hopper_volume",
        ),
    ),
)  # fmt: skip
_PRODUCT = (
    "density", "restart_factor", "batch_factor", "activation_energy", "vapour_pressure", "price",
    "viscosity", "viscosity_shear_rate", "viscosity_temperature", "filler_share", "quartz_share",
    "isocyanate_share", "flash_point", "skin_time", "longest_stop", "sets_at", "freezes_at",
    "maximum_temperature",
)  # fmt: skip
_CONTAINER = (
    "inside_diameter", "diameter_top", "diameter_bottom", "inside_height", "outside_diameter",
    "outside_height", "usable_volume", "headspace", "tare", "wall", "hoops", "hoop_depth", "hoop_width",
    "bottom_depth", "bottom_mismatch", "opening",
)  # fmt: skip
_FASTEST_EMPTYING = 120.0  # [s] where the drums leave one station no time at all; the rate gate then says so
_BEND_DIAMETERS = 12.5  # 800/64, physics book 5.3
_VALVE_DIAMETERS = 4.7  # 300/64, full-bore valve


def resolve(
    case: Case, product: Product, container: Container | None, duty: Any = None, share: float = 1.0
) -> Inputs:
    """Fill the gaps of one duty of a case.

    Parameters
    ----------
    case : Case
        The case as read.
    product, container : records
        The pair to judge; `container` may be missing.
    duty : Duty, optional
        Its own flow and drums a shift, where given.
    share : float
        Part of the shift this duty has.

    Returns
    -------
    Inputs
        `missing` names what has no default and was not said.

    Raises
    ------
    InputError
        If something stated cannot be computed with.
    """
    refuse_unusable(case, product, container)
    said = _said(case, product, container, duty)
    _derive(said)
    filled = dict(said)
    absent = set()
    for key, row in defaults().items():
        if key not in filled and not (key.startswith("one_point.") and not _one_point(product)):
            filled[key] = row.estimate
            absent.add(key)
    _refine(filled, absent, case, product)
    if product.viscosity_shear_rate is not None:
        filled["one_point.shear_rate"] = product.viscosity_shear_rate
        absent.discard("one_point.shear_rate")
    _demand(filled, absent)
    if share < 1.0:
        shift = filled["enquiry.shift"]
        filled["enquiry.shift"] = replace(
            shift, low=share * shift.low, likely=share * shift.likely, high=share * shift.high
        )
    missing = {key for key in ("enquiry.flow", "line.bore", "line.length") if key not in filled}
    if not (product.flow_curve or product.model or product.viscosity):
        missing.add("product.flow_curve")
    return Inputs(
        filled, _choices(case, product, container), frozenset(absent), product, container, frozenset(missing)
    )


def _refine(filled: dict[str, Estimate], absent: set[str], case: Case, product: Product) -> None:
    """Defaults that depend on what else is known of the product and the destination."""
    if "product.activation_energy" in absent and _newtonian(product):
        filled["product.activation_energy"] = Estimate(4.0e4, 7.0e4, 1.1e5, "from_memory")
    if "product.vapour_pressure" in absent:
        norm, high = (
            water_vapour_pressure(filled[f"product.temperature.{s}"].likely) for s in ("norm", "high")
        )
        filled["product.vapour_pressure"] = Estimate(0.0, norm, max(high, norm), "from_memory")
    if "destination.pressure" in absent and is_closed(case.destination.kind or "open_tank"):
        low = case.destination.inlet_pressure_low
        least = low.likely if low is not None else _CLOSED_INLET[0]
        filled["destination.pressure"] = Estimate(least, least, max(least, _CLOSED_INLET[1]), "assumed")


_CLOSED_INLET = (0.3e5, 3.0e5)  # [Pa(g)] trade book 1.3: allowed inlet 0.3-3 bar where nothing was said


def water_vapour_pressure(temperature: float) -> float:
    """Vapour pressure of water [Pa] at a temperature [K]; Magnus formula, constants from memory."""
    celsius = temperature - 273.15
    return 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))


def _newtonian(product: Product) -> bool:
    """Whether the only evidence is a law without yield stress and shear thinning: a syrup, resin or oil."""
    return bool(product.model) and all(
        (m.yield_stress is None or m.yield_stress.likely == 0.0)
        and (m.exponent is None or m.exponent.likely > 0.95)
        for m in product.model
    )


def _one_point(product: Product) -> bool:
    return product.viscosity is not None and not product.flow_curve and not product.model


def _said(case: Case, product: Product, container: Container | None, duty: Any) -> dict[str, Estimate]:
    said: dict[str, Estimate] = {}
    for prefix, record, names in _FIELDS:
        _collect(said, prefix, getattr(case, record), names)
    _collect(said, "product", product, _PRODUCT)
    _collect(said, "product.temperature", product.temperature, ("low", "norm", "high"))
    if product.particles is not None:
        _collect(said, "product.particles", product.particles, ("size", "share", "damage_limit"))
    if container is not None:
        _collect(said, "container", container, _CONTAINER)
    if duty is not None:
        _collect(said, "enquiry", duty, ("flow", "drums_per_shift"))
    return said


def _collect(said: dict[str, Estimate], prefix: str, record: Any, names: tuple[str, ...]) -> None:
    for name in names:
        value = getattr(record, name, None)
        if isinstance(value, Estimate):
            said[f"{prefix}.{name}"] = value


def _derive(said: dict[str, Estimate]) -> None:
    """Quantities that follow from what was said, with the basis of the saying."""
    bends, valves = said.get("line.bends"), said.get("line.valves")
    if "line.fittings_diameters" not in said and (bends or valves):
        none = Estimate.exact(0.0)
        said["line.fittings_diameters"] = _combined(
            bends or none, valves or none, lambda b, v: b * _BEND_DIAMETERS + v * _VALVE_DIAMETERS
        )
    depth = said.get("container.bottom_depth")
    if "container.bottom_mismatch" not in said and depth is not None:
        # mean gap under a flat plate on a dished bottom: half the depth for a spherical cap, less where the
        # plate follows, more with a raised ring; assumed +-40 %
        likely = 0.5 * depth.likely
        said["container.bottom_mismatch"] = Estimate(0.6 * likely, likely, 1.4 * likely, "computed")
    if "container.usable_volume" not in said and "container.inside_height" in said:
        diameter = said.get("container.inside_diameter", defaults()["container.inside_diameter"].estimate)
        headspace = said.get("container.headspace", Estimate.exact(HEADSPACE))
        area = 0.25 * math.pi * diameter.likely**2
        height = said["container.inside_height"]
        said["container.usable_volume"] = Estimate(
            area * max(height.low - headspace.high, LEAST_FILL),
            area * max(height.likely - headspace.likely, LEAST_FILL),
            area * max(height.high - headspace.low, LEAST_FILL),
            height.basis,
        )
    low, norm, high = (f"product.temperature.{name}" for name in ("low", "norm", "high"))
    store = said.get("site.store_temperature")
    if store is not None and low not in said:
        usual = said.get(norm)
        said[low] = store if usual is None or store.likely <= usual.likely else usual
    _order_temperatures(said, low, norm, high)


def _combined(one: Estimate, other: Estimate, rule: Callable[[float, float], float]) -> Estimate:
    """An estimate from two by a rule that rises with both; low with low, high with high."""
    ends = ((one.low, other.low), (one.likely, other.likely), (one.high, other.high))
    low, likely, high = (rule(a, b) for a, b in ends)
    return Estimate(low, likely, high, one.basis)


def _order_temperatures(said: dict[str, Estimate], low: str, norm: str, high: str) -> None:
    """Keep winter <= norm <= summer where only some of them were said."""
    if norm not in said:
        usual = defaults()[norm].estimate.likely
        if low in said and said[low].likely > usual:
            said[norm] = said[low]
        elif high in said and said[high].likely < usual:
            said[norm] = said[high]
        else:
            return
    middle = said[norm].likely
    if low not in said and defaults()[low].estimate.likely > middle:
        said[low] = said[norm]
    if high not in said and defaults()[high].estimate.likely < middle:
        said[high] = said[norm]


def _demand(filled: dict[str, Estimate], absent: set[str]) -> None:
    """Where no flow was named but drums a shift were: the rate one station needs for them."""
    drums = filled.get("enquiry.drums_per_shift")
    if "enquiry.flow" in filled or drums is None or drums.likely <= 0.0:
        return
    minutes = filled["enquiry.shift"].likely * filled["model.availability"].likely
    change = filled.get("enquiry.change_time", filled["model.change_fixed"]).likely
    emptying = max(minutes / drums.likely - change, _FASTEST_EMPTYING)
    rate = filled["container.usable_volume"].likely / emptying
    filled["enquiry.flow"] = Estimate(0.7 * rate, rate, 1.5 * rate, "assumed")
    absent.add("enquiry.flow")


def _choices(case: Case, product: Product, container: Container | None) -> dict[str, Any]:
    particles = product.particles
    return {
        "container.kind": container.kind if container else None,
        "container.liner": container.liner if container else None,
        "container.diameters_measured": container.diameters_measured if container else None,
        "destination.kind": case.destination.kind,
        "destination.stop_pattern_known": case.destination.stop_pattern_known,
        "enquiry.pump_wanted": case.enquiry.pump_wanted,
        "enquiry.stand_wanted": case.enquiry.stand_wanted,
        "enquiry.plate_wanted": case.enquiry.plate_wanted,
        "enquiry.uninterrupted": case.enquiry.uninterrupted,
        "line.existing": case.line.existing,
        "site.zone": case.site.zone,
        "site.anchoring": case.site.anchoring,
        "machine.pump": case.machine.pump,
        "product.food": product.food,
        "product.abrasive": product.abrasive,
        "product.shear_sensitive": product.shear_sensitive,
        "product.flammable": product.flammable,
        "product.cures_with": product.cures_with,
        "product.separates_under_pressure": product.separates_under_pressure,
        "product.safety_sheet_seen": product.safety_sheet_seen,
        "product.allergens": tuple(product.allergens or ()),
        "product.particles.hardness": particles.hardness if particles else None,
    }


@cache
def dimensions() -> tuple[str, ...]:
    """Quantities that may be sampled, in a fixed order: each owns one row of the sampler."""
    case_only = {f"{prefix}.{name}" for prefix, _, names in _FIELDS for name in names}
    case_only |= {f"product.{name}" for name in _PRODUCT} | {f"container.{name}" for name in _CONTAINER}
    case_only |= {f"product.particles.{name}" for name in ("size", "share", "damage_limit")}
    return tuple(sorted(case_only | set(defaults())))


CONDITIONS = ("product.temperature.", "line.pressure_class", "destination.pressure", "site.ceiling")


def draw(inputs: Inputs, count: int, seed: int) -> dict[str, Array]:
    """Sample all inputs: the point of likely values first, then `count` scrambled Sobol points.

    Returns
    -------
    dict of ndarray, shape (count + 1,)
        Conditions and choices (temperatures, the pressure class) are not samples: they stay at their likely
        value; the register re-runs them at their ends.
    """
    rows = {key: index for index, key in enumerate(dimensions())}
    uniform = scrambled_sobol(count, len(rows), seed)
    sample = {}
    for key, estimate in inputs.estimates.items():
        if key.startswith(CONDITIONS) or not estimate.has_spread:
            sample[key] = np.full(count + 1, estimate.likely)
        else:
            values = np.empty(count + 1)
            values[0] = estimate.likely
            values[1:] = estimate.sample(uniform[rows[key]])
            sample[key] = values
    return sample
