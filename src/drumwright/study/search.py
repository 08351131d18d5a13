"""Which arrangement is asked for, and which one passes: a search of the stock, cheapest change first."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from dataclasses import dataclass
from heapq import heapify, heappop
from itertools import product

from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.station.arrangement import Choice, bores, plates, pressure_classes
from drumwright.station.inputs import Inputs
from drumwright.station.vessel import way_out
from drumwright.study.check import Check
from drumwright.study.checks import needs_beside, required_passage, static_checks
from drumwright.study.container_checks import fitting_seals
from drumwright.study.evaluation import PASSES, Evaluation, Problem, evaluate

_Line = tuple[float, float | None, float | None]
_Warm = tuple[float, float | None]
_Stand = tuple[float, str, int]
_Seal = tuple[float, str]
# Checks of the first arrangement tried that no other pump size can mend.
_BEYOND_PUMPS = frozenset(
    {"pressure.running", "pressure.restart", "stand.height", "rate.utilisation", "feed.frozen"}
)


def asked_family(inputs: Inputs) -> str:
    """Pump family the customer wished, or the plainest: a progressing cavity pump."""
    return str(inputs.choices["enquiry.pump_wanted"] or "progressing_cavity")


def as_asked(problem: Problem) -> Evaluation | None:
    """Evaluate what was asked: stated wishes, else the plainest arrangement, pump size free.

    Returns
    -------
    Evaluation or None
        Of the pump size that gets furthest through the gates; None where the wished pump family is not
        judged yet.
    """
    inputs = problem.inputs
    family = asked_family(inputs)
    best: Evaluation | None = None
    for pump in _ordered_pumps(inputs, [p for p in pumps() if p.family == family], 1.0):
        found = evaluate(problem, _asked_choice(inputs, pump), quick=True)
        if found.passes:
            return found
        if best is None or _progress(found) > _progress(best):
            best = found
        obstacle = found.first_obstacle
        if obstacle is not None and obstacle.deciding is not None and obstacle.deciding.key in _BEYOND_PUMPS:
            break
    return best


def _asked_choice(inputs: Inputs, pump: Pump) -> Choice:
    stations = inputs.estimates.get("enquiry.stations")
    port = smallest_port(inputs)
    wished = wished_seal(inputs)
    return Choice(
        pump=pump,
        port=port,
        seal=wished if way_out(inputs.kind) == "plate" else "none",
        warm_to=stated_warming(inputs),
        beside=needs_beside(inputs, pump.height, port),
        stand=inputs.choices["enquiry.stand_wanted"] or "fixed_mast",
        stations=max(1, round(stations.likely)) if stations else 1,
    )


def stated_warming(inputs: Inputs) -> float | None:
    """Core temperature the customer warms the containers to [K]; None where nothing was said."""
    stated = inputs.estimates.get("site.warm_to")
    return None if stated is None else stated.likely


def wished_seal(inputs: Inputs) -> str:
    """Plate the customer wished; the plainest where nothing was said or no plate was wished."""
    wished = inputs.choices["enquiry.plate_wanted"]
    return "lip_seal" if wished in (None, "none") else str(wished)


def _progress(found: Evaluation) -> tuple[int, float, float]:
    """How far an arrangement gets: gates passed in a row, the chance at the obstacle, then its margin."""
    passed = 0
    for gate in found.gates:
        if gate.status not in ("pass", "not_judged"):
            own = [c for c in found.checks if c.gate == gate.gate and c.probability < PASSES]
            margin = -sum(abs(float(check.value[0]) - float(check.limit[0])) for check in own)
            return passed, gate.probability or 0.0, margin
        passed += 1
    return passed, 1.0, 0.0


def smallest_port(inputs: Inputs) -> float:
    """Smallest throat of the stock that passes the particles; the widest where none does [m]."""
    need = required_passage(inputs)
    if "machine.port_bore" in inputs.estimates:
        need = max(need, inputs.likely("machine.port_bore"))
    ports = [float(plate["port"]) for plate in plates()]
    return next((port for port in ports if port >= need), ports[-1])


@dataclass(frozen=True, slots=True)
class Found:
    """What a search came to."""

    best: Evaluation | None
    tried: tuple[Evaluation, ...]
    exhausted: bool  # whether every candidate was evaluated or ruled out


def search(
    problem: Problem,
    limit: int = 600,
    skip: Iterable[Choice] = (),
    after: Choice | None = None,
    rate_settled: bool = False,
) -> Found:
    """Find the cheapest change that passes every gate.

    Parameters
    ----------
    problem : Problem
        With a coarse sample: this evaluates many arrangements.
    limit : int
        Most arrangements to evaluate.
    skip : iterable of Choice
        Arrangements known to fail with a finer sample.
    after : Choice, optional
        Begin behind this arrangement, which is known not to do; where nothing follows, all are tried.
    rate_settled : bool
        See `candidates`.

    Notes
    -----
    A failed check rules out every other candidate that shares what it depends on (`_bars`), so most of the
    list is never evaluated.
    """
    if not problem.computable:
        return Found(None, (), True)
    first = next(iter(candidates(problem.inputs)), None)
    if first is None:
        return Found(None, (), True)
    doubt = _container_in_doubt(problem.inputs, first)
    if doubt is not None:
        return Found(None, (), doubt.decided)
    barred: set[tuple[object, ...]] = set()
    known_to_fail = set(skip)
    tried: list[Evaluation] = []
    waiting = after is not None
    for choice in candidates(problem.inputs, barred, rate_settled):
        if waiting:
            waiting = choice != after
            continue
        if choice in known_to_fail or any(key in barred for key in _dependencies(choice).values()):
            continue
        if len(tried) >= limit:
            return Found(None, tuple(tried), False)
        found = evaluate(problem, choice, quick=True)
        if found.passes:
            return Found(found, tuple(tried), True)
        tried.append(found)
        barred.update(_bars(found))
    if after is not None:
        return search(problem, limit, skip)
    return Found(None, tuple(tried), True)


def _container_in_doubt(inputs: Inputs, choice: Choice) -> Check | None:
    """What of the container itself fails or cannot be decided: nothing we choose changes that."""
    own = [check for check in static_checks(inputs, choice) if check.gate == "container_plate"]
    open_ones = [check for check in own if not check.decided]
    failed = [check for check in own if check.decided and not bool(check.ok.all())]
    return next(iter(failed or open_ones), None)


def _dependencies(choice: Choice) -> dict[str, tuple[object, ...]]:
    """What each check depends on, as keys; see `_bars`."""
    pump = choice.pump
    size = (pump.displacement, pump.port)
    return {
        "passage-line": ("passage-line", choice.bore),
        "passage-pump": ("passage-pump", size),
        "feed": ("feed", size, choice.port, choice.beside, choice.seal, choice.warm_to, choice.flow_factor),
        "line": ("line", choice.bore, choice.pressure_class, choice.warm_to, choice.flow_factor),
        "rated": ("rated", pump.family, pump.stages, choice.bore, choice.warm_to, choice.flow_factor),
        "warm": ("warm", choice.warm_to),
        "seal": ("seal", choice.seal, choice.stand),
        "heel": ("heel", choice.warm_to),
        "rate": ("rate", choice.stand, choice.stations, choice.flow_factor),
    }


def _bars(found: Evaluation) -> Iterator[tuple[object, ...]]:
    """Keys of what a failed arrangement rules out for the others.

    The feed of a pump size hardly depends on the line (slip is capped at the rated pressure), so it is ruled
    out only where it is clear of the limit.
    """
    keys = _dependencies(found.choice)
    failed = {check.key: check for check in found.checks if check.probability < PASSES}
    if "feed.passage" in failed:
        need = float(failed["feed.passage"].limit[0])
        yield keys["passage-pump"] if found.choice.pump.passage < need else keys["passage-line"]
    if "feed.frozen" in failed:
        yield keys["warm"]
    if "container.heel" in failed:
        yield keys["heel"]
    if {"plate.rim", "plate.inflation"} & set(failed):
        yield keys["seal"]
    if "feed.inlet" in failed and failed["feed.inlet"].probability < 0.90:
        yield keys["feed"]
    line_fails = bool({"pressure.running", "pressure.restart"} & set(failed))
    if line_fails:
        yield keys["line"]
    pump_fails = bool({"pressure.pump", "pressure.restart_pump"} & set(failed))
    if pump_fails:
        yield keys["rated"]
    if "rate.flow" in failed and not line_fails and not pump_fails:
        yield keys["feed"]
    if "rate.flow" not in failed and {"rate.utilisation", "rate.uninterrupted"} & set(failed):
        yield keys["rate"]
    if "people.hands" in failed:
        yield keys["rate"]


def candidates(
    inputs: Inputs, barred: Container[tuple[object, ...]] = (), rate_settled: bool = False
) -> Iterator[Choice]:
    """All arrangements we may choose, cheapest change first; pumps of one system in their own order.

    Parameters
    ----------
    inputs : Inputs
    barred : container of keys
        Looked at while iterating: systems it rules out are passed over whole.
    rate_settled : bool
        Whether stand, stations and flow pass as asked; then nothing is gained by changing them.

    Notes
    -----
    The cost of a change orders only; it is no money.
    """
    family = asked_family(inputs)
    orders = {factor: _ordered_pumps(inputs, pumps(), factor) for _, factor in _flow_options(inputs)}
    listed = list(_systems(inputs, rate_settled))
    waiting = [
        (line[0] + warm[0] + stand[0] + flow[0] + port[0] + seal[0] + (0.0 if own else 1.2), index)
        for index, (line, warm, stand, flow, port, own, seal) in enumerate(listed)
    ]
    heapify(waiting)  # most searches end after a few: no need to sort them all
    while waiting:
        line, warm, stand, flow, port, own, seal = listed[heappop(waiting)[1]]
        if (
            ("line", line[1], line[2], warm[1], flow[1]) in barred
            or ("rate", stand[1], stand[2], flow[1]) in barred
            or ("passage-line", line[1]) in barred
            or ("warm", warm[1]) in barred
            or ("seal", seal[1], stand[1]) in barred
            or ("heel", warm[1]) in barred
        ):
            continue
        for pump in orders[flow[1]]:
            if (pump.family == family) is own:
                beside = needs_beside(inputs, pump.height, port[1])
                own_stand = stand[1] == (inputs.choices["enquiry.stand_wanted"] or "fixed_mast")
                yield Choice(
                    pump, port[1], stand[1], stand[2], line[1], line[2], warm[1], flow[1], beside, own_stand,
                    seal[1],
                )  # fmt: skip


def _systems(
    inputs: Inputs, rate_settled: bool
) -> Iterator[tuple[_Line, _Warm, _Stand, tuple[float, float], tuple[float, float], bool, _Seal]]:
    """Everything but the pump: line, warming, stand, flow, throat, whether the pump family stays, seal."""
    return product(
        _line_options(inputs),
        _warm_options(inputs),
        _stand_options(inputs)[: 1 if rate_settled else None],
        _flow_options(inputs)[: 1 if rate_settled else None],
        _port_options(inputs),
        (True, False),
        _seal_options(inputs),
    )


def _ordered_pumps(inputs: Inputs, stock: Iterable[Pump], flow_factor: float) -> list[Pump]:
    """Pumps in the order they are tried: smallest at a comfortable speed, then larger, then faster ones."""
    given = inputs.choices["machine.pump"]
    if given:
        return [find(given)]
    flow = inputs.likely("enquiry.flow") * flow_factor if "enquiry.flow" in inputs.estimates else 0.0

    def rank(pump: Pump) -> tuple[int, float, int]:
        if pump.family != "progressing_cavity":
            return (1, pump.port, 0)
        fast = flow / pump.displacement > pump.preferred_speed
        return (2 if fast else 0, -pump.displacement if fast else pump.displacement, pump.stages)

    need = required_passage(inputs)
    fitting = [pump for pump in stock if pump.passage >= need] or list(stock)
    return sorted(fitting, key=rank)


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
    for target in sorted(targets):
        # never warmer than the product is known to get, or than the customer says it bears
        if target <= (max(usual, norm) if top is None else top.likely) and target <= max(norm, hall):
            options.append((1.5 + 0.02 * (target - low), target))
    return options


def _stand_options(inputs: Inputs) -> list[_Stand]:
    asked = inputs.choices["enquiry.stand_wanted"] or "fixed_mast"
    stations = inputs.estimates.get("enquiry.stations")
    count = max(1, round(stations.likely)) if stations else 1
    options = [(0.0, asked, count)]
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


def _flow_options(inputs: Inputs) -> list[tuple[float, float]]:
    return [(0.0, 1.0), (0.6, 1.25), (0.7, 1.5), (0.9, 2.0)]


def _port_options(inputs: Inputs) -> list[tuple[float, float]]:
    first = smallest_port(inputs)
    ports = [float(plate["port"]) for plate in plates() if plate["port"] >= first]
    return [(0.15 * index, port) for index, port in enumerate(ports)]


def rate_is_settled(asked: Evaluation | None) -> bool:
    """Whether rate and people pass as asked, so that stand, stations and flow need no change."""
    if asked is None or not asked.balances:
        return False
    status = {gate.gate: gate.status for gate in asked.gates}
    return status["rate"] == "pass" and status["people"] in ("pass", "not_judged")
