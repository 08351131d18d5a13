"""Laminar pipe flow of a Casson product: sqrt(tau) = sqrt(tau_c) + sqrt(mu_c g)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Array, Number, arrays, finish, require_not_negative, require_positive

STEPS = 3  # relative error 1e-15 over w = 1e-8 to 1e6


def _poly(z: Array) -> tuple[Array, Array]:
    """Return 21+15z+10z^2+6z^3+3z^4+z^5 and its derivative."""
    value = 21.0 + z * (15.0 + z * (10.0 + z * (6.0 + z * (3.0 + z))))
    slope = 15.0 + z * (20.0 + z * (18.0 + z * (12.0 + z * 5.0)))
    return value, slope


def _check(diameter: Array, yield_stress: Array, viscosity: Array) -> None:
    require_positive("diameter", diameter)
    require_not_negative("yield stress", yield_stress)
    require_positive("Casson viscosity", viscosity)


def flow_from_wall_stress(
    wall_stress: ArrayLike, diameter: ArrayLike, yield_stress: ArrayLike, viscosity: ArrayLike
) -> Number:
    """Laminar flow of a Casson product in a pipe at a wall shear stress.

    Parameters
    ----------
    wall_stress : float or ndarray
        Shear stress at the wall [Pa].
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, viscosity : float or ndarray
        Casson yield stress [Pa] and Casson viscosity [Pa s].

    Returns
    -------
    float or ndarray
        Volume flow [m3/s]; zero at and below yield.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Q = (pi R^3 tau_w/(4 mu_c)) (1 - 16/7 z + 4/3 z^2 - z^8/21), z = sqrt(tau_c/tau_w) (standard closed form).
    The bracket is evaluated as (1-z)^3 (21+15z+10z^2+6z^3+3z^4+z^5)/21, which does not cancel near yield.
    """
    tau_w, bore, tau_c, mu = arrays(wall_stress, diameter, yield_stress, viscosity)
    require_not_negative("wall stress", tau_w)
    _check(bore, tau_c, mu)
    z = np.sqrt(np.minimum(tau_c / np.where(tau_w > 0.0, tau_w, 1.0), 1.0))
    return finish(np.pi * bore**3 / 32.0 * tau_w / mu * (1.0 - z) ** 3 * _poly(z)[0] / 21.0)


def wall_stress(
    flow_rate: ArrayLike, diameter: ArrayLike, yield_stress: ArrayLike, viscosity: ArrayLike
) -> Number:
    """Wall shear stress of a Casson product in laminar pipe flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s]; zero gives the yield stress.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, viscosity : float or ndarray
        Casson yield stress [Pa] and Casson viscosity [Pa s].

    Returns
    -------
    float or ndarray
        Shear stress at the wall [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Fixed Newton steps in the logarithm of w = sqrt(tau_w/tau_c) - 1; s = w^3 P(1/(1+w))/(21 (1+w)) with s the
    Newtonian wall stress over tau_c.
    """
    flow, bore, tau_c, mu = arrays(flow_rate, diameter, yield_stress, viscosity)
    require_not_negative("flow", flow)
    _check(bore, tau_c, mu)
    newtonian = 32.0 * mu * flow / (np.pi * bore**3)
    plain = tau_c <= 1e-24 * newtonian
    s = np.maximum(np.where(plain, 1.0, newtonian / np.where(plain, 1.0, tau_c)), 1e-280)
    low = np.cbrt(0.375 * s)
    w = np.sqrt(s) + low / (1.0 + 7.0 * low)
    for _ in range(STEPS):
        z = 1.0 / (1.0 + w)
        value, slope = _poly(z)
        miss = s / (w**3 * z * value / 21.0) - 1.0
        q = 1.0 / (3.0 - w * z - w * z * z * slope / value)
        w = w * (1.0 + 0.5 * (q + 1.0) * miss) / (1.0 + 0.5 * (1.0 - q) * miss)
    return finish(np.where(plain, newtonian, tau_c * (1.0 + w) ** 2))


def pressure_drop(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    yield_stress: ArrayLike,
    viscosity: ArrayLike,
) -> Number:
    """Friction pressure of a Casson product in laminar pipe flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s].
    diameter, length : float or ndarray
        Inside diameter and length [m].
    yield_stress, viscosity : float or ndarray
        Casson yield stress [Pa] and Casson viscosity [Pa s].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    long, bore = arrays(length, diameter)
    return finish(4.0 * long / bore * np.asarray(wall_stress(flow_rate, bore, yield_stress, viscosity)))


def flow_rate(
    pressure_drop: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    yield_stress: ArrayLike,
    viscosity: ArrayLike,
) -> Number:
    """Laminar flow of a Casson product at a friction pressure.

    Parameters
    ----------
    pressure_drop : float or ndarray
        Pressure difference [Pa].
    diameter, length : float or ndarray
        Inside diameter and length [m], more than zero.
    yield_stress, viscosity : float or ndarray
        Casson yield stress [Pa] and Casson viscosity [Pa s].

    Returns
    -------
    float or ndarray
        Volume flow [m3/s].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    pressure, bore, long = arrays(pressure_drop, diameter, length)
    require_positive("length", long)
    return flow_from_wall_stress(0.25 * pressure * bore / long, bore, yield_stress, viscosity)
