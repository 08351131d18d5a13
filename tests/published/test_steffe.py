"""Steffe, Rheological Methods in Food Process Engineering (1996), Table 1.10 (p. 85)."""

from drumwright.product.temperature import arrhenius_fit
from validation_registry import record


def test_arrhenius_fit_of_honey_table_1_10() -> None:
    """RHE-05: 21,801 cal/mol (91.215 kJ/mol). The first temperature is 278.7 K as printed."""
    temperature = [278.7, 285.7, 293.2, 294.7, 311.2, 321.2]
    viscosity = [76.88, 29.95, 9.03, 7.25, 0.88, 0.5]
    ours = arrhenius_fit(temperature, viscosity).activation_energy / 4.184
    source = "Steffe (1996), Table 1.10 (p. 85)"
    assert record("RHE-05", source, "activation energy", 21801.0, ours, "cal/mol", 0.003, "published").agrees
