"""API Std 520 Part I, liquid relief: Example 5 and both viscosity corrections, quoted in fluids."""

import pytest
from fluids.safety_valve import API520_Kv

from drumwright.flow.relief_orifice import liquid_orifice, relief_reynolds, viscosity_correction
from validation_registry import record

SOURCE = "API Std 520 Part I, Example 5"


def test_example_5() -> None:
    """PMP-11: 6814 L/min crude, SG 0.9, set 1724 kPa, 10 % over, back pressure 344.8 kPa."""
    flow, density = 6814 / 6e4, 900.0
    pressure = 1724e3 * 1.1 - 344.8e3
    plain = float(liquid_orifice(flow, density, pressure, 1.0, 0.65, 0.97))
    assert record(
        "PMP-11", SOURCE, "area without viscosity", 3066, plain * 1e6, "mm2", 0.002, "published"
    ).agrees
    factor = float(viscosity_correction(4525.0))
    assert record("PMP-11", SOURCE, "K_v, 10th edition", 0.98173, factor, "-", 1e-4, "published").agrees
    final = float(liquid_orifice(flow, density, pressure, factor, 0.65, 0.97)) * 1e6
    assert record("PMP-11", SOURCE, "area", 3122, final, "mm2", 0.003, "published").agrees


@pytest.mark.parametrize(("reynolds", "theirs"), [(2110.0, 0.943672), (100.0, 0.615745)])
def test_correction_of_the_earlier_editions(reynolds: float, theirs: float) -> None:
    """PMP-12: 7th to 9th edition."""
    ours = float(viscosity_correction(reynolds, "7E"))
    source, name = "API Std 520 Part I, 7th edition", f"K_v at {reynolds:g}"
    assert record("PMP-12", source, name, theirs, ours, "-", 1e-4, "published").agrees


@pytest.mark.parametrize("edition", ["7E", "10E"])
def test_corrections_equal_those_of_the_library(edition: str) -> None:
    for reynolds in (81.0, 300.0, 2000.0):
        ours = float(viscosity_correction(reynolds, edition))  # type: ignore[arg-type]
        assert ours == pytest.approx(API520_Kv(reynolds, edition=edition), rel=1e-12)


def test_constant_of_the_reynolds_number() -> None:
    """18800 Q G/(mu sqrt A), Q L/min, mu cP, A mm2; the library gives 18806.3 as the exact constant."""
    ours = float(relief_reynolds(1000 / 6e4, 900.0, 0.1, 1e-3))
    assert ours == pytest.approx(18806.319 * 1000 * 0.9 / (100.0 * 1000**0.5), rel=1e-6)
