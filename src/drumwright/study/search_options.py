"""What may be chosen for a station, cheapest change first: line, warming, stand, flow, throat, seal, pump."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.family import families
from drumwright.machine.pump.records import Cavity, FamilyName
from drumwright.machine.pump.stock import Pump
from drumwright.station.arrangement import Choice, bores, plates, pressure_classes
from drumwright.station.inputs import Inputs
from drumwright.station.plate_feed import push_of
from drumwright.station.strength import wall_limit
from drumwright.station.vessel import likely_shape_of, way_out
from drumwright.station.warm_up import can_warm
from drumwright.study.checks import needs_beside, pump_passage, required_passage
from drumwright.study.container_checks import fitting_seals

_Line = tuple[float, float | None, float | None]
_Warm = tuple[float, float | None]
_Stand = tuple[float, str, int]
_Seal = tuple[float, str]
_Number = tuple[float, float]
_System = tuple[_Line, _Warm, _Stand, _Number, _Number, tuple[float, bool], _Seal, _Number]


_CHUNK = 512
OVERSIZED = 20.0  # of the wanted flow at its preferred speed: a larger pump is not offered; assumed
FLOW_FACTORS = (1.0, 1.25, 1.5, 2.0)  # of the flow asked, offered
RAM_SHARES = (1.0, 0.7, 0.5, 0.35, 0.25, 0.15, 0.07)  # of the force of the ram, offered
_WEAKER = 2.0  # times the likely pressure of the plate: beyond it the spread of the ram does not reach


def asked_family(inputs: Inputs) -> str:
    """Pump family the customer wished, or the plainest of the stock: a progressing cavity pump if it can."""
    held = {pump.family for pump in inputs.stock.active_pumps}
    plainest = next((family for family in families() if family in held), "progressing_cavity")
    return str(inputs.choices["enquiry.pump_wanted"] or plainest)


def stated_warming(inputs: Inputs) -> float | None:
    """Core temperature the customer warms containers to [K]; None where nothing was said, or cannot be."""
    stated = inputs.estimates.get("site.warm_to")
    return stated.likely if stated is not None and can_warm(inputs, stated.likely) else None


def wished_seal(inputs: Inputs) -> str:
    """Plate the customer wished; the plainest where nothing was said or no plate was wished."""
    wished = inputs.choices["enquiry.plate_wanted"]
    return "lip_seal" if wished in (None, "none") else str(wished)


def smallest_port(inputs: Inputs) -> float:
    """Smallest throat of the stock that passes the particles; the widest where none does [m]."""
    need = required_passage(inputs)
    if "machine.port_bore" in inputs.estimates:
        need = max(need, inputs.likely("machine.port_bore"))
    ports = [float(plate["port"]) for plate in plates()]
    return next((port for port in ports if port >= need), ports[-1])


def candidates(
    inputs: Inputs,
    barred: set[tuple[object, ...]] | frozenset[tuple[object, ...]] = frozenset(),
    rate_settled: bool = False,
    after: Choice | None = None,
    family_points: Mapping[FamilyName, int] | None = None,
) -> Iterator[Choice]:
    """All arrangements we may choose, cheapest change first; pumps of one system in their own order.

    Parameters
    ----------
    inputs : Inputs
    barred : set of keys
        Looked at while iterating: systems it rules out are passed over whole.
    rate_settled : bool
        Whether stand, stations and flow pass as asked; then nothing is gained by changing them.
    after : Choice, optional
        Leave out everything up to this arrangement.
    family_points : mapping of str to int, optional
        Rank of the families by the rules of the trade.

    Notes
    -----
    The cost of a change orders only; it is no money.
    """
    family = asked_family(inputs)
    offered = _not_oversized(inputs, inputs.stock.active_pumps)
    orders = {
        factor: ordered_pumps(inputs, offered, factor, family_points) for _, factor in _flow_options(inputs)
    }
    stands_beside = {
        (pump.identifier, port): needs_beside(inputs, pump.height, port)
        for pump in (*inputs.stock.active_pumps, *_given(inputs))
        for _, port in _port_options(inputs)
    }
    for system in _systems(inputs, rate_settled):
        line, warm, stand, flow, port, (_, own), seal, ram = system
        if after is not None and not _holds(system, after, family):
            continue
        if not barred.isdisjoint(_system_keys(system)):
            continue
        own_stand = stand[1] == (inputs.choices["enquiry.stand_wanted"] or "fixed_mast")
        for pump in orders[flow[1]]:
            if (pump.family == family) is not own:
                continue
            if after is not None:
                after = None if pump == after.pump else after
                continue
            beside = stands_beside[pump.identifier, port[1]]
            own_keys = pump_keys(pump, port[1], beside, (seal[1], ram[1]), line[1:], warm[1], flow[1])
            if not barred.isdisjoint(own_keys):
                continue
            yield Choice(
                pump, port[1], stand[1], stand[2], line[1], line[2], warm[1], flow[1], beside, own_stand,
                seal[1], ram[1],
            )  # fmt: skip


def _system_keys(system: _System) -> tuple[tuple[object, ...], ...]:
    """Keys of what a system depends on, its pump aside."""
    line, warm, stand, flow, _, _, seal, ram = system
    return (
        ("line", line[1], line[2], warm[1], flow[1]),
        ("rate", stand[1], stand[2], flow[1]),
        ("passage-line", line[1]),
        ("warm", warm[1]),
        ("seal", seal[1], stand[1], ram[1]),
        ("heel", warm[1]),
    )


def _holds(system: _System, choice: Choice, family: str) -> bool:
    """Whether an arrangement is of this system, its pump aside."""
    line, warm, stand, flow, port, (_, own), seal, ram = system
    same = (line[1], line[2], warm[1], stand[1], stand[2], flow[1], port[1], seal[1], ram[1], own)
    return same == (
        choice.bore, choice.pressure_class, choice.warm_to, choice.stand, choice.stations, choice.flow_factor,
        choice.port, choice.seal, choice.ram, choice.pump.family == family,
    )  # fmt: skip


def _inside(pump: Pump) -> tuple[object, ...]:
    """What else of a pump decides feed and passage: two parts of one displacement need not be alike."""
    own = pump.geometry
    return (pump.passage, pump.maximum_speed, replace(own, stages=1) if isinstance(own, Cavity) else own)


def pump_keys(
    pump: Pump,
    port: float,
    beside: bool,
    plate: tuple[str, float],
    line: tuple[float | None, float | None],
    warm: float | None,
    flow: float,
) -> tuple[tuple[object, ...], ...]:
    """Keys of `_dependencies` that depend on the pump, without the arrangement.

    `plate` is seal and ram, `line` bore and class: the air of a pump that does not turn is held to the class.
    """
    held = () if pump.turns else line
    pushed = held if pump.family == "follower_piston" else ()  # air presses its shovel too
    size = (pump.displacement, pump.port, pump.maximum_pressure if not pump.turns else 0.0, _inside(pump))
    return (
        ("passage-pump", size),
        ("feed", size, port, beside, plate, warm, flow, pushed),
        ("reach", size, port, beside, plate, warm, flow, held),
        ("rated", pump.family, pump.stages, pump.maximum_pressure, line[0], warm, flow, held),
    )


def _options(inputs: Inputs, rate_settled: bool) -> tuple[Sequence[tuple[Any, ...]], ...]:
    """Everything but the pump: line, warming, stand, flow, throat, whether the pump family stays, seal."""
    return (
        _line_options(inputs),
        _warm_options(inputs),
        _stand_options(inputs)[: 1 if rate_settled else None],
        _flow_options(inputs)[: 1 if rate_settled else None],
        _port_options(inputs),
        [(0.0, True), (1.2, False)],
        _seal_options(inputs),
        _ram_options(inputs),
    )


def _systems(inputs: Inputs, rate_settled: bool) -> Iterator[_System]:
    """All combinations of options, the cheapest first, of equal ones the first."""
    options = _options(inputs, rate_settled)
    lengths = tuple(len(each) for each in options)
    order = _in_order(tuple(tuple(option[0] for option in each) for each in options))
    for start in range(0, order.size, _CHUNK):  # most searches end after a few
        places = np.unravel_index(order[start : start + _CHUNK], lengths)
        for row in zip(*(each.tolist() for each in places), strict=True):
            yield cast(_System, tuple(each[at] for each, at in zip(options, row, strict=True)))


@lru_cache(maxsize=8)
def _in_order(costs: tuple[tuple[float, ...], ...]) -> NDArray[np.intp]:
    total = np.zeros(())
    for each in costs:
        total = total[..., None] + np.asarray(each)
    return np.argsort(total, axis=None, kind="stable")


def _not_oversized(inputs: Inputs, stock: Iterable[Pump]) -> list[Pump]:
    """Pumps that are not many times too large at their preferred speed; all where none is left."""
    everything = list(stock)
    flow = inputs.likely("enquiry.flow") if "enquiry.flow" in inputs.estimates else math.inf
    left = [pump for pump in everything if pump.displacement * pump.preferred_speed <= OVERSIZED * flow]
    return left or everything


def ordered_pumps(
    inputs: Inputs,
    stock: Iterable[Pump],
    flow_factor: float,
    family_points: Mapping[FamilyName, int] | None = None,
) -> list[Pump]:
    """Pumps in the order they are tried, or the one that is given; see `sorted_pumps`.

    Parameters
    ----------
    inputs : Inputs
    stock : iterable of Pump
    flow_factor : float
        Wanted flow over the flow asked.
    family_points : mapping of str to int, optional
        Rank of the families by the rules of the trade, lowest first.
    """
    given = _given(inputs)
    if given:
        return given
    need = required_passage(inputs)
    fitting = [pump for pump in stock if pump_passage(inputs, pump) >= need] or list(stock)
    return sorted_pumps(inputs, fitting, flow_factor, family_points)


def _given(inputs: Inputs) -> list[Pump]:
    """The pump the case names, of any status."""
    given = inputs.choices["machine.pump"]
    return [inputs.stock.find(given)] if given else []


def sorted_pumps(
    inputs: Inputs,
    stock: Iterable[Pump],
    flow_factor: float,
    family_points: Mapping[FamilyName, int] | None = None,
) -> list[Pump]:
    """Smallest at a comfortable speed first, then larger, then faster ones; families by the rules.

    Parameters
    ----------
    inputs : Inputs
    stock : iterable of Pump
    flow_factor : float
        Wanted flow over the flow asked.
    family_points : mapping of str to int, optional
        Rank of the families by the rules of the trade, lowest first.
    """
    flow = inputs.likely("enquiry.flow") * flow_factor if "enquiry.flow" in inputs.estimates else 0.0
    plain = {family: place for place, family in enumerate(families())}  # of equal ones the plainest first
    order = dict.fromkeys(plain, 0) if family_points is None else family_points

    def rank(pump: Pump) -> tuple[int, int, bool, float, float]:
        fast = flow / pump.displacement > pump.preferred_speed
        size = -pump.mass if fast else pump.mass
        return (order[pump.family], plain[pump.family], fast, size, pump.maximum_pressure)

    return sorted(stock, key=rank)


def _line_options(inputs: Inputs) -> list[_Line]:
    """Bore and class of the line with their cost of change; None keeps the customer's."""
    own = inputs.likely("line.bore")
    stated_class = "line.pressure_class" not in inputs.defaulted
    options: list[_Line] = []
    wider = [bore for bore in bores() if bore > own * 1.001]
    classes = [c for c in pressure_classes() if c > inputs.likely("line.pressure_class") * 1.001]
    if "enquiry.pressure_limit" in inputs.estimates:
        classes = []
    step = 0.35 if inputs.choices["line.existing"] else 0.30
    for index, bore in enumerate([None, *wider]):
        bore_cost = 0.0 if bore is None else 0.7 + step * index + _wide_cost(bore)
        options.append((bore_cost, bore, None))
        for rank, pressure_class in enumerate(classes):
            cost = bore_cost + (1.6 if stated_class else 0.5) + 0.8 * rank
            options.append((cost, bore, pressure_class))
    return options


