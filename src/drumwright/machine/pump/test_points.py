"""A pump known by its test points: displacement, clearance, friction, film fitted to its family's model."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FitError
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.limits import assumed
from drumwright.machine.pump.piston_family import PistonFamily
from drumwright.machine.pump.records import Pump, Rotors
from drumwright.machine.pump.robust_fit import LEAST_NOISE, Solution, robust_fit, student_quantile_95
from drumwright.machine.pump.rotary_family import RotaryFamily
from drumwright.machine.pump.wear import NARROWEST, WIDEST
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
FEWEST = 4  # points of flow, and of torque, below which nothing is fitted
FLOOR = 0.05  # of the greatest reading; a smaller reading is not weighed as if it were as exact in per cent
GRID = 40
UNSEEN = 0.7  # standard error of a logarithm from which the points do not tell a parameter


class Points(NamedTuple):
    """Test points of a pump; arrays of shape (m,)."""

    speed: Array  # [1/s]; double strokes for a piston
    pressure: Array  # over the pump [Pa]
    flow: Array  # [m3/s]
    torque: Array  # at the shaft [N m]; nan where it was not measured
    law: FlowLaw  # product of each point; a viscosity is a law without yield stress and exponent 1
    density: Array  # [kg/m3]


class Fitted(NamedTuple):
    """A fitted parameter with its 90 % interval."""

    value: float
    low: float
    high: float
    seen: bool  # whether the points tell it; where not, the interval only says what it is not


@dataclass(frozen=True, slots=True)
class PumpFit:
    """A pump fitted to its test points."""

    pump: Pump  # with the fitted displacement, and clearance where its geometry has one
    displacement: Fitted  # [m3]
    clearance: Fitted  # [m]
    friction_torque: Fitted | None  # [N m]; None without torques
    film: Fitted | None  # sheared film [m]; None without torques, the clearance for two rotors
    flow_error: float  # root mean square of flow over reading [-]
    torque_error: float | None  # the same of torque [-]
    speed_range: tuple[float, float]  # of the points [1/s]
    pressure_range: tuple[float, float]  # [Pa]
    viscosity_range: tuple[float, float]  # apparent, in the gap's nominal 1 000 1/s [Pa s]
    solution: Solution  # logarithms of the parameters in this order

    def outside(self, speed: ArrayLike, pressure: ArrayLike, law: FlowLaw) -> NDArray[np.bool_]:
        """Whether a use lies outside the range of the points.

        Parameters
        ----------
        speed : array_like
            [1/s]
        pressure : array_like
            Over the pump [Pa].
        law : FlowLaw
            Product that is pumped.
        """
        values = (np.asarray(speed), np.asarray(pressure), np.asarray(law.apparent_viscosity(GAP_RATE)))
        ranges = (self.speed_range, self.pressure_range, self.viscosity_range)
        beyond = [
            (value < low * (1.0 - 1e-9)) | (value > high * (1.0 + 1e-9))
            for value, (low, high) in zip(values, ranges, strict=True)
        ]
        return np.asarray(beyond[0] | beyond[1] | beyond[2])

    def draws(self, count: int, seed: int) -> dict[str, Array]:
        """Draw the fitted parameters with their correlation, to be used with their band.

        Parameters
        ----------
        count : int
        seed : int

        Returns
        -------
        dict of ndarray, shape (count,)
            displacement [m3], clearance [m], friction_torque [N m], film [m]; the last two with torques only;
            two rotors have no film of their own, their clearance is sheared. A clearance that no point shows
            is drawn evenly up to the greatest one that could have stayed unseen.

        Raises
        ------
        FitError
            If the points do not tell displacement, friction or film.
        """
        names = ("displacement", "clearance", "friction_torque", "film")[: self.solution.parameters.size]
        told = [name for name in names if getattr(self, name).seen]
        if missing := [name for name in names if name != "clearance" and name not in told]:
            raise FitError(
                f"the test points do not tell {missing[0]}; allowed: points at two speeds and pressures "
                "or more, torques with two products; do: measure more"
            )
        places = [names.index(name) for name in told]
        random = np.random.default_rng(seed)
        drawn = random.multivariate_normal(
            self.solution.parameters[places],
            self.solution.covariance[np.ix_(places, places)],
            count,
            method="eigh",
        )
        found = {name: np.exp(drawn[:, place]) for place, name in enumerate(told)}
        if "clearance" not in found:
            found["clearance"] = random.uniform(NARROWEST, min(self.clearance.high, WIDEST), count)
        return found

    def model_values(self, count: int, seed: int) -> dict[str, Array]:
        """The draws under the keys that the family reads, to overlay on a sample.

        Parameters
        ----------
        count : int
        seed : int
        """
        drawn, own = self.draws(count, seed), self.pump.geometry
        if self.pump.family == "follower_piston":
            return {"model.packing_clearance": drawn["clearance"]}
        found = {}
        friction, film = drawn.get("friction_torque"), drawn.get("film")
        if isinstance(own, Rotors):
            found["model.rotor_clearance_factor"] = drawn["clearance"] / own.clearance
        else:
            found["model.clearance"] = drawn["clearance"]
            found |= {} if film is None else {"model.drag_film": film}
        if friction is not None:
            key = "model.rotor_friction_share" if isinstance(own, Rotors) else "model.friction_share"
            found[key] = friction / _friction_of_one(self.pump, key)
        return found


GAP_RATE = 1000.0  # 1/s; where the viscosity of product and points is compared


def fit_points(pump: Pump, points: Points, model: Mapping[str, Array]) -> PumpFit:
    """Fit a pump that turns, or a piston pump, to its test points.

    Parameters
    ----------
    pump : Pump
        Its geometry is kept, its displacement is fitted.
    points : Points
    model : mapping of ndarray, shape (1,)
        What is not fitted: seal length and viscosity floor.

    Returns
    -------
    PumpFit

    Raises
    ------
    FitError
        If there are too few points, a value is not allowed, or the family has no speed (a diaphragm pump).

    Notes
    -----
    Q = V n - S(c, dp), T = V dp/(2 pi) + T_f + T_v(film), residuals over the reading, robust least squares
    on the logarithms (`robust_fit`), 90 % intervals of Student's distribution.
    """
    _check(pump, points)
    fit = _Model(pump, points, model)
    solution = robust_fit(fit.residuals, fit.start(), fit.block, fit.low, fit.high)
    found = [fitted(solution, place) for place in range(solution.parameters.size)]
    if not found[1].seen:
        found[1] = found[1]._replace(low=0.0, high=fit.greatest_unseen(solution))
    left = fit.residuals(solution.parameters)
    errors = [float(np.sqrt(np.mean(np.square(left[fit.block == one])))) for one in np.unique(fit.block)]
    gap = np.broadcast_to(points.law.apparent_viscosity(GAP_RATE), points.speed.shape)
    return PumpFit(
        pump=_with(pump, found[0].value, found[1].value),
        displacement=found[0],
        clearance=found[1],
        friction_torque=found[2] if fit.torques else None,
        film=found[1 if fit.tied else 3] if fit.torques else None,
        flow_error=errors[0],
        torque_error=errors[1] if fit.torques else None,
        speed_range=_ends(points.speed),
        pressure_range=_ends(points.pressure),
        viscosity_range=_ends(gap),
        solution=solution,
    )


class _Model:
    """Flow and torque of one pump at its points for a set of logarithms."""

    def __init__(self, pump: Pump, points: Points, model: Mapping[str, Array]) -> None:
        family = family_of(pump)
        assert isinstance(family, RotaryFamily | PistonFamily)
        self.family, self.pump, self.points, self.model = family, pump, points, model
        measured = np.isfinite(points.torque)
        self.torques = isinstance(family, RotaryFamily) and bool(np.sum(measured) >= FEWEST)
        self.measured = measured
        self.flow_weight = 1.0 / np.maximum(points.flow, FLOOR * np.max(points.flow))
        torque = points.torque[measured]
        self.torque_weight = 1.0 / np.maximum(torque, FLOOR * np.max(torque)) if self.torques else torque
        count = points.speed.size
        self.block = np.repeat([0, 1], [count, int(np.sum(measured)) if self.torques else 0])
        self.tied = isinstance(pump.geometry, Rotors)  # what leaks is what is sheared
        ends = [(-math.inf, math.inf), (math.log(NARROWEST), math.log(WIDEST))] * 2
        low, high = np.array(ends[: (3 if self.tied else 4) if self.torques else 2]).T
        if self.torques:
            low[2] = math.log(1e-4 * float(np.max(torque)))
        self.low, self.high = low, high
        self.kept = 1.0
        if isinstance(family, PistonFamily):
            self.kept = 1.0 - float(np.mean(assumed(model, "model.check_back_flow")))

    def slip(self, clearance: float) -> Array:
        """Slip at every point [m3/s]."""
        p = self.points
        gap = np.full_like(p.speed, clearance)
        return np.asarray(self.family.leak(self.pump, p.pressure, gap, p.density, p.law, self.model))

    def greatest_unseen(self, solution: Solution) -> float:
        """Greatest clearance that leaves the flows within their noise [m]."""
        at = solution.parameters.copy()
        flows = self.block == 0
        left = self.residuals(at)[flows]
        noise = max(float(np.sqrt(np.mean(np.square(left)))), LEAST_NOISE)
        allowed = float(left @ left) + (student_quantile_95(solution.spare) * noise) ** 2
        for clearance in np.geomspace(WIDEST, NARROWEST, 20 * GRID):
            at[1] = math.log(clearance)
            if float(np.sum(np.square(self.residuals(at)[flows]))) <= allowed:
                return float(clearance)
        return NARROWEST

    def drag(self, film: float) -> Array:
        """Drag at every point where a torque was measured [N m]."""
        assert isinstance(self.family, RotaryFamily)
        p = self.points
        return self.family.drag(self.pump, p.speed, np.full_like(p.speed, film), p.law, self.model)[
            self.measured
        ]

    def residuals(self, logarithms: Array) -> Array:
        """Model less reading over reading; flows first, then torques."""
        values = np.exp(logarithms)
        flow = values[0] * self.kept * self.points.speed - self.slip(values[1])
        parts = [(flow - self.points.flow) * self.flow_weight]
        if self.torques:
            turned = values[0] * self.points.pressure[self.measured] / (2.0 * math.pi)
            torque = turned + values[2] + self.drag(values[1 if self.tied else 3])
            parts.append((torque - self.points.torque[self.measured]) * self.torque_weight)
        return np.concatenate(parts)

    def start(self) -> Array:
        """Best of a grid of clearances, then of films: the other parameter of each is linear."""
        p, w = self.points, self.flow_weight
        grid = np.geomspace(NARROWEST * 10.0, WIDEST, GRID)
        tried = []
        for clearance in grid:
            slip = self.slip(clearance)
            turned = self.kept * p.speed * w
            volume = float(turned @ ((p.flow + slip) * w)) / float(turned @ turned)
            left = np.abs(volume * turned - (p.flow + slip) * w)
            tried.append((float(np.sum(left)), volume, clearance))
        _, volume, clearance = min(tried)
        found = [volume, clearance]
        if self.torques:
            rest = p.torque[self.measured] - volume * p.pressure[self.measured] / (2.0 * math.pi)
            films = []
            for film in [clearance] if self.tied else grid:
                left = (rest - self.drag(film)) * self.torque_weight
                friction = max(float(np.median(left / self.torque_weight)), 1e-3 * float(np.max(rest)))
                films.append((float(np.sum(np.abs(left - friction * self.torque_weight))), friction, film))
            found += min(films)[1 : 2 if self.tied else 3]
        return np.clip(np.log(np.maximum(found, 1e-12)), self.low, self.high)


def _with(pump: Pump, displacement: float, clearance: float) -> Pump:
    """The pump with what was fitted; two rotors have the one clearance that was found, standard or wide."""
    own = pump.geometry
    if isinstance(own, Rotors):
        own = replace(own, clearance=clearance, wide_clearance=clearance)
    return replace(pump, displacement=displacement, geometry=own)


def fitted(solution: Solution, place: int) -> Fitted:
    """Value and 90 % interval of one parameter from its logarithm.

    Parameters
    ----------
    solution : Solution
    place : int
        Which parameter.
    """
    middle = float(solution.parameters[place])
    error = math.sqrt(max(float(solution.covariance[place, place]), 0.0))
    by = student_quantile_95(solution.spare) * error
    seen = 0.0 < error < UNSEEN
    high = math.exp(min(middle + by, 50.0)) if error > 0.0 else math.inf
    return Fitted(math.exp(middle), math.exp(middle - by) if seen else 0.0, high, seen)


def _ends(values: Array) -> tuple[float, float]:
    return float(np.min(values)), float(np.max(values))


def _friction_of_one(pump: Pump, key: str) -> float:
    """Friction torque that a share of 1 means for this pump [N m]."""
    family = family_of(pump)
    assert isinstance(family, RotaryFamily)
    return float(family.friction(pump, {key: np.asarray(1.0)}))


def _check(pump: Pump, points: Points) -> None:
    """Refuse points that nothing can be fitted to."""
    if not isinstance(family_of(pump), RotaryFamily | PistonFamily):
        raise FitError(
            f"{pump.identifier} is a diaphragm pump; allowed: test points of a pump with a speed; "
            "do: use the points of air, outlet pressure and flow"
        )
    count = points.speed.size
    if count < FEWEST or len(set(zip(points.speed, points.pressure, strict=True))) < FEWEST:
        raise FitError(f"{count} test points; allowed: {FEWEST} or more that differ; do: measure more")
    for name in ("speed", "flow", "density"):
        value = np.asarray(getattr(points, name))
        if not (np.all(np.isfinite(value)) and np.all(value > 0.0)):
            raise FitError(f"a test point has no {name} above zero; allowed: above zero; do: correct the row")
    if not (np.all(np.isfinite(points.pressure)) and np.all(points.pressure >= 0.0)):
        raise FitError("a test point has no pressure; allowed: zero or more; do: correct the row")
    if np.any(points.torque <= 0.0):
        raise FitError(
            "a torque is not above zero; allowed: above zero, or not measured; do: correct the row"
        )
