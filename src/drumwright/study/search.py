"""Which arrangement is asked for, and which one passes: a search over the generic stock, cheapest change first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product

from drumwright.machine.container.drum import plate_entry
from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.station.arrangement import Choice, bores, plates, pressure_classes
from drumwright.station.inputs import Inputs
from drumwright.study.checks import required_passage
from drumwright.study.evaluation import Evaluation, Problem, evaluate


@dataclass(frozen=True, slots=True)
class Candidate:
    """An arrangement with its cost in steps of change against as asked (ordering only, no money)."""

    cost: float
    choice: Choice


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
        found = evaluate(problem, _asked_choice(inputs, pump))
        if found.passes:
            return found
        if best is None or _progress(found) > _progress(best):
            best = found
    return best


def _asked_choice(inputs: Inputs, pump: Pump) -> Choice:
    stations = inputs.estimates.get("enquiry.stations")
    return Choice(
        pump=pump,
        port=smallest_port(inputs),
        stand=inputs.choices["enquiry.stand_wanted"] or "fixed_mast",
        stations=max(1, round(stations.likely)) if stations else 1,
    )


def _progress(found: Evaluation) -> tuple[int, float]:
    """How far an arrangement gets: gates passed in a row, then the chance at the obstacle."""
    passed = 0
    for gate in found.gates:
        if gate.status not in ("pass", "not_judged"):
            return passed, gate.probability or 0.0
        passed += 1
    return passed, 1.0


def smallest_port(inputs: Inputs) -> float:
    """Smallest throat of the stock that passes the particles; the widest where none does [m]."""
    need = required_passage(inputs)
    ports = [float(plate["port"]) for plate in plates()]
    return next((port for port in ports if port >= need), ports[-1])


def search(
    problem: Problem, asked: Evaluation | None, limit: int = 400, skip: Iterable[Choice] = ()
) -> tuple[Evaluation | None, list[Evaluation]]:
    """Find the cheapest change that passes every gate.

    Parameters
    ----------
    problem : Problem
        With a coarse sample: this evaluates many arrangements.
    asked : Evaluation or None
        As asked, for reference.
    limit : int
        Most arrangements to evaluate.
    skip : iterable of Choice
        Arrangements known to fail with a finer sample.

    Returns
    -------
    tuple
        The passing arrangement or None, and the failed ones in the order tried (for the rejected options).

    Notes
    -----
    A failed check rules out every other candidate that shares what it depends on (`_bar`), so most of the
    list is never evaluated; the bound is exact because the check does not depend on the rest.
    """
    kind = problem.inputs.choices["container.kind"] or "straight_drum"
    if plate_entry(kind) != "enters" or not problem.computable:
        return None, []
    barred: set[tuple[object, ...]] = set()
    known_to_fail = set(skip)
    tried: list[Evaluation] = []
    for candidate in candidates(problem.inputs):
        choice = candidate.choice
        if choice in known_to_fail or any(key in barred for key in _dependencies(choice)):
            continue
        if len(tried) >= limit:
            break
        found = evaluate(problem, choice)
        if found.passes:
            return found, tried
        tried.append(found)
        barred.update(_bars(found))
    return None, tried


def _dependencies(choice: Choice) -> tuple[tuple[object, ...], ...]:
    """What each check depends on, as keys; see `_bars`."""
    return (
        ("passage-line", choice.bore),
        ("passage-pump", choice.pump.passage),
        ("feed", choice.pump.identifier.rpartition("-")[0], choice.port, choice.warm_to, choice.flow_factor),
        ("line", choice.bore, choice.pressure_class, choice.warm_to, choice.flow_factor),
        ("rate", choice.stand, choice.stations, choice.flow_factor),
    )


def _bars(found: Evaluation) -> Iterator[tuple[object, ...]]:
    """Keys of what a failed arrangement rules out for the others."""
    keys = dict(zip(("passage-line", "passage-pump", "feed", "line", "rate"), _dependencies(found.choice), strict=True))
    for check in found.checks:
        if check.probability >= 0.95:
            continue
        if check.key == "feed.passage":
            need = float(check.limit[0])
            if found.choice.pump.passage < need:
                yield keys["passage-pump"]
            else:
                yield keys["passage-line"]
        elif check.key == "feed.inlet" and found.choice.pump.family == "progressing_cavity":
            # filling depends on the cavity, not on the stages; slip of more stages is only smaller
            if check.probability < 0.90:
                yield keys["feed"]
        elif check.key in ("pressure.running", "pressure.restart"):
            yield keys["line"]
        elif check.key in ("rate.utilisation", "rate.uninterrupted", "people.hands"):
            yield keys["rate"]


def candidates(inputs: Inputs) -> list[Candidate]:
    """All arrangements we may choose, cheapest change first."""
    family = asked_family(inputs)
    found = []
    for line, warm, (stand_cost, stand, stations), flow in product(
        _line_options(inputs), _warm_options(inputs), _stand_options(inputs), _flow_options(inputs)
    ):
        base = line[0] + warm[0] + stand_cost + flow[0]
        for port_cost, port in _port_options(inputs):
            for rank, pump in enumerate(_ordered_pumps(inputs, pumps(), flow[1])):
                other = 0.0 if pump.family == family else 1.2
                choice = Choice(pump, port, stand, stations, line[1], line[2], warm[1], flow[1])
                found.append(Candidate(base + port_cost + other + 0.001 * rank, choice))
    return sorted(found, key=lambda candidate: candidate.cost)


def _ordered_pumps(inputs: Inputs, stock: Iterable[Pump], flow_factor: float) -> list[Pump]:
    """Pumps in the order they are tried: smallest that runs at a comfortable speed, then slower, then faster."""
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


def _line_options(inputs: Inputs) -> list[tuple[float, float | None, float | None]]:
    """Bore and class of the line with their cost of change; None keeps the customer's."""
    own = inputs.likely("line.bore")
    stated_class = "line.pressure_class" not in inputs.defaulted
    options: list[tuple[float, float | None, float | None]] = []
    wider = [bore for bore in bores() if bore > own * 1.001]
    classes = [c for c in pressure_classes() if c > inputs.likely("line.pressure_class") * 1.001]
    if "enquiry.pressure_limit" in inputs.estimates:
        classes = []
    step = 0.35 if inputs.choices["line.existing"] else 0.30
    for index, bore in enumerate([None, *wider]):
        bore_cost = 0.0 if bore is None else 0.7 + step * index
        options.append((bore_cost, bore, None))
        for rank, pressure_class in enumerate(classes):
            cost = bore_cost + (1.6 if stated_class else 0.5) + 0.8 * rank
            options.append((cost, bore, pressure_class))
    return options


