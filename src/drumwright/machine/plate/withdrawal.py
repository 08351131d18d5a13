"""Raising the plate out of the emptied container: force, air that must come in, and what that air can do."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Array = NDArray[np.float64]
DISCHARGE = 0.6  # coefficient of a sharp hole (physics book 3)
AIR_DENSITY = 1.2  # [kg/m3] at atmospheric pressure and room temperature
AIR_CONSTANT, HEAT_RATIO = 287.05, 1.4  # [J/(kg K)], [-] of dry air, from memory
ROOM = 293.15  # [K]


def lift_parts(
    plate_mass: ArrayLike,
    friction: ArrayLike,
    suction: ArrayLike,
    adhesion: ArrayLike,
    area: ArrayLike,
    atmosphere: ArrayLike,
) -> dict[str, Array]:
    """Parts of the force that raises the plate [N]: weight, seal friction, suction, adhesion.

    Parameters
    ----------
    plate_mass : array_like
        Of the plate and all that rides on it [kg].
    friction : array_like
        Of the seal on the wall [N].
    suction : array_like
        Atmospheric less pressure of the air under the plate [Pa].
    adhesion : array_like
        Force of the product between plate and bottom, `squeeze.squeeze_force` [N].
    area : array_like
        Of the plate [m2].
    atmosphere : array_like
        Atmospheric pressure [Pa].

    Notes
    -----
    F_lift = W + F_seal + (p_atm - p_under) A + F_adh (physics book 3). Suction and adhesion together cannot
    pull harder than the atmosphere presses, p_atm A: the product lets go there (cavitation).
    """
    most = np.asarray(atmosphere, float) * np.asarray(area)
    pulled = np.minimum(np.maximum(np.asarray(suction, float), 0.0) * np.asarray(area), most)
    return {
        "weight": np.asarray(np.asarray(plate_mass, float) * GRAVITY),
        "seal_friction": np.asarray(friction, float),
        "suction": np.asarray(pulled),
        "adhesion": np.asarray(np.minimum(np.asarray(adhesion, float), most - pulled)),
    }


def least_pressure(held_mass: ArrayLike, hold_down: ArrayLike, friction: ArrayLike, area: ArrayLike) -> Array:
    """Gauge pressure under the plate below which the container lifts [Pa(g)]; negative: that much suction.

    Parameters
    ----------
    held_mass : array_like
        Tare and product still inside [kg].
    hold_down, friction : array_like
        Force that holds the container down, and friction of the seal that pulls it up [N].
    area : array_like
        Of the section at the plate [m2].

    Notes
    -----
    (F_seal - m g - F_hold)/A, the zero of `strength.floor_force`.
    """
    weight = np.asarray(held_mass, float) * GRAVITY + np.asarray(hold_down)
    return np.asarray((np.asarray(friction) - weight) / np.asarray(area))


def vent_bore(
    lift_speed: ArrayLike, area: ArrayLike, suction: ArrayLike, coefficient: float = DISCHARGE
) -> Array:
    """Bore of a hole [m] through which enough air comes in by itself.

    Parameters
    ----------
    lift_speed : array_like
        Of the plate [m/s].
    area : array_like
        Of the plate [m2].
    suction : array_like
        That may stand under the plate [Pa].
    coefficient : float
        Discharge coefficient of the hole [-].

    Notes
    -----
    d = 2 sqrt(A v/(Cd pi sqrt(2 dp/rho))) (physics book 3), incompressible: suction of some kPa at most.
    """
    speed = np.sqrt(2.0 * np.asarray(suction, float) / AIR_DENSITY)
    flow = np.asarray(area) * np.asarray(lift_speed)
    return np.asarray(2.0 * np.sqrt(flow / (coefficient * math.pi * speed)))


def choked_flow(
    bore: ArrayLike, supply_absolute: ArrayLike, coefficient: float = DISCHARGE, temperature: float = ROOM
) -> Array:
    """Compressed air through an orifice at the speed of sound [m3/s], volume at atmospheric pressure.

    Parameters
    ----------
    bore : array_like
        Of the orifice [m].
    supply_absolute : array_like
        Absolute pressure before it [Pa], more than about twice that behind it.
    coefficient : float
        Discharge coefficient [-].
    temperature : float
        Of the air [K].

    Notes
    -----
    m = Cd A p0 sqrt(k/(R T)) (2/(k+1))^((k+1)/(2(k-1))), ideal gas.
    """
    power = (HEAT_RATIO + 1.0) / (2.0 * (HEAT_RATIO - 1.0))
    factor = math.sqrt(HEAT_RATIO / (AIR_CONSTANT * temperature)) * (2.0 / (HEAT_RATIO + 1.0)) ** power
    section = 0.25 * math.pi * np.square(bore)
    return np.asarray(coefficient * section * np.asarray(supply_absolute) * factor / AIR_DENSITY)


def assist_orifice(
    lift_speed: ArrayLike, area: ArrayLike, supply_absolute: ArrayLike, coefficient: float = DISCHARGE
) -> Array:
    """Bore of the orifice [m] that feeds the air for a lifting speed: the inverse of `choked_flow`.

    Parameters
    ----------
    lift_speed : array_like
        Of the plate [m/s].
    area : array_like
        Of the plate [m2].
    supply_absolute : array_like
        Absolute pressure of the supply [Pa].
    coefficient : float
        Discharge coefficient [-].
    """
    flow = np.asarray(area, float) * np.asarray(lift_speed)
    return np.asarray(np.sqrt(flow / choked_flow(1.0, supply_absolute, coefficient)))


def assist_air(volume: ArrayLike, pressure: ArrayLike, atmosphere: ArrayLike) -> Array:
    """Free air that fills the emptied container under the plate [m3 at atmospheric pressure].

    Parameters
    ----------
    volume : array_like
        Swept by the plate [m3].
    pressure : array_like
        Of the assist air [Pa(g)].
    atmosphere : array_like
        Atmospheric pressure [Pa].
    """
    outside = np.asarray(atmosphere, float)
    return np.asarray(np.asarray(volume) * (outside + np.asarray(pressure)) / outside)


def raise_time(stroke: ArrayLike, drive_speed: ArrayLike, air_flow: ArrayLike, area: ArrayLike) -> Array:
    """Time to raise the plate [s]: stroke over the lesser of drive speed and air over area.

    Parameters
    ----------
    stroke : array_like
        Way of the plate in the container [m].
    drive_speed : array_like
        Of the lift [m/s].
    air_flow : array_like
        That comes in under the plate [m3/s].
    area : array_like
        Of the plate [m2].

    Notes
    -----
    Trade book 2.1.
    """
    allowed = np.asarray(air_flow, float) / np.asarray(area)
    return np.asarray(np.asarray(stroke) / np.minimum(np.asarray(drive_speed), allowed))


def up_thrust(pressure: ArrayLike, area: ArrayLike) -> Array:
    """Force of the air under the plate on plate and lift, upwards [N].

    Parameters
    ----------
    pressure : array_like
        Under the plate [Pa(g)].
    area : array_like
        Of the plate [m2].
    """
    return np.asarray(np.asarray(pressure) * np.asarray(area))


def moves_by_itself(
    plate_mass: ArrayLike, friction: ArrayLike, held_force: ArrayLike, area: ArrayLike
) -> Array:
    """Pressure of the air under the plate from which it rises without the lift [Pa(g)].

    Parameters
    ----------
    plate_mass : array_like
        Of the plate and all that rides on it [kg].
    friction, held_force : array_like
        Friction of the seal, and force with which the lift holds the plate down [N].
    area : array_like
        Of the plate [m2].
    """
    held = np.asarray(plate_mass, float) * GRAVITY + np.asarray(friction) + np.asarray(held_force)
    return np.asarray(held / np.asarray(area))


def stored_energy(pressure: ArrayLike, volume: ArrayLike) -> Array:
    """Energy of the assist air [J], about p V at small gauge pressures (physics book 3).

    Parameters
    ----------
    pressure : array_like
        Under the plate [Pa(g)].
    volume : array_like
        Of the air [m3].
    """
    return np.asarray(np.asarray(pressure) * np.asarray(volume))


def plug_pressure(static_yield_stress: ArrayLike, length: ArrayLike, bore: ArrayLike) -> Array:
    """Pressure that pushes a plug of product out of a vent [Pa]: 4 tau_s L/d (physics book 3).

    Parameters
    ----------
    static_yield_stress : array_like
        Of the product at rest [Pa].
    length, bore : array_like
        Of the vent [m].
    """
    return np.asarray(4.0 * np.asarray(static_yield_stress) * np.asarray(length) / np.asarray(bore))


def crush_margin(pump_suction: ArrayLike, collapse: ArrayLike) -> Array:
    """What the container bears beyond the pump's suction if the plate sticks [Pa]; it implodes below zero.

    Parameters
    ----------
    pump_suction : array_like
        Greatest suction of the pump below atmosphere [Pa].
    collapse : array_like
        Collapse pressure of the container after the knock-down [Pa].

    Notes
    -----
    A plate that no longer follows leaves the whole suction to the wall above the product and the bottom
    (physics book 3); a fault while emptying too.
    """
    return np.asarray(np.asarray(collapse) - np.asarray(pump_suction))
