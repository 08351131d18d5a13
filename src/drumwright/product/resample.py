"""How sure a fit is: refits of resampled curves, all at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from drumwright.flow.numbers import Array
from drumwright.product.choice import choose
from drumwright.product.fit import PARAMETERS, CurveFit, Model, ModelFit, fitted_rows, modelled
from drumwright.product.law import FlowLaw
from drumwright.product.projection import Rows

COUNT = 1000
MOST_LOG = 5.0  # of a redrawn ratio: e to the fifth
LEAST_FACTOR = 0.05  # a resampled stress is never less than this share of the fitted one


@dataclass(frozen=True, slots=True)
class Resamples:
    """Refits of resampled curves.

    Parameters
    ----------
    rows : mapping of str to Rows
        Parameters of every model, one row a resample.
    votes : mapping of str to float
        Share of the resamples for which each model is the one chosen.
    law : FlowLaw
        Laws of the law model, arrays of shape (count,).
    """

    rows: Mapping[Model, Rows]
    votes: Mapping[Model, float]
    law: FlowLaw

    def interval(self, model: Model, name: str, low: float = 0.05, high: float = 0.95) -> tuple[float, float]:
        """Return two quantiles of a parameter [SI].

        Parameters
        ----------
        model : str
            One of the fitted models.
        name : str
            "yield_stress" [Pa], "consistency" [Pa s^n] or "exponent" [-].
        low, high : float
            Shares [-]; P5 and P95 where nothing is said.
        """
        values = getattr(self.rows[model], name)
        found = np.quantile(values, (low, high))
        return float(found[0]), float(found[1])

    def band(self, shear_rate: Array) -> Array:
        """Return P5, P50 and P95 of the law's stress [Pa] at shear rates [1/s], shape (3, m)."""
        tau_y, k, n = (
            np.asarray(v)[:, None] for v in (self.law.yield_stress, self.law.consistency, self.law.exponent)
        )
        return np.asarray(np.quantile(tau_y + k * shear_rate**n, (0.05, 0.5, 0.95), axis=0))


def resample(
    shear_rate: Array, stress: Array, weights: Array, fitted: CurveFit, seed: int, count: int = COUNT
) -> Resamples | None:
    """Refit every model to resampled curves.

    Parameters
    ----------
    shear_rate : ndarray, shape (m,)
        [1/s]
    stress : ndarray, shape (m,)
        [Pa]
    weights : ndarray, shape (m,)
        Weights of the fit [-]; points of no weight are left out.
    fitted : CurveFit
        The fit of the same points.
    seed : int
        Seed of the random sequence; the same seed gives the same numbers.
    count : int
        Number of resamples.

    Returns
    -------
    Resamples or None
        None where the closest model leaves no spare point: such a curve says nothing of its own scatter.

    Notes
    -----
    Residuals of the closest model are drawn with replacement, in units of their weight, centred and enlarged
    by sqrt(m/(m - p)), and put on that model's stresses (Efron 1979, from memory). Fixed shear rates let all
    refits run as rows of one array.
    """
    drawn = _drawn(shear_rate, stress, weights, fitted, _closest(fitted), seed, count)
    if drawn is None:
        return None
    rate, weight, curves = drawn
    rows = {m.model: fitted_rows(m.model, rate, curves, weight[None, :]) for m in fitted.models}
    chosen = rows[fitted.law_model]
    law = FlowLaw(chosen.yield_stress, chosen.consistency, chosen.exponent)
    return Resamples(rows, _votes(rows, rate.size), law)


def law_spread(
    shear_rate: Array, stress: Array, weights: Array, fitted: CurveFit, seed: int, count: int
) -> FlowLaw | None:
    """Laws of the law model alone, refitted to resampled curves: how sure the law of the machine is.

    Parameters
    ----------
    shear_rate, stress, weights : ndarray, shape (m,)
        As in `resample`.
    fitted : CurveFit
    seed, count : int
        As in `resample`.

    Returns
    -------
    FlowLaw or None
        Arrays of shape (count,); None where the curve says nothing of its own scatter.

    Notes
    -----
    Residuals of the law itself are redrawn as ratios, its lack of fit in them, and the refits are set about
    it: their middle stress at the middle of the measured range is its own. A curve it meets badly gives a
    wide band, never one beside it.
    """
    counted = weights > 0.0
    rate, tau, weight = shear_rate[counted], stress[counted], weights[counted]
    spare = rate.size - len(fitted.model(fitted.law_model).parameters)
    if spare < 1:
        return None
    law = fitted.law
    base = modelled("herschel_bulkley", law.yield_stress, law.consistency, law.exponent, rate)
    residual = weight * np.log(tau / base)
    residual = (residual - residual.mean()) * np.sqrt(rate.size / spare)
    random = np.random.Generator(np.random.PCG64(seed))
    drawn = residual[random.integers(0, rate.size, size=(count, rate.size))] / weight
    rows = fitted_rows(
        fitted.law_model, rate, base * np.exp(np.clip(drawn, -MOST_LOG, MOST_LOG)), weight[None, :]
    )
    middle = np.sqrt(rate.min() * rate.max())
    told = float(law.yield_stress + law.consistency * middle**law.exponent)
    found = rows.yield_stress + rows.consistency * middle**rows.exponent
    even = told / float(np.median(found))
    return FlowLaw(even * rows.yield_stress, even * rows.consistency, rows.exponent)


def _closest(fitted: CurveFit) -> ModelFit:
    """The model that comes closest to the points, with the fewest parameters among equals."""
    return min(fitted.models, key=lambda model: (model.rms_relative, len(model.parameters)))


def _drawn(
    shear_rate: Array, stress: Array, weights: Array, fitted: CurveFit, closest: ModelFit, seed: int,
    count: int,
) -> tuple[Array, Array, Array] | None:  # fmt: skip
    """Points that count, their weights, and stresses of a model with its residuals redrawn, (count, m)."""
    counted = weights > 0.0
    rate, tau, weight = shear_rate[counted], stress[counted], weights[counted]
    spare = rate.size - len(closest.parameters)
    if spare < 1:
        return None
    base = _stress_of(closest.model, fitted, rate)
    residual = weight * (tau / base - 1.0)
    residual = (residual - residual.mean()) * np.sqrt(rate.size / spare)
    random = np.random.Generator(np.random.PCG64(seed))
    drawn = residual[random.integers(0, rate.size, size=(count, rate.size))] / weight
    return rate, weight, base * np.maximum(1.0 + drawn, LEAST_FACTOR)


def _stress_of(model: Model, fitted: CurveFit, rate: Array) -> Array:
    values = {parameter.name: parameter.value for parameter in fitted.model(model).parameters}
    tau_y, n = values.get("yield_stress", 0.0), values.get("exponent", 1.0)
    return modelled(model, tau_y, values["consistency"], n, rate)


def _votes(rows: Mapping[Model, Rows], points: int) -> dict[Model, float]:
    """Share of resamples that choose each model by the rule of `fit_curve`."""
    names = list(rows)
    squares = np.stack([rows[name].squares for name in names])
    winner = choose([len(PARAMETERS[name]) for name in names], squares / points, points).place
    return {name: float(np.mean(winner == place)) for place, name in enumerate(names)}
