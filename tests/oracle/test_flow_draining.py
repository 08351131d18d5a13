"""Draw-down, drains and withdrawn films against solutions of the whole floor, ODEs and closed limits."""

import math

import numpy as np
import pytest
import scipy.sparse as sparse
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from scipy.sparse.linalg import SuperLU, splu

from drumwright.flow import drainage, draw_down, withdrawn_film
from drumwright.flow.floor import rectangular_floor, round_floor
from drumwright.flow.levelling import heel
from drumwright.flow.slot import flow_per_width
from validation_registry import record

GRAVITY = 9.80665
HOUR = 3600.0
TOMATO, GREASE, SYRUP = (1130.0, 150.0, 60.0, 0.35), (900.0, 600.0, 25.0, 0.6), (1400.0, 0.0, 50.0, 1.0)
DRUM, BIN = round_floor(0.28575), rectangular_floor(1.10, 0.93)
RADIUS, EDGE = 0.28575, 0.04


class WholeFloor:
    """Half of a bin floor with its outlet in the middle of a short side, in finite volumes.

    Cells nearer than the edge are held at zero; where a link crosses the edge its length is the true one.
    """

    def __init__(self, length: float, width: float, edge: float, cells: tuple[int, int]) -> None:
        nx, ny = cells
        hx, hy = length / nx, 0.5 * width / ny
        x, y = np.meshgrid((np.arange(nx) + 0.5) * hx, (np.arange(ny) + 0.5) * hy, indexing="ij")
        open_ = np.hypot(x, y) > edge
        number = np.arange(nx * ny).reshape(nx, ny)
        matrix = sparse.lil_matrix((nx * ny, nx * ny))
        for axis, (along, across, step, area) in enumerate(((x, y, hx, hy), (y, x, hy, hx))):
            first = (slice(0, -1), slice(None)) if axis == 0 else (slice(None), slice(0, -1))
            second = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
            outside = np.where(open_[first], along[first], along[second])
            side = across[first]
            gap = outside - np.sqrt(np.maximum(edge**2 - side**2, 0.0))
            mixed = open_[first] != open_[second]
            link = (area / np.where(mixed, np.maximum(gap, 1e-3 * step), step)).ravel()
            one, other = number[first].ravel(), number[second].ravel()
            size = matrix.shape
            matrix = matrix + sparse.coo_matrix((link, (one, one)), size)
            matrix = matrix + sparse.coo_matrix((link, (other, other)), size)
            matrix = matrix - sparse.coo_matrix((link, (one, other)), size)
            matrix = matrix - sparse.coo_matrix((link, (other, one)), size)
        self.free = np.flatnonzero(open_.ravel())
        self.cell = hx * hy
        self.lu: SuperLU = splu(matrix.tocsr()[self.free][:, self.free].tocsc())

    def solve(self, source: np.ndarray) -> np.ndarray:
        """Field whose negative Laplacian is the source, one value a free cell."""
        return np.asarray(self.lu.solve(source * self.cell))


def test_film_law_is_half_a_slot_of_twice_the_depth() -> None:
    random = np.random.default_rng(5)
    for _ in range(200):
        slope, depth = 10 ** random.uniform(-3, 0), 10 ** random.uniform(-3, -0.3)
        tau, k, n = random.choice([0.0, 1.0]) * random.uniform(0, 300), random.uniform(1, 100), 0.4
        half = 0.5 * float(flow_per_width(1000.0 * GRAVITY * slope * depth, 2 * depth, tau, k, n))
        ours = float(draw_down.film_flow(slope, depth, 1000.0, tau, k, n))
        assert ours == pytest.approx(half, rel=1e-9, abs=1e-300)
    newtonian = float(draw_down.film_flow(0.1, 0.02, 1400.0, 0.0, 50.0, 1.0))
    assert newtonian == pytest.approx(1400.0 * GRAVITY * 0.1 * 0.02**3 / 150.0, rel=1e-14)
    assert draw_down.film_flow(0.0, 0.02, *SYRUP) == 0.0


