"""A gas cushion over the product: liquid it stores, gas it needs for storage or for protection, its neck.

The volume that stores product between two pressures and the volume that takes up what a stopping pump still
moves are two things with two names: litres to tens of litres against tenths of a litre.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.flow.pipe import pressure_drop
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
ISOTHERMAL, LIKELY, SIZING = 1.0, 1.2, 1.4  # polytropic exponent of air (physics book 6.1, 14.2 A15)


def gas_volume(
    volume: ArrayLike, precharge: ArrayLike, pressure: ArrayLike, exponent: ArrayLike = LIKELY
) -> Array:
    """Volume of the gas at a pressure [m3].

    Parameters
    ----------
    volume : array_like
        Of the gas at its precharge, all the room there is [m3].
    precharge : array_like
        Pressure of the gas without product in the cushion [Pa], absolute.
    pressure : array_like
        [Pa], absolute; below the precharge the cushion is empty of product.
    exponent : array_like
        Polytropic, 1 slow to 1.4 sudden [-].

    Raises
    ------
    FlowOutOfRange
        If a pressure or the exponent is not positive, or the volume negative.

    Notes
    -----
    p V^kappa constant (physics book 6.1).
    """
    room, before, p, kappa = arrays(volume, precharge, pressure, exponent)
    require_not_negative("gas volume", room)
    for name, value in (("precharge", before), ("pressure", p), ("exponent", kappa)):
        require_positive(name, value)
    return np.asarray(room * (before / np.maximum(p, before)) ** (1.0 / kappa))


def stored(
    volume: ArrayLike, precharge: ArrayLike, pressure: ArrayLike, exponent: ArrayLike = LIKELY
) -> Array:
    """Product in the cushion at a pressure [m3]; none below the precharge.

    Parameters
    ----------
    volume, precharge, pressure, exponent : array_like
        As in `gas_volume`.
    """
    return np.asarray(np.asarray(volume, float) - gas_volume(volume, precharge, pressure, exponent))


def compliance(
    volume: ArrayLike, precharge: ArrayLike, pressure: ArrayLike, exponent: ArrayLike = LIKELY
) -> Array:
    """Product the cushion takes up for each pascal [m3/Pa]: V_g/(kappa p); none below the precharge.

    Parameters
    ----------
    volume, precharge, pressure, exponent : array_like
        As in `gas_volume`.
    """
    gas = gas_volume(volume, precharge, pressure, exponent)
    before, p, kappa = arrays(precharge, pressure, exponent)
    return np.asarray(np.where(p >= before, gas / (kappa * p), 0.0))


def storage_volume(
    delivered: ArrayLike,
    precharge: ArrayLike,
    least: ArrayLike,
    most: ArrayLike,
    exponent: ArrayLike = SIZING,
    settled: ArrayLike | None = None,
) -> Array:
    """Gas volume that stores an amount of product between two working pressures [m3].

    Parameters
    ----------
    delivered : array_like
        Product to be given from the greater to the lesser pressure [m3]; of a filler cycle the mean flow
        times the time it does not draw.
    precharge, least, most : array_like
        Precharge, least and greatest working pressure [Pa], absolute.
    exponent : array_like
        Polytropic, between the two working pressures [-]; 1.4 for sizing.
    settled : array_like, optional
        Polytropic, from the precharge to the least working pressure [-]; left out, the same. 1, the gas has
        taken the temperature of the room there, asks for the greatest volume.

    Returns
    -------
    ndarray
        Gas volume at the precharge; not-a-number where the precharge lies above the least working pressure,
        where this law does not hold.

    Raises
    ------
    FlowOutOfRange
        If the greatest working pressure is not above the least, or a value is negative or zero.

    Notes
    -----
    V_0 = dV/[(p_0/p_1)^(1/kappa) - (p_0/p_2)^(1/kappa)] (physics book 6.2 e). With a precharge far below the
    least pressure a greater exponent gives a smaller volume, no longer the careful side; settled at 1 it is
    V_0 = dV (p_1/p_0)/(1 - (p_1/p_2)^(1/kappa)), above both. For storage only: what a stopping pump asks is
    `protection_volume`.
    """
    return _volume_for(delivered, precharge, least, most, exponent, exponent if settled is None else settled)


def protection_volume(
    pumped: ArrayLike,
    precharge: ArrayLike,
    running: ArrayLike,
    allowed: ArrayLike,
    exponent: ArrayLike = SIZING,
    settled: ArrayLike = ISOTHERMAL,
) -> Array:
    """Gas volume that takes up what a stopping pump still moves, within an allowed peak [m3].

    Parameters
    ----------
    pumped : array_like
        Product still moved after the stop, Q (t_lag + t_ramp/2) [m3].
    precharge, running, allowed : array_like
        Precharge, pressure at the moment of the stop and allowed peak [Pa], absolute. A precharge above the
        pressure of the stop works, with what the gas has left.
    exponent : array_like
        Polytropic, from the stop on [-]; it is sudden, 1.4.
    settled : array_like
        Polytropic, from the precharge to the pressure of the stop [-]; the line has run a while, 1.

    Returns
    -------
    ndarray
        Gas volume at the precharge; infinite where the precharge reaches the allowed peak. What the line
        takes up by itself is not counted.

    Raises
    ------
    FlowOutOfRange
        If the allowed peak is not above the pressure of the stop, or a value is negative or zero.

    Notes
    -----
    With the precharge at the running pressure and kappa 1: V_c/(1 - p_0/p_1) (trade book 2.2). For protection
    only: what a filler draws while the pump rests is `storage_volume`.
    """
    before, start, peak = arrays(precharge, running, allowed)
    begins = np.maximum(start, before)
    works = begins < peak
    require_positive("allowed peak over the pressure of the stop", peak - start)
    found = _volume_for(pumped, before, np.where(works, begins, start), peak, exponent, settled)
    return np.asarray(np.where(works, found, np.inf))


def _volume_for(
    liquid: ArrayLike,
    precharge: ArrayLike,
    least: ArrayLike,
    most: ArrayLike,
    exponent: ArrayLike,
    settled: ArrayLike,
) -> Array:
    moved, before, low, high = arrays(liquid, precharge, least, most)
    kappa, first = arrays(exponent, settled)
    require_not_negative("volume of product", moved)
    for name, value in (("precharge", before), ("lesser pressure", low), ("exponent", kappa),
                        ("first exponent", first)):  # fmt: skip
        require_positive(name, value)
    require_positive("greater over lesser pressure", high - low)
    share = (before / low) ** (1.0 / first) * (1.0 - (low / high) ** (1.0 / kappa))
    return np.asarray(np.where(before <= low * (1.0 + 1e-12), moved / share, np.nan))


class Precharge(NamedTuple):
    """How a precharge stands to the working pressures; arrays over samples."""

    share: Array  # precharge over least working pressure, both absolute [-]
    gives: NDArray[np.bool_]  # whether product is left in the cushion at the least working pressure
    stale: Array  # product that stays in the cushion at the least working pressure, never renewed [m3]


def judge_precharge(
    volume: ArrayLike, precharge: ArrayLike, least: ArrayLike, exponent: ArrayLike = LIKELY
) -> Precharge:
    """Judge a precharge against the least working pressure.

    Parameters
    ----------
    volume : array_like
        Of the gas at its precharge [m3].
    precharge, least : array_like
        Precharge and least working pressure [Pa], absolute.
    exponent : array_like
        Polytropic [-].

    Notes
    -----
    Above the least working pressure the cushion runs empty and the line is as stiff as without it (physics
    book 6.2, "must warn"). Below it what stays behind is a dead leg that is not renewed: flow-through
    for food.
    """
    before, low = arrays(precharge, least)
    left = stored(volume, before, low, exponent)
    return Precharge(np.asarray(before / low), np.asarray(before <= low), left)


def neck_dead_band(yield_stress: ArrayLike, length: ArrayLike, bore: ArrayLike) -> Array:
    """Pressure by which line and cushion may differ, either way, without product moving in the neck [Pa].

    Parameters
    ----------
    yield_stress : array_like
        Of the product, rested where it stands [Pa].
    length, bore : array_like
        Of the neck [m].

    Raises
    ------
    FlowOutOfRange
        If the bore is not positive or another value negative.

    Notes
    -----
    4 tau_y L/d (physics book 6.2 i).
    """
    stress, along, across = arrays(yield_stress, length, bore)
    require_not_negative("yield stress", stress)
    require_not_negative("length", along)
    require_positive("bore", across)
    return np.asarray(4.0 * stress * along / across)


def neck_loss(flow: ArrayLike, length: ArrayLike, bore: ArrayLike, law: FlowLaw) -> Array:
    """Pressure the neck takes while the cushion takes up a flow [Pa].

    Parameters
    ----------
    flow : array_like
        Into the cushion, the whole flow of the pump where the outlet has shut [m3/s].
    length, bore : array_like
        Of the neck [m].
    law : FlowLaw
        Product in the neck.

    Notes
    -----
    Laminar pipe (physics book 5.1). The line sees the pressure of the gas and this on top.
    """
    rest = (law.yield_stress, law.consistency, law.exponent)
    return np.asarray(pressure_drop(flow, bore, length, *rest))
