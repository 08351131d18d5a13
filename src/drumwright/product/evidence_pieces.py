"""Pieces of evidence on the flow law, each with what it would read for a law, and how wide it is.

The widths are assumed, not measured: each stands for instrument, sample and how far the reading is from what
it is taken to mean.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drumwright.flow.numbers import Array
from drumwright.flow.pipe import pressure_drop
from drumwright.product.law import FlowLaw
from drumwright.product.viscometry import (
    GRAVITY,
    bob_shear_rate,
    bob_stress,
    disc_reading,
    disc_shear_rate,
    disc_stress,
    penetration_yield_stress,
    spread_yield_stress,
    trough_yield_stress,
    vane_yield_stress,
)

# Factor by which truth and reading may differ (two standard deviations of the logarithm), all assumed.
WIDTHS = {
    "viscosity": 1.15,
    "disc_spindle": 1.3,
    "cylinder_spindle": 1.2,
    "vane": 1.6,
    "static_yield": 1.6,
    "bostwick": 2.5,
    "spread": 1.6,
    "flow_pressure": 1.8,
    "extrusion_rate": 1.4,
    "tube_viscometer": 1.15,
    "todays_line": 1.25,
}
STATIC_OVER_FLOWING = 1.4  # likely static over flowing yield stress, 1 to 2; trade book 1.1: 1.5 (1-2)
NOT_AT_REST = 0.8  # likely yield stress over the one a trough read too early would give, assumed


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of evidence.

    Parameters
    ----------
    kind : str
        Word of the evidence, EVD-<kind> in the phrase catalogue.
    quantity : str
        Kind of quantity that was observed: "stress" or "pressure_difference".
    observed : float
        What was read [Pa].
    sigma : float
        Standard deviation of its logarithm [-].
    predict : callable
        Stress or pressure [Pa] a law would give.
    temperature : float or None
        [K]
    """

    kind: str
    quantity: str
    observed: float
    sigma: float
    predict: Callable[[FlowLaw], Array]
    temperature: float | None = None

    def at(self, temperature: float | None) -> Piece:
        """Return the piece with its temperature [K].

        Parameters
        ----------
        temperature : float or None
            [K]
        """
        return replace(self, temperature=temperature)


def _sigma(kind: str) -> float:
    return 0.5 * math.log(WIDTHS[kind])


def viscosity_at(viscosity: float, shear_rate: float) -> Piece:
    """One viscosity at a known shear rate.

    Parameters
    ----------
    viscosity : float
        [Pa s]
    shear_rate : float
        [1/s]
    """
    return Piece(
        "viscosity",
        "stress",
        viscosity * shear_rate,
        _sigma("viscosity"),
        lambda law: np.asarray(law.stress(shear_rate)),
    )


def disc_spindle(spindle: int, speed: float, viscosity: float | None, reading: float | None) -> Piece:
    """A reading of a disc spindle of ISO 2555.

    Parameters
    ----------
    spindle : int
        Number of the spindle, 1 to 7.
    speed : float
        Turns per second [1/s].
    viscosity : float or None
        As shown [Pa s].
    reading : float or None
        Torque over full scale [-]; one of the two is needed.

    Raises
    ------
    ValueError
        If neither was given.
    """
    if reading is None:
        if viscosity is None:
            raise ValueError("a spindle needs its viscosity or its reading")
        reading = disc_reading(spindle, speed, viscosity)
    observed = float(disc_stress(spindle, reading))
    return Piece(
        "disc_spindle", "stress", observed, _sigma("disc_spindle"),
        lambda law: np.asarray(law.stress(disc_shear_rate(spindle, speed, law.exponent))),
    )  # fmt: skip


def cylinder_spindle(
    torque: float, diameter: float, length: float, speed: float, cup: float = math.inf
) -> Piece:
    """A cylinder that turns in a cup or a wide vessel.

    Parameters
    ----------
    torque : float
        [N m]
    diameter, length : float
        Of the cylinder in the product [m].
    speed : float
        Turns per second [1/s].
    cup : float
        Inside diameter of the cup [m]; infinite for a wide vessel.
    """
    observed = float(bob_stress(torque, diameter, length))

    def predict(law: FlowLaw) -> Array:
        """Stress at the rate of the power law that touches the law at the bob: two rounds."""
        n = np.asarray(law.exponent, dtype=np.float64)
        for _ in range(2):
            rate = np.asarray(bob_shear_rate(n, diameter, cup, speed))
            n = np.maximum(law.exponent * (1.0 - law.yield_stress / law.stress(rate)), 0.05)
        return np.asarray(law.stress(bob_shear_rate(n, diameter, cup, speed)))

    return Piece("cylinder_spindle", "stress", observed, _sigma("cylinder_spindle"), predict)


def vane(torque: float, diameter: float, height: float) -> Piece:
    """The peak torque of a vane: a static yield stress.

    Parameters
    ----------
    torque : float
        [N m]
    diameter, height : float
        Of the vane [m].
    """
    return static_yield(float(vane_yield_stress(torque, diameter, height)), "vane")


