"""The product's path as numbers: borders, pressure profile, pump curve against line curve."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.statistics import quantiles
from drumwright.machine.line.route import line_loss
from drumwright.machine.pump.stock import rated_pressure
from drumwright.product.law import FlowLaw
from drumwright.station.balance import route_of
from drumwright.study.checks import weakest_part
from drumwright.study.figures import Scene
from drumwright.study.pump_sketch import limits_of, pump_curve
from drumwright.study.result import Border, CurvePair, ProfilePoint

Array = NDArray[np.float64]
Band = tuple[float, float, float]
CLOSER = 1.7  # exponent that sets the flows closer where the line curve bends


def band(values: Array) -> Band:
    """P5, point value and P95."""
    rest = values[1:] if values.size > 1 else values
    low, high = quantiles(rest, 0.05, 0.95)
    return low, float(values[0]), high


def borders(scene: Scene) -> tuple[Border, ...]:
    """State of the product at each border of its path."""
    state, sample = scene.state, scene.problem.sample
    atmosphere, end = state.atmosphere, sample["destination.pressure"]
    allowed = sample["line.working_share"] * weakest_part(
        scene.problem.inputs, sample, scene.evaluation.choice
    )
    inlet = np.maximum(state.inlet_absolute, 0.0) - atmosphere  # nothing pulls below vacuum
    zero = np.zeros_like(atmosphere)
    rows = (
        ("surface", zero, None, "", None),
        ("under_plate", state.under_plate_gauge, None, "", None),
        ("pump_inlet", inlet, state.inlet_required, "minimum_absolute", state.feed_margin),
        ("pump_outlet", state.running_gauge, allowed, "maximum_gauge", allowed - state.running_gauge),
        ("line_end", end, None, "", None),
        ("delivery", end, None, "", None),
    )
    flow, temperature = float(state.wanted_flow[0]), float(state.temperature[0])
    return tuple(
        Border(
            key, band(gauge + atmosphere), band(gauge), flow, temperature,
            None if limit is None else float(limit[0]), kind,  # type: ignore[arg-type]
            None if margin is None else band(margin),
        )
        for key, gauge, limit, kind, margin in rows
    )  # fmt: skip


def profile(scene: Scene) -> tuple[ProfilePoint, ...]:
    """Gauge pressure along the path; fittings and lift are spread over the customer's pipe."""
    state, sample = scene.state, scene.problem.sample
    end = sample["destination.pressure"]
    hose, pipe = float(np.ravel(state.route.hose_length)[0]), float(sample["line.length"][0])
    after_hose = state.running_gauge - state.loss.hose
    inlet = np.maximum(state.inlet_absolute, 0.0) - state.atmosphere
    points = (
        (-1.0, np.zeros_like(end), "surface"),
        (-0.6, state.under_plate_gauge, "under_plate"),
        (0.0, inlet, "pump_inlet"),
        (0.0, state.running_gauge, "pump_outlet"),
        (hose, after_hose, ""),
        (hose + pipe, end, "line_end"),
    )
    return tuple(ProfilePoint(at, *band(values), label) for at, values, label in points)


def curves(scene: Scene, coldest: Scene | None = None, points: int = 25) -> CurvePair:
    """Line curve with its band, the pump's curve at its operating speed or full air, and limits, over flow.

    Parameters
    ----------
    scene : Scene
    coldest : Scene or None
        Season that sets motor and torque limit of the arrangement; the same where not given.
    points : int
        Of each curve.
    """
    state, choice = scene.state, scene.evaluation.choice
    flows = 1.6 * float(state.wanted_flow[0]) * np.linspace(0.0, 1.0, points) ** CLOSER
    low, likely, high = _line_curves(scene, flows)
    limits = limits_of(scene, coldest or scene)
    pump_flow, pressures = pump_curve(scene, points)
    allowed = scene.problem.sample["line.working_share"][0] * weakest_part(
        scene.problem.inputs, scene.problem.sample, choice
    )
    limit = min(float(allowed[0]), rated_pressure(choice.pump, scene.problem.abrasion))
    return CurvePair(
        tuple(flows.tolist()), tuple(likely.tolist()), tuple(low.tolist()), tuple(high.tolist()),
        tuple(pump_flow.tolist()), tuple(pressures.tolist()),
        float(state.flow[0]), float(state.outlet_gauge[0]), limit, limits,
    )  # fmt: skip


def _line_curves(scene: Scene, flows: Array) -> tuple[Array, Array, Array]:
    """P5, point and P95 of the line's pressure at each flow, from 256 samples and the point."""
    used = scene.problem.sample_of(scene.evaluation.choice)
    count, points = min(257, scene.state.flow.size), flows.size
    sample = {key: np.tile(values[:count], points) for key, values in used.items()}
    law = scene.state.law
    short = FlowLaw(
        *(
            np.tile(np.asarray(part)[:count], points)
            for part in (law.yield_stress, law.consistency, law.exponent)
        )
    )
    route = route_of(sample, scene.evaluation.choice, scene.problem.pieces)
    loss = line_loss(route, np.repeat(flows, count), sample["product.density"], short)
    table = (sample["destination.pressure"] + loss.total).reshape(points, count)
    low, high = np.quantile(table[:, 1:], (0.05, 0.95), axis=1)
    return low, table[:, 0], high


__all__ = ["band", "borders", "curves", "profile"]
