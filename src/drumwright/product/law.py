"""The Herschel-Bulkley law of one product at one temperature; arrays hold one law per sample."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish


@dataclass(frozen=True, slots=True)
class FlowLaw:
    """Stress law tau = tau_y + K g^n; Newtonian, power law and Bingham are special cases.

    Parameters
    ----------
    yield_stress : float or ndarray
        Flowing yield stress tau_y [Pa], zero or more.
    consistency : float or ndarray
        K [Pa s^n]; the viscosity where the exponent is 1.
    exponent : float or ndarray
        n [-].
    """

    yield_stress: Number
    consistency: Number
    exponent: Number

    def stress(self, shear_rate: ArrayLike) -> Number:
        """Return the shear stress [Pa] at a shear rate [1/s]; the yield stress at zero."""
        g, tau_y, k, n = arrays(shear_rate, self.yield_stress, self.consistency, self.exponent)
        return finish(np.asarray(tau_y + k * g**n))

    def apparent_viscosity(self, shear_rate: ArrayLike) -> Number:
        """Return stress over shear rate [Pa s] at a shear rate [1/s] above zero."""
        g = np.asarray(shear_rate, dtype=np.float64)
        return finish(np.asarray(self.stress(g) / g))

    def scaled(self, factor: ArrayLike) -> FlowLaw:
        """Return the law with every stress multiplied by a factor [-] (batch to batch, model factor)."""
        tau_y, k, by = arrays(self.yield_stress, self.consistency, factor)
        return FlowLaw(finish(tau_y * by), finish(k * by), self.exponent)
