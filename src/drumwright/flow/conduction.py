"""Heat conducted into or out of a full container: a cylinder in air or a bath of constant temperature.

All results are the share that remains of the first difference between product and surroundings; the product
of cylinder and slab is exact (physics book 7). Nothing moves, melts or sets inside.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Array, Number, arrays, finish, require_not_negative, require_positive
from drumwright.flow.series import LEAST_FOURIER, Mean, Series, cylinder_series, slab_series
from drumwright.flow.slab_roots import slab_root

Place: TypeAlias = Literal["core", "mean", "wall", "edge"]
PLACES: tuple[Place, ...] = ("core", "mean", "wall", "edge")
SHARES_OF_RADIUS: dict[Place, float | Mean] = {"core": 0.0, "mean": "mean", "wall": 1.0, "edge": 1.0}
STEPS = 60  # at most, of the search for a time
CLOSE = 1e-10
UNTOUCHED = 0.01  # Fourier number up to which the core keeps its temperature: erfc(5) = 2e-12


@dataclass(frozen=True, slots=True)
class Cylinder:
    """A standing cylinder of product and how its three surfaces pass heat; arrays hold one drum per sample.

    Parameters
    ----------
    radius, height : float or ndarray
        [m], above zero.
    conductivity : float or ndarray
        [W/(m K)], above zero.
    heat_per_volume : float or ndarray
        Density times heat capacity [J/(m3 K)], above zero.
    side, bottom, top : float or ndarray
        Surface coefficients [W/(m2 K)], zero (insulated) or more; infinite is not allowed, 1e6 is as good.
    """

    radius: Number
    height: Number
    conductivity: Number
    heat_per_volume: Number
    side: Number
    bottom: Number
    top: Number

    @property
    def diffusivity(self) -> Array:
        """Conductivity over heat per volume [m2/s]."""
        k, heat = arrays(self.conductivity, self.heat_per_volume)
        return np.asarray(k / heat)

    @property
    def biot_numbers(self) -> tuple[Array, Array, Array]:
        """h R/k of the side, h H/k of bottom and top [-]."""
        radius, height, k, side, bottom, top = arrays(
            self.radius, self.height, self.conductivity, self.side, self.bottom, self.top
        )
        return side * radius / k, bottom * height / k, top * height / k

    @property
    def core_height(self) -> Array:
        """Height of the place that follows last, as a share of the fill height [-]; half if ends agree."""
        _, bottom, top = self.biot_numbers
        first = slab_root(0, bottom, top)
        return np.asarray(first.lower_phase / first.value)

    def fourier_numbers(self, time: Array) -> tuple[Array, Array]:
        """Return alpha t/R^2 and 4 alpha t/H^2 [-] at a time [s]."""
        reach = self.diffusivity * time
        return reach / np.asarray(self.radius) ** 2, 4.0 * reach / np.asarray(self.height) ** 2


def _require(cylinder: Cylinder) -> None:
    for name in ("radius", "height", "conductivity", "heat_per_volume"):
        require_positive(name.replace("_", " "), np.asarray(getattr(cylinder, name)))
    for name in ("side", "bottom", "top"):
        require_not_negative(f"surface coefficient of the {name}", np.asarray(getattr(cylinder, name)))


def _pair(cylinder: Cylinder, place: Place, least: tuple[float, float]) -> tuple[Series, Series]:
    """Series of the section and of the height."""
    side, bottom, top = cylinder.biot_numbers
    share = SHARES_OF_RADIUS[place]
    if place == "core":
        least = max(least[0], UNTOUCHED), max(least[1], UNTOUCHED)
    across: Array | Mean = "mean" if isinstance(share, str) else np.asarray(share)
    along: Array | Mean = "mean" if place == "mean" else cylinder.core_height
    if place == "edge":
        along = np.where(bottom >= top, 0.0, 1.0)
    return cylinder_series(side, across, least[0]), slab_series(bottom, top, along, least[1])


def _least(fourier: tuple[Array, Array]) -> tuple[float, float]:
    return float(fourier[0].min(initial=np.inf)), float(fourier[1].min(initial=np.inf))


def remaining(cylinder: Cylinder, time: ArrayLike, place: Place = "core") -> Number:
    """Share that remains of the first difference to the surroundings.

    Parameters
    ----------
    cylinder : Cylinder
        Product and surfaces, floats or one value per sample.
    time : array_like
        Since the start [s], zero or more; shape (m, 1) with samples of shape (n,) gives (m, n).
    place : str
        "core" (on the axis, at the height that follows last), "mean", "wall" (of the side at that height) or
        "edge" (of the side and the end with the greater coefficient, which follows first).

    Returns
    -------
    float or ndarray
        Remaining share [-]: 1 at the start, 0 when all is at the temperature of the surroundings.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    theta_cylinder(alpha t/R^2, h R/k) theta_slab(4 alpha t/H^2, h H/(2 k)), physics book 7; up to 60 roots.
    """
    _require(cylinder)
    seconds = np.asarray(time, dtype=np.float64)
    require_not_negative("time", seconds)
    fourier = cylinder.fourier_numbers(seconds)
    across, along = _pair(cylinder, place, _least(fourier))
    return finish(across.at(fourier[0]) * along.at(fourier[1]))


def remaining_at(cylinder: Cylinder, time: ArrayLike, radius: ArrayLike, height: ArrayLike) -> Number:
    """Remaining share at any point.

    Parameters
    ----------
    cylinder : Cylinder
        As in `remaining`.
    time : array_like
        [s], zero or more.
    radius, height : array_like
        Distance from the axis and from the bottom [m], inside the cylinder.
    """
    _require(cylinder)
    seconds, r, x = arrays(time, radius, height)
    fourier, (side, bottom, top) = cylinder.fourier_numbers(seconds), cylinder.biot_numbers
    least = _least(fourier)
    across = cylinder_series(side, np.asarray(r / cylinder.radius), least[0])
    along = slab_series(bottom, top, np.asarray(x / cylinder.height), least[1])
    return finish(across.at(fourier[0]) * along.at(fourier[1]))


def heat_share(cylinder: Cylinder, time: ArrayLike) -> Number:
    """Share [-] of the whole heat rho c V (T0 - T_surroundings) that has passed at a time [s].

    Parameters
    ----------
    cylinder : Cylinder
        As in `remaining`.
    time : array_like
        [s], zero or more.

    Notes
    -----
    Langston's superposition a + b (1 - a) of the shares of cylinder and slab, which is 1 less the mean.
    """
    return finish(1.0 - np.asarray(remaining(cylinder, time, "mean")))


def time_to(cylinder: Cylinder, share: ArrayLike, place: Place = "core") -> Number:
    """Time [s] after which a wanted share of the difference remains; inverse of `remaining`.

    Parameters
    ----------
    cylinder : Cylinder
        As in `remaining`.
    share : array_like
        Remaining share [-]; 1 and more give no time, 0 and less are never reached (infinite).
    place : str
        As in `remaining`.

    Notes
    -----
    The remaining share is at most exp(-rate t) with the rate of the first terms, times their factor where
    that is above 1; below this time Newton's steps on its logarithm are kept in a shrinking bracket.
    """
    _require(cylinder)
    wanted = np.asarray(share, dtype=np.float64)
    per_second = cylinder.fourier_numbers(np.asarray(1.0))
    across, along = _pair(cylinder, place, (LEAST_FOURIER, LEAST_FOURIER))
    goal = np.log(np.clip(wanted, 1e-12, 1.0))
    rate = across.rates[0] * per_second[0] + along.rates[0] * per_second[1]
    factor = np.log(np.maximum(across.weights[0] * along.weights[0], 1.0))
    high = np.array(np.broadcast_arrays((factor - goal) / rate, goal)[0], dtype=np.float64)

    def logarithm(seconds: Array) -> tuple[Array, Array]:
        first, first_slope = across.with_slope(per_second[0] * seconds)
        second, second_slope = along.with_slope(per_second[1] * seconds)
        slope = first_slope / first * per_second[0] + second_slope / second * per_second[1]
        return np.log(first * second) - goal, slope

    found = _falling_root(logarithm, high)
    return finish(np.where(wanted >= 1.0, 0.0, np.where(wanted <= 0.0, np.inf, found)))


def _falling_root(function: Callable[[Array], tuple[Array, Array]], high: Array) -> Array:
    """Root between 0 and `high` of a falling function that also gives its slope."""
    low, at = np.zeros_like(high), 0.9 * high
    for _ in range(STEPS):
        value, slope = function(at)
        above = value > 0.0
        low, high = np.where(above, at, low), np.where(above, high, at)
        step = at - value / np.minimum(slope, -1e-300)
        after = np.where((step > low) & (step < high), step, 0.5 * (low + high))
        done = bool(np.all(np.abs(after - at) <= CLOSE * high))
        at = after
        if done:
            break
    return at