def profile(
    flow: float, far: float, edge_depth: float, law: tuple[float, ...], taper: bool
) -> tuple[float, float]:
    """Depth and volume on a disc by root search for the slope in a stiff solver."""

    def slope(r: float, depth: float) -> float:
        q = flow / (2 * np.pi * r) * (1 - (r / far) ** 2 if taper else 1.0)
        least = law[1] / (law[0] * GRAVITY * depth)
        if q <= 0.0:
            return least
        return float(brentq(lambda s: float(draw_down.film_flow(s, depth, *law)) - q, least, 1e4, xtol=1e-13))

    def rates(r: float, y: np.ndarray) -> list[float]:
        return [slope(r, y[0]), 2 * np.pi * r * y[0]]

    run = solve_ivp(rates, (EDGE, far), [edge_depth, 0.0], method="LSODA", rtol=1e-8, atol=1e-10)
    return float(run.y[0, -1]), float(run.y[1, -1])


@pytest.mark.parametrize("law", [TOMATO, GREASE, SYRUP])
@pytest.mark.parametrize("edge_depth", [0.005, 0.04])
def test_profile_over_a_drum_against_a_stiff_solver(law: tuple[float, ...], edge_depth: float) -> None:
    flow = 1.0 / HOUR
    ours = draw_down.sector_draw_down(flow, RADIUS, EDGE, edge_depth, *law)
    depth, volume = profile(flow, RADIUS, edge_depth, law, taper=False)
    assert float(ours.depth) == pytest.approx(depth, rel=2e-3)
    assert float(ours.volume) == pytest.approx(volume, rel=2e-3)
    ours = draw_down.floor_draw_down(DRUM, flow, EDGE, edge_depth, *law)
    depth, volume = profile(flow, RADIUS, edge_depth, law, taper=True)
    assert float(ours.depth) == pytest.approx(depth, rel=1e-3)
    assert float(ours.volume) == pytest.approx(volume, rel=3e-3)


def test_four_steps_are_enough_for_any_law() -> None:
    """Exponents 0.15 to 1.2 with a flow that fades to the wall, where equal steps missed up to 5 %."""
    random = np.random.default_rng(15)
    for _ in range(20):
        tau = random.choice([0.0, 1.0]) * 10 ** random.uniform(0, 3)
        law = (1100.0, tau, 10 ** random.uniform(-1, 2.5), random.uniform(0.15, 1.2))
        flow, far, edge_depth = (
            10 ** random.uniform(-6, -3),
            random.uniform(0.2, 1.2),
            random.uniform(5e-3, 0.04),
        )
        depth, volume = profile(flow, far, edge_depth, law, taper=True)
        ours = draw_down.floor_draw_down(round_floor(far), flow, EDGE, edge_depth, *law)
        assert float(ours.depth) == pytest.approx(depth, rel=1.5e-3)
        assert float(ours.volume) == pytest.approx(volume, rel=4e-3)


PRINTED_MM = {  # A2: edge 5/10/40 mm; bin, far side at 1.10 and 1.19 m
    TOMATO: ((98, 98, 104), (192, 199)),
    GREASE: ((188, 188, 192), (386, 402)),
    SYRUP: ((44, 44, 50), (60, 60)),
}


@pytest.mark.parametrize("law", PRINTED_MM)
def test_printed_depths_at_which_air_is_drawn(law: tuple[float, ...]) -> None:
    """Physics book A2, 1 m3/h, edge of 40 mm radius."""
    drum, bins = PRINTED_MM[law]
    ours = draw_down.sector_draw_down(1 / HOUR, RADIUS, EDGE, np.array([0.005, 0.01, 0.04]), *law).depth
    np.testing.assert_allclose(1e3 * ours, drum, atol=0.6)
    far = np.array([1.10, 1.19])
    ours = draw_down.sector_draw_down(1 / HOUR, far, EDGE, 0.005, *law, sector=draw_down.HALF_CIRCLE).depth
    np.testing.assert_allclose(1e3 * ours, bins, atol=0.6)


def test_printed_depths_with_taper() -> None:
    """Physics book A2: with Q (1 - r^2/R^2) 96-103 mm (tomato) and 41-48 mm (syrup)."""
    for law, low, high in ((TOMATO, 96, 103), (SYRUP, 41, 48)):
        ours = 1e3 * draw_down.floor_draw_down(DRUM, 1 / HOUR, EDGE, np.array([0.005, 0.04]), *law).depth
        np.testing.assert_allclose(ours, [low, high], atol=0.5, rtol=5e-3)


