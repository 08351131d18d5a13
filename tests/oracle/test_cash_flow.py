"""Money over years against second routes: sums by hand, roots of the library, halving by the library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from drumwright.basis.errors import FlowOutOfRange
from drumwright.study import cash_flow
from drumwright.study.running_costs import pump_electricity, with_leaks
from validation_registry import record


def by_hand(rate: float, flows: list[float]) -> float:
    """Present value summed term by term."""
    return math.fsum(flow / (1.0 + rate) ** year for year, flow in enumerate(flows))


def rates_of_the_library(flows: list[float]) -> list[float]:
    """Internal rates by the eigenvalues of the companion matrix."""
    roots = np.roots(flows[::-1])
    real = [float(root.real) for root in roots if abs(root.imag) < 1e-7 and root.real > 1e-9]
    return sorted({round(1.0 / x - 1.0, 7) for x in real})


@pytest.mark.parametrize("rate", [0.0, 0.01, 0.1, 0.5, -0.2])
def test_present_value_is_the_sum_of_its_years(rate: float) -> None:
    ours = float(cash_flow.present_value(900.0, 210.0, rate, 8.0))
    flows = [-900.0, *[210.0] * 8]
    assert ours == pytest.approx(by_hand(rate, flows), rel=1e-12, abs=1e-9)
    assert float(cash_flow.present_value_of(flows, rate)) == pytest.approx(ours, rel=1e-12, abs=1e-9)


def test_capital_recovery_is_the_reciprocal_and_without_interest_a_share() -> None:
    assert float(cash_flow.capital_recovery(0.0, 8.0)) == 0.125
    near = float(cash_flow.capital_recovery(1e-12, 8.0))
    assert near == pytest.approx(0.125, rel=1e-10)


@pytest.mark.parametrize(
    "flows",
    [
        [-100.0, 30.0, 30.0, 30.0, 30.0, 30.0],
        [-100.0, 230.0, -132.0],  # 10 % and 20 %
        [-1000.0, 3600.0, -4310.0, 1716.0],  # 10 %, 20 % and 30 %
        [100.0, 10.0, 10.0],  # never
        [-100.0, 50.0, -10.0],  # none real
        [-50.0, 0.0, 0.0, 90.0],
        [-100.0, 10.0, 10.0],  # below nothing
    ],
)
def test_internal_rates_against_the_companion_matrix(flows: list[float]) -> None:
    ours = cash_flow.internal_returns(flows)
    theirs = rates_of_the_library(flows)
    assert len(ours.rates) == len(theirs)
    assert list(ours.rates) == pytest.approx(theirs, abs=1e-6)
    for rate in ours.rates:
        assert by_hand(rate, flows) == pytest.approx(0.0, abs=1e-7 * max(map(abs, flows)))


def test_a_rate_that_is_only_touched_is_found_and_several_are_said() -> None:
    twice = cash_flow.internal_returns([-100.0, 220.0, -121.0])  # (1 - 1.1 x)^2
    assert twice.rates == pytest.approx((0.1,), abs=1e-6)
    several = cash_flow.internal_returns([-100.0, 230.0, -132.0])
    assert several.status == "several"
    assert several.rates == pytest.approx((0.1, 0.2), abs=1e-9)
    assert cash_flow.internal_returns([-100.0, 50.0, -10.0]).status == "none"
    assert cash_flow.internal_returns([]).status == "none"


@pytest.mark.parametrize(
    ("spent", "yearly", "years"), [(1e5, 3e4, 5.0), (8e4, 3.6e4, 8.0), (100.0, 8.0, 9.0)]
)
def test_level_return_against_brentq(spent: float, yearly: float, years: float) -> None:
    theirs = brentq(lambda rate: by_hand(rate, [-spent, *[yearly] * int(years)]), -0.9, 10.0, xtol=1e-14)
    ours = float(cash_flow.level_return(spent, yearly, years))
    source = "second route in the test: brentq on the summed years"
    name = f"internal rate of {spent:g} for {yearly:g} over {years:g} years"
    assert record("OPS-08", source, name, theirs, ours, "-", 1e-9, "recomputed", absolute=True).agrees


def test_no_return_where_nothing_is_saved_or_spent() -> None:
    found = cash_flow.level_return([100.0, 0.0, 100.0], [0.0, 10.0, -5.0], 8.0)
    assert np.isnan(found).all()


def test_paybacks_by_counting_the_years() -> None:
    rate, left, years = 0.1, 900.0, 0
    while left > 210.0 / (1.0 + rate) ** (years + 1):
        left -= 210.0 / (1.0 + rate) ** (years + 1)
        years += 1
    ours = float(cash_flow.discounted_payback(900.0, 210.0, rate))
    assert years < ours < years + 1
    assert by_hand(rate, [-900.0, *[210.0] * years]) < 0.0
    assert float(cash_flow.present_value(900.0, 210.0, rate, ours)) == pytest.approx(0.0, abs=1e-9)
    assert float(cash_flow.simple_payback(900.0, 210.0)) == pytest.approx(900.0 / 210.0)
    assert float(cash_flow.discounted_payback(900.0, 210.0, 0.0)) == pytest.approx(900.0 / 210.0)
    assert math.isinf(float(cash_flow.discounted_payback(900.0, 80.0, rate)))
    assert math.isinf(float(cash_flow.simple_payback(900.0, 0.0)))


def test_economic_life_by_trying_every_year() -> None:
    costs, rate = [200.0 * year for year in range(15)], 0.12
    best = min(
        ((-by_hand(rate, [-4000.0, *(-each for each in costs[:n])]), n) for n in range(1, 16)),
        key=lambda pair: pair[0] * rate / (1.0 - (1.0 + rate) ** -pair[1]),
    )
    years, _ = cash_flow.economic_life(4000.0, costs, rate)
    assert record(
        "OPS-12", "second route in the test: every year tried", "economic life", best[1], years, "a", 0.0,
        "recomputed", absolute=True,
    ).agrees  # fmt: skip


def test_uses_in_proportion() -> None:
    assert float(pump_electricity(420.0, 3600.0, 1.0)) == pytest.approx(0.42 * 3.6e6)
    assert float(with_leaks(0.7, 0.3)) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: cash_flow.annuity(-1.0, 8.0),
        lambda: cash_flow.annuity(0.1, 0.0),
        lambda: with_leaks(1.0, 1.0),
        lambda: pump_electricity(1.0, 1.0, 0.0),
    ],
)
def test_what_has_no_meaning_is_refused(call: object) -> None:
    with pytest.raises(FlowOutOfRange):
        call()  # type: ignore[operator]
