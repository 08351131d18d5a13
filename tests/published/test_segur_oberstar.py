"""Segur & Oberstar, Ind. Eng. Chem. 43 (1951) 2117: glycerol-water at 20 degrees Celsius, from memory."""

import pytest

from drumwright.product.reference_liquids import glycerol_water_viscosity
from validation_registry import record


@pytest.mark.parametrize(
    ("mass_fraction", "viscosity"), [(0.6, 0.0108), (0.8, 0.0601), (0.9, 0.219), (1.0, 1.41)]
)
def test_glycerol_water_viscosity_at_20_degrees(mass_fraction: float, viscosity: float) -> None:
    """RHE-10, measured values from memory; Cheng's formula must come within 6 %."""
    ours = float(glycerol_water_viscosity(mass_fraction, 293.15))
    name = f"viscosity of {100 * mass_fraction:.0f} % glycerol"
    source = "Segur & Oberstar (1951)"
    assert record("RHE-10", source, name, viscosity, ours, "Pa s", 0.06, "from memory").agrees
