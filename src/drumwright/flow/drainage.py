"""What still clings to walls and floor of an emptied container after a time, and how long to wait.

Times count from the moment the bulk has gone: emptying itself comes on top (correction C4).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.draw_down import floor_draw_down
from drumwright.flow.floor import Floor
from drumwright.flow.numbers import (
    GRAVITY,
    Array,
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)

STRAIGHT_EDGE = 1.0757  # mean depth over (mu L^2/(rho g t))^(1/3), whole width open (physics book 1.5)
EVEN_FALL = (
    1.05286  # the same for a level that falls evenly: 4^(1/3) m^(4/3), m the mean of (x - x^2/2)^(1/4)
)
MOST_STEPS = 6


def wall_film(
    distance: ArrayLike,
    time: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Film that drains down an upright wall.

    Parameters
    ----------
    distance : float or ndarray
        From the upper edge of the wetted wall [m].
    time : float or ndarray
        Since the wall was laid bare [s].
    density : float or ndarray
        [kg/m3]
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Thickness [m]; never below tau_y/(rho g), which hangs for ever.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    A depth travels at dq/dh = (rho g/K)^(1/n) (h - h_y)^(1/n) h, h_y = tau_y/(rho g), so h follows from
    z/t = dq/dh: derived here from the film law of the physics book 1.5. Newtonian: sqrt(mu z/(rho g t))
    (Jeffreys 1930, remembered).
    """
    z, t, rho, tau, k, n = _film_arguments(distance, time, density, yield_stress, consistency, exponent)
    held = tau / (rho * GRAVITY)
    return finish(np.asarray(held + _moving(z / t, held, k / (rho * GRAVITY), n)))


