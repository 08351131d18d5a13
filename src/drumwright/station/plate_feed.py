"""What a follower plate offers the pump: forces, pressure under the plate, losses to the pump inlet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.entry import entry_length
from drumwright.flow.pipe import pressure_drop
from drumwright.flow.sink import port_loss
from drumwright.machine.container.shape import Shape
from drumwright.machine.plate.force import atmospheric_pressure, net_force, ram_force, seal_friction
from drumwright.machine.plate.rim import rim_pressure
from drumwright.machine.plate.seals import inflation_range, normal_force, seals, wedge_force
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice, plate_with_port, stand_row
from drumwright.station.inputs import Sample
from drumwright.station.vessel import shape_of

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Feed:
    """What stands before the pump inlet; arrays over samples."""

    atmosphere: Array  # [Pa]
    push: Array  # weight of the plate and force of the ram [N]
    friction: Array  # of the seal on the wall, wedge of a cone included [N]
    inflation: Array  # pressure in an inflatable seal [Pa(g)], 0 for others
    force: Array  # net plate force [N]
    under_plate_gauge: Array  # mean pressure under the plate F/A [Pa]
    area: Array  # mean area of the plate's way [m2]
    shape: Shape
    inlet_gauge: Callable[[Array], Array]  # pump inlet pressure [Pa(g)] at a flow [m3/s]


def plate_feed(sample: Sample, law: FlowLaw, choice: Choice) -> Feed:
    """Force balance of the plate and the losses from container to pump inlet (physics book 1.1-1.3).

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    law : FlowLaw
        Arrays of shape (n,).
    choice : Choice
        With a plate.

    Notes
    -----
    Force over the mean area of the way; the friction is that at the greatest perimeter.
    """
    shape = shape_of(sample)
    push = push_of(sample, choice.stand, choice.ram)
    friction, inflation = seal_drag(sample, choice, shape, push)
    force = push - friction
    area = shape.mean_area
    under = force / area
    throat = throat_of(sample, choice)
    radius = np.sqrt(area / np.pi)

    def inlet_gauge(flow: Array) -> Array:
        sink = port_loss(flow, 0.5 * choice.port, radius, law.yield_stress, law.consistency, law.exponent)
        pipe = pressure_drop(flow, choice.port, throat, law.yield_stress, law.consistency, law.exponent)
        return np.asarray(under - sink - pipe)

    atmosphere = atmospheric_pressure(sample["site.altitude"])
    return Feed(atmosphere, push, friction, inflation, force, under, area, shape, inlet_gauge)


def push_of(sample: Sample, stand_name: str, ram_share: float = 1.0) -> Array:
    """Weight of the plate and force of the ram, seal friction not taken off [N].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    stand_name : str
        fixed_mast, moving_arm or tandem.
    ram_share : float
        Share of its force to which the ram is turned down [-].
    """
    if "machine.ram_force" in sample:
        ram = sample["machine.ram_force"]
    else:
        stand = stand_row(stand_name)
        ram = ram_force(
            sample["site.air_pressure"],
            stand["cylinders"],
            stand["cylinder_bore"],
            sample["model.cylinder_efficiency"],
        )
    return net_force(sample["machine.plate_mass"], ram_share * ram, 0.0)


def seal_drag(sample: Sample, choice: Choice, shape: Shape, push: Array) -> tuple[Array, Array]:
    """Force that holds the plate back [N] and the pressure in an inflatable seal [Pa(g)].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    choice : Choice
    shape : Shape
        Of the container.
    push : ndarray, shape (n,)
        Weight of the plate and force of the ram [N].

    Notes
    -----
    An inflatable seal is given no more pressure than lets half of the push through (physics book 2.5).
    """
    seal = seals()[choice.seal]
    perimeter = shape.perimeter(shape.height)
    none = np.zeros_like(push)
    if not seal.lips:
        return none, none
    if not seal.follows:
        drag = seal_friction(
            sample["model.seal_contact"],
            sample["model.seal_width"],
            sample["model.seal_friction"],
            perimeter / np.pi,
        )
        return seal.lips * drag, none
    width, friction = sample["model.inflatable_width"], sample["model.inflatable_friction"]
    _, most = inflation_range(none, push, friction, width, perimeter)
    inflation = np.minimum(sample["model.inflation"], most)
    normal = normal_force(inflation, width, perimeter)
    return friction * normal + wedge_force(normal, shape.half_angle), inflation


def throat_of(sample: Sample, choice: Choice) -> Array:
    """Length of throat bore between product and pump [m]: plate, sharp entry, suction hose if beside.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    choice : Choice
    """
    length = plate_with_port(choice.port)["throat_length"] + float(entry_length(choice.port))
    if choice.beside:
        return np.asarray(length + sample["model.beside_suction"])
    return np.full_like(sample["model.beside_suction"], length)


def rim_at_end(feed: Feed, choice: Choice, port_absolute: Array) -> Array:
    """Gauge pressure at the rim of the plate when it has reached the bottom [Pa(g)].

    Parameters
    ----------
    feed : Feed
    choice : Choice
    port_absolute : ndarray, shape (n,)
        Pressure to which the pump draws the port down [Pa(a)].

    Notes
    -----
    Limit of no flow (physics book 14.1 C5); force over the area of the bottom.
    """
    bottom = feed.shape.bottom_area
    port_gauge = port_absolute - feed.atmosphere
    return rim_pressure(feed.force / bottom, port_gauge, np.sqrt(bottom / np.pi), 0.5 * choice.port)
