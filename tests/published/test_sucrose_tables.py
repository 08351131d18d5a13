"""Sucrose tables of the CRC Handbook of Chemistry and Physics, read as stored in an open source class."""

from drumwright.product.reference_liquids import sucrose_density_20c
from drumwright.product.temperature import arrhenius_fit
from validation_registry import record

SOURCE = "CRC Handbook sucrose tables"


def test_viscosity_of_60_percent_sucrose_between_two_temperatures() -> None:
    """RHE-12: 43.86 mPa s at 25 C, from 56.5 at 20 C and 33.78 at 30 C."""
    law = arrhenius_fit([293.15, 303.15], [0.0565, 0.03378])
    ours = float(law.at(298.15))
    assert record("RHE-12", SOURCE, "viscosity at 25 C", 0.04386, ours, "Pa s", 0.015, "published").agrees


def test_density_of_60_percent_sucrose() -> None:
    """RHE-12: 1286.4 kg/m3 at 20 C."""
    ours = float(sucrose_density_20c(0.6))
    assert record("RHE-12", SOURCE, "density at 20 C", 1286.4, ours, "kg/m3", 0.003, "published").agrees
