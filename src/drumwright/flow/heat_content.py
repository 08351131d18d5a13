"""Heat a product holds and passes at each temperature, with a band in which it freezes or crystallises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.numbers import Array

LOWEST, HIGHEST = 150.0, 600.0  # ends of the table [K]; no product comes near
LEAST_WIDTH = 0.01  # [K]


@dataclass(frozen=True, slots=True)
class HeatContent:
    """Temperature, conductivity and their integrals as broken lines over the heat held.

    Parameters
    ----------
    heats : ndarray
        Heat per volume at the corners [J/m3], rising.
    temperatures : ndarray
        At the corners [K].
    potentials : ndarray
        Integral of the conductivity over temperature at the corners [W/m].
    solid, liquid : float
        Heat per volume [J/m3] at which the last is frozen and the last is melted; equal without a band.
    """

    heats: Array
    temperatures: Array
    potentials: Array
    solid: float
    liquid: float

    def heat(self, temperature: Array | float) -> Array:
        """Return the heat held [J/m3] at a temperature [K]."""
        return np.asarray(np.interp(temperature, self.temperatures, self.heats))

    def temperature(self, heat: Array | float) -> Array:
        """Return the temperature [K] of a heat held [J/m3]."""
        return np.asarray(np.interp(heat, self.heats, self.temperatures))

    def potential(self, heat: Array | float) -> Array:
        """Return the integral of the conductivity [W/m] at a heat held [J/m3]."""
        return np.asarray(np.interp(heat, self.heats, self.potentials))

    def frozen_share(self, heat: Array | float) -> Array:
        """Return the share [-] of the latent heat that is still missing at a heat held [J/m3]."""
        if self.liquid <= self.solid:
            return np.zeros_like(np.asarray(heat, dtype=np.float64))
        return np.clip((self.liquid - np.asarray(heat)) / (self.liquid - self.solid), 0.0, 1.0)

    def slopes(self) -> tuple[Array, Array]:
        """Return d(potential)/d(heat) [m2/s] and dT/d(heat) [K m3/J] of each piece of the line."""
        rise = np.diff(self.heats)
        return np.diff(self.potentials) / rise, np.diff(self.temperatures) / rise

    def conductivities(self) -> Array:
        """Return the conductivity [W/(m K)] of each piece of the line."""
        return np.asarray(np.diff(self.potentials) / np.diff(self.temperatures))


def sensible(heat_per_volume: float, conductivity: float) -> HeatContent:
    """Heat content of a product that neither freezes nor melts.

    Parameters
    ----------
    heat_per_volume : float
        Density times heat capacity [J/(m3 K)].
    conductivity : float
        [W/(m K)].
    """
    ends = np.array([LOWEST, HIGHEST])
    return HeatContent(ends * heat_per_volume, ends, ends * conductivity, 0.0, 0.0)


def freezing(
    heat_per_volume: float,
    conductivity: float,
    latent_per_volume: float,
    freezes_at: float,
    width: float,
    frozen_heat_per_volume: float | None = None,
    frozen_conductivity: float | None = None,
) -> HeatContent:
    """Heat content of a product that melts over a band of temperature.

    Parameters
    ----------
    heat_per_volume, conductivity : float
        Above the band [J/(m3 K)], [W/(m K)].
    latent_per_volume : float
        Density times latent heat [J/m3], zero or more.
    freezes_at : float
        Upper end of the band [K].
    width : float
        Of the band [K]; the latent heat is spread over it evenly.
    frozen_heat_per_volume, frozen_conductivity : float or None
        Below the band [J/(m3 K)], [W/(m K)]; None takes the values above.

    Raises
    ------
    FlowOutOfRange
        If the band is narrower than 0.01 K or does not fit into the table.
    """
    if width < LEAST_WIDTH or not LOWEST < freezes_at - width < freezes_at < HIGHEST:
        raise FlowOutOfRange(f"a freezing band of {width:g} K below {freezes_at:g} K cannot be followed")
    cold_heat = heat_per_volume if frozen_heat_per_volume is None else frozen_heat_per_volume
    cold_k = conductivity if frozen_conductivity is None else frozen_conductivity
    corners = np.array([LOWEST, freezes_at - width, freezes_at, HIGHEST])
    step = np.diff(corners)
    in_band = 0.5 * (cold_heat + heat_per_volume) * width + latent_per_volume
    heats = np.cumsum([0.0, cold_heat * step[0], in_band, heat_per_volume * step[2]])
    in_band_potential = 0.5 * (cold_k + conductivity) * width
    potentials = np.cumsum([0.0, cold_k * step[0], in_band_potential, conductivity * step[2]])
    return HeatContent(heats, corners, potentials, float(heats[1]), float(heats[2]))
