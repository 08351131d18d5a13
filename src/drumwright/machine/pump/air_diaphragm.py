"""Air-operated double-diaphragm pump, ratio 1:1 (physics book 4.8 with section 14).

Suction decides with thick product: the loss up to the inlet valves counts as a pipe of the port's bore
with 25 diameters of bends and 31 of the lifting ball.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import flow_rate, pressure_drop, yield_only_pressure
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
GRAVITY = 9.80665
CRITICAL_YIELD_NUMBER = 0.143  # of a sphere that sinks; physics book 4.8


def suction_equivalent_length(port: float, length: float, diameters: float) -> float:
    """Equivalent length [m] from the pump's inlet flange past the inlet valve.

    Parameters
    ----------
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    """
    return length + diameters * port


def suction_loss(flow: ArrayLike, port: float, length: float, diameters: float, law: FlowLaw) -> Array:
    """Pressure [Pa] lost between inlet flange and pump chamber at a flow [m3/s].

    Parameters
    ----------
    flow : array_like
        Mean flow; the suction stroke of one chamber carries it [m3/s].
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    law : FlowLaw
        Product.
    """
    equivalent = suction_equivalent_length(port, length, diameters)
    return np.asarray(pressure_drop(flow, port, equivalent, law.yield_stress, law.consistency, law.exponent))


def suction_yield(port: float, length: float, diameters: float, law: FlowLaw) -> Array:
    """Pressure [Pa] that yield alone takes before any product reaches the chamber.

    Parameters
    ----------
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    law : FlowLaw
        Product; only its yield stress counts.
    """
    equivalent = suction_equivalent_length(port, length, diameters)
    return np.asarray(yield_only_pressure(law.yield_stress, equivalent, port))


def delivery_pressure(
    flow: ArrayLike, air_pressure: ArrayLike, free_flow: float, port: float, diameters: float, law: FlowLaw
) -> Array:
    """Pressure at the outlet flange [Pa(g)] at a flow [m3/s].

    Parameters
    ----------
    flow : array_like
        [m3/s]; float or shape (n,).
    air_pressure : array_like
        Air at the pump [Pa(g)].
    free_flow : float
        Flow against no pressure Q_air [m3/s].
    port : float
        Port bore [m].
    diameters : float
        What the outlet side counts as, in equivalent diameters [-].
    law : FlowLaw
        Product.

    Notes
    -----
    p2 = p_air (1 - (Q/Q_air)^2) - dp_out; the pump stalls at p_air and resumes by itself.
    """
    ratio = np.minimum(np.asarray(flow) / free_flow, 1.0)
    outlet = pressure_drop(flow, port, diameters * port, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(np.asarray(air_pressure) * (1.0 - np.square(ratio)) - np.asarray(outlet))


def seating_yield_stress(ball_diameter: float, ball_density: float, density: ArrayLike) -> Array:
    """Yield stress [Pa] above which a ball no longer sinks onto its seat.

    Parameters
    ----------
    ball_diameter : float
        [m]
    ball_density : float
        [kg/m3]
    density : array_like
        Of the product [kg/m3].

    Notes
    -----
    (rho_b - rho) g R > 10.5 tau_y, from the critical yield number 0.143 of a sphere (physics book 4.8). A
    ball lighter than the product never sinks: 0.
    """
    heavier = np.maximum(ball_density - np.asarray(density), 0.0)
    return np.asarray(heavier * GRAVITY * 0.5 * ball_diameter * CRITICAL_YIELD_NUMBER / 1.5)


def back_share(yield_stress: ArrayLike, limit: ArrayLike, seated: ArrayLike, floating: ArrayLike) -> Array:
    """Share of a stroke that flows back before the valves close [-].

    Parameters
    ----------
    yield_stress, limit : array_like
        Of the product, and up to which the balls sink [Pa].
    seated, floating : array_like
        Share where the balls sink, and where only flow closes them [-].
    """
    sinks = np.asarray(yield_stress) < np.asarray(limit)
    return np.asarray(np.where(sinks, seated, floating))


def suction_flow(net: ArrayLike, port: float, length: float, diameters: float, law: FlowLaw) -> Array:
    """Flow [m3/s] that a net suction pressure draws in; 0 where yield holds the product.

    Parameters
    ----------
    net : array_like
        Inlet pressure less the lowest of the chamber [Pa]; below zero counts as none.
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    law : FlowLaw
        Product.

    Notes
    -----
    0.1 bar more or less changes it by a factor 2 (physics book A10): give the interval.
    """
    equivalent = suction_equivalent_length(port, length, diameters)
    pressure = np.maximum(np.asarray(net), 0.0)
    return np.asarray(flow_rate(pressure, port, equivalent, law.yield_stress, law.consistency, law.exponent))
