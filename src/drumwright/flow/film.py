"""Film a wiper lip leaves on the wall."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import (
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)


def wiper_film(
    speed: ArrayLike, pressure_gradient: ArrayLike, consistency: ArrayLike, exponent: ArrayLike
) -> Number:
    """Thickness of the film a conforming lip leaves on the wall behind it.

    Parameters
    ----------
    speed : float or ndarray
        Speed of the lip along the wall [m/s].
    pressure_gradient : float or ndarray
        Greatest gradient of the contact pressure on the product side [Pa/m].
    consistency, exponent : float or ndarray
        Of the product [Pa s^n], [-]. The yield stress does not appear.

    Returns
    -------
    float or ndarray
        Mean film on the wall [m]; half of the gap under the lip for a Newtonian product.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    h_f = n/(2n+1) [K ((n+1) U/n)^n / w]^(1/(n+1)) (physics book 2.1, derived there by inverse lubrication and
    confirmed by a full solution). Holds where the lip conforms and the film is well above the roughness of
    wall and lip (5-30 um, an estimate); isothermal.
    """
    u, w, k, n = arrays(speed, pressure_gradient, consistency, exponent)
    require_not_negative("speed", u)
    require_positive("pressure gradient", w)
    require_law(np.zeros(()), k, n)
    return finish(n / (2.0 * n + 1.0) * (k * ((n + 1.0) * u / n) ** n / w) ** (1.0 / (n + 1.0)))