def _warm_options(inputs: Inputs) -> list[tuple[float, float | None]]:
    """Warming of the same drums: to the norm, or to the hall, within what the product bears."""
    low, norm = inputs.likely("product.temperature.low"), inputs.likely("product.temperature.norm")
    top = inputs.estimates.get("product.maximum_temperature")
    hall = inputs.likely("site.hall_temperature")
    options: list[tuple[float, float | None]] = [(0.0, None)]
    targets = {target for target in (low + 5.0, low + 10.0, norm, hall) if target > low + 1.0}
    for target in sorted(targets):
        if target <= max(norm, hall) and (top is None or target <= top.likely):
            options.append((2.2 + 0.02 * (target - low), target))
    return options


def _stand_options(inputs: Inputs) -> list[tuple[float, str, int]]:
    asked = inputs.choices["enquiry.stand_wanted"] or "fixed_mast"
    stations = inputs.estimates.get("enquiry.stations")
    count = max(1, round(stations.likely)) if stations else 1
    options = [(0.0, asked, count)]
    if asked != "moving_arm":
        options.append((1.0, "moving_arm", count))
    if asked != "tandem":
        options.append((1.8, "tandem", 2))
    options.append((2.0, asked, count + 1))
    options.append((3.0, "moving_arm", count + 1))
    return options


def _flow_options(inputs: Inputs) -> list[tuple[float, float]]:
    return [(0.0, 1.0), (0.6, 1.25), (0.7, 1.5), (0.9, 2.0)]


def _port_options(inputs: Inputs) -> list[tuple[float, float]]:
    first = smallest_port(inputs)
    ports = [float(plate["port"]) for plate in plates() if plate["port"] >= first]
    return [(0.15 * index, port) for index, port in enumerate(ports)]


def next_smaller(choice: Choice, inputs: Inputs) -> Choice | None:
    """The same arrangement one bore smaller, where that is not below the customer's bore."""
    own = inputs.likely("line.bore")
    if choice.bore is None:
        return None
    smaller = [bore for bore in bores() if own * 0.999 <= bore < choice.bore]
    return replace(choice, bore=smaller[-1]) if smaller else None
