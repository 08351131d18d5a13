"""The station's own hose: how long it must be, how it widens and stores, what it may carry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.machine.line.losses import volume
from drumwright.machine.line.segments import Segment

Array = NDArray[np.float64]
INJECTION_GAUGE = 7.0e5  # a pinhole can inject through skin above it (trade book 4.4)
LEAST_BURST_FACTOR = (
    4.0  # burst over rated pressure of a hose; from memory, usual for hoses that carry liquids
)


class OwnHose(NamedTuple):
    """Length the hose needs and the bend it gets; arrays over samples."""

    length: Array  # [m]
    bend_radius: Array  # of the hanging loop, half the distance of its two legs [m]
    margin: Array  # bend radius less the least the hose stands [m]; negative is kinked


def greatest_reach(arm_radius: ArrayLike, swing: ArrayLike, anchor_distance: ArrayLike) -> Array:
    """Greatest horizontal distance of a swinging arm's end from the fixed end of its hose.

    Parameters
    ----------
    arm_radius : array_like
        From the mast to the middle of the container [m].
    swing : array_like
        Whole angle the arm turns through [rad], at most a full turn.
    anchor_distance : array_like
        From the mast to the fixed end of the hose, on the middle line of the swing [m].

    Returns
    -------
    ndarray
        [m]

    Raises
    ------
    FlowOutOfRange
        If a value is negative.

    Notes
    -----
    Law of cosines at half the swing: sqrt(r^2 + a^2 - 2 r a cos(theta/2)).
    """
    radius, angle, anchor = arrays(arm_radius, swing, anchor_distance)
    for name, value in (("arm radius", radius), ("swing", angle), ("anchor distance", anchor)):
        require_not_negative(name, value)
    half = np.minimum(0.5 * angle, np.pi)
    return np.asarray(np.sqrt(radius**2 + anchor**2 - 2.0 * radius * anchor * np.cos(half)))


def own_hose(
    stroke: ArrayLike,
    reach: ArrayLike,
    leg_distance: ArrayLike,
    least_bend_radius: ArrayLike,
    ends: ArrayLike,
    anchor_share: ArrayLike = 1.0,
) -> OwnHose:
    """Length of a hose that hangs in a loop beside the plate and follows its stroke.

    Parameters
    ----------
    stroke : array_like
        Travel of the plate, raised over the rim included [m].
    reach : array_like
        Greatest horizontal distance of the moving from the fixed end [m]: for a fixed mast that of the two
        ends, for a moving arm `greatest_reach`.
    leg_distance : array_like
        Horizontal distance of the two legs of the loop [m]; twice the radius it bends to.
    least_bend_radius : array_like
        Of the hose, at the pressure and temperature it runs at [m].
    ends : array_like
        Straight length at couplings, both ends together [m].
    anchor_share : array_like
        Height of the fixed end over the lowest place of the moving one, as a share of the stroke [-]; 0.5 is
        best, 1 (and 0) worst and taken where nothing is known.

    Raises
    ------
    FlowOutOfRange
        If a value is negative, the leg distance or least bend radius zero, or the share above 1.

    Notes
    -----
    One leg as long as the ends can be apart in height, a half circle of the leg distance, and what the reach
    asks beyond it: L = s max(a, 1 - a) + pi R + max(reach - 2 R, 0) + ends. The least the geometry asks; a
    real hose is longer. Plain geometry of ours, no source.
    """
    travel, far, legs = arrays(stroke, reach, leg_distance)
    least, straight, anchor = arrays(least_bend_radius, ends, anchor_share)
    for name, value in (("stroke", travel), ("reach", far), ("straight ends", straight)):
        require_not_negative(name, value)
    require_not_negative("anchor share", anchor)
    require_not_negative("stroke over the anchor", 1.0 - anchor)
    require_positive("distance of the legs", legs)
    require_positive("least bend radius", least)
    radius = 0.5 * legs
    length = (
        travel * np.maximum(anchor, 1.0 - anchor) + np.pi * radius + np.maximum(far - legs, 0.0) + straight
    )
    return OwnHose(np.asarray(length), np.asarray(radius + 0.0 * length), np.asarray(radius - least))


def grown_bore(bore: ArrayLike, gauge: ArrayLike, expansion: ArrayLike) -> Array:
    """Bore of a hose under pressure [m].

    Parameters
    ----------
    bore : array_like
        Without pressure [m].
    gauge : array_like
        Mean pressure in the hose [Pa(g)]; below zero counts as none.
    expansion : array_like
        Growth of the volume for each pascal [1/Pa]; 0.5 to 5 % for 10 bar (physics book 6.1, estimate).

    Raises
    ------
    FlowOutOfRange
        If the bore is not positive or the expansion negative.

    Notes
    -----
    D (1 + kappa p)^(1/2), the length held. For judging a log; pressure and motor are sized without it.
    """
    size, pressure, kappa = arrays(bore, gauge, expansion)
    require_positive("bore", size)
    require_not_negative("expansion", kappa)
    return np.asarray(size * np.sqrt(1.0 + kappa * np.maximum(pressure, 0.0)))


def compliance(
    room: ArrayLike,
    expansion: ArrayLike,
    bulk_modulus: ArrayLike,
    air_share: ArrayLike,
    absolute: ArrayLike,
    atmosphere: ArrayLike = 101325.0,
) -> Array:
    """Volume a stretch of line takes up for each pascal [m3/Pa].

    Parameters
    ----------
    room : array_like
        Volume of the stretch [m3].
    expansion : array_like
        Of the wall, growth of the volume for each pascal [1/Pa]; steel pipe 1e-10 (physics book 6.1).
    bulk_modulus : array_like
        Of the product without air [Pa]; water 2.2e9, greases and oils 1.4e9 to 1.7e9 from memory.
    air_share : array_like
        Entrained air at atmospheric pressure, of the volume [-].
    absolute : array_like
        Pressure in the line [Pa]; take the peak, where the air is smallest and the line stiffest.
    atmosphere : array_like
        [Pa]

    Raises
    ------
    FlowOutOfRange
        If a value is negative, or the modulus or pressure not positive.

    Notes
    -----
    C = V (1/K + kappa + alpha p_atm/p^2), isothermal air (physics book 6.1). Compliance before an event
    overrates a stiff line up to three times (physics book 14.6): pass the pressure of the peak.
    """
    space, kappa, modulus = arrays(room, expansion, bulk_modulus)
    alpha, p, p_atm = arrays(air_share, absolute, atmosphere)
    for name, value in (("volume", space), ("expansion", kappa), ("air share", alpha)):
        require_not_negative(name, value)
    require_positive("bulk modulus", modulus)
    require_positive("absolute pressure", p)
    return np.asarray(space * (1.0 / modulus + kappa + alpha * p_atm / p**2))


def with_grown_hoses(
    segments: Sequence[Segment], gauge: ArrayLike, expansion: ArrayLike
) -> tuple[Segment, ...]:
    """The same line with its hoses as wide as the pressure makes them; for judging a log, not for sizing.

    Parameters
    ----------
    segments : sequence of Segment
    gauge : array_like
        Mean pressure in the hoses [Pa(g)].
    expansion : array_like
        As in `grown_bore` [1/Pa].
    """
    return tuple(
        replace(each, bore=grown_bore(each.bore, gauge, expansion)) if each.kind == "hose" else each
        for each in segments
    )


def line_compliance(
    segments: Sequence[Segment],
    hose_expansion: ArrayLike,
    pipe_expansion: ArrayLike,
    bulk_modulus: ArrayLike,
    air_share: ArrayLike,
    absolute: ArrayLike,
    atmosphere: ArrayLike = 101325.0,
) -> Array:
    """Volume a whole line takes up for each pascal [m3/Pa]: hoses and all else by their own walls.

    Parameters
    ----------
    segments : sequence of Segment
    hose_expansion, pipe_expansion : array_like
        Growth of the volume for each pascal [1/Pa].
    bulk_modulus, air_share, absolute, atmosphere : array_like
        As in `compliance` [Pa], [-], [Pa], [Pa].
    """
    rest = (bulk_modulus, air_share, absolute, atmosphere)
    hoses = [each for each in segments if each.kind == "hose"]
    pipes = [each for each in segments if each.kind != "hose"]
    return np.asarray(
        compliance(volume(hoses), hose_expansion, *rest) + compliance(volume(pipes), pipe_expansion, *rest)
    )


class HoseRating(NamedTuple):
    """What a hose may carry against what comes; arrays over samples."""

    margin: Array  # rated pressure, less for a hot hose, less the greatest pressure [Pa]
    burst_factor: Array  # burst over the greatest pressure [-]; not-a-number where burst is not stated
    burst_enough: NDArray[np.bool_]  # burst at least `LEAST_BURST_FACTOR` times the greatest pressure
    injection: NDArray[np.bool_]  # above `INJECTION_GAUGE`: shield, restrain, never search a leak by hand


def rating(
    rated: ArrayLike, greatest: ArrayLike, burst: ArrayLike | None = None, derating: ArrayLike = 1.0
) -> HoseRating:
    """Judge a hose against the greatest pressure it can get.

    Parameters
    ----------
    rated : array_like
        Working pressure its maker states at 20 C [Pa(g)].
    greatest : array_like
        Pressure during relief at full flow [Pa(g)], not the running one.
    burst : array_like, optional
        Stated burst pressure [Pa(g)]; without it no burst factor is claimed.
    derating : array_like
        Share of the rated pressure left at the temperature it runs at [-]; from its maker's sheet.

    Raises
    ------
    FlowOutOfRange
        If the greatest pressure is negative, the rated one not positive or the derating not above zero.
    """
    allowed, comes, share = arrays(rated, greatest, derating)
    require_positive("rated pressure", allowed)
    require_not_negative("greatest pressure", comes)
    require_positive("derating", share)
    bursts = np.asarray(np.nan if burst is None else burst, float)
    factor = np.where(
        comes > 0.0, bursts / np.where(comes > 0.0, comes, 1.0), np.where(np.isnan(bursts), np.nan, np.inf)
    )
    return HoseRating(
        np.asarray(allowed * np.minimum(share, 1.0) - comes),
        np.asarray(factor),
        np.asarray(factor >= LEAST_BURST_FACTOR),
        np.asarray(comes > INJECTION_GAUGE),
    )


def whip_energy(room: ArrayLike, compliance_of_line: ArrayLike, gauge: ArrayLike) -> Array:
    """Energy a parted hose sets free [J]: half compliance times pressure squared.

    Parameters
    ----------
    room : array_like
        Volume of the line behind the parting [m3]; bounds the work at p V.
    compliance_of_line : array_like
        `compliance` at low pressure [m3/Pa], where the air is largest.
    gauge : array_like
        At the parting [Pa(g)].

    Notes
    -----
    Constant compliance, so an upper estimate with that at low pressure. A number to compare, not a hazard
    limit: no threshold is known to us.
    """
    space, stored, p = arrays(room, compliance_of_line, gauge)
    return np.asarray(np.minimum(0.5 * stored * p**2, p * space))
