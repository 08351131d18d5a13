"""A pump against a closed line: how stiff line and product are, how fast the pressure rises, when it is up.

One line is four numbers: its volume, the growth of product and wall for each pascal, and its entrained air.
Stored volume is counted from a reference pressure; differences of it are exact also where the air collapses.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]
ATMOSPHERE = 101325.0  # [Pa]


class ClosedLine(NamedTuple):
    """What a full closed line takes up; arrays over samples."""

    volume: ArrayLike  # [m3]
    growth: ArrayLike  # of product and wall for each pascal, without air: 1/K + kappa [1/Pa]
    air_share: ArrayLike  # entrained air at atmospheric pressure, of the volume [-]
    atmosphere: ArrayLike = ATMOSPHERE  # [Pa]


def wall_growth(bore: ArrayLike, wall: ArrayLike, elasticity: ArrayLike) -> Array:
    """Growth of the volume of a thin-walled pipe for each pascal: D/(E t) [1/Pa].

    Parameters
    ----------
    bore, wall : array_like
        Inside diameter and thickness [m].
    elasticity : array_like
        Modulus of the wall [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is not positive.

    Notes
    -----
    Merritt (1967), thin wall, ends held; as checked in Subramanya, Problem 14.12.
    """
    across, thick, modulus = arrays(bore, wall, elasticity)
    for name, value in (("bore", across), ("wall", thick), ("elasticity", modulus)):
        require_positive(name, value)
    return np.asarray(across / (modulus * thick))


def effective_modulus(
    bulk_modulus: ArrayLike,
    air_share: ArrayLike,
    absolute: ArrayLike,
    exponent: ArrayLike = 1.0,
    atmosphere: ArrayLike = ATMOSPHERE,
) -> Array:
    """Bulk modulus of a product with entrained air [Pa].

    Parameters
    ----------
    bulk_modulus : array_like
        Of the product without air [Pa].
    air_share : array_like
        Air at atmospheric pressure, of the whole volume [-], below 1.
    absolute : array_like
        [Pa]
    exponent : array_like
        Polytropic exponent of the air [-]; 1 slow.
    atmosphere : array_like
        [Pa]

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    1/K_eff = [v_g/(n p) + v_l/K]/(v_g + v_l), v_g = alpha (p_a/p)^(1/n), v_l = 1 - alpha: mixture rule after
    Merritt (1967). The bubbles are taken as small and the air as not dissolving.
    """
    modulus, alpha, p, n = arrays(bulk_modulus, air_share, absolute, exponent)
    (p_atm,) = arrays(atmosphere)
    require_not_negative("air share", alpha)
    for name, value in (("bulk modulus", modulus), ("absolute pressure", p), ("exponent", n),
                        ("atmosphere", p_atm), ("share of product", 1.0 - alpha)):  # fmt: skip
        require_positive(name, value)
    gas, liquid = alpha * (p_atm / p) ** (1.0 / n), 1.0 - alpha
    return np.asarray((gas + liquid) / (gas / (n * p) + liquid / modulus))


def compliance(line: ClosedLine, absolute: ArrayLike) -> Array:
    """Volume the line takes up for each pascal at a pressure [m3/Pa].

    Parameters
    ----------
    line : ClosedLine
    absolute : array_like
        The pressure it is asked at [Pa]; the peak, where the line is stiffest.

    Notes
    -----
    C = V (beta + alpha p_a/p^2) (physics book 6.1).
    """
    volume, growth, alpha, p_atm = _checked(line)
    (p,) = arrays(absolute)
    require_positive("absolute pressure", p)
    return np.asarray(volume * (growth + alpha * p_atm / p**2))


def dead_head_rise(flow: ArrayLike, compliance_there: ArrayLike) -> Array:
    """Rise of pressure of a pump against a closed line: Q/C [Pa/s].

    Parameters
    ----------
    flow : array_like
        Of the pump [m3/s].
    compliance_there : array_like
        At the pressure that is asked [m3/Pa].

    Raises
    ------
    FlowOutOfRange
        If the flow is negative or the compliance not positive.

    Notes
    -----
    Physics book 6.2 a; slip of the pump not credited.
    """
    q, c = arrays(flow, compliance_there)
    require_not_negative("flow", q)
    require_positive("compliance", c)
    return np.asarray(q / c)


def taken_up(line: ClosedLine, before: ArrayLike, after: ArrayLike) -> Array:
    """Volume the line takes up between two pressures [m3], its air integrated; negative going down.

    Parameters
    ----------
    line : ClosedLine
    before, after : array_like
        [Pa], absolute.

    Raises
    ------
    FlowOutOfRange
        If a pressure is not positive.

    Notes
    -----
    V [beta (p_2 - p_1) + alpha p_a (1/p_1 - 1/p_2)], the integral of C (physics book 6.1), isothermal air.
    """
    volume, growth, alpha, p_atm = _checked(line)
    p1, p2 = arrays(before, after)
    require_positive("pressure before", p1)
    require_positive("pressure after", p2)
    return np.asarray(volume * (growth * (p2 - p1) + alpha * p_atm * (1.0 / p1 - 1.0 / p2)))


def time_to_pressure(line: ClosedLine, flow: ArrayLike, before: ArrayLike, after: ArrayLike) -> Array:
    """Time a pump of constant flow needs from one pressure to another against the closed line [s].

    Parameters
    ----------
    line : ClosedLine
    flow : array_like
        [m3/s]
    before, after : array_like
        [Pa], absolute.

    Raises
    ------
    FlowOutOfRange
        If the flow or a pressure is not positive.
    """
    (q,) = arrays(flow)
    require_positive("flow", q)
    return np.asarray(taken_up(line, before, after) / q)


def pressure_after(line: ClosedLine, before: ArrayLike, added: ArrayLike) -> Array:
    """Pressure of the closed line after a volume was added [Pa], absolute.

    Parameters
    ----------
    line : ClosedLine
    before : array_like
        [Pa], absolute.
    added : array_like
        [m3]

    Returns
    -------
    ndarray
        Infinite where neither product, wall nor air can take it up.

    Raises
    ------
    FlowOutOfRange
        If the pressure is not positive, the volume added negative or the line without volume.

    Notes
    -----
    Positive root of A p^2 + (B/p_1 - A p_1 - dV) p - B = 0 with A = V beta, B = V alpha p_a: `taken_up`
    solved for the pressure. Compliance taken before the event gives down to a third of the rise (physics book
    14.6).
    """
    volume, growth, alpha, p_atm = _checked(line)
    p1, more = arrays(before, added)
    require_positive("line volume", volume)
    require_positive("pressure before", p1)
    require_not_negative("volume added", more)
    solid, air = volume * growth, volume * alpha * p_atm
    middle = air / p1 - solid * p1 - more
    root = np.sqrt(middle**2 + 4.0 * solid * air)
    with np.errstate(divide="ignore", invalid="ignore"):
        # the form of the root without cancellation; without wall and product growth air alone takes it up
        over = np.where(middle <= 0.0, (root - middle) / (2.0 * solid), 2.0 * air / (root + middle))
    none = (solid <= 0.0) & (middle <= 0.0)
    return np.asarray(np.where(none, np.where(more > 0.0, np.inf, p1), over))


def _checked(line: ClosedLine) -> tuple[Array, Array, Array, Array]:
    volume, growth, alpha, p_atm = arrays(*line)
    for name, value in (("line volume", volume), ("growth", growth), ("air share", alpha)):
        require_not_negative(name, value)
    require_positive("atmosphere", p_atm)
    return volume, growth, alpha, p_atm
