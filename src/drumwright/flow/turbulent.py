"""Pipe friction in any regime; the turbulent branch serves cleaning water and thin products only."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Array, Number, arrays, finish, require_not_negative, require_positive
from drumwright.flow.pipe import wall_stress
from drumwright.flow.regime import LEAST_LIMIT, laminar_limit, metzner_reed


def newtonian_friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike = 0.0) -> Number:
    """Fanning friction factor of a Newtonian liquid, from the library `fluids`.

    Parameters
    ----------
    reynolds : float or ndarray
        rho V D/mu [-]
    relative_roughness : float or ndarray
        Wall roughness over diameter [-].

    Returns
    -------
    float or ndarray
        Fanning factor [-], a quarter of the Darcy factor.
    """
    from fluids.friction import friction_factor  # not loaded on the laminar path

    re, rough = np.broadcast_arrays(*arrays(reynolds, relative_roughness))
    pairs = zip(re.flat, rough.flat, strict=True)
    flat = [0.25 * friction_factor(Re=float(a), eD=float(b)) for a, b in pairs]
    return finish(np.array(flat).reshape(re.shape))


def dodge_metzner(reynolds: ArrayLike, exponent: ArrayLike) -> Number:
    """Fanning friction factor of turbulent power-law flow in a smooth pipe.

    Parameters
    ----------
    reynolds : float or ndarray
        Metzner-Reed number [-], above the laminar limit.
    exponent : float or ndarray
        n [-]

    Returns
    -------
    float or ndarray
        Fanning factor [-].

    Notes
    -----
    1/sqrt(f) = (4/n^0.75) log10(Re f^(1-n/2)) - 0.4/n^1.2 (Dodge and Metzner, form from memory), solved by
    eight Newton steps in 1/sqrt(f).
    """
    re, n = arrays(reynolds, exponent)
    lead, tail = 4.0 / (n**0.75 * np.log(10.0)), 0.4 / n**1.2
    power = 2.0 - n  # f^(1-n/2) = g^-(2-n), g = 1/sqrt(f)
    g = np.full(np.broadcast_shapes(re.shape, n.shape), 15.0)
    for _ in range(8):
        miss = g + tail - lead * (np.log(re) - power * np.log(g))
        g = np.maximum(g - miss / (1.0 + lead * power / g), 0.1 * g)
    return finish(g**-2)


def darby_melson(reynolds: ArrayLike, hedstrom_number: ArrayLike) -> Number:
    """Fanning friction factor of a Bingham product in a smooth pipe, turbulent branch.

    Parameters
    ----------
    reynolds, hedstrom_number : float or ndarray
        Bingham Reynolds number rho V D/mu_p and Hedstrom number [-].

    Returns
    -------
    float or ndarray
        f_T = 10^a Re^-0.193, a = -1.378 (1 + 0.146 exp(-2.9e-5 He)) [-].

    Notes
    -----
    Darby and Melson (1981). The constant -1.378, not the -1.47 of some editions, which misses a slurry
    by 24 % (check PIP-21).
    """
    re, he = arrays(reynolds, hedstrom_number)
    a = -1.378 * (1.0 + 0.146 * np.exp(-2.9e-5 * he))
    return finish(np.asarray(10.0**a * re**-0.193))


def darby_melson_blend(reynolds: ArrayLike, laminar: ArrayLike, turbulent: ArrayLike) -> Number:
    """Fanning factor over laminar and turbulent flow of a Bingham product.

    Parameters
    ----------
    reynolds : float or ndarray
        Bingham Reynolds number [-].
    laminar, turbulent : float or ndarray
        Fanning factors of the two branches [-].

    Returns
    -------
    float or ndarray
        (f_L^m + f_T^m)^(1/m), m = 1.7 + 40000/Re [-].
    """
    re, f_l, f_t = arrays(reynolds, laminar, turbulent)
    m = 1.7 + 40000.0 / re
    big = np.maximum(f_l, f_t)
    return finish(big * ((f_l / big) ** m + (f_t / big) ** m) ** (1.0 / m))


def pressure_drop_any_regime(
    flow: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
    roughness: ArrayLike = 0.0,
) -> Number:
    """Friction pressure in a pipe, laminar below the limit, turbulent above.

    Parameters
    ----------
    flow : float or ndarray
        Volume flow [m3/s]; zero gives the pressure that yield alone holds.
    diameter, length : float or ndarray
        Inside diameter and length [m].
    density : float or ndarray
        [kg/m3]
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    roughness : float or ndarray
        Wall roughness [m], used for Newtonian turbulent flow only; 0 is hydraulically smooth.

    Returns
    -------
    float or ndarray
        Pressure difference [Pa], never below the laminar one.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Above `laminar_limit`: Newtonian by `fluids`; Bingham by Darby and Melson with their blend; power law by
    Dodge and Metzner; Herschel-Bulkley by Dodge and Metzner with the exponent of the law and the Metzner-Reed
    number of the laminar wall stress, an estimate. The friction may jump up at the limit. `fluids` is not
    imported while every sample is laminar.
    """
    q, bore, long, rho = arrays(flow, diameter, length, density)
    tau_y, k, n = arrays(yield_stress, consistency, exponent)
    require_not_negative("length", long)
    require_positive("density", rho)
    tau_w = np.asarray(wall_stress(q, bore, tau_y, k, n))
    number = np.asarray(metzner_reed(q, bore, rho, np.maximum(tau_w, 1e-300)))
    if number.size and number.max() > LEAST_LIMIT:
        tau_w = _turbulent(number, tau_w, (q, bore, rho, tau_y, k, n, arrays(roughness)[0]))
    return finish(4.0 * long / bore * tau_w)


def _turbulent(number: Array, tau_w: Array, inputs: tuple[Array, ...]) -> Array:
    """Return the wall stress with the samples above the laminar limit replaced."""
    number, tau_w, *rest = np.broadcast_arrays(number, tau_w, *inputs)
    beyond = number > laminar_limit(rest[5])
    if not beyond.any():
        return tau_w
    q, bore, rho, tau_y, k, n, rough = (value[beyond] for value in rest)
    re_mr, laminar = number[beyond], tau_w[beyond]
    dynamic = 0.5 * rho * (q / (0.25 * np.pi * bore**2)) ** 2
    factor = np.asarray(dodge_metzner(re_mr, n))
    linear = n == 1.0
    if linear.any():
        reynolds = 4.0 * rho * q / (np.pi * bore * k)
        bingham, newton = linear & (tau_y > 0.0), linear & (tau_y == 0.0)
        f_t = darby_melson(reynolds, rho * bore**2 * tau_y / k**2)
        factor = np.where(bingham, darby_melson_blend(reynolds, 16.0 / re_mr, f_t), factor)
        if newton.any():
            factor[newton] = newtonian_friction_factor(reynolds[newton], (rough / bore)[newton])
    stress = np.array(tau_w)
    stress[beyond] = np.maximum(laminar, factor * dynamic)
    return stress
