"""Outlet of a container that is emptied without a plate: what reaches the pump, and what stays behind.

Every value may be a float or an array over samples.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.drainage import wall_film_mean
from drumwright.flow.draw_down import DrawDown, floor_draw_down
from drumwright.flow.entry import entry_length
from drumwright.flow.fittings import equivalent_diameters
from drumwright.flow.floor import Floor, rectangular_floor, round_floor
from drumwright.flow.levelling import HEEL_SPREAD, heel
from drumwright.flow.numbers import GRAVITY
from drumwright.flow.pipe import apparent_viscosity, flow_rate, pressure_drop, yield_only_pressure
from drumwright.flow.withdrawn_film import share_left_by_air
from drumwright.machine.container.shape import Shape
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]

# Share of the layer a wall can hold that does hang there: 10-25 L of 54 L in a bin (physics book 2.6 with
# A3), assumed.
HANGING_LOW, HANGING_LIKELY, HANGING_HIGH = 0.19, 0.30, 0.46


@dataclass(frozen=True, slots=True)
class Outlet:
    """Way from the floor of a container to the pump; made by `outlet`.

    `reach` is the length of pipe of this bore that loses as much as entry, valve, fittings and pipe together.
    """

    bore: Array  # [m]
    reach: Array  # [m]
    rise: Array  # pump inlet above the floor [m]


def outlet(
    bore: ArrayLike, length: ArrayLike, diameters: ArrayLike | None = None, rise: ArrayLike = 0.0
) -> Outlet:
    """Way from the floor to the pump.

    Parameters
    ----------
    bore, length : array_like
        Inside diameter, and length of outlet, valve and suction line [m].
    diameters : array_like, optional
        Fittings in equivalent diameters [-]; None is one full-bore valve.
    rise : array_like
        Pump inlet above the floor [m], negative below.

    Raises
    ------
    ValueError
        If the bore is not more than zero or the length negative.

    Notes
    -----
    A sharp entry is always counted (0.59 radii). Equivalent diameters hold +-50 %, and in a product near its
    yield stress they do not shrink with a wider bore (physics book 5.3).
    """
    wide, long = np.asarray(bore, float), np.asarray(length, float)
    if not (np.all(wide > 0.0) and np.all(long >= 0.0)):
        raise ValueError("the bore must be more than zero, the length zero or more")
    fittings = equivalent_diameters("full_bore_valve") if diameters is None else np.asarray(diameters, float)
    reach = long + np.asarray(entry_length(wide)) + fittings * wide
    return Outlet(wide, np.asarray(reach), np.asarray(rise, float))


def floor_of(shape: Shape, at_wall: bool = False) -> Floor:
    """Floor of a container: a bin with its outlet in the middle of a short side, a drum as asked.

    Parameters
    ----------
    shape : Shape
        Inside of the container.
    at_wall : bool
        Whether the outlet of a round container is at the wall and not in the middle.
    """
    if shape.section == "rectangular":
        long, wide = np.maximum(shape.length, shape.width), np.minimum(shape.length, shape.width)
        return rectangular_floor(long, wide)
    return round_floor(0.5 * shape.bottom, at_wall)


def suction_loss(way: Outlet, flow: ArrayLike, law: FlowLaw) -> Array:
    """Pressure [Pa] lost between container and pump at a flow.

    Parameters
    ----------
    way : Outlet
    flow : array_like
        [m3/s]; zero gives what the yield stress holds.
    law : FlowLaw
        At the temperature of the product.
    """
    return np.asarray(
        pressure_drop(flow, way.bore, way.reach, law.yield_stress, law.consistency, law.exponent)
    )


def inlet_gauge(way: Outlet, depth: ArrayLike, flow: ArrayLike, law: FlowLaw, density: ArrayLike) -> Array:
    """Pressure at the pump inlet [Pa(g)]: head of the product less the loss on the way.

    Parameters
    ----------
    way : Outlet
    depth : array_like
        Of the product over the floor at the outlet [m]; near none at the end.
    flow : array_like
        [m3/s]
    law : FlowLaw
    density : array_like
        [kg/m3]
    """
    head = np.asarray(density) * GRAVITY * (np.asarray(depth) - way.rise)
    return np.asarray(head - suction_loss(way, flow, law))


def fed_flow(
    way: Outlet, depth: ArrayLike, inlet_needed: ArrayLike, law: FlowLaw, density: ArrayLike
) -> Array:
    """Greatest flow [m3/s] that reaches the pump at the pressure it needs; 0 where the product stands still.

    Parameters
    ----------
    way : Outlet
    depth : array_like
        Of the product over the floor at the outlet [m].
    inlet_needed : array_like
        Pressure the pump needs at its inlet [Pa(g)]: negative for suction, 0 for gravity alone.
    law : FlowLaw
    density : array_like
        [kg/m3]
    """
    drive = np.asarray(density) * GRAVITY * (np.asarray(depth) - way.rise) - np.asarray(inlet_needed)
    held = (law.yield_stress, law.consistency, law.exponent)
    return np.asarray(flow_rate(np.maximum(drive, 0.0), way.bore, way.reach, *held))


def stall_head(
    way: Outlet, yield_stress: ArrayLike, density: ArrayLike, inlet_needed: ArrayLike = 0.0
) -> Array:
    """Depth of product [m] at and below which nothing moves through the outlet.

    Parameters
    ----------
    way : Outlet
    yield_stress, density : array_like
        [Pa], [kg/m3]; the static yield stress where the product has stood.
    inlet_needed : array_like
        Pressure the pump needs at its inlet [Pa(g)]; 0 is gravity alone.

    Notes
    -----
    4 tau_y L/(rho g d) (physics book 1.5) with entry, valve and fittings counted in L, above the rise.
    """
    held = np.asarray(yield_only_pressure(yield_stress, way.reach, way.bore)) + np.asarray(inlet_needed)
    return np.asarray(np.maximum(held / (np.asarray(density) * GRAVITY) + way.rise, 0.0))


def air_entry(
    floor: Floor,
    way: Outlet,
    flow: ArrayLike,
    law: FlowLaw,
    density: ArrayLike,
    edge_depth: ArrayLike | None = None,
) -> DrawDown:
    """Depth far from the outlet at which the pump draws air, and what is left then.

    Parameters
    ----------
    floor : Floor
        Of `floor_of`.
    way : Outlet
    flow : array_like
        Last rate [m3/s]: a slower one leaves less, down to the profile at rest.
    law : FlowLaw
    density : array_like
        [kg/m3]
    edge_depth : array_like, optional
        Depth at the outlet when air comes [m]; None is the bore (its top is bare), assumed.

    Notes
    -----
    Floor flow of `floor_draw_down` about half of the bore. Not cut at the filling level: compare it.
    """
    edge = way.bore if edge_depth is None else edge_depth
    held = (law.yield_stress, law.consistency, law.exponent)
    return floor_draw_down(floor, flow, 0.5 * way.bore, edge, density, *held)


def heel_band(
    floor: Floor, filled_height: ArrayLike, yield_stress: ArrayLike, density: ArrayLike
) -> tuple[Array, Array, Array]:
    """Heel at rest: low, likely and high [m3].

    Parameters
    ----------
    floor : Floor
    filled_height : array_like
        Of the full container [m].
    yield_stress, density : array_like
        Flowing yield stress [Pa], [kg/m3].

    Notes
    -----
    `heel` and 30 % both ways (`HEEL_SPREAD`), never more than was filled in.
    """
    likely = np.asarray(heel(floor, filled_height, yield_stress, density))
    filled = floor.area * np.asarray(filled_height)
    low, high = (1.0 - HEEL_SPREAD) * likely, np.minimum((1.0 + HEEL_SPREAD) * likely, filled)
    return np.asarray(low), likely, np.asarray(high)


def wall_left(
    wall_area: ArrayLike,
    height: ArrayLike,
    time: ArrayLike,
    law: FlowLaw,
    density: ArrayLike,
    hanging: ArrayLike = HANGING_LIKELY,
) -> Array:
    """Product on the walls [m3] a time after they were laid bare.

    Parameters
    ----------
    wall_area, height : array_like
        Wetted wall [m2] and its height [m].
    time : array_like
        [s]
    law : FlowLaw
    density : array_like
        [kg/m3]
    hanging : array_like
        Share of the layer the yield stress can hold that does hang [-]; 0.19/0.30/0.46, assumed.
    """
    held = np.asarray(law.yield_stress) / (np.asarray(density) * GRAVITY)
    film = wall_film_mean(height, time, density, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(np.asarray(wall_area) * (np.asarray(film) - (1.0 - np.asarray(hanging)) * held))


def air_in_suction_line(
    way: Outlet, length: ArrayLike, flow: ArrayLike, law: FlowLaw, tension: ArrayLike
) -> tuple[Array, Array]:
    """Air in the suction line when an empty container was run dry, and product left on its wall [m3].

    Parameters
    ----------
    way : Outlet
    length : array_like
        Of the line that was run dry [m].
    flow : array_like
        At which air followed the product [m3/s], more than zero.
    law : FlowLaw
        By its apparent viscosity at the wall: exact for a Newtonian product only.
    tension : array_like
        Surface tension [N/m].

    Notes
    -----
    The air is what must be bled at the next container, or goes down the line.
    """
    section = 0.25 * np.pi * way.bore**2
    held = (law.yield_stress, law.consistency, law.exponent)
    viscosity = np.asarray(apparent_viscosity(flow, way.bore, *held))
    left = np.asarray(share_left_by_air(viscosity * np.asarray(flow) / section / np.asarray(tension)))
    volume = section * np.asarray(length)
    return np.asarray((1.0 - left) * volume), np.asarray(left * volume)