def static_yield(stress: float, kind: str = "vane") -> Piece:
    """A static yield stress; the flowing one is lower by `STATIC_OVER_FLOWING`.

    Parameters
    ----------
    stress : float
        [Pa]
    kind : str
        Word of the evidence, which sets the width.
    """
    return Piece(
        kind, "stress", stress, _sigma(kind), lambda law: STATIC_OVER_FLOWING * np.asarray(law.yield_stress)
    )


def bostwick(reading: float, density: float) -> Piece:
    """The run-out of a trough consistometer, of the product itself.

    Parameters
    ----------
    reading : float
        Beyond the gate [m].
    density : float
        [kg/m3]
    """
    observed = float(trough_yield_stress(reading, density))
    return Piece(
        "bostwick",
        "stress",
        observed,
        _sigma("bostwick"),
        lambda law: np.asarray(law.yield_stress) / NOT_AT_REST,
    )


def spread(volume: float, diameter: float, density: float) -> Piece:
    """The diameter to which a known volume spreads.

    Parameters
    ----------
    volume : float
        [m3]
    diameter : float
        At rest [m].
    density : float
        [kg/m3]
    """
    observed = float(spread_yield_stress(volume, diameter, density))
    return Piece("spread", "stress", observed, _sigma("spread"), lambda law: np.asarray(law.yield_stress))


def cone_penetration(penetration: float, kind: str = "cone_penetration") -> Piece:
    """A worked penetration of a grease; its relation to the yield stress is assumed.

    Parameters
    ----------
    penetration : float
        [m]
    kind : str
        "cone_penetration", or "consistency_number" where only the grade is known.
    """
    low, likely, high = penetration_yield_stress(penetration)
    return Piece(
        kind, "stress", likely, 0.25 * math.log(high / low), lambda law: np.asarray(law.yield_stress)
    )


def flow_pressure(pressure: float, bore: float, length: float) -> Piece:
    """The pressure at which grease begins to leave a nozzle: p d/(4 L) is a static yield stress.

    Parameters
    ----------
    pressure : float
        [Pa]
    bore, length : float
        Of the nozzle [m].
    """
    return static_yield(0.25 * pressure * bore / length, "flow_pressure")


def extrusion_rate(flow: float, pressure: float, bore: float, length: float) -> Piece:
    """A flow through a nozzle at a pressure, with an allowance for its entry.

    Parameters
    ----------
    flow : float
        [m3/s]
    pressure : float
        [Pa]
    bore, length : float
        Of the nozzle [m].

    Notes
    -----
    Entry as one bore more of length, between none and two (assumed).
    """
    share = 0.25 * math.log((length + 2.0 * bore) / length)
    sigma = math.hypot(_sigma("extrusion_rate"), share)
    return Piece(
        "extrusion_rate", "pressure_difference", pressure, sigma, _friction(flow, bore, length + bore)
    )


def tube_viscometer(
    flows: Sequence[float], pressures: Sequence[float], bore: float, length: float
) -> list[Piece]:
    """A table of flow and pressure of a tube, one piece a row; together they weigh no more than two.

    Parameters
    ----------
    flows : sequence of float
        [m3/s]
    pressures : sequence of float
        [Pa]
    bore, length : float
        [m]
    """
    sigma = _sigma("tube_viscometer") * math.sqrt(max(1.0, 0.5 * len(flows)))
    return [
        Piece("tube_viscometer", "pressure_difference", pressure, sigma, _friction(flow, bore, length))
        for flow, pressure in zip(flows, pressures, strict=True)
    ]


def todays_line(
    flow: tuple[float, float, float],
    pressure: float,
    bore: float,
    length: float,
    rise: float,
    fittings: float,
    density: float,
) -> Piece | None:
    """Today's line as a viscometer: a flow, a pressure at its start, and an open end.

    Parameters
    ----------
    flow : tuple of float
        Low, likely, high [m3/s].
    pressure : float
        At the start of the line, above that at its end [Pa].
    bore, length : float
        [m]
    rise : float
        Height of the end over the start [m].
    fittings : float
        Bends and valves as bores of pipe [-], +-50 % (physics book 5.3).
    density : float
        [kg/m3]

    Returns
    -------
    Piece or None
        None where the height alone takes the pressure: such a reading says nothing.

    Notes
    -----
    The width holds the flow (its share by an exponent of 0.5), fittings, and `WIDTHS`.
    """
    friction = pressure - density * GRAVITY * rise
    if friction <= 0.1 * abs(pressure):
        return None
    low, likely, high = flow
    of_flow = 0.25 * 0.5 * math.log(high / low) if high > low > 0.0 else 0.0
    whole = length + fittings * bore
    of_fittings = 0.25 * math.log((length + 1.5 * fittings * bore) / (length + 0.5 * fittings * bore))
    sigma = math.sqrt(_sigma("todays_line") ** 2 + of_flow**2 + of_fittings**2)
    return Piece("todays_line", "pressure_difference", friction, sigma, _friction(likely, bore, whole))


def _friction(flow: float, bore: float, length: float) -> Callable[[FlowLaw], Array]:
    return lambda law: np.asarray(
        pressure_drop(flow, bore, length, law.yield_stress, law.consistency, law.exponent)
    )
