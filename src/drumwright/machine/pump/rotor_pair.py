"""Two rotors that mesh in a casing: lobe pump and external gear pump (physics book 4.10).

Symbols: D diameter over the tips, a distance of the shafts, b width, z lobes or teeth of one rotor.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.gap import slip
from drumwright.machine.pump.records import Rotors
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


def displacement(rotor_diameter: float, centre_distance: float, width: float) -> float:
    """Volume a revolution [m3]: V = (pi/2) b (D^2 - a^2).

    Parameters
    ----------
    rotor_diameter, centre_distance, width : float
        Diameter over the tips, distance of the shafts, width of a rotor [m].

    Notes
    -----
    Torque balance with the line of contact at the pitch point: each rotor carries dp b (r_a^2 - (a/2)^2)/2.
    The contact wanders about that point, which takes a few per cent off (from memory).
    """
    return 0.5 * math.pi * width * (rotor_diameter**2 - centre_distance**2)


def from_closed_volume(closed_volume: float, pockets: int) -> float:
    """Volume a revolution [m3] of two rotors that each carry a closed volume for every lobe or tooth space.

    Parameters
    ----------
    closed_volume : float
        Between two lobes and the casing [m3].
    pockets : int
        Lobes or teeth of one rotor.

    Notes
    -----
    V = 2 z V_closed (check value PMP-13: two lobes, two closed volumes in half a turn).
    """
    return 2.0 * pockets * closed_volume


def pocket_depth(geometry: Rotors) -> float:
    """Radial depth of a lobe pocket or tooth space [m]: D - a."""
    return geometry.rotor_diameter - geometry.centre_distance


def hydraulic_diameter(geometry: Rotors) -> float:
    """Hydraulic diameter of a pocket [m]: 2 b h / (b + h), a channel of its width and depth."""
    depth = pocket_depth(geometry)
    return 2.0 * geometry.width * depth / (geometry.width + depth)


def pocket_length(geometry: Rotors) -> float:
    """Way from tip to tip along the casing [m]: pi D / z."""
    return math.pi * geometry.rotor_diameter / geometry.pockets


def leak_lines(geometry: Rotors) -> tuple[tuple[float, float, float], ...]:
    """The seal lines: (share of the pressure, width across the leak, length along it) of each [-], [m], [m].

    Notes
    -----
    Tips of both rotors, half of the tips in series; the mesh with the whole pressure; four end faces from
    tip to shaft. Lengths of mesh and ends are estimates from the outline, no maker's drawing.
    """
    radius = 0.5 * geometry.rotor_diameter
    tips = max(1.0, 0.5 * geometry.pockets)
    return (
        (1.0 / tips, 2.0 * geometry.width, geometry.tip_land),
        (1.0, geometry.width, geometry.tip_land),
        (1.0, 4.0 * radius, 0.5 * geometry.centre_distance),
    )


def slip_sum(
    pressure: ArrayLike,
    clearance: ArrayLike,
    geometry: Rotors,
    density: ArrayLike,
    law: FlowLaw,
    floor_viscosity: ArrayLike,
) -> Array:
    """Leakage of tips, mesh and end faces together [m3/s].

    Parameters
    ----------
    pressure : array_like
        Over the pump [Pa].
    clearance : array_like
        The same at tip, flank and end [m].
    geometry : Rotors
    density : array_like
        [kg/m3]
    law : FlowLaw
    floor_viscosity : array_like
        Least viscosity in a gap [Pa s].

    Notes
    -----
    S = sum of c^3 dp b/(12 mu L) for a Newtonian product (physics book 4.10); each line as `gap.slip`.
    """
    total: Array = np.zeros(())
    for share, across, along in leak_lines(geometry):
        one = slip(share * np.asarray(pressure), clearance, along, across, density, law, floor_viscosity)
        total = total + one
    return total


def drag_torque(speed: ArrayLike, geometry: Rotors, film: ArrayLike, law: FlowLaw) -> Array:
    """Torque [N m] of shearing product at tips, end faces and in the pockets, isothermal (an upper estimate).

    Parameters
    ----------
    speed : array_like
        [1/s]
    geometry : Rotors
    film : array_like
        Thickness of the film that is sheared at tips and ends, the clearance [m].
    law : FlowLaw

    Notes
    -----
    T = [tau(v/c) 2 z l b + tau(v/h) pi D b] D/2 + tau(v/(2c)) pi D^2/2 D/4, v = pi D n: two rotors, pockets
    sheared over their depth h, ends at half the tip speed over half of four faces.
    """
    d, b = geometry.rotor_diameter, geometry.width
    v = math.pi * d * np.asarray(speed, dtype=np.float64)
    gap = np.asarray(film)
    tips = law.stress(v / gap) * (2.0 * geometry.pockets * geometry.tip_land * b)
    pockets = law.stress(v / pocket_depth(geometry)) * (math.pi * d * b)
    ends = law.stress(0.5 * v / gap) * (0.5 * math.pi * d**2)
    return np.asarray((tips + pockets) * 0.5 * d + ends * 0.25 * d)