def wall_film_mean(
    height: ArrayLike,
    time: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Mean of `wall_film` over the height of a wall.

    Parameters
    ----------
    height : float or ndarray
        Of the wetted wall [m].
    time : float or ndarray
        Since the wall was laid bare [s].
    density : float or ndarray
        [kg/m3]
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Mean thickness [m]; two thirds of that at the foot for a Newtonian product.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Thickness at the foot less what has run out there over the height, t q(h)/H (mass balance).
    """
    tall, t, rho, tau, k, n = _film_arguments(height, time, density, yield_stress, consistency, exponent)
    require_positive("height", tall)
    held, fluidity = tau / (rho * GRAVITY), k / (rho * GRAVITY)
    moving = _moving(tall / t, held, fluidity, n)
    outflow = n * moving ** (1.0 + 1.0 / n) * fluidity ** (-1.0 / n)
    outflow = outflow * ((n + 1.0) * (held + moving) + n * held) / ((n + 1.0) * (2.0 * n + 1.0))
    return finish(np.asarray(held + moving - t * outflow / tall))


def floor_constant(floor: Floor, edge_radius: ArrayLike) -> Array:
    """How a floor drains through its outlet: mean depth over (mu/(rho g t))^(1/3), Newtonian.

    Parameters
    ----------
    floor : Floor
        With its outlet.
    edge_radius : array_like
        Radius of the edge of the outlet on the floor [m].

    Returns
    -------
    ndarray
        Constant [m^(2/3)]; over L^(2/3) it is 1.40 for a floor 1.10 x 0.93 m with an edge of 40 mm in the
        middle of a short side (correction C4).

    Raises
    ------
    FlowOutOfRange
        If the edge is not more than zero.

    Notes
    -----
    A level that falls evenly at the flow Q stands V = A m (12 mu Q/(rho g A))^(1/4) over the floor, which
    gives 4^(1/3) m^(4/3); m from `floor_draw_down`. The level really falls in proportion to the depth: the
    factor of a straight edge, 1.0757/1.0529, is taken for every floor. Within 1.5 % of a solution of the
    whole floor (tests).
    """
    one = floor_draw_down(floor, 1.0, edge_radius, 0.0, 1.0, 0.0, GRAVITY, 1.0)  # mu/(rho g) = 1
    mean_root = one.volume / floor.area * (floor.area / 12.0) ** 0.25
    return np.asarray(STRAIGHT_EDGE / EVEN_FALL * 4.0 ** (1.0 / 3.0) * mean_root ** (4.0 / 3.0))


def floor_mean_depth(
    constant: ArrayLike, time: ArrayLike, density: ArrayLike, viscosity: ArrayLike
) -> Number:
    """Mean depth of a Newtonian product that still drains from a floor.

    Parameters
    ----------
    constant : float or ndarray
        Of `floor_constant` [m^(2/3)]; 1.0757 L^(2/3) where a whole side is open.
    time : float or ndarray
        Since the bulk has gone [s].
    density, viscosity : float or ndarray
        [kg/m3], [Pa s]

    Returns
    -------
    float or ndarray
        Depth [m].

    Raises
    ------
    FlowOutOfRange
        If a value is not positive.

    Notes
    -----
    h = c (mu/(rho g t))^(1/3) (physics book 1.5 with correction C4).
    """
    c, t, rho, mu = arrays(constant, time, density, viscosity)
    for name, value in (("constant", c), ("time", t), ("density", rho), ("viscosity", mu)):
        require_positive(name, value)
    return finish(np.asarray(c * np.cbrt(mu / (rho * GRAVITY * t))))


def time_to_drain(
    volume: ArrayLike,
    floor_area: ArrayLike,
    constant: ArrayLike,
    wall_area: ArrayLike,
    height: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
) -> Number:
    """Time until floor and walls together hold no more than a volume of a Newtonian product.

    Parameters
    ----------
    volume : float or ndarray
        Residue that is wanted [m3], more than zero.
    floor_area, constant : float or ndarray
        Area [m2] and `floor_constant` [m^(2/3)].
    wall_area, height : float or ndarray
        Wetted wall [m2] and its height [m].
    density, viscosity : float or ndarray
        [kg/m3], [Pa s]

    Returns
    -------
    float or ndarray
        Time since the bulk has gone [s].

    Raises
    ------
    FlowOutOfRange
        If a value is not positive.

    Notes
    -----
    V = a t^(-1/3) + b t^(-1/2), a cubic in t^(-1/6), by Newton steps.
    """
    wanted, c, wall, rho, mu = arrays(volume, constant, wall_area, density, viscosity)
    area, tall = arrays(floor_area, height)
    named = {"volume": wanted, "floor area": area, "constant": c, "wall area": wall, "height": tall,
             "density": rho, "viscosity": mu}  # fmt: skip
    for name, value in named.items():
        require_positive(name, value)
    a = area * c * np.cbrt(mu / (rho * GRAVITY))
    b = wall * 2.0 / 3.0 * np.sqrt(mu * tall / (rho * GRAVITY))
    s = np.minimum(np.sqrt(wanted / a), np.cbrt(wanted / b))
    for _ in range(MOST_STEPS):
        s = s - (a * s**2 + b * s**3 - wanted) / (2.0 * a * s + 3.0 * b * s**2)
    return finish(np.asarray(s**-6.0))


def _film_arguments(*values: ArrayLike) -> tuple[Array, ...]:
    z, t, rho, tau, k, n = arrays(*values)
    require_not_negative("distance", z)
    require_positive("time", t)
    require_positive("density", rho)
    require_law(tau, k, n)
    return z, t, rho, tau, k, n


def _moving(speed: Array, held: Array, fluidity: Array, n: Array) -> Array:
    """Part of a film [m] above the held layer that travels at a speed [m/s]: y^(1/n) (y + held) = B.

    Newton on ln y from above, where the function is convex.
    """
    safe = np.maximum(speed, 1e-200)
    log_b = np.log(safe) + np.log(fluidity) / n
    alone = n / (n + 1.0) * log_b
    x = np.where(held > 0.0, np.minimum(alone, n * (log_b - np.log(np.where(held > 0.0, held, 1.0)))), alone)
    for _ in range(MOST_STEPS):
        y = np.exp(x)
        x = x - (x / n + np.log(y + held) - log_b) / (1.0 / n + y / (y + held))
    return np.asarray(np.where(speed > 0.0, np.exp(x), 0.0))