def _wide_cost(bore: float) -> float:
    """Extra cost of a very wide line: heavy to handle and slow to turn over."""
    return 2.4 if bore >= 0.125 else 1.2 if bore >= 0.100 else 0.0


def _warm_options(inputs: Inputs) -> list[_Warm]:
    """Warming of the same drums: to the norm, or to the hall, within what the product bears."""
    low, norm = inputs.likely("product.temperature.low"), inputs.likely("product.temperature.norm")
    top = inputs.estimates.get("product.maximum_temperature")
    stated_high = "product.temperature.high" not in inputs.defaulted
    usual = inputs.likely("product.temperature.high") if stated_high else norm
    hall = inputs.likely("site.hall_temperature")
    stated = stated_warming(inputs)
    options: list[_Warm] = [(0.0, stated)]
    targets = {target for target in (low + 5.0, low + 10.0, norm, hall) if target > (stated or low) + 1.0}
    hard = [
        inputs.likely(key) for key in ("product.freezes_at", "product.sets_at") if key in inputs.estimates
    ]
    targets |= {value + 3.0 for value in hard if value + 3.0 > low + 1.0}
    melted = max(hard, default=0.0) + 3.0  # a frozen or set product is warmed beyond that, hall or no hall
    for target in sorted(targets):
        # never warmer than the product is known to get, or than the customer says it bears
        most = max(usual, norm, melted) if top is None else top.likely
        if target <= most and target <= max(norm, hall, melted) and can_warm(inputs, target):
            options.append((1.5 + 0.02 * (target - low), target))
    return options


