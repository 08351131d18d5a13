"""Relief path, hose rating, pressure-equipment screening and blocked-in product."""

import numpy as np
import pytest
from scipy.optimize import brentq

from drumwright.flow.pipe import pressure_drop
from drumwright.flow.relief_orifice import (
    liquid_orifice,
    relief_reynolds,
    viscosity_correction,
    viscous_orifice,
)
from drumwright.machine.line import segments as piece
from drumwright.machine.line.blocked_in import blocked_in_rise, blocked_in_stiffness, warming_to
from drumwright.machine.line.pressure_equipment import screen
from drumwright.machine.line.relief import TEST_ITEMS, relief_path, relief_size
from drumwright.product.law import FlowLaw
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

HOUR, BAR, LITRE = 3600.0, 1e5, 1e-3


@pytest.mark.parametrize(
    ("law", "rested", "loss", "held"),
    [(TOMATO, 300.0, 0.48, 0.24), (GREASE, 900.0, 1.09, 0.72), (SYRUP, 0.0, 7.24, 0.0)],
)
def test_relief_branch_of_the_book(law: FlowLaw, rested: float, loss: float, held: float) -> None:
    """Physics book 6.3 and 14.3: DN25 x 0.5 m at 1 m3/h: .48/1.09/7.24 bar; at rest .24/.72/0."""
    made = relief_path(9 * BAR, 0.1, [piece.pipe(0.025, 0.5)], [], 1 / HOUR, 1000.0, law, rested, 16 * BAR)
    ours = float(made.branch) / BAR
    assert record("book 6.3", "physics book 14.3", f"relief branch, K {law.consistency:g}", loss, ours, "bar",
                  0.012, "recomputed").agrees  # fmt: skip
    assert float(made.branch_at_rest) / BAR == pytest.approx(held, abs=0.005)
    assert float(made.peak) == pytest.approx(9.9 * BAR + float(made.branch), rel=1e-12)
    assert float(made.margin) == pytest.approx(16 * BAR - float(made.peak), rel=1e-12)


def test_peak_and_opening_of_the_book() -> None:
    """Set 9 bar: 17.1 bar with syrup; opens at 9.72 bar with rested grease."""
    branch = [piece.pipe(0.025, 0.5)]
    syrup = relief_path(9 * BAR, 0.1, branch, [], 1 / HOUR, 1400.0, SYRUP, 0.0, 16 * BAR)
    assert record("book 6.3", "physics book 14.3", "peak with syrup", 17.1, float(syrup.peak) / BAR, "bar",
                  0.005, "recomputed").agrees  # fmt: skip
    assert float(syrup.margin) < 0.0
    grease = relief_path(9 * BAR, 0.1, branch, [], 1 / HOUR, 900.0, GREASE, 900.0, 16 * BAR)
    assert float(grease.opening) / BAR == pytest.approx(9.72, rel=1e-9)


def test_back_line_counts_and_a_flush_valve_has_no_branch() -> None:
    back = [piece.pipe(0.04, 3.0), piece.bend(0.04, np.pi / 2, 1.0)]
    flush = relief_path(9 * BAR, 0.1, [], [], 1 / HOUR, 900.0, GREASE, 900.0, 16 * BAR)
    assert float(flush.peak) == pytest.approx(9.9 * BAR)
    made = relief_path(9 * BAR, 0.1, [], back, 1 / HOUR, 900.0, GREASE, 900.0, 16 * BAR)
    least = float(pressure_drop(1 / HOUR, 0.04, 3.0, 600.0, 25.0, 0.6))
    assert float(made.peak) > float(flush.peak) + least
    assert float(made.opening) == pytest.approx(9 * BAR + 3600.0 * (3.0 / 0.04 + 12.5), rel=1e-12)
    branch = [piece.pipe(0.025, 0.5)]
    both = relief_path(9 * BAR, 0.1, branch, back, 1 / HOUR, 900.0, GREASE, 900.0, 16 * BAR)
    alone = relief_path(9 * BAR, 0.1, branch, [], 1 / HOUR, 900.0, GREASE, 900.0, 16 * BAR)
    assert float(both.branch) == pytest.approx(float(alone.branch + made.branch), rel=1e-12)
    assert float(both.opening) == pytest.approx(float(alone.opening + made.opening) - 9 * BAR, rel=1e-12)


def test_a_thick_product_is_never_sized_by_a_formula() -> None:
    for law in (
        TOMATO,
        GREASE,
        SYRUP,
        FlowLaw(0.0, 0.05, 0.9),
        FlowLaw(0.0, 0.05, np.array([1.0, 0.9])),
        FlowLaw(np.array([0.0, 1.0]), 0.1, 1.0),
    ):
        made = relief_size(1 / HOUR, 1000.0, law, 9 * BAR)
        assert made.basis == "test_required"
        assert np.all(np.isnan(made.area))
        assert made.test == TEST_ITEMS
    thin = relief_size(10 / HOUR, 1000.0, FlowLaw(0.0, 0.05, 1.0), 9 * BAR)
    assert thin.basis == "formula"
    assert thin.test == ()


