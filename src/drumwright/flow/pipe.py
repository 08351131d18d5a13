"""Laminar flow of a Herschel-Bulkley product in a pipe; Newtonian, power law and Bingham are special cases.

Stress law: tau = tau_y + K g^n for tau > tau_y, else g = 0 (g shear rate). All functions take floats or
arrays that broadcast, and return the same.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.inverse import PIPE, excess
from drumwright.flow.numbers import (
    Array,
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)


def flow_from_wall_stress(
    wall_stress: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Laminar flow of a Herschel-Bulkley product in a pipe at a wall shear stress.

    Parameters
    ----------
    wall_stress : float or ndarray
        Shear stress at the wall [Pa]; at or below the yield stress the flow is zero.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Volume flow [m3/s].

    Raises
    ------
    FlowOutOfRange
        If a stress is negative, a diameter or consistency not positive, or the exponent outside 0.05-2.5.

    Notes
    -----
    Q = pi R^3 n (tau_w/K)^(1/n) (1-phi)^(1+1/n) [(1-phi)^2/(3n+1) + 2 phi (1-phi)/(2n+1) + phi^2/(n+1)],
    phi = tau_y/tau_w. Standard result (physics book 5.1; form remembered, re-derived, and held against
    quadrature in the tests). Fully developed, laminar, isothermal, no slip at the wall.
    """
    tau_w, bore, tau_y, k, n = arrays(wall_stress, diameter, yield_stress, consistency, exponent)
    require_not_negative("wall stress", tau_w)
    require_positive("diameter", bore)
    require_law(tau_y, k, n)
    return finish(_flow(tau_w, bore, tau_y, k, n))


def _flow(tau_w: Array, bore: Array, tau_y: Array, k: Array, n: Array) -> Array:
    above = np.maximum(tau_w - tau_y, 0.0)
    safe = np.where(tau_w > 0.0, tau_w, 1.0)
    u, f = above / safe, np.minimum(tau_y / safe, 1.0)
    series = u * (u / (3.0 * n + 1.0) + 2.0 * f / (2.0 * n + 1.0)) + f * f / (n + 1.0)
    return np.asarray(0.125 * np.pi * bore**3 * n * (above / k) ** (1.0 / n) * u * series)


def _excess(flow: Array, bore: Array, tau_y: Array, k: Array, n: Array) -> Array:
    """Return the wall stress above yield [Pa], after checking the range."""
    require_not_negative("flow", flow)
    require_positive("diameter", bore)
    require_law(tau_y, k, n)
    viscous = k * ((3.0 * n + 1.0) / n * flow / (0.125 * np.pi * bore**3)) ** n
    return excess(PIPE, viscous, tau_y, n)


def wall_stress(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Wall shear stress of a Herschel-Bulkley product in laminar pipe flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s]; zero gives the yield stress.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Shear stress at the wall [Pa].

    Raises
    ------
    FlowOutOfRange
        If the flow is negative or another value out of its range.

    Notes
    -----
    Inverse of `flow_from_wall_stress` by a fixed number of Newton steps in logarithms
    (`drumwright.flow.inverse`): relative error below 1e-14 for exponents 0.05 to 2.5.
    """
    flow, bore, tau_y, k, n = arrays(flow_rate, diameter, yield_stress, consistency, exponent)
    return finish(tau_y + _excess(flow, bore, tau_y, k, n))


def pressure_drop(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Friction pressure of a Herschel-Bulkley product in laminar pipe flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s]; zero gives the pressure that yield alone holds.
    diameter, length : float or ndarray
        Inside diameter and length [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    dp = 4 tau_w L / D (force balance). Static head is not in it.
    """
    flow, bore, long, tau_y, k, n = arrays(flow_rate, diameter, length, yield_stress, consistency, exponent)
    require_not_negative("length", long)
    return finish(4.0 * long / bore * (tau_y + _excess(flow, bore, tau_y, k, n)))


