"""Money over years and the cost of compressed air: numbers of textbooks."""

from __future__ import annotations

import pytest

from drumwright.study import cash_flow
from drumwright.study.running_costs import adiabatic_power, isothermal_power, leak_energy
from validation_registry import record

HOUR, YEAR_OF_HOURS, KWH = 3600.0, 8760.0, 3.6e6
BOOK = "Panneerselvam, Engineering Economics"
FLUID = "Esposito, Fluid Power with Applications"


@pytest.mark.parametrize(
    ("number", "cost", "yearly", "theirs"),
    [
        (1, 1.2e6, 4.0e5, 476988.83),
        (2, 2.0e6, 6.0e5, 515483.25),
        (3, 1.8e6, 5.0e5, 296236.04),
    ],
)
def test_present_value_panneerselvam_example_4_1(
    number: int, cost: float, yearly: float, theirs: float
) -> None:
    """Panneerselvam, Engineering Economics, example 4.1 (p. 44): ten years at 20 %."""
    ours = float(cash_flow.present_value(cost, yearly, 0.2, 10.0))
    name = f"net present value {number}"
    source = f"{BOOK}, example 4.1"
    assert record("OPS-06", source, name, theirs, ours, "currency", 1e-6, "published").agrees


def test_internal_rate_panneerselvam_example_7_1() -> None:
    """Panneerselvam, example 7.1 (p. 89): 15.251 % by linear interpolation, 15.238 % exactly."""
    source = f"{BOOK}, example 7.1"
    ours = float(cash_flow.level_return(1e5, 3e4, 5.0))
    found = cash_flow.internal_returns([-1e5, *[3e4] * 5])
    payback = float(cash_flow.simple_payback(1e5, 3e4))
    rows = (
        ("internal rate, interpolated there", 0.15251, ours, 5e-4, "published"),
        ("internal rate", 0.15238237, ours, 1e-5, "recomputed"),
        ("internal rate by the polynomial", 0.15238237, found.rates[0], 1e-5, "recomputed"),
    )
    for name, theirs, value, tolerance, kind in rows:
        made = record("OPS-08", source, name, theirs, value, "-", tolerance, kind, absolute=True)  # type: ignore[arg-type]
        assert made.agrees
    assert record("OPS-08", source, "simple payback", 10.0 / 3.0, payback, "a", 1e-6, "recomputed").agrees
    assert found.status == "one"


def test_capital_recovery_panneerselvam_example_3_6() -> None:
    """Panneerselvam, example 3.6 (p. 34): a million over 15 years at 18 %."""
    ours = 1e6 * float(cash_flow.capital_recovery(0.18, 15.0))
    source = f"{BOOK}, example 3.6"
    assert record("OPS-10", source, "equal payment", 196403.0, ours, "currency/a", 1e-5, "published").agrees


def test_capital_recovery_murphy_mckay_example_3_3() -> None:
    """Murphy and McKay, Energy Management, example 3.3 (p. 59): 60 000 over 10 years at 18 %."""
    ours = 6e4 * float(cash_flow.capital_recovery(0.18, 10.0))
    source = "Murphy & McKay, Energy Management, example 3.3"
    assert record("OPS-11", source, "equal payment", 13350.88, ours, "currency/a", 1e-6, "published").agrees


def test_economic_life_panneerselvam_example_8_1() -> None:
    """Panneerselvam, example 8.1 (p. 103): 4000, upkeep rising by 200 a year from nothing, 12 %."""
    years, cost = cash_flow.economic_life(4000.0, [200.0 * year for year in range(15)], 0.12)
    source = f"{BOOK}, example 8.1"
    assert record("OPS-12", source, "economic life", 7.0, years, "a", 0.0, "published", absolute=True).agrees
    assert record("OPS-12", source, "yearly cost", 1386.65, cost, "currency/a", 5e-4, "published").agrees


def test_compressor_cost_esposito_example_14_8() -> None:
    """Esposito, example 14-8 (p. 541), with the rounded constants of that text (0.286 and 17.1)."""
    source = f"{FLUID}, example 14-8"
    flow, low, high = 7.65 / 60.0, 101e3, 101e3 + 687e3
    power = float(adiabatic_power(low, high, flow, 0.75, 0.286, 17.1 / 60.0))
    cost = power / 0.92 * 3000.0 * HOUR / KWH * 0.11
    assert record("OPS-15", source, "shaft power", 48.171045, power / 1e3, "kW", 0.002, "recomputed").agrees
    assert record("OPS-15", source, "yearly cost", 17292.0, cost, "currency/a", 0.003, "published").agrees
    exact = float(adiabatic_power(low, high, flow, 0.75))
    assert exact == pytest.approx(power, rel=0.005)  # what the rounding of the text amounts to


def test_specific_power_of_compressors_between_its_bounds() -> None:
    """Packaged compressors at 7 bar(g): 5 to 7 kW for each m3/min, a trade summary of data sheets."""
    low, high, minute = 101325.0, 801325.0, 1.0 / 60.0
    cool = float(isothermal_power(low, high, minute)) / 1e3
    hot = float(adiabatic_power(low, high, minute)) / 1e3
    source = "bounds of thermodynamics below packaged compressors, 7 bar(g)"
    for name, theirs, ours in (("isothermal", 3.49, cool), ("adiabatic", 4.76, hot)):
        assert record(
            "OPS-17", source, f"{name} specific power", theirs, ours, "kW/(m3/min)", 0.005, "recomputed"
        ).agrees
    assert cool < hot < 5.0  # the least packaged machine lies above both


def test_cost_of_leaks_esposito_example_14_4() -> None:
    """Esposito, example 14-4 (p. 528): 70 of 270 scfm leak at 52.3 kW all year."""
    energy = float(leak_energy(52.3e3, 270.0, 70.0, YEAR_OF_HOURS * HOUR))
    source = f"{FLUID}, example 14-4"
    ours = energy / KWH * 0.11
    assert record("OPS-18", source, "yearly cost", 13105.0, ours, "currency/a", 0.005, "published").agrees