def test_closed_limits_of_the_draw_down() -> None:
    """Section 10: Newtonian h^4 law and the profile at rest of a yield stress."""
    for edge_depth in (1e-3, 0.02):
        ours = draw_down.sector_draw_down(1 / HOUR, RADIUS, EDGE, edge_depth, *SYRUP).depth
        exact = draw_down.newtonian_depth(1 / HOUR, RADIUS, EDGE, edge_depth, 1400.0, 50.0)
        assert float(ours) == pytest.approx(float(exact), rel=1e-4)
        still = draw_down.sector_draw_down(0.0, RADIUS, EDGE, edge_depth, *TOMATO)
        rest = math.sqrt(edge_depth**2 + 300.0 / (1130.0 * GRAVITY) * (RADIUS - EDGE))
        assert float(still.depth) == pytest.approx(rest, rel=1e-12)
        inside = quad(
            lambda r, h=edge_depth: 2 * np.pi * r * math.sqrt(h**2 + 300.0 / (1130.0 * GRAVITY) * (r - EDGE)),
            EDGE, RADIUS,
        )[0]  # fmt: skip
        assert float(still.volume) == pytest.approx(inside, rel=2e-3)
    near = draw_down.floor_draw_down(BIN, 0.0, 1e-3, 0.0, *TOMATO).volume
    assert float(near) == pytest.approx(float(heel(BIN, 9.0, 150.0, 1130.0)), rel=0.02)


def test_newtonian_profile_over_a_bin_against_the_whole_floor() -> None:
    """A level that falls evenly makes h^4 a linear problem: arcs about the outlet are within 3 % of it."""
    whole = WholeFloor(1.10, 0.93, EDGE, (220, 93))
    source = 12 * 50.0 / HOUR / (1400.0 * GRAVITY * 1.10 * 0.93)
    fourth = whole.solve(np.full(whole.free.size, source))
    ours = draw_down.floor_draw_down(BIN, 1 / HOUR, EDGE, 0.0, *SYRUP)
    assert float(ours.depth) == pytest.approx(fourth.max() ** 0.25, rel=0.03)
    assert float(ours.volume) == pytest.approx(2 * whole.cell * (fourth**0.25).sum(), rel=0.015)


DRAIN_CONSTANTS = [(0.025, 1.49), (0.04, 1.40), (0.075, 1.26)]


@pytest.mark.parametrize(("edge", "printed"), DRAIN_CONSTANTS)
def test_drain_constant_of_a_bin(edge: float, printed: float) -> None:
    """Correction C4: 1.49/1.40/1.26; second route: the similarity problem on the whole floor."""
    whole = WholeFloor(1.10, 0.93, edge, (220, 93))
    fourth = np.full(whole.free.size, 0.5)
    for _ in range(30):
        fourth = whole.solve(4.0 * np.maximum(fourth, 0.0) ** 0.25)
    second = (fourth**0.25).sum() * whole.cell / (0.5 * 1.10 * 0.93)
    ours = float(drainage.floor_constant(BIN, edge))
    assert ours == pytest.approx(second, rel=0.015)
    assert ours / 1.10 ** (2 / 3) == pytest.approx(printed, rel=0.012)


def test_drain_constant_of_an_open_side_is_that_of_the_similarity_solution() -> None:
    """Physics book 1.5: 1.0757 (mean) by G'' = -4 G^(1/4), and 1.0529 for a level that falls evenly."""

    def miss(slope: float) -> float:
        return float(shoot(slope)[1])

    def shoot(slope: float) -> np.ndarray:
        def rates(x: float, y: np.ndarray) -> list[float]:
            return [y[1], -4.0 * max(y[0], 0.0) ** 0.25, max(y[0], 0.0) ** 0.25]

        return solve_ivp(rates, (0.0, 1.0), [0.0, slope, 0.0], rtol=1e-10, atol=1e-12).y[:, -1]

    found = shoot(brentq(miss, 1.0, 10.0, xtol=1e-11))
    assert found[2] == pytest.approx(drainage.STRAIGHT_EDGE, abs=5e-5)
    assert found[0] ** 0.25 == pytest.approx(1.2367, abs=1e-4)
    mean = quad(lambda x: (x - 0.5 * x * x) ** 0.25, 0.0, 1.0)[0]
    assert 4 ** (1 / 3) * mean ** (4 / 3) == pytest.approx(drainage.EVEN_FALL, abs=1e-5)


