"""Straight lines through logarithms: power law from a table, Arrhenius law from temperatures."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FitError
from drumwright.flow.numbers import Array, Number, arrays, finish

GAS_CONSTANT = 8.314462618  # J/(mol K)


class PowerLaw(NamedTuple):
    """Power law value = consistency * x^exponent."""

    consistency: float
    exponent: float


class ArrheniusLaw(NamedTuple):
    """value(T) = reference_value exp[(E/R)(1/T - 1/reference_temperature)]; energy J/mol, temperature K."""

    activation_energy: float
    reference_value: float
    reference_temperature: float

    def at(self, temperature: ArrayLike) -> Number:
        """Return the value at a temperature [K]."""
        (t,) = arrays(temperature)
        inverse = 1.0 / t - 1.0 / self.reference_temperature
        return finish(self.reference_value * np.exp(self.activation_energy / GAS_CONSTANT * inverse))


def _line(x: Array, y: Array) -> tuple[float, float]:
    """Return slope and value at the mean of x."""
    centred = x - x.mean()
    spread = float(centred @ centred)
    if not spread > 0.0:
        raise FitError("every point stands at one place; allowed: two different ones; do: measure at another")
    return float(centred @ (y - y.mean())) / spread, float(y.mean())


def _logarithms(x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
    a, b = arrays(x, y)
    if a.shape != b.shape or a.ndim != 1 or a.size < 2 or not (a.min() > 0.0 and b.min() > 0.0):
        raise FitError(
            "the two columns cannot be paired; allowed: two or more points above zero; do: correct the table"
        )
    return a, np.log(b)


def power_law_regression(x: ArrayLike, y: ArrayLike) -> PowerLaw:
    """Least squares of ln(y) on ln(x), equal weights: the textbook way to a power law.

    Parameters
    ----------
    x, y : array_like, shape (m,)
        For a flow curve shear rate [1/s] and stress [Pa].

    Returns
    -------
    PowerLaw
        Consistency [Pa s^n] and exponent [-].

    Raises
    ------
    FitError
        If there are fewer than two points, or a value is not above zero.
    """
    a, log_y = _logarithms(x, y)
    log_x = np.log(a)
    slope, middle = _line(log_x, log_y)
    return PowerLaw(math.exp(middle - slope * float(log_x.mean())), slope)


def tube_consistency(apparent_consistency: ArrayLike, exponent: ArrayLike) -> Number:
    """Consistency K from the K' of a tube viscometer, tau_w = K' (8V/D)^n.

    Parameters
    ----------
    apparent_consistency : float or ndarray
        K' [Pa s^n]
    exponent : float or ndarray
        n [-]

    Returns
    -------
    float or ndarray
        K = K' / ((3n+1)/(4n))^n [Pa s^n] (Rabinowitsch correction of a power law).
    """
    k, n = arrays(apparent_consistency, exponent)
    return finish(np.asarray(k / ((3.0 * n + 1.0) / (4.0 * n)) ** n))


def arrhenius_fit(temperature: ArrayLike, values: ArrayLike) -> ArrheniusLaw:
    """Least squares of ln(value) on 1/T, equal weights.

    Parameters
    ----------
    temperature : array_like, shape (m,)
        [K]
    values : array_like, shape (m,)
        Viscosity [Pa s], consistency [Pa s^n] or yield stress [Pa], above zero.

    Returns
    -------
    ArrheniusLaw
        Energy [J/mol], and the value at the mean inverse temperature of the points.

    Raises
    ------
    FitError
        If there are fewer than two points or temperatures, or a value is not above zero.
    """
    t, log_value = _logarithms(temperature, values)
    slope, middle = _line(1.0 / t, log_value)
    return ArrheniusLaw(slope * GAS_CONSTANT, math.exp(middle), float(1.0 / np.mean(1.0 / t)))
