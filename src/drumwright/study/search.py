"""Which arrangement is asked for, and which one passes: a search of the stock, cheapest change first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from drumwright.machine.pump.stock import Pump
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs
from drumwright.station.vessel import way_out
from drumwright.study.check import Check
from drumwright.study.checks import needs_beside, static_checks
from drumwright.study.evaluation import PASSES, Evaluation, Problem, evaluate
from drumwright.study.search_options import (
    FLOW_FACTORS,
    asked_family,
    candidates,
    ordered_pumps,
    pump_keys,
    smallest_port,
    stated_warming,
    wished_seal,
)

# Checks of the first arrangement tried that no other pump size can mend.
_BEYOND_PUMPS = frozenset(
    {
        "pressure.running",
        "pressure.restart",
        "stand.height",
        "stand.free_base",
        "rate.utilisation",
        "feed.frozen",
    }
)


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
    for pump in ordered_pumps(inputs, [p for p in inputs.stock.active_pumps if p.family == family], 1.0):
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
    first = next(iter(candidates(problem.inputs, family_points=problem.family_points)), None)
    if first is None:
        return Found(None, (), True)
    doubt = _container_in_doubt(problem.inputs, first)
    if doubt is not None:
        return Found(None, (), doubt.decided)
    barred: set[tuple[object, ...]] = set()
    known_to_fail = set(skip)
    tried: list[Evaluation] = []
    for choice in candidates(problem.inputs, barred, rate_settled, after, problem.family_points):
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
    passage, feed, reach, rated = pump_keys(
        choice.pump, choice.port, choice.beside, (choice.seal, choice.ram),
        (choice.bore, choice.pressure_class), choice.warm_to, choice.flow_factor,
    )  # fmt: skip
    return {
        "passage-line": ("passage-line", choice.bore),
        "passage-pump": passage,
        "feed": feed,
        "reach": reach,
        "line": ("line", choice.bore, choice.pressure_class, choice.warm_to, choice.flow_factor),
        "rated": rated,
        "warm": ("warm", choice.warm_to),
        "materials": ("materials", choice.pump.family, choice.pump.temperature_limits, choice.warm_to),
        "seal": ("seal", choice.seal, choice.stand, choice.ram),
        "heel": ("heel", choice.warm_to),
        "rate": ("rate", choice.stand, choice.stations, choice.flow_factor),
    }


def _bars(found: Evaluation) -> Iterator[tuple[object, ...]]:
    """Keys of what a failed arrangement rules out for the others.

    The feed of a pump size hardly depends on the line (slip is capped at the rated pressure), so it is ruled
    out only where it is clear of the limit. What fails by suction or pressure fails at a greater flow too.
    """
    keys = _dependencies(found.choice)
    failed = {check.key: check for check in found.checks if check.probability < PASSES}
    if "feed.passage" in failed:
        need = float(failed["feed.passage"].limit[0])
        yield keys["passage-pump"] if found.choice.pump.passage < need else keys["passage-line"]
    if "feed.frozen" in failed:
        yield keys["warm"]
    part = stopped_by_materials(found)
    if part is not None:  # of the pump alone, or of the arrangement whatever the pump
        yield keys["materials" if part.decided else "warm"]
    if "container.heel" in failed:
        yield keys["heel"]
    # where the flow is not reached the end of the container is that of no flow: it says nothing of the seal
    of_the_seal = {"plate.rim", "plate.inflation", "container.bulge"} if "rate.flow" not in failed else set()
    if (of_the_seal | {"stand.free_base", "stand.free_raise"}) & set(failed):
        yield keys["seal"]
    too_much = []
    if "feed.inlet" in failed and failed["feed.inlet"].probability < 0.90:
        too_much.append("feed")
    line_fails = bool({"pressure.running", "pressure.restart"} & set(failed))
    if line_fails:
        too_much.append("line")
    pump_fails = bool({"pressure.pump", "pressure.restart_pump"} & set(failed))
    if pump_fails:
        too_much.append("rated")
    yield from _also_faster(found.choice, too_much)
    if "rate.flow" in failed and not line_fails and not pump_fails:
        yield keys["reach"]
    if "rate.flow" not in failed and {"rate.utilisation", "rate.uninterrupted"} & set(failed):
        yield keys["rate"]
    if "people.hands" in failed:
        yield keys["rate"]


def stopped_by_materials(found: Evaluation) -> Check | None:
    """The part nothing will do for, where all else of an arrangement passes; one every pump needs first.

    Parameters
    ----------
    found : Evaluation
    """
    others = (gate for gate in found.gates if gate.gate != "hygiene_zone")
    if any(gate.status not in ("pass", "not_judged") for gate in others):
        return None
    parts = [check for check in found.checks if check.key.startswith("materials.")]
    return min(parts, key=lambda check: check.decided, default=None)


def _also_faster(choice: Choice, names: list[str]) -> Iterator[tuple[object, ...]]:
    """Keys of these names at the flow of an arrangement and at every greater one."""
    if not names:
        return
    for factor in (choice.flow_factor, *(each for each in FLOW_FACTORS if each > choice.flow_factor)):
        keys = _dependencies(replace(choice, flow_factor=factor))
        yield from (keys[name] for name in names)


def rate_is_settled(asked: Evaluation | None) -> bool:
    """Whether rate and people pass as asked and the stand carries its load: stand and flow need no change."""
    if asked is None or not asked.balances:
        return False
    if any(check.key == "stand.free_base" and check.probability < PASSES for check in asked.checks):
        return False
    status = {gate.gate: gate.status for gate in asked.gates}
    return status["rate"] == "pass" and status["people"] in ("pass", "not_judged")
