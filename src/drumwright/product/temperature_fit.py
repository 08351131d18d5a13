"""Which law of temperature a series of measurements follows: Arrhenius, or Vogel, Fulcher and Tammann."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FitError
from drumwright.flow.numbers import Array, Number, arrays, finish
from drumwright.product.regression import GAS_CONSTANT

LEAST_FOR_VFT = 4  # temperatures
GRID = 400
MARGIN = 4.0  # difference of Akaike's number that the richer law must bring, assumed


@dataclass(frozen=True, slots=True)
class TemperatureLaw:
    """ln(value) = a + b / (T - t0); `t0` is 0 for Arrhenius.

    Parameters
    ----------
    name : str
        "arrhenius" or "vft".
    a, b, t0 : float
        Constants; b and t0 in kelvin.
    rms : float
        Root mean square of the residuals of ln(value) [-].
    low, high : float
        Range of temperatures measured [K].
    """

    name: Literal["arrhenius", "vft"]
    a: float
    b: float
    t0: float
    rms: float
    low: float
    high: float

    def at(self, temperature: ArrayLike) -> Number:
        """Return the value at a temperature [K] above `t0`; infinite at `t0` and below."""
        (t,) = arrays(temperature)
        above = t - self.t0
        with np.errstate(over="ignore", divide="ignore"):
            return finish(np.where(above > 0.0, np.exp(self.a + self.b / np.maximum(above, 1e-9)), np.inf))

    def energy_at(self, temperature: ArrayLike) -> Number:
        """Return the local activation energy [J/mol] at a temperature [K] above `t0`."""
        (t,) = arrays(temperature)
        return finish(np.asarray(GAS_CONSTANT * self.b * (t / (t - self.t0)) ** 2))

    def beyond(self, temperature: ArrayLike) -> Number:
        """Return how far a temperature [K] lies outside the measured range [K]; 0 inside."""
        (t,) = arrays(temperature)
        return finish(np.maximum(np.maximum(self.low - t, t - self.high), 0.0))


def temperature_law(temperature: ArrayLike, values: ArrayLike) -> TemperatureLaw:
    """Fit a law of temperature.

    Parameters
    ----------
    temperature : array_like, shape (m,)
        [K], at least two different ones.
    values : array_like, shape (m,)
        Viscosity [Pa s], consistency [Pa s^n] or yield stress [Pa], above zero.

    Returns
    -------
    TemperatureLaw
        Arrhenius, or VFT from four temperatures on where Akaike's number is lower by four.

    Raises
    ------
    FitError
        If there are fewer than two temperatures, or a value is not above zero.

    Notes
    -----
    Least squares of ln(value). For a fixed t0 the law is linear, so only t0 is searched, below the coldest
    point and above 0 K (0 is Arrhenius).
    """
    t, v = arrays(temperature, values)
    if t.ndim != 1 or t.shape != v.shape or np.unique(t).size < 2 or min(t.min(), v.min()) <= 0.0:
        raise FitError(
            "no series over temperature; allowed: values above zero at two temperatures or more; "
            "do: measure at another temperature"
        )
    y, low, high = np.log(v), float(t.min()), float(t.max())
    plain = _line(t, y, 0.0)
    arrhenius = TemperatureLaw("arrhenius", plain[0], plain[1], 0.0, plain[2], low, high)
    if np.unique(t).size < LEAST_FOR_VFT:
        return arrhenius
    t0 = _search(t, y, low)
    a, b, rms = _line(t, y, t0)
    better = _score(rms, t.size, 3) < _score(plain[2], t.size, 2) - MARGIN
    return TemperatureLaw("vft", a, b, t0, rms, low, high) if better and b > 0.0 else arrhenius


def _line(t: Array, y: Array, t0: float) -> tuple[float, float, float]:
    """Intercept, slope and root mean square of y over 1/(T - t0)."""
    x = 1.0 / (t - t0)
    centred = x - x.mean()
    slope = float(centred @ y / (centred @ centred))
    intercept = float(y.mean() - slope * x.mean())
    return intercept, slope, float(np.sqrt(np.mean((intercept + slope * x - y) ** 2)))


def _search(t: Array, y: Array, coldest: float) -> float:
    low, high = 0.0, coldest - 2.0
    for _ in range(5):
        grid = np.linspace(low, high, GRID)
        best = int(np.argmin([_line(t, y, float(t0))[2] for t0 in grid]))
        low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, GRID - 1)])
    return float(grid[best])


def _score(rms: float, points: int, parameters: int) -> float:
    """Akaike's number; four points leave none to spare for the small-sample form."""
    return 2.0 * points * math.log(max(rms, 1e-6)) + 2.0 * parameters
