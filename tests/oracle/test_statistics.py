"""The quantiles every band is printed with, against the library's."""

import numpy as np
import pytest

from drumwright.basis.statistics import quantiles


@pytest.mark.parametrize("size", [1, 2, 7, 1000])
def test_quantiles_equal_the_library(size: int) -> None:
    values = np.random.default_rng(3).normal(size=size)
    shares = (0.0, 0.05, 0.5, 0.95, 1.0)
    assert quantiles(values, *shares) == pytest.approx(np.quantile(values, shares), rel=1e-12)


def test_a_value_without_spread_is_itself() -> None:
    assert quantiles(np.full(100, 4.2), 0.05, 0.95) == (4.2, 4.2)


def test_values_never_reached_are_left_out() -> None:
    values = np.array([1.0, 2.0, 3.0, np.inf])
    assert quantiles(values, 0.0, 1.0) == (1.0, 3.0)
