"""The flow law at another temperature: between measured curves, a little beyond, or from one curve."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FitError
from drumwright.flow.numbers import LEAST_EXPONENT, Array, Number, arrays, finish
from drumwright.product.law import FlowLaw
from drumwright.product.regression import GAS_CONSTANT, ArrheniusLaw, arrhenius_fit

__all__ = ["TRUSTED_BEYOND", "ArrheniusLaw", "LawAt", "arrhenius_fit", "law_at"]

TRUSTED_BEYOND = 10.0  # K beyond the measured ends for which the slope of the end pair is kept
GREATEST_EXPONENT = 2.0


class LawAt(NamedTuple):
    """Flow law at a temperature, and how far that lies outside the measured range [K]."""

    law: FlowLaw
    beyond: Number


def law_at(
    points: Sequence[tuple[float, FlowLaw]],
    temperature: ArrayLike,
    activation_energy: ArrayLike,
    yield_energy: ArrayLike | None = None,
) -> LawAt:
    """Flow law of a product at a temperature.

    Parameters
    ----------
    points : sequence of (float, FlowLaw)
        Measured temperatures [K], all different, with their laws (floats or arrays over samples).
    temperature : float or ndarray
        Temperature wanted [K].
    activation_energy : float or ndarray
        For a single curve, and from 10 K beyond the ends of a series on [J/mol].
    yield_energy : float or ndarray, optional
        The same for the yield stress [J/mol]; by default the activation energy.

    Returns
    -------
    LawAt
        The law and the distance from the measured range [K], 0 inside.

    Raises
    ------
    FitError
        If there is no point, two share a temperature, or a temperature is not above zero.

    Notes
    -----
    ln K and ln tau_y are linear in 1/T between neighbours (Arrhenius), the exponent linear in 1/T. Up to 10 K
    beyond an end the slope of the end pair goes on; further out the activation energy takes over and the
    exponent is held. A series in which some curve has no yield stress is interpolated in tau_y itself and its
    ends are held for 10 K.
    """
    ordered = sorted(points, key=lambda point: point[0])
    temperatures = [point[0] for point in ordered]
    if not ordered:
        raise FitError("no flow curve; allowed: one or more; do: give a curve or parameters")
    if temperatures[0] <= 0.0 or len(set(temperatures)) < len(temperatures):
        raise FitError(
            "the curves need temperatures above 0 K, all different; allowed: one curve a temperature; "
            "do: merge the curves that share a temperature"
        )
    (t,) = arrays(temperature)
    (energy,) = arrays(activation_energy)
    energy_y = energy if yield_energy is None else arrays(yield_energy)[0]
    series = _Series(temperatures, t)
    k = np.exp(series.interpolate([np.log(law.consistency) for _, law in ordered]) + series.rest(energy))
    n = series.interpolate([np.asarray(law.exponent, dtype=np.float64) for _, law in ordered])
    tau_y = _yield_stress([np.asarray(law.yield_stress, np.float64) for _, law in ordered], series, energy_y)
    law = FlowLaw(finish(tau_y), finish(k), finish(np.clip(n, LEAST_EXPONENT, GREATEST_EXPONENT)))
    low, high = temperatures[0], temperatures[-1]
    return LawAt(law, finish(np.maximum(np.maximum(low - t, t - high), 0.0)))


class _Series:
    """Inverse temperatures of the curves and of the wanted points."""

    def __init__(self, temperatures: list[float], wanted: Array) -> None:
        reach = TRUSTED_BEYOND if len(temperatures) > 1 else 0.0
        low, high = temperatures[0] - reach, temperatures[-1] + reach
        self.knots = [1.0 / value for value in temperatures]
        self.edges = [1.0 / low, *self.knots[1:-1], 1.0 / high]
        self.wanted = 1.0 / wanted
        self.trusted = np.clip(self.wanted, 1.0 / high, 1.0 / low)
        self.inside = np.clip(self.wanted, self.knots[-1], self.knots[0])

    def interpolate(self, values: list[Array], held: bool = False) -> Array:
        """Return the piecewise line through the values; `held` keeps the ends instead of going on."""
        place = self.inside if held else self.trusted
        result = values[0] + 0.0 * place
        for index in range(len(self.knots) - 1):
            slope = (values[index + 1] - values[index]) / (self.knots[index + 1] - self.knots[index])
            clipped = np.clip(place, self.edges[index + 1], self.edges[index])
            result = result + slope * (clipped - self.knots[index])
        return np.asarray(result)

    def rest(self, energy: Array) -> Array:
        """Return the Arrhenius exponent from the trusted range to the wanted temperature."""
        return np.asarray(energy / GAS_CONSTANT * (self.wanted - self.trusted))


def _yield_stress(values: list[Array], series: _Series, energy: Array) -> Array:
    growth = series.rest(energy)
    if all(bool((value > 0.0).all()) for value in values):
        return np.asarray(np.exp(series.interpolate([np.log(value) for value in values]) + growth))
    return np.maximum(series.interpolate(values, held=True), 0.0) * np.exp(growth)
