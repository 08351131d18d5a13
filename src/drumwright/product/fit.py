"""Fit a measured flow curve to five models and choose one.

Weights are relative: the sum of ((model - measured)/measured)^2 is least. For a fixed exponent the
Herschel-Bulkley law is linear in yield stress and consistency, so only the exponent is searched (variable
projection).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FitError
from drumwright.flow.numbers import Array
from drumwright.product.choice import CLOSER, FEW, POOR_FIT, RELATIVE_FLOOR, aicc, choose
from drumwright.product.law import FlowLaw
from drumwright.product.projection import EXPONENT_RANGE, Rows, fit_casson_rows, fit_rows
from drumwright.product.student import student_quantile_975

Model = Literal["newton", "power_law", "bingham", "casson", "herschel_bulkley"]
MODELS: tuple[Model, ...] = ("newton", "power_law", "bingham", "casson", "herschel_bulkley")
PARAMETERS: dict[Model, tuple[str, ...]] = {
    "newton": ("consistency",),
    "power_law": ("consistency", "exponent"),
    "bingham": ("yield_stress", "consistency"),
    "casson": ("yield_stress", "consistency"),
    "herschel_bulkley": ("yield_stress", "consistency", "exponent"),
}
NARROW_RANGE = 10.0


@dataclass(frozen=True, slots=True)
class Parameter:
    """One fitted parameter [SI] with its 95 % interval; the interval is infinite without spare points."""

    name: str
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ModelFit:
    """One model fitted to a flow curve.

    Parameters
    ----------
    model : str
        One of `MODELS`.
    parameters : tuple of Parameter
        In the order of `PARAMETERS`; for Casson `consistency` is the Casson viscosity [Pa s].
    rms_relative : float
        Root mean square of the relative residuals [-].
    aicc : float
        Small-sample Akaike number [-]; infinite where points are too few to judge the model.
    law : FlowLaw or None
        The fit as Herschel-Bulkley law; None for Casson.
    """

    model: Model
    parameters: tuple[Parameter, ...]
    rms_relative: float
    aicc: float
    law: FlowLaw | None

    def parameter(self, name: str) -> Parameter:
        """Return a parameter by name; KeyError if the model has none of that name."""
        for parameter in self.parameters:
            if parameter.name == name:
                return parameter
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class CurveFit:
    """Five models of one flow curve and the one chosen.

    Parameters
    ----------
    models : tuple of ModelFit
        All that the points allow, in the order of `MODELS`.
    chosen : str
        Model that describes the curve best.
    reason : str
        "least_aicc", "simpler_is_as_good", "two_points", "few_points" (too few to prove it, but what they
        prove misses), "too_few_for_three" (three numbers come closer than the points can prove), "asked".
    law : FlowLaw
        Law for the machine: the chosen model, or the best Herschel-Bulkley one if Casson was chosen.
    law_model : str
        Model the law comes from.
    shear_rate_low, shear_rate_high : float
        Range of the points that count [1/s].
    points : int
        Number of points that count.
    warnings : tuple of str
        Any of "stress_not_rising", "narrow_shear_range", "poor_fit", "exponent_at_limit", "casson_chosen".
    """

    models: tuple[ModelFit, ...]
    chosen: Model
    reason: str
    law: FlowLaw
    law_model: Model
    shear_rate_low: float
    shear_rate_high: float
    points: int
    warnings: tuple[str, ...]

    def model(self, name: str) -> ModelFit:
        """Return one of the fitted models; KeyError if the points did not allow it."""
        for fitted in self.models:
            if fitted.model == name:
                return fitted
        raise KeyError(name)


def fit_curve(shear_rate: ArrayLike, stress: ArrayLike, weights: ArrayLike | None = None) -> CurveFit:
    """Fit the five models to a flow curve and choose one.

    Parameters
    ----------
    shear_rate : array_like, shape (m,)
        [1/s], more than zero; at least two different ones.
    stress : array_like, shape (m,)
        Shear stress [Pa], more than zero.
    weights : array_like, shape (m,), optional
        Weight of each relative residual [-], zero or more, scaled here to a mean square of one; equal where
        not given. A point of no weight counts neither for the choice nor for the intervals.

    Returns
    -------
    CurveFit
        All models with intervals, the chosen one and the law for the machine.

    Raises
    ------
    FitError
        If the points cannot be used: unequal length, fewer than two, not positive numbers, one shear rate.

    Notes
    -----
    Choice as in `choice.choose`: AICc, and the closest law with a spare point where that misses. Intervals
    are those of the linearised fit (Student's t), not of a profile.
    """
    rate, tau = usable(shear_rate, stress)
    weight = _weights(weights, rate)
    order = np.argsort(rate, kind="stable")
    rate, tau, weight = rate[order], tau[order], weight[order]
    distinct = np.unique(rate[weight > 0.0]).size
    names = [model for model in MODELS if len(PARAMETERS[model]) <= distinct]
    models = tuple(_fit_model(model, rate, tau, weight) for model in names)
    points = int(np.count_nonzero(weight))
    chosen, reason = _choose(models, points)
    family = tuple(fitted for fitted in models if fitted.law is not None)
    best = chosen if chosen.law is not None else _choose(family, points)[0]
    assert best.law is not None
    return CurveFit(
        models=models,
        chosen=chosen.model,
        reason=reason,
        law=best.law,
        law_model=best.model,
        shear_rate_low=float(rate[weight > 0.0][0]),
        shear_rate_high=float(rate[weight > 0.0][-1]),
        points=points,
        warnings=_warnings(rate[weight > 0.0], tau[weight > 0.0], chosen),
    )


def _refuse(what: str, allowed: str, remedy: str) -> FitError:
    return FitError(f"{what}; allowed: {allowed}; do: {remedy}")


def usable(shear_rate: ArrayLike, stress: ArrayLike) -> tuple[Array, Array]:
    """Return shear rates [1/s] and stresses [Pa] as arrays, or refuse them.

    Parameters
    ----------
    shear_rate, stress : array_like, shape (m,)
        [1/s] and [Pa].

    Raises
    ------
    FitError
        As in `fit_curve`.
    """
    rate = np.atleast_1d(np.asarray(shear_rate, dtype=np.float64))
    tau = np.atleast_1d(np.asarray(stress, dtype=np.float64))
    if rate.ndim != 1 or rate.shape != tau.shape:
        raise _refuse(
            f"{rate.size} shear rates and {tau.size} stresses",
            "one stress for every shear rate",
            "complete the table or drop the odd point",
        )
    if rate.size < 2:
        raise _refuse(
            f"{rate.size} point(s) are no flow curve",
            "two points or more, five or more to see a yield stress",
            "give a flow curve, or give the one viscosity as a single number",
        )
    if not (np.isfinite(rate).all() and np.isfinite(tau).all()):
        raise _refuse("a value is not a number", "finite numbers", "drop or correct the point")
    if rate.min() <= 0.0 or tau.min() <= 0.0:
        raise _refuse(
            f"least shear rate {rate.min():g} 1/s, least stress {tau.min():g} Pa",
            "shear rates and stresses above zero",
            "drop points at rest; correct signs",
        )
    if rate.max() <= rate.min() * (1.0 + 1e-9):
        raise _refuse(
            f"every point stands at {rate.min():g} 1/s",
            "at least two different shear rates",
            "give the curve over shear rate, or the one viscosity as a single number",
        )
    return rate, tau


def _warnings(rate: Array, tau: Array, chosen: ModelFit) -> tuple[str, ...]:
    found = {
        "stress_not_rising": bool((np.diff(tau) < -0.02 * tau[:-1]).any()),
        "narrow_shear_range": bool(rate[-1] < NARROW_RANGE * rate[0]),
        "poor_fit": chosen.rms_relative > POOR_FIT,
        "exponent_at_limit": chosen.law is not None and chosen.law.exponent in EXPONENT_RANGE,
        "casson_chosen": chosen.model == "casson",
    }
    return tuple(key for key, here in found.items() if here)


def _choose(models: tuple[ModelFit, ...], points: int) -> tuple[ModelFit, str]:
    if points == 2:
        return _choose_from_two(models), "two_points"
    sizes = [len(model.parameters) for model in models]
    squares = np.array([[model.rms_relative**2] for model in models])
    found = choose(sizes, squares, points)
    chosen = models[int(found.place[0])]
    if not found.proven[0]:
        return chosen, "few_points"
    closest = min(models, key=lambda m: m.rms_relative)
    hidden = points < FEW and len(closest.parameters) == 3 and len(chosen.parameters) < 3
    if hidden and closest.rms_relative <= CLOSER * chosen.rms_relative > 10.0 * RELATIVE_FLOOR:
        return chosen, "too_few_for_three"
    least = chosen.aicc <= min(model.aicc for model in models)
    return chosen, "least_aicc" if least else "simpler_is_as_good"


def _choose_from_two(models: tuple[ModelFit, ...]) -> ModelFit:
    """Return the model for two points, which cannot judge one: Newton if it passes, then the careful Bingham.

    Outside the two shear rates a Bingham line through both lies above the power law and Casson.
    """
    by_name = {fitted.model: fitted for fitted in models}
    careful: tuple[Model, ...] = ("newton", "bingham")
    for name in careful:
        if by_name[name].rms_relative <= 10.0 * RELATIVE_FLOOR:
            return by_name[name]
    return by_name["power_law"]


def _weights(weights: ArrayLike | None, rate: Array) -> Array:
    if weights is None:
        return np.ones_like(rate)
    given = np.asarray(weights, dtype=np.float64)
    ok = given.shape == rate.shape and bool(np.isfinite(given).all()) and bool((given >= 0.0).all())
    if not ok or np.unique(rate[given > 0.0]).size < 2:
        raise _refuse(
            f"{given.size} weights for {rate.size} points",
            "a weight of zero or more for every point, above zero at two shear rates or more",
            "correct the weights",
        )
    return np.asarray(given / np.sqrt(np.mean(given[given > 0.0] ** 2)))


def fitted_rows(model: Model, rate: Array, stress: Array, weight: Array) -> Rows:
    """Fit one model to every row of stresses.

    Parameters
    ----------
    model : str
        One of `MODELS`.
    rate : ndarray, shape (m,)
        [1/s]
    stress : ndarray, shape (r, m)
        [Pa]
    weight : ndarray, shape (r, m) or (1, m)
        Weight of each relative residual [-].
    """
    if model == "casson":
        return fit_casson_rows(rate, stress, weight)
    fixed = None if "exponent" in PARAMETERS[model] else 1.0
    return fit_rows(rate, stress, weight, "yield_stress" in PARAMETERS[model], fixed)


def modelled(model: Model, tau_y: ArrayLike, k: ArrayLike, n: ArrayLike, rate: ArrayLike) -> Array:
    """Return the stress of a model [Pa].

    Parameters
    ----------
    model : str
        One of `MODELS`; for Casson the square roots add.
    tau_y, k, n : array_like
        Yield stress [Pa], consistency [Pa s^n] and exponent [-]; broadcast with `rate`.
    rate : array_like
        [1/s]
    """
    y, c, e, g = (np.asarray(value, dtype=np.float64) for value in (tau_y, k, n, rate))
    if model == "casson":
        return np.asarray((np.sqrt(y) + np.sqrt(c * g)) ** 2)
    return np.asarray(y + c * g**e)


def _fit_model(model: Model, rate: Array, tau: Array, weight: Array) -> ModelFit:
    rows = fitted_rows(model, rate, tau[None, :], weight[None, :])
    tau_y, k, n = (float(column[0]) for column in rows[:3])
    residual = modelled(model, tau_y, k, n, rate) / tau - 1.0
    all_values = {"yield_stress": tau_y, "consistency": k, "exponent": n}
    values = [all_values[name] for name in PARAMETERS[model]]
    counted = weight > 0.0
    points = int(np.count_nonzero(counted))
    mean_square = float(np.sum((weight * residual) ** 2)) / points
    jacobian = weight[:, None] * _slopes(model, tau_y, k, n, rate, tau)
    return ModelFit(
        model=model,
        parameters=_intervals(PARAMETERS[model], values, jacobian[counted], (weight * residual)[counted]),
        rms_relative=float(np.sqrt(mean_square)),
        aicc=float(aicc(np.array(mean_square), points, np.array(float(len(values))))),
        law=None if model == "casson" else FlowLaw(tau_y, k, n),
    )


def _slopes(model: Model, tau_y: float, k: float, n: float, rate: Array, tau: Array) -> Array:
    """Change of the relative residuals with each parameter, shape (m, p)."""
    if model == "casson":
        p, q, root = np.sqrt(max(tau_y, 1e-24)), np.sqrt(k), np.sqrt(rate)
        line = p + q * root
        return np.stack([line / (tau * p), line * root / (tau * q)], axis=1)
    power = rate**n
    columns = {"yield_stress": 1.0 / tau, "consistency": power / tau}
    columns["exponent"] = k * power * np.log(rate) / tau
    return np.stack([columns[name] for name in PARAMETERS[model]], axis=1)


def _intervals(
    names: tuple[str, ...], values: list[float], jacobian: Array, residual: Array
) -> tuple[Parameter, ...]:
    """Return values with the 95 % interval of the linearised fit; not below zero for stresses."""
    spare = residual.size - len(values)
    half = np.full(len(values), np.inf)
    if spare > 0:
        scale = np.linalg.norm(jacobian, axis=0)
        normal = (jacobian / scale).T @ (jacobian / scale)
        variance = float(residual @ residual) / spare * np.diag(np.linalg.pinv(normal)) / scale**2
        half = student_quantile_975(spare) * np.sqrt(np.maximum(variance, 0.0))
    return tuple(
        Parameter(name, value, max(value - float(h), 0.0), value + float(h))
        for name, value, h in zip(names, values, half, strict=True)
    )
