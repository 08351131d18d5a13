"""Money over years: falls with the rate, scales with the amounts, nothing saved is never worth it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from drumwright.study import cash_flow

spent = st.floats(1.0, 1e7)
yearly = st.floats(1.0, 1e6)
rate = st.floats(0.0, 1.0)
years = st.integers(1, 40).map(float)


@given(spent, yearly, rate, rate, years)
def test_present_value_falls_with_the_rate(p: float, a: float, one: float, other: float, n: float) -> None:
    low, high = sorted((one, other))
    values = cash_flow.present_value(p, a, [low, high], n)
    assert values[0] >= values[1] - 1e-9 * (p + a * n)


@given(spent, yearly, rate, years, st.floats(1e-3, 1e3))
def test_amounts_scale(p: float, a: float, i: float, n: float, factor: float) -> None:
    once = float(cash_flow.present_value(p, a, i, n))
    scaled = float(cash_flow.present_value(factor * p, factor * a, i, n))
    assert math.isclose(scaled, factor * once, rel_tol=1e-9, abs_tol=1e-9 * factor * (p + a * n))


@given(spent, yearly, years)
def test_at_its_own_return_nothing_is_won(p: float, a: float, n: float) -> None:
    found = float(cash_flow.level_return(p, a, n))
    assert found > -1.0
    left = float(cash_flow.present_value(p, a, found, n))
    assert abs(left) <= 1e-6 * (p + a * n)


@given(spent, rate, years)
def test_without_savings_what_was_spent_is_lost(p: float, i: float, n: float) -> None:
    assert float(cash_flow.present_value(p, 0.0, i, n)) == -p
    assert math.isinf(float(cash_flow.simple_payback(p, 0.0)))
    assert math.isinf(float(cash_flow.discounted_payback(p, 0.0, i)))
    assert math.isnan(float(cash_flow.level_return(p, 0.0, n)))


@given(spent, yearly, rate)
def test_interest_never_shortens_a_payback(p: float, a: float, i: float) -> None:
    assert cash_flow.discounted_payback(p, a, i) >= cash_flow.simple_payback(p, a) * (1.0 - 1e-9)


@given(st.lists(st.integers(-50, 50), min_size=2, max_size=7))
def test_every_rate_found_makes_the_value_nothing(flows: list[int]) -> None:
    found = cash_flow.internal_returns([float(each) for each in flows])
    for each in found.rates:
        x = 1.0 / (1.0 + each)
        terms = np.array(flows) * x ** np.arange(len(flows))
        assert abs(terms.sum()) <= 1e-6 * np.abs(terms).sum()
    signs = [np.sign(each) for each in flows if each]
    changes = sum(one != other for one, other in pairwise(signs))
    assert len(found.rates) <= changes  # the rule of signs of Descartes
    if changes % 2:
        assert found.rates
