"""Progressing cavity pump: displacement, cavity, sliding, torque (physics book 4.1-4.5 with section 14).

Symbols: e eccentricity, D rotor diameter, Ps stator pitch, n speed [1/s], z stages.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


def displacement(eccentricity: float, rotor_diameter: float, stator_pitch: float) -> float:
    """Volume a revolution [m3]: V = 4 e D Ps (Moineau geometry; e is the eccentricity of the rotor axis).

    Parameters
    ----------
    eccentricity, rotor_diameter, stator_pitch : float
        Eccentricity of the rotor axis, rotor diameter and pitch of the stator [m].
    """
    return 4.0 * eccentricity * rotor_diameter * stator_pitch


def free_passage(eccentricity: float, rotor_diameter: float) -> float:
    """Largest ball [m] that fits the cavity with the rotor at mid slot: min(2 e, D).

    Parameters
    ----------
    eccentricity, rotor_diameter : float
        Eccentricity of the rotor axis and rotor diameter [m].

    Notes
    -----
    Geometry of the slot; twice this passes with the rotor at the end of the slot, but every piece meets
    the mid position once a turn.
    """
    return min(2.0 * eccentricity, rotor_diameter)


def hydraulic_diameter(eccentricity: float, rotor_diameter: float) -> float:
    """Hydraulic diameter of the cavity [m] with the rotor at the end of the slot: 16 e D / (8 e + pi D).

    Parameters
    ----------
    eccentricity, rotor_diameter : float
        Eccentricity of the rotor axis and rotor diameter [m].

    Notes
    -----
    At mid slot it is 16 e D / (8 e + 2 pi D), about 0.62 of it; the filling factor (1 to 2.6) covers the
    difference (physics book 14.1 C3).
    """
    e, d = eccentricity, rotor_diameter
    return 16.0 * e * d / (8.0 * e + math.pi * d)


def seal_line_per_stage(eccentricity: float, rotor_diameter: float, stator_pitch: float) -> float:
    """Length of seal line a stage [m]: 2 sqrt(Ps^2 + (2 pi (D/2 + 2 e))^2) (physics book 4.3).

    Parameters
    ----------
    eccentricity, rotor_diameter, stator_pitch : float
        Eccentricity of the rotor axis, rotor diameter and pitch of the stator [m].
    """
    around = 2.0 * math.pi * (0.5 * rotor_diameter + 2.0 * eccentricity)
    return 2.0 * math.hypot(stator_pitch, around)


def sliding_speed(speed: ArrayLike, eccentricity: float, rotor_diameter: float) -> Array:
    """Sliding speed in the seal lines [m/s]: pi (D + 2 e) n (physics book 4.4).

    Parameters
    ----------
    speed : array_like
        [1/s]
    eccentricity, rotor_diameter : float
        Eccentricity of the rotor axis and rotor diameter [m].
    """
    return math.pi * (rotor_diameter + 2.0 * eccentricity) * np.asarray(speed)


def hydraulic_torque(volume: float, pressure: ArrayLike) -> Array:
    """Torque [N m] of the pressure: V dp / (2 pi).

    Parameters
    ----------
    volume : float
        Displacement a revolution [m3].
    pressure : array_like
        Pressure the pump adds [Pa].
    """
    return volume * np.asarray(pressure) / (2.0 * math.pi)


def interference_torque(volume: float, rated_pressure: float, share: ArrayLike) -> Array:
    """Torque [N m] of the press fit: phi V p_rated / (2 pi) (physics book 4.5, estimate).

    Parameters
    ----------
    volume : float
        Displacement a revolution [m3].
    rated_pressure : float
        Pressure the press fit is made for [Pa].
    share : array_like
        Friction as a share phi of the torque at rated pressure [-].
    """
    return np.asarray(share) * volume * rated_pressure / (2.0 * math.pi)


def drag_torque(
    speed: ArrayLike,
    eccentricity: float,
    rotor_diameter: float,
    stator_pitch: float,
    stages: int,
    seal_length: ArrayLike,
    film: ArrayLike,
    law: FlowLaw,
) -> Array:
    """Torque [N m] of shearing product in cavities and seal lines, isothermal (an upper estimate, A7).

    Parameters
    ----------
    speed : array_like
        [1/s]
    eccentricity, rotor_diameter, stator_pitch : float
        Eccentricity of the rotor axis, rotor diameter and pitch of the stator [m].
    stages : int
        Number of stages.
    seal_length : array_like
        Length b_s of a seal line in flow direction [m].
    film : array_like
        Thickness of the film that is sheared in the seal lines [m].
    law : FlowLaw
        Product at the temperature of the pump.

    Notes
    -----
    T_v = [tau(g_c) pi D z Ps + tau(g_l) b_s 2 z L_l/2] D/2, g_c = v_s/(2 e), g_l = v_s/film
    (physics book 4.5).
    """
    v_s = sliding_speed(speed, eccentricity, rotor_diameter)
    cavity = law.stress(v_s / (2.0 * eccentricity)) * math.pi * rotor_diameter * stages * stator_pitch
    length = stages * seal_line_per_stage(eccentricity, rotor_diameter, stator_pitch)
    lines = law.stress(v_s / np.asarray(film)) * np.asarray(seal_length) * length
    return np.asarray((cavity + lines) * 0.5 * rotor_diameter)


def stall_pressure(motor_torque: ArrayLike, friction_torque: ArrayLike, volume: float) -> Array:
    """Pressure [Pa] at which the motor stalls on a closed line: 2 pi (T - T_f) / V.

    Parameters
    ----------
    motor_torque : array_like
        Greatest torque T of the drive at the pump shaft [N m].
    friction_torque : array_like
        Of it lost to the press fit, T_f [N m].
    volume : float
        Displacement a revolution [m3].

    Notes
    -----
    Motor overload protection is no pressure protection (physics book 4.5).
    """
    return np.asarray(
        2.0 * math.pi * np.maximum(np.asarray(motor_torque) - np.asarray(friction_torque), 0.0) / volume
    )
