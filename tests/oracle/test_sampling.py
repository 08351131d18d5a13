"""The own Sobol generator against the library one, and its scrambling against its purpose."""

import numpy as np
import pytest
from scipy.stats import qmc

from drumwright.basis.estimate import Estimate
from drumwright.basis.sampling import scrambled_sobol, sobol


def test_unscrambled_points_equal_the_library() -> None:
    """First 1,024 points in 640 dimensions, equal to SciPy's generator to the bit."""
    theirs = qmc.Sobol(d=640, scramble=False).random(1024).T
    assert np.array_equal(sobol(1024, 640), theirs)


def test_scrambled_points_keep_one_point_in_every_elementary_interval() -> None:
    """A scrambled net is still a net: 256 points put exactly one into each of 256 equal intervals."""
    points = scrambled_sobol(256, 40, seed=7)
    for row in points:
        assert np.array_equal(np.sort((row * 256).astype(int)), np.arange(256))


def test_scrambled_points_depend_on_the_seed_and_are_reproducible() -> None:
    first = scrambled_sobol(128, 5, seed=1)
    assert np.array_equal(first, scrambled_sobol(128, 5, seed=1))
    assert not np.array_equal(first, scrambled_sobol(128, 5, seed=2))


def test_a_row_does_not_depend_on_how_many_rows_are_drawn() -> None:
    assert np.array_equal(scrambled_sobol(128, 5, seed=3), scrambled_sobol(128, 9, seed=3)[:5])
    assert np.array_equal(scrambled_sobol(128, 150, seed=3), scrambled_sobol(128, 400, seed=3)[:150])


def test_integration_error_beats_plain_random_numbers() -> None:
    """Mean of a smooth product in 6 dimensions, exact value 1; random numbers would err by about 0.01."""
    points = scrambled_sobol(4096, 6, seed=11)
    value = float(np.prod(1.0 + 0.5 * (points - 0.5), axis=0).mean())
    assert value == pytest.approx(1.0, abs=5e-4)


def test_triangular_and_normal_quantiles_match_scipy() -> None:
    """Inverse distributions of an estimate against scipy.stats."""
    from scipy import stats

    uniform = np.linspace(0.001, 0.999, 501)
    triangle = Estimate(2.0, 3.0, 7.0, "assumed")
    expected = stats.triang(c=(3.0 - 2.0) / 5.0, loc=2.0, scale=5.0).ppf(uniform)
    assert np.allclose(triangle.sample(uniform), expected, rtol=1e-12)
    normal = Estimate(8.0, 10.0, 12.0, "measured", shape="normal")
    assert np.allclose(normal.sample(uniform), stats.norm(10.0, 1.0).ppf(uniform), rtol=1e-9)
