"""De Nevers, Fluid Mechanics for Chemical Engineers, Example 13.5 (p. 440): a measured turbulent slurry."""

import math

from drumwright.flow.regime import hedstrom
from drumwright.flow.turbulent import pressure_drop_any_regime
from validation_registry import record

SOURCE = "de Nevers, Example 13.5 (p. 440)"
YIELD, PLASTIC, BORE, DENSITY, VELOCITY = 3.8, 0.00686, 0.0206, 1530.0, 3.47


def test_bingham_slurry_example_13_5() -> None:
    """PIP-21: He 52,428; 11,069 Pa/m measured at Re 15,943 (f = 0.006189), Darby and Melson within 8 %."""
    flow = 0.25 * math.pi * BORE**2 * VELOCITY
    he = float(hedstrom(BORE, DENSITY, YIELD, PLASTIC))
    drop = float(pressure_drop_any_regime(flow, BORE, 1.0, DENSITY, YIELD, PLASTIC, 1.0))
    to_factor = BORE / (2.0 * DENSITY * VELOCITY**2)
    rows = [
        ("Hedstrom number", 52428.0, he, 0.001),
        ("Fanning factor, predicted against measured", 0.006189, drop * to_factor, 0.08),
    ]
    for name, theirs, ours, tolerance in rows:
        assert record("PIP-21", SOURCE, name, theirs, ours, "-", tolerance, "published").agrees
