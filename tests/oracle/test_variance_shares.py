"""First-order shares of the variance against test functions whose shares are known in closed form.

The functions (Ishigami, an additive one, the product of |4x - 2| + a over 1 + a) are from memory; their
shares are derived here or in the docstrings.
"""

from __future__ import annotations

import numpy as np
import pytest

from drumwright.basis.sampling import scrambled_sobol
from drumwright.study.shares import first_order, ranked

COUNT = 4096


def uniform(columns: int, seed: int = 5) -> np.ndarray:
    return np.asarray(scrambled_sobol(COUNT, columns, seed).T)


def test_ishigami() -> None:
    """sin x1 + a sin^2 x2 + b x3^4 sin x1 on (-pi, pi): integrals by hand, the function from memory."""
    a, b = 7.0, 0.1
    x = np.pi * (2.0 * uniform(3) - 1.0)
    figure = np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])
    variance = a**2 / 8.0 + b * np.pi**4 / 5.0 + b**2 * np.pi**8 / 18.0 + 0.5
    known = [0.5 * (1.0 + b * np.pi**4 / 5.0) ** 2 / variance, a**2 / 8.0 / variance, 0.0]
    assert known == pytest.approx([0.3139, 0.4424, 0.0], abs=1e-4)
    assert [first_order(x[:, k], figure) for k in range(3)] == pytest.approx(known, abs=0.02)


@pytest.mark.parametrize("factors", [(0.0, 1.0, 4.5, 9.0), (1.0, 1.0, 1.0, 1.0), (0.0, 99.0, 99.0, 99.0)])
def test_product_function(factors: tuple[float, ...]) -> None:
    """Each factor has variance 1/(3 (1 + a)^2) and mean 1: V = prod(1 + v) - 1, S = v / V."""
    x = uniform(len(factors))
    a = np.array(factors)
    figure = np.prod((np.abs(4.0 * x - 2.0) + a) / (1.0 + a), axis=1)
    own = 1.0 / (3.0 * (1.0 + a) ** 2)
    known = own / (np.prod(1.0 + own) - 1.0)
    assert [first_order(x[:, k], figure) for k in range(a.size)] == pytest.approx(list(known), abs=0.02)


def test_additive_function_sums_to_one() -> None:
    weights = np.array([1.0, 2.0, 3.0, 0.0])
    x = uniform(4)
    found = [first_order(x[:, k], x @ weights) for k in range(4)]
    assert found == pytest.approx(list(weights**2 / np.sum(weights**2)), abs=0.01)
    assert sum(found) == pytest.approx(1.0, abs=0.02)


def test_agrees_with_pick_and_freeze() -> None:
    """A second route: two samples that share one column, S = Cov(y, y') / Var(y)."""
    both = uniform(6)
    one, other = both[:, :3], both[:, 3:]

    def model(x: np.ndarray) -> np.ndarray:
        return np.exp(x[:, 0]) + x[:, 0] * x[:, 1] + 0.5 * x[:, 2] ** 3

    figure = model(one)
    for k in range(3):
        frozen = other.copy()
        frozen[:, k] = one[:, k]
        share = np.cov(figure, model(frozen))[0, 1] / np.var(figure)
        assert first_order(one[:, k], figure) == pytest.approx(share, abs=0.03)


def test_nothing_is_found_where_nothing_is() -> None:
    x = uniform(2)
    assert first_order(x[:, 0], np.full(COUNT, 3.0)) == 0.0
    assert first_order(np.full(COUNT, 2.0), x[:, 0]) == 0.0
    assert first_order(x[:, 0], np.random.default_rng(1).normal(size=COUNT)) < 0.02
    assert first_order(x[:20, 0], x[:20, 0]) == 0.0  # too few to say
    with pytest.raises(ValueError, match="same samples"):
        first_order(x[:, 0], x[:10, 1])


def test_ranked_leaves_out_the_point_and_what_does_not_count() -> None:
    x = np.vstack([[9.0, 9.0, 9.0], uniform(3)])
    sample = {"a": x[:, 0], "b": x[:, 1], "c": x[:, 2], "fixed": np.full(len(x), 1.0)}
    figure = 10.0 * x[:, 1] + 2.0 * x[:, 0]
    assert [key for key, _ in ranked(sample, figure)] == ["b", "a"]