def test_printed_drain_of_a_bin() -> None:
    """Correction C4, syrup: 27.8 + 6.5, 15.3 + 2.6, 7.7 + 0.93 L after 10 min, 1 h, 8 h."""
    constant = drainage.floor_constant(BIN, EDGE)
    wall = 2 * (1.10 + 0.93) * 0.98
    for time, floor_litres, wall_litres in ((600.0, 27.8, 6.5), (HOUR, 15.3, 2.6), (8 * HOUR, 7.7, 0.93)):
        floor = 1.10 * 0.93 * float(drainage.floor_mean_depth(constant, time, 1400.0, 50.0))
        walls = wall * float(drainage.wall_film_mean(0.98, time, 1400.0, 0.0, 50.0, 1.0))
        assert 1e3 * floor == pytest.approx(floor_litres, abs=0.1)
        assert 1e3 * walls == pytest.approx(wall_litres, abs=0.05)
        back = drainage.time_to_drain(floor + walls, 1.10 * 0.93, constant, wall, 0.98, 1400.0, 50.0)
        assert back == pytest.approx(time, rel=1e-12)


def drained_wall(height: float, time: float, law: tuple[float, ...]) -> tuple[float, float]:
    """Film at the foot and its mean by a conservative upwind scheme from an even thick film."""
    cells, start = 400, 8.0 * float(drainage.wall_film(height, time, *law))
    step = height / cells
    film, clock = np.full(cells, start), 0.0
    while clock < time:
        fast = float(np.max(film))
        wave = 1e-9 + (law[0] * GRAVITY / law[2]) ** (1 / law[3]) * (
            max(fast - law[1] / (law[0] * GRAVITY), 0.0) ** (1 / law[3]) * fast
        )
        dt = min(0.5 * step / wave, time - clock)
        q = np.concatenate([[0.0], np.asarray(draw_down.film_flow(1.0, film, *law))])
        film, clock = film - dt / step * np.diff(q), clock + dt
    return float(film[-1]), float(film.mean())


@pytest.mark.parametrize("law", [SYRUP, (1000.0, 20.0, 10.0, 0.6), (1000.0, 0.0, 30.0, 0.5)])
def test_draining_wall_against_a_finite_volume_scheme(law: tuple[float, ...]) -> None:
    foot, mean = drained_wall(0.8, 60.0, law)
    assert float(drainage.wall_film(0.8, 60.0, *law)) == pytest.approx(foot, rel=0.01)
    assert float(drainage.wall_film_mean(0.8, 60.0, *law)) == pytest.approx(mean, rel=0.02)
    whole = quad(lambda z: float(drainage.wall_film(z, 60.0, *law)), 0.0, 0.8, epsrel=1e-10)[0]
    assert float(drainage.wall_film_mean(0.8, 60.0, *law)) == pytest.approx(whole / 0.8, rel=1e-8)


def test_newtonian_wall() -> None:
    """FLM-12: 0.723 mm at 0.8 m after 600 s, mean 0.482 mm; second route: the wave that got there in time."""
    source = "Jeffreys (1930), from memory"
    foot = float(drainage.wall_film(0.8, 600.0, 1300.0, 0.0, 5.0, 1.0))
    mean = float(drainage.wall_film_mean(0.8, 600.0, 1300.0, 0.0, 5.0, 1.0))

    def wave(h: float) -> float:
        flow = [float(draw_down.film_flow(1.0, h * f, 1300.0, 0.0, 5.0, 1.0)) for f in (1 - 1e-5, 1 + 1e-5)]
        return (flow[1] - flow[0]) / (2e-5 * h) - 0.8 / 600.0

    assert foot == pytest.approx(brentq(wave, 1e-5, 1e-2, xtol=1e-15), rel=1e-8)
    assert record("FLM-12", source, "film", 0.00072313995, foot, "m", 1e-4, "recomputed").agrees
    assert record("FLM-12", source, "mean film", 0.0004820933, mean, "m", 1e-4, "recomputed").agrees
    assert drainage.wall_film(0.0, 600.0, 1300.0, 0.0, 5.0, 1.0) == 0.0


