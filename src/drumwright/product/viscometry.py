"""What simple instruments measure, in terms of the flow law: spindles, vane, trough, heap, cone."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.tables import read_csv
from drumwright.flow.numbers import Number, arrays, finish, require_positive

GRAVITY = 9.80665  # m/s2
TROUGH_LENGTH, TROUGH_DEPTH = 0.05, 0.038  # m, reservoir of the trough consistometer


def bob_shear_rate(exponent: ArrayLike, bob: ArrayLike, cup: ArrayLike, speed: ArrayLike) -> Number:
    """Shear rate at the bob of coaxial cylinders for a power-law product.

    Parameters
    ----------
    exponent : float or ndarray
        n [-]
    bob, cup : float or ndarray
        Diameters [m]; an infinite cup is a wide vessel.
    speed : float or ndarray
        Turns per second [1/s].

    Returns
    -------
    float or ndarray
        [1/s]

    Raises
    ------
    FlowOutOfRange
        If a value is not above zero.

    Notes
    -----
    2 Omega / (n (1 - (Rb/Rc)^(2/n))): exact for a power law (Krieger and Maron 1954; Steffe 1996, ch. 3, from
    memory); with a yield stress the layer that flows is thinner and the rate higher.
    """
    n, inner, outer, turns = arrays(exponent, bob, cup, speed)
    for name, value in (("exponent", n), ("bob", inner), ("speed", turns), ("gap", outer - inner)):
        require_positive(name, value)
    return finish(4.0 * math.pi * turns / (n * (1.0 - (inner / outer) ** (2.0 / n))))


def bob_stress(torque: ArrayLike, diameter: ArrayLike, length: ArrayLike) -> Number:
    """Shear stress at a cylinder that turns in a product, ends left out.

    Parameters
    ----------
    torque : float or ndarray
        [N m]
    diameter, length : float or ndarray
        Of the cylinder in the product [m].

    Returns
    -------
    float or ndarray
        2 M / (pi D^2 L) [Pa].
    """
    moment, d, l = arrays(torque, diameter, length)  # noqa: E741 - length
    return finish(2.0 * moment / (math.pi * d**2 * l))


def bob_torque(viscosity: float, diameter: float, length: float, speed: float, cup: float) -> float:
    """Torque [N m] at which a cylinder spindle shows a viscosity: that of a Newtonian liquid, ends left out.

    Parameters
    ----------
    viscosity : float
        As shown [Pa s].
    diameter, length : float
        Of the cylinder in the product [m].
    speed : float
        Turns per second [1/s].
    cup : float
        Inside diameter of the cup [m]; infinite for a wide vessel.
    """
    stress = viscosity * float(bob_shear_rate(1.0, diameter, cup, speed))
    return 0.5 * math.pi * diameter**2 * length * stress


def disc_stress(spindle: int, reading: ArrayLike) -> Number:
    """Mean shear stress at a disc spindle of ISO 2555.

    Parameters
    ----------
    spindle : int
        Number of the disc spindle, 1 to 7.
    reading : float or ndarray
        Torque over full scale [-], instrument of 0.7187 mN m.

    Returns
    -------
    float or ndarray
        [Pa]

    Notes
    -----
    Factors of Mitschka (1982) as tabulated by Briggs and Steffe (1997), from memory.
    """
    return finish(_spindle(spindle)[0] * 100.0 * np.asarray(reading, dtype=np.float64))


def disc_shear_rate(spindle: int, speed: ArrayLike, exponent: ArrayLike) -> Number:
    """Mean shear rate at a disc spindle of ISO 2555.

    Parameters
    ----------
    spindle : int
        Number of the disc spindle, 1 to 7.
    speed : float or ndarray
        Turns per second [1/s].
    exponent : float or ndarray
        n [-]; held to 0.1 to 1, the range of the table.

    Returns
    -------
    float or ndarray
        [1/s]

    Notes
    -----
    As `disc_stress`; linear between the columns. The column n = 1 was checked against the instrument's own
    factors (within 4 %), the others were not.
    """
    row = _spindle(spindle)[1]
    n = np.clip(np.asarray(exponent, dtype=np.float64), 0.1, 1.0)
    factor = np.interp(n, np.linspace(0.1, 1.0, row.size), row)
    return finish(factor * 60.0 * np.asarray(speed, dtype=np.float64))


def disc_reading(spindle: int, speed: float, viscosity: float) -> float:
    """Torque over full scale [-] at which a disc spindle shows a viscosity.

    Parameters
    ----------
    spindle : int
        Number of the disc spindle, 1 to 7.
    speed : float
        Turns per second [1/s].
    viscosity : float
        As shown [Pa s].
    """
    return viscosity * 60.0 * speed / _spindle(spindle)[2] / 100.0


def _spindle(number: int) -> tuple[float, np.ndarray[tuple[int, ...], np.dtype[np.float64]], float]:
    """Stress a percent [Pa], rate factors for n = 0.1 to 1, viscosity a percent and turn a minute [Pa s]."""
    row = next(each for each in read_csv("spindles.csv") if each["spindle"] == str(number))
    factors = [float(row[f"rate_{tenth}"]) for tenth in range(1, 11)]
    return float(row["stress"]), np.array(factors), float(row["viscosity"])


def vane_yield_stress(torque: ArrayLike, diameter: ArrayLike, height: ArrayLike) -> Number:
    """Static yield stress from the peak torque of a vane.

    Parameters
    ----------
    torque : float or ndarray
        Peak [N m].
    diameter, height : float or ndarray
        Of the vane [m], wholly in the product.

    Returns
    -------
    float or ndarray
        [Pa]

    Notes
    -----
    T = (pi D^3/2)(H/D + 1/3) tau: even stress on the cylinder and both ends (Nguyen and Boger 1983).
    """
    moment, d, h = arrays(torque, diameter, height)
    return finish(moment / (0.5 * math.pi * d**3 * (h / d + 1.0 / 3.0)))


def trough_reading(yield_stress: ArrayLike, density: ArrayLike) -> Number:
    """Final run-out of a Bostwick trough beyond its gate.

    Parameters
    ----------
    yield_stress : float or ndarray
        [Pa]
    density : float or ndarray
        [kg/m3]

    Returns
    -------
    float or ndarray
        [m]

    Notes
    -----
    Rest state of a shallow layer, wide trough, no inertia (Balmforth et al. 2007, re-derived): with
    B = tau_y l/(rho g H^2) the length is l (9/(8 B))^(1/3) up to B = 1/3, else l (1 + 1/(6 B)). A reading
    after 30 s is smaller.
    """
    tau, rho = arrays(yield_stress, density)
    b = np.maximum(tau * TROUGH_LENGTH / (rho * GRAVITY * TROUGH_DEPTH**2), 1e-12)
    thin, stiff = (9.0 / (8.0 * b)) ** (1.0 / 3.0), 1.0 + 1.0 / (6.0 * b)
    return finish(TROUGH_LENGTH * (np.where(b <= 1.0 / 3.0, thin, stiff) - 1.0))


def trough_yield_stress(reading: ArrayLike, density: ArrayLike) -> Number:
    """Yield stress at which a Bostwick trough comes to rest at a reading: the inverse of `trough_reading`.

    Parameters
    ----------
    reading : float or ndarray
        Beyond the gate [m].
    density : float or ndarray
        [kg/m3]

    Returns
    -------
    float or ndarray
        [Pa]; the greatest one possible, as the run-out may not have come to rest.
    """
    x, rho = arrays(reading, density)
    relative = 1.0 + x / TROUGH_LENGTH
    b = np.where(relative >= 1.5, 9.0 / (8.0 * relative**3), 1.0 / (6.0 * (relative - 1.0)))
    return finish(b * rho * GRAVITY * TROUGH_DEPTH**2 / TROUGH_LENGTH)


def spread_yield_stress(volume: ArrayLike, diameter: ArrayLike, density: ArrayLike) -> Number:
    """Yield stress from the spread of a thin round heap.

    Parameters
    ----------
    volume : float or ndarray
        [m3]
    diameter : float or ndarray
        Of the heap at rest [m].
    density : float or ndarray
        [kg/m3]

    Returns
    -------
    float or ndarray
        [Pa]

    Notes
    -----
    225 rho g V^2/(128 pi^2 R^5) (Roussel and Coussot 2005); holds where the heap is much wider than high.
    """
    v, d, rho = arrays(volume, diameter, density)
    return finish(225.0 * rho * GRAVITY * v**2 / (128.0 * math.pi**2 * (0.5 * d) ** 5))


def consistency_number(penetration: float) -> str:
    """NLGI grade of a worked penetration, "" between two grades.

    Parameters
    ----------
    penetration : float
        Worked, at 25 degrees Celsius [m].

    Notes
    -----
    ASTM D217, Note 1 of its scope; 15 tenths of a millimetre between two grades belong to none.
    """
    tenths = round(penetration * 1e4, 6)
    for row in read_csv("consistency_numbers.csv"):
        if float(row["penetration_low"]) <= tenths <= float(row["penetration_high"]):
            return row["grade"]
    return ""


def penetration_yield_stress(penetration: float) -> tuple[float, float, float]:
    """Yield stress a worked penetration may mean [Pa]: low, likely, high, assumed.

    Parameters
    ----------
    penetration : float
        [m]

    Notes
    -----
    Interpolated in logarithms between the middles of the NLGI grades in `consistency_numbers.csv`, whose
    stresses are assumed (grade 2 after physics book 0.2); no relation of penetration and yield stress was
    found in an opened text.
    """
    rows = read_csv("consistency_numbers.csv")
    middles = [0.5 * (float(row["penetration_low"]) + float(row["penetration_high"])) for row in rows]
    order = np.argsort(middles)
    found = [
        math.exp(
            float(
                np.interp(
                    penetration * 1e4, np.array(middles)[order], np.log([float(r[name]) for r in rows])[order]
                )
            )
        )
        for name in ("yield_low", "yield_likely", "yield_high")
    ]
    return found[0], found[1], found[2]
