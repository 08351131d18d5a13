"""Geankoplis, Transport Processes and Unit Operations: Examples 3.5-1, 3.5-2 (p. 158, 160), 5.3-3, 5.3-4."""

import math

from drumwright.flow.conduction import Cylinder, remaining
from drumwright.flow.pipe import pressure_drop, wall_stress
from drumwright.flow.regime import metzner_reed
from drumwright.flow.turbulent import dodge_metzner, pressure_drop_any_regime
from drumwright.product.regression import tube_consistency
from validation_registry import record


def test_laminar_power_law_example_3_5_1() -> None:
    """PIP-03: 45,390 Pa, Re_gen 1.106, loss 43.6 J/kg; the book gives K' = 15.23, not K."""
    source = "Geankoplis, Example 3.5-1 (p. 158)"
    bore, density = 0.0524, 1041.0
    flow = 0.25 * math.pi * bore**2 * 0.0728
    k = tube_consistency(15.23, 0.4)
    drop = float(pressure_drop(flow, bore, 14.9, 0.0, k, 0.4))
    reynolds = float(metzner_reed(flow, bore, density, wall_stress(flow, bore, 0.0, k, 0.4)))
    assert record("PIP-03", source, "pressure drop", 45390.0, drop, "Pa", 0.001, "published").agrees
    assert record("PIP-03", source, "Reynolds number", 1.106, reynolds, "-", 0.001, "published").agrees
    assert record("PIP-03", source, "friction loss", 43.6, drop / density, "J/kg", 0.001, "published").agrees


def test_turbulent_power_law_example_3_5_2() -> None:
    """PIP-19: Re_gen 1.328e4, f = 0.0032 read from a chart, 137.4 kPa."""
    source = "Geankoplis, Example 3.5-2 (p. 160)"
    bore, density, length = 0.0508, 961.0, 30.5
    flow = 0.25 * math.pi * bore**2 * 6.1
    k = tube_consistency(2.744, 0.3)
    reynolds = float(metzner_reed(flow, bore, density, wall_stress(flow, bore, 0.0, k, 0.3)))
    factor = float(dodge_metzner(reynolds, 0.3))
    drop = float(pressure_drop_any_regime(flow, bore, length, density, 0.0, k, 0.3))
    assert record("PIP-19", source, "Reynolds number", 13280.0, reynolds, "-", 0.002, "published").agrees
    assert record("PIP-19", source, "Fanning factor (chart)", 0.0032, factor, "-", 0.05, "published").agrees
    assert record("PIP-19", source, "pressure drop", 137400.0, drop, "Pa", 0.05, "published").agrees


def test_short_and_long_can_examples_5_3_3_and_5_3_4() -> None:
    """THM-01: can of puree after 45 min in steam; charts give 104.4 C (long, p. 342) and 106.6 C (p. 347)."""
    k, heat = 0.830, 0.830 / 2.007e-7
    short = Cylinder(0.03405, 0.1016, k, heat, 4540.0, 4540.0, 4540.0)
    long = Cylinder(0.03405, 0.1016, k, heat, 4540.0, 0.0, 0.0)
    ours = [115.6 + (29.4 - 115.6) * float(remaining(each, 2700.0)) for each in (long, short)]
    compared = (("5.3-3 (p. 342)", "long", 104.4, 106.07711), ("5.3-4 (p. 347)", "short", 106.6, 108.39056))
    for value, (example, which, chart, series) in zip(ours, compared, strict=True):
        source, what = f"Geankoplis, Example {example}", f"centre, {which} can"
        assert record(
            "THM-01", source, f"{what} (chart)", chart, value, "C", 2.0, "published", absolute=True
        ).agrees
        assert record(
            "THM-01", source, f"{what}, series", series, value, "C", 1e-4, "recomputed", absolute=True
        ).agrees
