"""The actual discharge line: the station's own hose, then the customer's pipe with its fittings.

`flow` holds the laws of any passage; this file holds the pipes and hoses of one machine.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY
from drumwright.flow.pipe import restart_pressure, wall_shear_rate, yield_only_pressure
from drumwright.flow.turbulent import pressure_drop_any_regime
from drumwright.machine.line.build import close_jumps
from drumwright.machine.line.losses import losses, yield_pressure
from drumwright.machine.line.losses import restart_pressure as restart_pressure_of
from drumwright.machine.line.losses import volume as volume_of
from drumwright.machine.line.segments import Segment, hose
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Route:
    """Line from pump outlet to delivery; every value a float or an array over samples.

    Parameters
    ----------
    bore, length : array_like
        Customer's pipe, inside diameter and length [m].
    hose_bore, hose_length : array_like
        The station's own hose [m].
    rise : array_like
        Height of delivery above the pump outlet [m].
    fittings : array_like
        Sum of equivalent pipe diameters of bends and valves, already with its model factor [-].
    segments : tuple of Segment
        Pieces of the customer's route, where they are known: then they stand for length, rise and fittings,
        and `bore` is the narrowest.
    fittings_factor : array_like
        Model factor on the fittings among the segments [-].
    """

    bore: ArrayLike
    length: ArrayLike
    hose_bore: ArrayLike
    hose_length: ArrayLike
    rise: ArrayLike
    fittings: ArrayLike
    segments: tuple[Segment, ...] = ()
    fittings_factor: ArrayLike = 1.0

    @property
    def whole(self) -> tuple[Segment, ...]:
        """Own hose and the pieces of the customer's route, a jump of bore between them counted."""
        return close_jumps((hose(self.hose_bore, self.hose_length), *self.segments))


class LineLoss(NamedTuple):
    """Pressures of a route at one flow [Pa]."""

    pipe: Array  # straight pipe and hose, no fittings
    hose: Array  # of it the own hose
    fittings: Array
    static: Array

    @property
    def total(self) -> Array:
        """Pressure from pump outlet to delivery [Pa]."""
        return self.pipe + self.fittings + self.static


def line_loss(route: Route, flow: ArrayLike, density: ArrayLike, law: FlowLaw) -> LineLoss:
    """Pressure losses of the route at a flow [m3/s].

    Parameters
    ----------
    route : Route
    flow, density : array_like
        [m3/s], [kg/m3]; floats or shape (n,).
    law : FlowLaw
        Product at the temperature of the line.

    Notes
    -----
    Fittings count as K1/64 pipe diameters (physics book 5.3), so their loss per diameter equals the
    pipe's: dp_f = N D (dp/L). Extrapolated below Re 20 (+-50 %). Where the pieces are known, each counts at
    its own bore, stated losses of filters stand with the fittings, and a falling leg gives no help.
    """
    if route.segments:
        found = losses(route.whole, flow, density, law, route.fittings_factor)
        return LineLoss(found.straight, found.hose, found.fittings + found.stated, found.highest)
    gradient = _gradient(flow, route.bore, density, law)
    if route.hose_bore is route.bore:
        hose_gradient = gradient
    else:
        hose_gradient = _gradient(flow, route.hose_bore, density, law)
    hose = hose_gradient * np.asarray(route.hose_length)
    pipe = gradient * np.asarray(route.length) + hose
    fittings = gradient * np.asarray(route.fittings) * np.asarray(route.bore)
    static = np.asarray(density) * GRAVITY * np.asarray(route.rise)
    return LineLoss(pipe, hose, fittings, static)


def _gradient(flow: ArrayLike, bore: ArrayLike, density: ArrayLike, law: FlowLaw) -> Array:
    return np.asarray(
        pressure_drop_any_regime(flow, bore, 1.0, density, law.yield_stress, law.consistency, law.exponent)
    )


def yield_only(route: Route, law: FlowLaw) -> Array:
    """Pressure [Pa] that yield alone needs: 4 tau_y L / D of hose and pipe (no fittings).

    Parameters
    ----------
    route : Route
    law : FlowLaw
        Product at the temperature of the line; only its yield stress counts.
    """
    if route.segments:
        plain = tuple(each for each in route.whole if each.straight)
        return yield_pressure(plain, law.yield_stress)
    return np.asarray(
        yield_only_pressure(law.yield_stress, route.length, route.bore)
        + yield_only_pressure(law.yield_stress, route.hose_length, route.hose_bore)
    )


def restart(route: Route, law: FlowLaw, factor: ArrayLike, density: ArrayLike) -> Array:
    """Pressure [Pa] to start the rested line, with lift and fittings (physics book 5.7).

    A falling line gives no help: only a lift upward counts.

    Parameters
    ----------
    route : Route
    law : FlowLaw
        Product at the temperature of the line.
    factor : array_like
        Yield stress of the rested product over that of the moving one [-]; float or shape (n,).
    density : array_like
        [kg/m3]; float or shape (n,).
    """
    if route.segments:
        rested = np.asarray(law.yield_stress) * np.asarray(factor)
        return restart_pressure_of(route.whole, rested, density, route.fittings_factor)
    fitted_length = np.asarray(route.length) + np.asarray(route.fittings) * np.asarray(route.bore)
    pipe = restart_pressure(law.yield_stress, factor, fitted_length, route.bore)
    hose = restart_pressure(law.yield_stress, factor, route.hose_length, route.hose_bore)
    return np.asarray(pipe + hose + np.asarray(density) * GRAVITY * np.maximum(route.rise, 0.0))


def rebored(segments: tuple[Segment, ...], bore: ArrayLike) -> tuple[Segment, ...]:
    """The same route with one bore all through: reducers fall away, what was stated of filters stays.

    Parameters
    ----------
    segments : tuple of Segment
    bore : array_like
        Inside diameter [m].
    """
    return tuple(replace(each, bore=bore) for each in segments if each.outlet_bore is None)


def volume(route: Route) -> Array:
    """Volume [m3] of hose and pipe: what a changeover loses unless it is pressed out."""
    if route.segments:
        return volume_of(route.whole)
    pipe = np.square(route.bore) * np.asarray(route.length)
    return np.asarray(0.25 * np.pi * (pipe + np.square(route.hose_bore) * np.asarray(route.hose_length)))


def velocity(flow: ArrayLike, bore: ArrayLike) -> Array:
    """Mean velocity [m/s].

    Parameters
    ----------
    flow : array_like
        [m3/s]
    bore : array_like
        Inside diameter [m].
    """
    return np.asarray(flow) / (0.25 * np.pi * np.square(bore))


def shear_rate_at_wall(flow: ArrayLike, bore: ArrayLike, law: FlowLaw) -> Array:
    """Shear rate at the wall of the customer's pipe [1/s].

    Parameters
    ----------
    flow : array_like
        [m3/s]
    bore : array_like
        Inside diameter of the customer's pipe [m].
    law : FlowLaw
        Product at the temperature of the line.
    """
    return np.asarray(wall_shear_rate(flow, bore, law.yield_stress, law.consistency, law.exponent))