def _stand_options(inputs: Inputs) -> list[_Stand]:
    asked = inputs.choices["enquiry.stand_wanted"] or "fixed_mast"
    stations = inputs.estimates.get("enquiry.stations")
    count = max(1, round(stations.likely)) if stations else 1
    options = [(0.0, asked, count)]
    if way_out(inputs.kind) != "plate":  # nothing to move over a bin: only more of them side by side
        return [*options, (2.0, asked, count + 1), (2.8, asked, count + 2)]
    if asked == "moving_arm":  # where the arm itself cannot stand
        options.append((1.2, "fixed_mast", count))
    if asked != "moving_arm":
        options.append((1.0, "moving_arm", count))
    if asked != "tandem":
        options.append((1.8, "tandem", 2))
    options.append((2.0, asked, count + 1))
    options.append((2.8, asked, count + 2))
    options.append((3.0, "moving_arm", count + 1))
    return options


def _seal_options(inputs: Inputs) -> list[_Seal]:
    """Seals that fit the container, the wished one first; without a plate there is none to choose."""
    wished = wished_seal(inputs)
    found = fitting_seals(inputs, wished)
    return [(0.0 if name in (wished, "none") else 0.5 + 0.3 * i, name) for i, name in enumerate(found)]


def _ram_options(inputs: Inputs) -> list[_Number]:
    """How far the ram is turned down: only where the full one may be more than the wall bears."""
    return [(0.1 * place, share) for place, share in enumerate(RAM_SHARES if weak_wall(inputs) else (1.0,))]


def weak_wall(inputs: Inputs) -> bool:
    """Whether the wall may bear less than a plate under the full ram puts on it.

    Parameters
    ----------
    inputs : Inputs
    """
    if way_out(inputs.kind) != "plate":
        return False
    shape = likely_shape_of(inputs)
    weak, likely = (
        {key: np.asarray(getattr(estimate, end)) for key, estimate in inputs.estimates.items()}
        for end in ("low", "likely")
    )
    limit = wall_limit(inputs, weak, shape)
    if limit is None:
        return False
    full = push_of(likely, inputs.choices["enquiry.stand_wanted"] or "fixed_mast") / shape.mean_area
    return bool(limit < _WEAKER * full)


def _flow_options(inputs: Inputs) -> list[_Number]:
    return list(zip((0.0, 0.6, 0.7, 0.9), FLOW_FACTORS, strict=True))


def _port_options(inputs: Inputs) -> list[_Number]:
    first = smallest_port(inputs)
    ports = [float(plate["port"]) for plate in plates() if plate["port"] >= first]
    if way_out(inputs.kind) != "plate":
        ports = [first]  # no throat of ours: the outlet of the bin is the customer's
    return [(0.15 * index, port) for index, port in enumerate(ports)]