def test_a_yield_stress_hangs_and_the_rest_runs_off_slowly() -> None:
    held = 150.0 / (1130.0 * GRAVITY)
    late = float(drainage.wall_film(0.8, 1e15, *TOMATO)) - held
    assert late == pytest.approx((0.8 / 1e15 / held) ** 0.35 * 60.0 / (1130.0 * GRAVITY), rel=1e-4)
    assert 0.0 < late < 1e-4 * held


def film_constant() -> float:
    """Curvature times h over (3 Ca)^(2/3): H''' = (H - 1)/H^3 from the flat film on."""

    def rates(x: float, y: np.ndarray) -> list[float]:
        return [y[1], y[2], (y[0] - 1.0) / y[0] ** 3]

    run = solve_ivp(rates, (0.0, 400.0), [1.0 + 1e-6, 1e-6, 1e-6], rtol=1e-11, atol=1e-13)
    return float(run.y[2, -1])


def test_slow_films() -> None:
    """FLM-01: 24.5 um on a plate; FLM-02: 57.6 um in a tube; second route: the film equation integrated."""
    curvature = film_constant()
    assert curvature * 3 ** (2 / 3) == pytest.approx(withdrawn_film.TUBE, rel=2e-4)
    assert curvature * 3 ** (2 / 3) / math.sqrt(2) == pytest.approx(withdrawn_film.PLATE, rel=2e-4)
    capillary = 0.01 * 0.005 / 0.03
    plate = float(withdrawn_film.capillary_film(0.005, 0.01, 900.0, 0.03))
    again = curvature * (3 * capillary) ** (2 / 3) / math.sqrt(2 * 900.0 * GRAVITY / 0.03)
    assert plate == pytest.approx(again, rel=2e-4)
    source = "Landau & Levich (1942), from memory"
    assert record("FLM-01", source, "Ca", 0.0016666667, capillary, "-", 1e-6, "recomputed").agrees
    assert record("FLM-01", source, "film", 2.451193e-05, plate, "m", 0.002, "recomputed").agrees
    tube = float(withdrawn_film.tube_film(0.02, 1e-4))
    assert tube == pytest.approx(0.02 * curvature * 3e-4 ** (2 / 3), rel=2e-4)
    source = "Bretherton (1961), from memory"
    assert record("FLM-02", source, "film", 5.7631128e-05, tube, "m", 0.002, "recomputed").agrees


def test_film_on_a_lance_is_never_more_than_runs_down() -> None:
    slow = withdrawn_film.withdrawn_film(0.005, 900.0, 0.0, 0.01, 1.0, 0.03)
    assert slow == withdrawn_film.capillary_film(0.005, 0.01, 900.0, 0.03)
    thick = withdrawn_film.withdrawn_film(0.1, 1400.0, 0.0, 50.0, 1.0, 0.05)
    assert thick == pytest.approx(math.sqrt(50.0 * 0.1 / (1400.0 * GRAVITY)), rel=1e-12)
    held = withdrawn_film.withdrawn_film(1e-12, 900.0, 600.0, 25.0, 0.6, 0.03)
    assert held == pytest.approx(600.0 / (900.0 * GRAVITY), rel=1e-4)


def test_share_left_by_air_levels_off_at_the_books_limit() -> None:
    """Physics book 5.9: up to about 60 % of the section stays; in slow flow twice the film."""
    assert float(withdrawn_film.share_left_by_air(1e6)) == pytest.approx(0.60, abs=0.05)
    slow = float(withdrawn_film.share_left_by_air(1e-6))
    assert slow == pytest.approx(2 * float(withdrawn_film.tube_film(1.0, 1e-6)), rel=1e-3)
    assert withdrawn_film.share_left_by_air(0.0) == 0.0
