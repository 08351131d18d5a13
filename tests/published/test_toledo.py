"""Toledo, Fundamentals of Food Process Engineering, ch. 6 tube-viscometer example: from memory."""

import numpy as np

from drumwright.product.regression import power_law_regression
from validation_registry import record

DENSITY, BORE, LENGTH = 1090.0, 0.0127, 1.219
MASS_FLOW = np.array([0.01753, 0.02629, 0.03505, 0.04381, 0.08765])
PRESSURE = np.array([19197.0, 23497.0, 27144.0, 30350.0, 42925.0])


def test_exponent_from_tube_viscometer() -> None:
    """RHE-04, from memory: n = 0.5 from five pressures of a half-inch tube."""
    wall_stress = PRESSURE * BORE / (4.0 * LENGTH)
    nominal = 32.0 * MASS_FLOW / DENSITY / (np.pi * BORE**3)
    ours = power_law_regression(nominal, wall_stress).exponent
    assert record("RHE-04", "Toledo, ch. 6", "exponent", 0.5, ours, "-", 0.005, "from memory").agrees