def test_viscous_orifice_is_the_root_of_area_and_correction() -> None:
    flow, density, mu, pressure = 10 / HOUR, 1000.0, 0.2, 5 * BAR

    def miss(area: float) -> float:
        k_v = float(viscosity_correction(relief_reynolds(flow, density, mu, area)))
        return area - float(liquid_orifice(flow, density, pressure, k_v))

    root = brentq(miss, 1e-5, 4e-4, xtol=1e-16)
    assert viscous_orifice(flow, density, mu, pressure) == pytest.approx(root, rel=1e-9)
    assert np.isnan(viscous_orifice(flow, density, 20.0, pressure))
    with pytest.raises(ValueError, match="Reynolds number of 80"):
        viscosity_correction(80.0)


@pytest.mark.parametrize(
    ("bars", "litres", "theirs"),
    [(10, 4, "sep"), (16, 10, "I"), (16, 20, "II"), (16, 100, "III"), (16, 250, "IV")],
)
def test_gas_cushion_categories(bars: float, litres: float, theirs: str) -> None:
    """CNT-05: PS V 40, 160, 320, 1600, 4000 bar L of a group 2 gas space."""
    order = ("sep", "I", "II", "III", "IV")
    source, name = "Directive 2014/68/EU, Annex II table 2", f"{bars} bar, {litres} L, 0 SEP to 4 IV"
    ours = screen("gas_cushion", bars * BAR, litres * LITRE, 2).category
    pair = (order.index(theirs), order.index(ours))
    assert record("CNT-05", source, name, *pair, "-", 0.0, "from memory", absolute=True).agrees
    assert ours == theirs


@pytest.mark.parametrize(
    ("item", "group", "bars", "size", "theirs"),
    [
        ("pipe", 2, 16, 0.200, "sep"), ("pipe", 2, 25, 0.250, "beyond"), ("pipe", 2, 10, 0.600, "sep"),
        ("pipe", 1, 16, 0.025, "sep"), ("pipe", 1, 40, 0.050, "sep"), ("pipe", 1, 40.1, 0.050, "beyond"),
        ("vessel", 2, 10, 9.0, "sep"), ("vessel", 2, 16, 1.0, "beyond"), ("vessel", 1, 10, 0.020, "sep"),
        ("vessel", 1, 10, 0.021, "beyond"), ("gas_cushion", 2, 0.5, 9.0, "none"),
        ("gas_cushion", 2, 10, 0.005, "sep"), ("gas_cushion", 1, 10, 0.005, "I"),
        ("gas_cushion", None, 10, 0.005, "I"), ("gas_cushion", 2, 60, 0.001, "sep"),
        ("gas_cushion", 1, 250, 0.0008, "ask"), ("pipe", 2, float("nan"), 0.05, "ask"),
    ],
)  # fmt: skip
def test_screening_limits(item: str, group: int | None, bars: float, size: float, theirs: str) -> None:
    """Trade book 4.3; an unknown group is screened as dangerous, an unknown pressure is asked for."""
    assert screen(item, bars * BAR, size, group).category == theirs  # type: ignore[arg-type]


def test_screening_refuses_nonsense() -> None:
    for wrong in (("tube", BAR, 1.0, 2), ("pipe", -BAR, 1.0, 2), ("pipe", BAR, 1.0, 3)):
        with pytest.raises(ValueError, match="pressure"):
            screen(*wrong)  # type: ignore[arg-type]


def test_blocked_in_of_the_book() -> None:
    """Physics book 5.6, A12: 10 K: hose 2 bar, steel 72, with steel expansion 66, grease 126 bar."""
    rows = [
        ("hose", 4e-4, 2e-8, 1.96, "worst"), ("steel", 4e-4, 1e-10, 72.0, "worst"),
        ("steel, its expansion", 4e-4, 1e-10, 66.0, "rise"), ("steel, grease", 7e-4, 1e-10, 126.0, "worst"),
    ]  # fmt: skip
    for name, beta, kappa, theirs, which in rows:
        made = blocked_in_rise(10.0, beta, 2.2e9, kappa, 3.6e-5)
        ours = float(getattr(made, which)) / BAR
        assert record("book A12", "physics book 14.2", f"blocked in, {name}", theirs, ours, "bar", 0.01,
                      "recomputed").agrees  # fmt: skip
        assert float(made.worst) >= float(made.rise)


def test_blocked_in_equals_the_volume_balance() -> None:
    """Volume of the product at T and p equals the volume of the section, solved for p."""
    beta, modulus, kappa, wall, warm = 6e-4, 1.6e9, 1e-10, 3.6e-5, 15.0

    def miss(p: float) -> float:
        return (beta - wall) * warm - p / modulus - kappa * p

    ours = float(blocked_in_rise(warm, beta, modulus, kappa, wall).rise)
    assert ours == pytest.approx(brentq(miss, 0.0, 1e9, xtol=1e-3), rel=1e-9)
    stiff = float(blocked_in_stiffness(modulus, kappa))
    assert float(warming_to(beta * stiff * 7.0, beta, modulus, kappa)) == pytest.approx(7.0, rel=1e-12)
