"""Progressing cavity pump: displacement, slip, filling, torque (physics book 4.1-4.5 with section 14).

Symbols: e eccentricity, D rotor diameter, Ps stator pitch, n speed [1/s], z stages.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import flow_rate, pressure_drop
from drumwright.flow.slot import flow_per_width
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
DISCHARGE_COEFFICIENT = 0.6  # of the orifice cap on slip; from memory


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


def slip(
    stage_pressure: ArrayLike,
    clearance: ArrayLike,
    seal_length: ArrayLike,
    line_length: float,
    density: ArrayLike,
    law: FlowLaw,
    floor_viscosity: ArrayLike,
) -> Array:
    """Leakage back through the seal lines [m3/s].

    Parameters
    ----------
    stage_pressure : array_like
        Pressure over one stage [Pa].
    clearance, seal_length : array_like
        Gap and its length in flow direction [m].
    line_length : float
        Seal line of a stage [m].
    density : array_like
        [kg/m3]
    law : FlowLaw
        Flow curve of the product; evaluated at the shear rate of the gap.
    floor_viscosity : array_like
        Least viscosity at that shear rate [Pa s].

    Notes
    -----
    Laminar slot with tau_w = dp c / (2 b_s), the stress at least eta_inf times the shear rate, and never
    more than the orifice C_d c L sqrt(2 dp / rho) (physics book 4.3, C2). The floor is taken as the
    smaller of the two slot flows, an upper bound of the exact one.
    """
    pressure = np.maximum(np.asarray(stage_pressure), 0.0)
    gap = np.asarray(clearance)
    stress = pressure * gap / (2.0 * np.asarray(seal_length))
    laminar = flow_per_width(stress, gap, law.yield_stress, law.consistency, law.exponent)
    floored = flow_per_width(stress, gap, 0.0, floor_viscosity, 1.0)
    orifice = DISCHARGE_COEFFICIENT * gap * np.sqrt(2.0 * pressure / np.asarray(density))
    return np.asarray(np.minimum(np.minimum(laminar, floored), orifice) * line_length)


def _factor_for(law: FlowLaw, factor: ArrayLike) -> Array:
    """Filling factor of this product from the Newtonian one: k_f^((1+n)/2)."""
    return np.asarray(np.asarray(factor) ** (0.5 * (1.0 + np.asarray(law.exponent))))


def filling_loss(
    speed: ArrayLike,
    eccentricity: float,
    rotor_diameter: float,
    stator_pitch: float,
    law: FlowLaw,
    factor: ArrayLike,
) -> Array:
    """Pressure [Pa] the product needs to follow into the opening cavity at a speed [1/s].

    Parameters
    ----------
    speed : array_like
        [1/s]
    eccentricity, rotor_diameter, stator_pitch : float
        Eccentricity of the rotor axis, rotor diameter and pitch of the stator [m].
    law : FlowLaw
        Product at the temperature of the pump.
    factor : array_like
        Filling factor k_f of a Newtonian product [-].

    Notes
    -----
    k_f^((1+n)/2) times the pipe loss over one pitch at the hydraulic diameter and axial speed Ps n (physics
    book 4.4). k_f is the factor of a Newtonian product; a loss goes with d^-(1+n), so a yield-stress or
    shear-thinning product sees less of it: 1/1.3/1.6 for the yield part at 1/1.7/2.6 (14.1 C3).
    """
    d_h = hydraulic_diameter(eccentricity, rotor_diameter)
    flow = stator_pitch * np.asarray(speed) * 0.25 * math.pi * d_h**2
    loss = pressure_drop(flow, d_h, stator_pitch, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(_factor_for(law, factor) * np.asarray(loss))


def filling_speed(
    available: ArrayLike,
    eccentricity: float,
    rotor_diameter: float,
    stator_pitch: float,
    law: FlowLaw,
    factor: ArrayLike,
) -> Array:
    """Speed [1/s] above which the cavity no longer fills with this much pressure available [Pa].

    Parameters
    ----------
    available : array_like
        Pressure at the inlet above what the product must keep [Pa]; below zero counts as none.
    eccentricity, rotor_diameter, stator_pitch : float
        Eccentricity of the rotor axis, rotor diameter and pitch of the stator [m].
    law : FlowLaw
        Product at the temperature of the pump.
    factor : array_like
        Filling factor k_f of a Newtonian product [-], as in `filling_loss`.
    """
    d_h = hydraulic_diameter(eccentricity, rotor_diameter)
    pressure = np.maximum(np.asarray(available), 0.0) / _factor_for(law, factor)
    flow = flow_rate(pressure, d_h, stator_pitch, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(flow) / (0.25 * math.pi * d_h**2 * stator_pitch)


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