def flow_rate(
    pressure_drop: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Laminar flow of a Herschel-Bulkley product at a friction pressure.

    Parameters
    ----------
    pressure_drop : float or ndarray
        Pressure difference [Pa]; at or below 4 tau_y L/D the flow is zero.
    diameter, length : float or ndarray
        Inside diameter and length [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Volume flow [m3/s].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range; the length must be positive here.
    """
    pressure, bore, long = arrays(pressure_drop, diameter, length)
    require_positive("length", long)
    return flow_from_wall_stress(0.25 * pressure * bore / long, bore, yield_stress, consistency, exponent)


def wall_shear_rate(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Shear rate at the wall of a pipe in laminar flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s].
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Shear rate [1/s]; zero at zero flow.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    flow, bore, tau_y, k, n = arrays(flow_rate, diameter, yield_stress, consistency, exponent)
    above = _excess(flow, bore, tau_y, k, n)
    return finish(np.asarray((above / k) ** (1.0 / n)))


def apparent_viscosity(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Stress over shear rate at the wall of a pipe in laminar flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s], more than zero.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Apparent viscosity at the wall [Pa s].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range; at rest no viscosity exists.
    """
    flow, bore, tau_y, k, n = arrays(flow_rate, diameter, yield_stress, consistency, exponent)
    require_positive("flow", flow)
    above = _excess(flow, bore, tau_y, k, n)
    return finish(np.asarray((tau_y + above) * (above / k) ** (-1.0 / n)))


def flow_slope(
    wall_stress: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Derivative of the laminar pipe flow to the wall stress.

    Parameters
    ----------
    wall_stress : float or ndarray
        Shear stress at the wall [Pa], more than zero.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        dQ/dtau_w [m3/(s Pa)]; zero at and below yield.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    dQ/dtau_w = (pi R^3 g_w - 3 Q)/tau_w, g_w the shear rate at the wall: Leibniz' rule on the flow integral.
    """
    tau_w, bore, tau_y, k, n = arrays(wall_stress, diameter, yield_stress, consistency, exponent)
    require_positive("wall stress", tau_w)
    require_positive("diameter", bore)
    require_law(tau_y, k, n)
    shear_rate = (np.maximum(tau_w - tau_y, 0.0) / k) ** (1.0 / n)
    return finish((0.125 * np.pi * bore**3 * shear_rate - 3.0 * _flow(tau_w, bore, tau_y, k, n)) / tau_w)


def centre_velocity(
    wall_stress: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Velocity on the axis of a pipe (of the plug, where there is one) in laminar flow.

    Parameters
    ----------
    wall_stress : float or ndarray
        Shear stress at the wall [Pa], more than zero.
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Velocity [m/s].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    u_c = R n/(n+1) (tau_w - tau_y)^(1+1/n) / (tau_w K^(1/n)): the integral of the shear rate over the radius.
    """
    tau_w, bore, tau_y, k, n = arrays(wall_stress, diameter, yield_stress, consistency, exponent)
    require_positive("wall stress", tau_w)
    require_positive("diameter", bore)
    require_law(tau_y, k, n)
    above = np.maximum(tau_w - tau_y, 0.0)
    return finish(0.5 * bore * n / (n + 1.0) * (above / k) ** (1.0 / n) * above / tau_w)


def yield_only_pressure(yield_stress: ArrayLike, length: ArrayLike, diameter: ArrayLike) -> Number:
    """Pressure a full pipe holds without flow, and keeps locked in after a stop.

    Parameters
    ----------
    yield_stress : float or ndarray
        [Pa]
    length, diameter : float or ndarray
        Length and inside diameter [m].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa].

    Raises
    ------
    FlowOutOfRange
        If the yield stress is negative or the diameter not positive.

    Notes
    -----
    dp = 4 tau_y L / D (force balance; physics book 5.7).
    """
    tau_y, long, bore = arrays(yield_stress, length, diameter)
    require_not_negative("yield stress", tau_y)
    require_positive("diameter", bore)
    return finish(4.0 * tau_y * long / bore)


def restart_pressure(
    yield_stress: ArrayLike, restart_factor: ArrayLike, length: ArrayLike, diameter: ArrayLike
) -> Number:
    """Pressure that starts a rested line: the static yield stress in place of the flowing one.

    Parameters
    ----------
    yield_stress : float or ndarray
        Flowing (dynamic) yield stress [Pa].
    restart_factor : float or ndarray
        Static over flowing yield stress [-], 1 or more (trade book: assumed 1.5, range 1-2).
    length, diameter : float or ndarray
        Length and inside diameter [m].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa], without static head.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    (factor,) = arrays(restart_factor)
    require_positive("restart factor", factor)
    return finish(factor * np.asarray(yield_only_pressure(yield_stress, length, diameter)))
