"""Conduction in a cylinder against another library's roots, finite volumes and early-time closed forms."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.sparse import diags, identity, kron
from scipy.sparse.linalg import splu
from scipy.special import erfc, erfcx, j0, j1, jn_zeros

from drumwright.flow.bessel import bessel_zero_and_one
from drumwright.flow.conduction import PLACES, Cylinder, Place, heat_share, remaining, remaining_at, time_to
from drumwright.flow.cylinder_roots import root
from drumwright.flow.series import MOST_TERMS, cylinder_series
from drumwright.flow.slab_roots import slab_root
from validation_registry import record

HOUR, DAY = 3600.0, 86400.0
RADIUS, HEIGHT = 0.28575, 0.78
PASTE, GREASE, SYRUP = (0.50, 1130.0 * 3500.0), (0.14, 900.0 * 1900.0), (0.38, 1400.0 * 2700.0)


def drum(law: tuple[float, float], side: float, bottom: float, top: float) -> Cylinder:
    return Cylinder(RADIUS, HEIGHT, *law, side, bottom, top)


def test_bessel_functions_equal_another_library() -> None:
    x = np.concatenate([np.linspace(0.0, 60.0, 6001), np.linspace(60.0, 1300.0, 5001)])
    zero, one = bessel_zero_and_one(x)
    assert np.abs(zero - j0(x)).max() < 1e-14
    assert np.abs(one - j1(x)).max() < 1e-14


@pytest.mark.parametrize("index", [0, 1, 2, 7, 30, MOST_TERMS - 1])
def test_cylinder_roots_equal_a_bracketing_solver(index: int) -> None:
    random = np.random.default_rng(index)
    low = np.concatenate([[0.0], jn_zeros(1, MOST_TERMS)])[index]
    high = jn_zeros(0, MOST_TERMS)[index]
    for biot in 10 ** random.uniform(-8, 8, 60):
        mu = brentq(lambda m, b=biot: m * j1(m) - b * j0(m), low, high, xtol=1e-15, rtol=1e-14)
        square, amplitude = root(index, np.array(biot))
        assert np.sqrt(square) == pytest.approx(mu, rel=1e-9)
        assert amplitude * mu / math.hypot(mu, biot) == pytest.approx(j0(mu), abs=1e-9)


@pytest.mark.parametrize("index", [0, 1, 2, 60])
def test_slab_roots_solve_the_textbook_equation(index: int) -> None:
    """tan mu = mu (B1 + B2)/(mu^2 - B1 B2), without its poles; the root lies in its own half turn."""
    random = np.random.default_rng(index)
    low, high = 10 ** random.uniform(-5, 5, (2, 400))
    high = np.where(random.uniform(size=400) < 0.2, low, high)
    mu = slab_root(index, low, high).value
    left, right = np.sin(mu) * (mu**2 - low * high), np.cos(mu) * mu * (low + high)
    assert np.all(np.abs(left - right) < 1e-9 * (mu**2 + low * high + mu * (low + high)))
    assert np.all((mu > index * math.pi) & (mu < (index + 1) * math.pi))


def finite_volumes(body: Cylinder, time: float, cells: int, steps: int = 600) -> tuple[float, float]:
    """Centre at half height and mean by second-order steps on (cells, 2 cells) rings; not a product."""
    across, along = cells, 2 * cells
    dr, dz = float(body.radius) / across, float(body.height) / along
    edges = np.linspace(0.0, float(body.radius), across + 1)
    rings, k = 0.5 * np.diff(edges**2), float(body.conductivity)

    def line(paths: np.ndarray, first: float, last: float) -> np.ndarray:
        main = np.zeros(len(paths) + 1)
        main[:-1] -= paths
        main[1:] -= paths
        main[0] -= first
        main[-1] -= last
        return diags([paths, main, paths], [-1, 0, 1])

    def out(h: float, d: float) -> float:
        return 0.0 if h == 0.0 else 1.0 / (k / h + 0.5 * d)

    radial = diags(1.0 / rings) @ line(edges[1:-1] / dr, 0.0, float(body.radius) * out(float(body.side), dr))
    axial = line(np.full(along - 1, 1.0 / dz), out(float(body.bottom), dz), out(float(body.top), dz)) / dz
    spread = kron(radial, identity(along)) + kron(identity(across), axial)
    # Two-stage implicit steps that damp the jump at the start (gamma = 1 - 1/sqrt 2).
    gamma, dt = 1.0 - math.sqrt(0.5), time / steps
    step = float(body.diffusivity) * dt * spread
    solver = splu((identity(across * along) - gamma * step).tocsc())
    theta = np.ones(across * along)
    for _ in range(steps):
        first = solver.solve(step @ theta)
        second = solver.solve(step @ (theta + (1.0 - gamma) * first))
        theta = theta + (1.0 - gamma) * first + gamma * second
    field = theta.reshape(across, along)
    axis = field[0] - (field[1] - field[0]) / 8.0
    middle = along // 2
    centre = (9.0 * (axis[middle - 1] + axis[middle]) - axis[middle - 2] - axis[middle + 1]) / 16.0
    return float(centre), float((rings @ field).sum() / rings.sum() / along)


def extrapolated(body: Cylinder, time: float) -> tuple[float, float]:
    """Two grids, error of second order taken out."""
    coarse, fine = finite_volumes(body, time, 24), finite_volumes(body, time, 48)
    return (4.0 * fine[0] - coarse[0]) / 3.0, (4.0 * fine[1] - coarse[1]) / 3.0


def test_drum_in_a_warm_room_against_finite_volumes() -> None:
    """THM-06: 216.5 L, alpha 1.4e-7, h 8 on all faces, two days: 0.44627 and 0.19843 of the check list."""
    body = Cylinder(0.28575, 0.844, 0.5, 0.5 / 1.4e-7, 8.0, 8.0, 8.0)
    ours = float(remaining(body, 2 * DAY)), float(remaining(body, 2 * DAY, "mean"))
    source = "finite cylinder, derived"
    for name, listed, value, cells in zip(
        ("centre", "mean"), (0.44627291, 0.19843009), ours, extrapolated(body, 2 * DAY), strict=True
    ):
        assert record(
            "THM-06", source, f"{name} left, series", listed, value, "-", 1e-7, "recomputed", absolute=True
        ).agrees
        assert record(
            "THM-06", source, f"{name} left, cells", cells, value, "-", 1e-4, "recomputed", absolute=True
        ).agrees


@pytest.mark.parametrize("faces", [(10.0, 10.0, 10.0), (500.0, 500.0, 500.0), (9.0, 0.0, 6.0)])
def test_series_equal_finite_volumes(faces: tuple[float, float, float]) -> None:
    """Physics book 10: finite cylinder against differences to 1e-4; the last with an insulated base."""
    body = drum(PASTE, *faces)
    centre, mean = extrapolated(body, 40 * HOUR)
    assert remaining_at(body, 40 * HOUR, 0.0, HEIGHT / 2) == pytest.approx(centre, abs=1e-4)
    assert remaining(body, 40 * HOUR, "mean") == pytest.approx(mean, abs=1e-4)


BOOK_HOURS = [
    (PASTE, 10.0, 77.9, 46.7),
    (PASTE, 500.0, 58.7, 27.1),
    (GREASE, 10.0, 98.5, 50.0),
    (GREASE, 500.0, 90.3, 41.4),
    (SYRUP, 10.0, 92.1, 52.8),
    (SYRUP, 500.0, 73.7, 34.0),
]


@pytest.mark.parametrize(("law", "h", "core", "mean"), BOOK_HOURS)
def test_hours_of_the_book(law: tuple[float, float], h: float, core: float, mean: float) -> None:
    """Physics book 14.3: hours to 80 % of the step, half height 0.39 m, the same h on side, lid and base."""
    body = drum(law, h, h, h)
    assert float(time_to(body, 0.2)) / HOUR == pytest.approx(core, abs=0.051)
    assert float(time_to(body, 0.2, "mean")) / HOUR == pytest.approx(mean, abs=0.051)


def test_cold_night() -> None:
    """Trade book 2.6: a night in a shed of 2 C cools the core by 0.5 K, the skin by more than 15 K.

    Taken as 14 h from 20 C at 10 W/m2K, which the book does not say: grease 0.2 and 16 K, water-based paste
    0.6 and 13 K on the side (17 K at the edge). The core figure fits the paste, the skin figure the grease.
    """
    for law, core, skin in ((GREASE, 0.16, 16.2), (PASTE, 0.63, 13.3)):
        body = drum(law, 10.0, 10.0, 10.0)
        assert 18.0 * (1.0 - float(remaining(body, 14 * HOUR))) == pytest.approx(core, abs=0.02)
        assert 18.0 * (1.0 - float(remaining(body, 14 * HOUR, "wall"))) == pytest.approx(skin, abs=0.1)


@pytest.mark.parametrize("place", PLACES)
def test_time_is_the_inverse(place: Place) -> None:
    random = np.random.default_rng(1)
    count = 512
    faces = random.uniform(0.0, 600.0, (3, count)) ** random.uniform(0.3, 1.0, count)
    body = Cylinder(
        random.uniform(0.1, 0.6, count),
        random.uniform(0.2, 1.2, count),
        random.uniform(0.1, 0.7, count),
        random.uniform(1.5e6, 4.5e6, count),
        *faces,
    )
    share = random.uniform(0.01, 0.99, count)
    time = time_to(body, share, place)
    np.testing.assert_allclose(remaining(body, time, place), share, rtol=1e-7)


def test_limits_of_time() -> None:
    body = drum(PASTE, 10.0, 10.0, 10.0)
    np.testing.assert_array_equal(time_to(body, np.array([1.0, 1.5, 0.0, -0.2])), [0.0, 0.0, np.inf, np.inf])
    assert remaining(body, 0.0, "mean") == 1.0
    assert remaining(drum(PASTE, 0.0, 0.0, 0.0), 100 * DAY) == pytest.approx(1.0, abs=1e-4)


def test_times_and_samples_broadcast() -> None:
    body = Cylinder(RADIUS, HEIGHT, np.array([0.3, 0.5, 0.6]), 4e6, 10.0, 10.0, 10.0)
    hours = np.array([[1.0], [50.0]]) * HOUR
    table = np.asarray(remaining(body, hours))
    assert table.shape == (2, 3)
    one = Cylinder(RADIUS, HEIGHT, 0.5, 4e6, 10.0, 10.0, 10.0)
    assert table[1, 1] == pytest.approx(float(remaining(one, 50.0 * HOUR)), rel=1e-12)


@pytest.mark.parametrize("biot", [0.3, 5.0, 50.0, 1000.0])
def test_early_time_of_the_mean_and_the_wall(biot: float) -> None:
    """Flat wall, Carslaw & Jaeger (from memory): wall e^(B^2 F) erfc(B sqrt F); mean from the heat passed.

    The mean is right to 0.01 of the step at any time. The wall is right from F = 1e-3 on; before, the
    straight line lags behind a wall in a bath (F = 1e-3 is some minutes in a drum), as the docstring says.
    """
    for fourier in (1e-3, 2e-4, 1e-5):
        reach = biot * math.sqrt(fourier)
        wall = float(erfcx(reach))
        passed = 2.0 / biot * (wall - 1.0 + 2.0 * reach / math.sqrt(math.pi))
        mean = cylinder_series(np.array(biot), "mean", fourier).at(np.array(fourier))
        assert float(mean) == pytest.approx(1.0 - passed, abs=0.01)
        ours = float(cylinder_series(np.array(biot), np.array(1.0), fourier).at(np.array(fourier)))
        if fourier == 1e-3:
            assert ours == pytest.approx(wall, abs=0.005)
        else:
            assert ours > wall - 0.005


def test_core_stays_untouched_at_first() -> None:
    body = drum(SYRUP, 1e6, 1e6, 1e6)
    assert float(erfc(1.0 / (2.0 * math.sqrt(0.01)))) < 2e-12
    assert remaining(body, 0.009 * RADIUS**2 / float(body.diffusivity)) == pytest.approx(1.0, abs=1e-9)


def test_heat_share_is_one_less_the_mean_and_joins_cylinder_and_slab() -> None:
    """Langston: a + b (1 - a) with the shares of a long cylinder and of a wide slab."""
    body = drum(PASTE, 9.0, 7.0, 5.0)
    long, wide = drum(PASTE, 9.0, 0.0, 0.0), drum(PASTE, 0.0, 7.0, 5.0)
    a, b = float(heat_share(long, 30 * HOUR)), float(heat_share(wide, 30 * HOUR))
    assert float(heat_share(body, 30 * HOUR)) == pytest.approx(a + b * (1.0 - a), rel=1e-9)


def test_core_lies_low_over_an_insulated_base() -> None:
    assert float(drum(PASTE, 9.0, 9.0, 9.0).core_height) == pytest.approx(0.5)
    assert float(drum(PASTE, 9.0, 0.0, 9.0).core_height) == pytest.approx(0.0, abs=1e-9)
    body = drum(PASTE, 9.0, 3.0, 9.0)
    heights = np.linspace(0.0, HEIGHT, 201)
    shares = np.asarray(remaining_at(body, 10 * DAY, 0.0, heights))
    assert heights[shares.argmax()] / HEIGHT == pytest.approx(float(body.core_height), abs=0.006)
