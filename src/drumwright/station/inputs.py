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
from drumwright.basis.sampling import scrambled_sobol
from drumwright.flow.fittings import equivalent_diameters
from drumwright.machine.container.kinds import headspace
from drumwright.machine.delivery.destination import is_closed
from drumwright.machine.line.segments import Segment
from drumwright.station.by_kind import PLAINEST, Default, defaults, defaults_of, kind_keys
from drumwright.station.evidence import restart_of, said_of
from drumwright.station.line_card import hose_bore_of, segments_of, totals_of
from drumwright.station.records import Case, Container, Product
from drumwright.station.refusals import LEAST_FILL, refuse_unusable
from drumwright.station.stated import quantities, stated_choices, stated_numbers
from drumwright.station.stock import Stock, generic_stock, stock_for

Array = NDArray[np.float64]
Sample = Mapping[str, Array]


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything the machine needs, complete: numbers, choices, and which of them are defaults."""

    estimates: Mapping[str, Estimate]
    choices: Mapping[str, Any]
    defaulted: frozenset[str]
    product: Product
    container: Container | None
    missing: frozenset[str] = field(default_factory=frozenset)
    stock: Stock = field(default_factory=generic_stock)
    pieces: tuple[Segment, ...] = ()  # of the customer's route, where they were stated

    def with_estimate(self, key: str, estimate: Estimate) -> Inputs:
        """Return the same inputs with one number replaced."""
        return replace(self, estimates={**self.estimates, key: estimate})

    def likely(self, key: str) -> float:
        """Likely value of one quantity [SI]."""
        return self.estimates[key].likely

    @property
    def kind(self) -> str:
        """Kind of container; the plainest where nothing was said."""
        return str(self.choices["container.kind"] or PLAINEST)

    @property
    def rows(self) -> Mapping[str, Default]:
        """Numbered assumptions that hold for the kind of container."""
        return defaults_of(self.kind)


_FASTEST_EMPTYING = 120.0  # [s] where the drums leave one station no time at all; the rate gate then says so


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
    said = stated_numbers(case, product, container, duty)
    pieces = segments_of(case.line)
    bores = {"line.bore": case.line.own_bore, "line.own_hose_bore": hose_bore_of(case.line, pieces)}
    said |= {name: bore for name, bore in bores.items() if bore is not None}
    said |= {f"line.{name}": Estimate.exact(value) for name, value in totals_of(pieces).items()}
    kind = container.kind if container is not None else None
    _derive(said, kind)
    filled = dict(said)
    absent = set()
    for key, row in defaults_of(kind).items():
        if key not in filled and _plays_a_part(key, product):
            filled[key] = row.estimate
            absent.add(key)
    _diameters(filled, absent)
    _refine(filled, absent, case, product)
    if product.viscosity_shear_rate is not None:
        filled["one_point.shear_rate"] = product.viscosity_shear_rate
        absent.discard("one_point.shear_rate")
    _from_evidence(filled, absent, product)
    _demand(filled, absent)
    if share < 1.0:
        shift = filled["enquiry.shift"]
        filled["enquiry.shift"] = replace(
            shift, low=share * shift.low, likely=share * shift.likely, high=share * shift.high
        )
    missing = {key for key in ("enquiry.flow", "line.bore", "line.length") if key not in filled}
    if not (product.flow_curve or product.model or product.viscosity or _readings(product)):
        missing.add("product.flow_curve")
    return Inputs(
        filled,
        stated_choices(case, product, container),
        frozenset(absent),
        product,
        container,
        frozenset(missing),
        stock_for(case),
        pieces,
    )


def _refine(filled: dict[str, Estimate], absent: set[str], case: Case, product: Product) -> None:
    """Defaults that depend on what else is known of the product and the destination."""
    if "product.activation_energy" in absent and _newtonian(product):
        filled["product.activation_energy"] = Estimate(4.0e4, 7.0e4, 1.1e5, "from_memory")
    family = _FOOD_HEAT if product.food else _OIL_HEAT if _oil_like(product) else {}
    for name, (low, likely, high) in family.items():
        if name in absent:
            filled[name] = Estimate(low, likely, high, "from_memory")
    if "product.vapour_pressure" in absent:
        norm, high = (
            water_vapour_pressure(filled[f"product.temperature.{s}"].likely) for s in ("norm", "high")
        )
        filled["product.vapour_pressure"] = Estimate(0.0, norm, max(high, norm), "from_memory")
    stops = [each.lasts for each in case.destination.stop if each.lasts is not None]
    if stops and "model.filler_stop" in absent:
        filled["model.filler_stop"] = _no_shorter(filled["model.filler_stop"], stops)
    filled.setdefault("site.mains_frequency", Estimate.exact(60.0 if case.case.place == "US" else 50.0))
    if "destination.pressure" in absent and is_closed(case.destination.kind or "open_tank"):
        lowest, highest = case.destination.inlet_pressure_low, case.destination.inlet_pressure_high
        least = lowest.likely if lowest is not None else _CLOSED_INLET[0]
        most = max(least, highest.likely if highest is not None else _CLOSED_INLET[1])
        # where the destination's highest inlet pressure is known, the line is sized for it
        filled["destination.pressure"] = Estimate(
            least, most if highest is not None else least, most, "assumed"
        )


def _no_shorter(taken: Estimate, stops: list[Estimate]) -> Estimate:
    """A longest stop that is not shorter than the stated stops last on average."""
    longest = max(stops, key=lambda each: each.likely)
    low, likely = max(taken.low, longest.low), max(taken.likely, longest.likely)
    return Estimate(low, likely, max(taken.high, _LONGEST_OVER_MEAN * longest.high), taken.basis)


_LONGEST_OVER_MEAN = 2.0  # of a sort of stops, assumed
# physics book 0.2: conductivity published (0.46-0.66), heat capacity from memory, its spread assumed
_FOOD_HEAT = {
    "product.conductivity": (0.46, 0.5, 0.66),
    "product.heat_capacity": (2700.0, 3500.0, 3900.0),
}
# physics book 0.2, grease: from memory, spread assumed; a product that is no food and lighter than water
_OIL_HEAT = {
    "product.conductivity": (0.12, 0.14, 0.18),
    "product.heat_capacity": (1800.0, 1900.0, 2200.0),
    "product.expansion": (6.0e-4, 7.0e-4, 8.0e-4),
}
_LIGHTER_THAN_WATER = 960.0  # [kg/m3]


def _oil_like(product: Product) -> bool:
    """Whether a product that is no food is known to be lighter than water: oil, grease, resin in solvent."""
    density = product.density
    return product.food is False and density is not None and density.likely < _LIGHTER_THAN_WATER


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


def _from_evidence(filled: dict[str, Estimate], absent: set[str], product: Product) -> None:
    """What follows from the evidence of the flow law: no mere defaults, they say what they rest on."""
    norm = filled["product.temperature.norm"].likely
    restart = restart_of(product, norm) if "product.restart_factor" in absent else None
    if restart is not None:
        filled["product.restart_factor"] = restart
        absent.discard("product.restart_factor")
    if "evidence.rank" in absent:
        filled["evidence.rank"] = replace(filled["evidence.rank"], note=said_of(product, norm))
        absent.discard("evidence.rank")


def _plays_a_part(key: str, product: Product) -> bool:
    """Whether a general assumption is one for this evidence of the flow curve."""
    if key.startswith("one_point."):
        return _one_point(product)
    return not key.startswith("evidence.") or _readings(product)


def _readings(product: Product) -> bool:
    """Whether the flow law comes from readings that are no flow curve, or from a prior."""
    known = bool(product.flow_curve or product.model)
    return not known and (bool(product.evidence) or (product.prior is not None and product.viscosity is None))


def _one_point(product: Product) -> bool:
    known = product.flow_curve or product.model or product.evidence
    return product.viscosity is not None and not known


def _diameters(filled: dict[str, Estimate], absent: set[str]) -> None:
    """One diameter for what needs one: of a cone half way up, of a bin that of the disc of equal area."""
    ends = [filled.get(f"container.diameter_{end}") for end in ("top", "bottom")]
    if "container.inside_diameter" in filled and "container.inside_diameter" not in absent:
        for end in ("top", "bottom"):  # a straight container of a kind that usually tapers
            if f"container.diameter_{end}" in absent:
                del filled[f"container.diameter_{end}"]
                absent.discard(f"container.diameter_{end}")
    elif ends[0] is not None and ends[1] is not None:
        absent.discard("container.inside_diameter")
        filled["container.inside_diameter"] = replace(
            _combined(ends[0], ends[1], lambda t, b: 0.5 * (t + b)), basis="computed"
        )
    elif "container.length" in filled and "container.width" in filled:
        sides = filled["container.length"], filled["container.width"]
        filled["container.inside_diameter"] = replace(
            _combined(*sides, lambda a, b: math.sqrt(4.0 / math.pi * a * b)), basis="computed"
        )


def _derive(said: dict[str, Estimate], kind: str | None) -> None:
    """Quantities that follow from what was said, with the basis of the saying."""
    bends, valves = said.get("line.bends"), said.get("line.valves")
    if "line.fittings_diameters" not in said and (bends or valves):
        none = Estimate.exact(0.0)
        bend, valve = equivalent_diameters("bend_90"), equivalent_diameters("full_bore_valve")
        said["line.fittings_diameters"] = _combined(
            bends or none, valves or none, lambda b, v: b * bend + v * valve
        )
    depth = said.get("container.bottom_depth")
    if "container.bottom_mismatch" not in said and depth is not None:
        # mean gap under a flat plate on a dished bottom: half the depth for a spherical cap, less where the
        # plate follows, more with a raised ring; assumed +-40 %. Nothing but this gap is computed with: where
        # no depth is stated its own default (0.5 to 9 mm) holds the usual dish of 10-15 mm (trade book 1.2)
        likely = 0.5 * depth.likely
        said["container.bottom_mismatch"] = Estimate(0.6 * likely, likely, 1.4 * likely, "computed")
    of_height = "container.inside_height" in said or "container.headspace" in said
    if "container.usable_volume" not in said and of_height:
        said["container.usable_volume"] = _volume(said, defaults_of(kind), headspace(kind or PLAINEST))
    low, norm, high = (f"product.temperature.{name}" for name in ("low", "norm", "high"))
    store = said.get("site.store_temperature")
    if store is not None and low not in said:
        usual = said.get(norm)
        said[low] = store if usual is None or store.likely <= usual.likely else usual
    _order_temperatures(said, low, norm, high)


def _volume(said: Mapping[str, Estimate], rows: Mapping[str, Default], usual: Estimate) -> Estimate:
    """Filled volume [m3] from the inside dimensions and the headspace, `usual` where none is stated."""

    def dimension(name: str) -> float | None:
        key = f"container.{name}"
        found = said.get(key) or (rows[key].estimate if key in rows else None)
        return found.likely if found is not None else None

    top, bottom = dimension("diameter_top"), dimension("diameter_bottom")
    length, width, diameter = dimension("length"), dimension("width"), dimension("inside_diameter")
    if "container.inside_diameter" not in said and top and bottom:
        area = math.pi / 12.0 * (top**2 + top * bottom + bottom**2)
    elif length and width:
        area = length * width
    else:
        area = 0.25 * math.pi * (diameter or 0.0) ** 2
    free = said.get("container.headspace", usual)
    height = said.get("container.inside_height") or rows["container.inside_height"].estimate
    return Estimate(
        area * max(height.low - free.high, LEAST_FILL),
        area * max(height.likely - free.likely, LEAST_FILL),
        area * max(height.high - free.low, LEAST_FILL),
        "computed",
    )


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
    """Where no flow was named but drums a shift were: the rate one station needs on a slow day too.

    It is a choice of ours and not an unknown: slow changes and a poor shift are in it, so that it does not
    miss the rate it is there for; the customer may still want more.
    """
    drums = filled.get("enquiry.drums_per_shift")
    if "enquiry.flow" in filled or drums is None or drums.likely <= 0.0:
        return
    seconds = filled["enquiry.shift"].likely * filled["model.availability"].low
    change = filled.get("enquiry.change_time", filled["model.change_fixed"]).high
    emptying = max(seconds / drums.likely - change, _FASTEST_EMPTYING)
    rate = filled["container.usable_volume"].likely / emptying
    filled["enquiry.flow"] = Estimate(0.9 * rate, rate, 1.2 * rate, "assumed")
    absent.add("enquiry.flow")


@cache
def dimensions() -> tuple[str, ...]:
    """Quantities that may be sampled, in a fixed order: each owns one row of the sampler.

    Those that came later stand last, so that the others keep their rows.
    """
    names = quantities() | set(defaults()) | kind_keys()
    return tuple(sorted(names, key=lambda name: (name.startswith(_LAST), name)))


_LAST = ("buffer.", "control.", "destination.batch_mass", "destination.cycle_time", "destination.dose",
         "destination.slow_", "destination.valve_opening_time", "line.effective_modulus", "line.hose_growth",
         "model.entrained_air", "model.precharge_share", "shift.")  # fmt: skip
COUNTS = frozenset({"container.hoops"})  # sampled as whole numbers
SEEDS = 9973  # after so many the refits come in the same order again
REFIT = "evidence.refit"  # no input: share that picks the refit of the flow curves
CONDITIONS = ("product.temperature.", "line.pressure_class", "destination.pressure", "site.ceiling")


def draw(inputs: Inputs, count: int, seed: int) -> dict[str, Array]:
    """Sample all inputs: the point of likely values first, then `count` scrambled Sobol points.

    Returns
    -------
    dict of ndarray, shape (count + 1,)
        Conditions and choices (temperatures, the pressure class) are not samples: they stay at their likely
        value; the register re-runs them at their ends. Beside the inputs stands `REFIT`: which refit of the
        flow curves a sample takes, evenly spread, -1 for the fit itself.
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
            sample[key] = np.rint(values) if key in COUNTS else values
    even = np.arange(1, count + 1) * np.sqrt(2.0) + (seed % SEEDS) / SEEDS
    sample[REFIT] = np.concatenate([[-1.0], np.modf(even)[0]])
    return sample
