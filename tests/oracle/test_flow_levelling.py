"""Profiles at rest, heels, slopes and rat-holes against quadrature, closed limits and printed tables."""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

from drumwright.flow import levelling, rat_hole
from drumwright.flow.floor import Floor, rectangular_floor, round_floor
from validation_registry import record

GRAVITY = 9.80665
TOMATO, GREASE = (150.0, 1130.0), (600.0, 900.0)
LIU_MEI = "Liu & Mei (1989), profile at rest, from memory"

FLOORS = {
    "disc, middle": round_floor(0.28575),
    "disc, wall": round_floor(0.28575, at_wall=True),
    "bin, short side": rectangular_floor(1.10, 0.93),
    "bin, corner": rectangular_floor(1.10, 0.93, 0.0, 0.0),
    "bin, inside": rectangular_floor(1.10, 0.93, 0.3, 0.2),
}


def points_of(name: str, count: int = 1500) -> tuple[np.ndarray, float]:
    """Distances to the outlet on a fine grid over the floor, and the area of a cell."""
    places = {"bin, short side": (0.0, 0.465), "bin, corner": (0.0, 0.0), "bin, inside": (0.33, 0.186)}
    middle = (np.arange(count) + 0.5) / count
    if name in places:
        x, y = np.meshgrid(1.10 * middle, 0.93 * middle, indexing="ij")
        return np.hypot(x - places[name][0], y - places[name][1]).ravel(), 1.10 * 0.93 / count**2
    side = 2 * 0.28575
    x, y = np.meshgrid(side * (middle - 0.5), side * (middle - 0.5), indexing="ij")
    inside = np.hypot(x, y) <= 0.28575
    outlet = -0.28575 if name == "disc, wall" else 0.0
    return np.hypot(x - outlet, y)[inside], (side / count) ** 2


@pytest.mark.parametrize("name", FLOORS)
def test_floor_within_a_distance_is_counted_on_a_grid(name: str) -> None:
    floor, (distance, cell) = FLOORS[name], points_of(name)
    assert float(floor.farthest) == pytest.approx(float(distance.max()), rel=2e-3)
    for share in (0.1, 0.35, 0.6, 0.85, 1.0):
        d = share * float(floor.farthest)
        counted = np.count_nonzero(distance <= d) * cell
        assert float(floor.within(d)) == pytest.approx(counted, rel=3e-3)
        step = 1e-5 * float(floor.farthest)
        slope = (float(floor.within(d - step)) - float(floor.within(d - 3 * step))) / (2 * step)
        assert float(floor.arc(d - 2 * step)) == pytest.approx(slope, rel=1e-3, abs=1e-4)
    assert float(floor.within(9.9)) == pytest.approx(float(floor.area), rel=1e-12)


@pytest.mark.parametrize("name", FLOORS)
@pytest.mark.parametrize("law", [TOMATO, GREASE, (3000.0, 900.0)])
@pytest.mark.parametrize("height", [0.2, 0.98])
def test_heel_is_the_sum_over_a_grid(name: str, law: tuple[float, float], height: float) -> None:
    """Integral of min(sqrt(2 tau_y d/(rho g)), H) over the floor; second route: midpoint sum over cells."""
    distance, cell = points_of(name)
    depth = np.minimum(np.sqrt(2 * law[0] * distance / (law[1] * GRAVITY)), height)
    ours = float(levelling.heel(FLOORS[name], height, *law))
    assert ours == pytest.approx(float(depth.sum()) * cell, rel=5e-6 if "bin" in name else 1e-3)


def test_heel_of_the_discs_is_the_integral_over_their_arcs() -> None:
    for name in ("disc, middle", "disc, wall"):
        floor = FLOORS[name]
        for tau, height in ((150.0, 0.78), (3000.0, 0.2)):
            steep = 2 * tau / (900.0 * GRAVITY)

            def at(d: float, floor: Floor = floor, steep: float = steep, height: float = height) -> float:
                return min(math.sqrt(steep * d), height) * float(floor.arc(d))

            ends = sorted({0.0, min(height**2 / steep, float(floor.farthest)), float(floor.farthest)})
            pieces = itertools.pairwise(ends)
            whole = sum(quad(at, *piece, epsrel=1e-12, limit=200)[0] for piece in pieces)
            assert float(levelling.heel(floor, height, tau, 900.0)) == pytest.approx(whole, rel=1e-9)


def test_printed_heels() -> None:
    """Physics book 1.5 and 14.3: drum 18.0 and 40.4 L, bin 129.4 and 290.0 L; syrup leaves nothing."""
    printed = {"disc, middle": (18.0, 40.4), "bin, short side": (129.4, 290.0)}
    for name, litres in printed.items():
        for law, theirs in zip((TOMATO, GREASE), litres, strict=True):
            ours = 1e3 * float(levelling.heel(FLOORS[name], 0.98, *law))
            assert ours == pytest.approx(theirs, abs=0.08)
        assert levelling.heel(FLOORS[name], 0.98, 0.0, 1400.0) == 0.0
    closed = 0.8 * math.pi * math.sqrt(300.0 / (1130.0 * GRAVITY)) * 0.28575**2.5
    assert levelling.heel(FLOORS["disc, middle"], 0.78, *TOMATO) == pytest.approx(closed, rel=1e-14)


def test_profile_at_rest() -> None:
    """FLM-09: 96.3 mm and 0.0321 m2 at 0.5 m, 100 Pa, 1100 kg/m3; by the force balance in steps too."""

    def balance(x: float, y: np.ndarray) -> list[float]:
        return [2 * 100.0 / (1100.0 * GRAVITY), math.sqrt(y[0])]  # y = h^2, and the volume

    second = solve_ivp(balance, (0.0, 0.5), [0.0, 0.0], rtol=1e-10, atol=1e-14, max_step=1e-3).y[:, -1]
    depth, volume = (
        levelling.rest_depth(0.5, 100.0, 1100.0),
        levelling.rest_volume_per_width(0.5, 100.0, 1100.0),
    )
    assert depth == pytest.approx(math.sqrt(second[0]), rel=1e-9)
    assert volume == pytest.approx(second[1], rel=1e-5)
    assert record("FLM-09", LIU_MEI, "depth", 0.096281605, float(depth), "m", 1e-4, "recomputed").agrees
    assert record("FLM-09", LIU_MEI, "volume", 0.032093868, float(volume), "m2", 1e-4, "recomputed").agrees


def test_profile_over_an_edge_that_is_not_bare() -> None:
    edge = 0.05
    ours = float(levelling.rest_volume_per_width(0.8, 200.0, 1000.0, edge))
    whole = quad(lambda x: float(levelling.rest_depth(x, 200.0, 1000.0, edge)), 0.0, 0.8)[0]
    assert ours == pytest.approx(whole, rel=1e-10)
    assert levelling.rest_volume_per_width(0.8, 0.0, 1000.0, edge) == pytest.approx(0.04, rel=1e-12)
    assert levelling.rest_volume_per_width(0.8, 0.0, 1000.0) == 0.0


def test_tilt_and_standing_layer() -> None:
    """FLM-11: 18.0 degrees for 30 mm, 9.27 mm on a wall; by a root search too."""
    source = "force balance of a layer on a slope"
    angle = float(levelling.critical_angle(0.03, 100.0, 1100.0))
    second = brentq(lambda a: 1100.0 * GRAVITY * 0.03 * math.sin(a) - 100.0, 0.0, 1.5, xtol=1e-14)
    assert angle == pytest.approx(second, rel=1e-12)
    assert record("FLM-11", source, "tilt", 17.999272, math.degrees(angle), "deg", 1e-4, "recomputed").agrees
    layer = float(levelling.static_layer(100.0, 1100.0, 0.5 * math.pi))
    assert record("FLM-11", source, "layer", 0.0092701474, layer, "m", 1e-4, "recomputed").agrees
    assert levelling.static_layer(100.0, 1100.0, angle) == pytest.approx(0.03, rel=1e-12)
    assert levelling.critical_angle(0.001, 100.0, 1100.0) == pytest.approx(0.5 * math.pi)


def test_printed_layers_on_a_tilted_floor() -> None:
    """Physics book 1.5: 259 mm at 3 degrees, 78 mm at 10; section 10: no tilt, no end of it."""
    for degrees, printed in ((3.0, 0.259), (10.0, 0.078)):
        ours = levelling.static_layer(*TOMATO, math.radians(degrees))
        assert ours == pytest.approx(printed, abs=5e-4)
    flat = np.asarray(levelling.static_layer(*TOMATO, np.array([1e-2, 1e-4, 1e-8])))
    assert flat[0] < flat[1] < flat[2] and flat[2] > 1e6


def test_profile_on_a_slope() -> None:
    """Second route: rho g h (dh/dx + s) = tau_y integrated in y = h^2; limits level floor and even layer."""
    for slope in (0.01, 0.1, 0.5):
        layer = 150.0 / (1130.0 * GRAVITY)

        def balance(x: float, y: np.ndarray, slope: float = slope, layer: float = layer) -> list[float]:
            return [2 * (layer - slope * math.sqrt(max(y[0], 0.0))), math.sqrt(max(y[0], 0.0))]

        run = solve_ivp(balance, (0.0, 1.1), [0.0, 0.0], rtol=1e-10, atol=1e-16, method="LSODA")
        ours = float(levelling.sloped_rest_depth(1.1, slope, *TOMATO))
        assert ours == pytest.approx(math.sqrt(run.y[0, -1]), rel=1e-6)
        level = float(levelling.rest_volume_per_width(1.1, *TOMATO))
        share = float(levelling.slope_share(1.1, slope, *TOMATO))
        assert share == pytest.approx(run.y[1, -1] / level, rel=1e-5)
    level = float(levelling.rest_depth(1.1, *TOMATO))
    assert levelling.sloped_rest_depth(1.1, 0.0, *TOMATO) == pytest.approx(level, rel=1e-12)
    assert levelling.sloped_rest_depth(1.1, 1e-9, *TOMATO) == pytest.approx(level, rel=1e-6)
    even = 150.0 / (1130.0 * GRAVITY) / 0.3
    assert levelling.sloped_rest_depth(50.0, 0.3, *TOMATO) == pytest.approx(even, rel=1e-9)
    assert levelling.slope_share(1.1, 0.0, *TOMATO) == pytest.approx(1.0, rel=1e-12)
    assert levelling.slope_share(1.1, 0.1, 0.0, 1130.0) == 1.0


def test_stability_number_against_the_books_corrected_table() -> None:
    """Correction C8, von Mises wedge: 5.62, 6.70, 8.84, 11.02; second route: quadrature and a search."""
    for ratio, printed in ((1.0, 5.62), (2.0, 6.70), (5.0, 8.84), (10.0, 11.02)):

        def bound(psi: float, ratio: float = ratio) -> float:
            k = 0.5 * math.sqrt(3 + 1 / math.cos(psi) ** 2)
            inner = quad(lambda s: (1 - s * math.tan(psi)) / (1 / ratio + s), 0.0, 1 / math.tan(psi))[0]
            return 4 * k * inner + 4 / math.sin(2 * psi)

        second = minimize_scalar(bound, bounds=(0.1, 1.5), method="bounded", options={"xatol": 1e-10}).fun
        ours = float(rat_hole.stability_number(ratio))
        assert ours == pytest.approx(second, rel=1e-9)
        assert ours == pytest.approx(printed, abs=5e-3)
    assert rat_hole.stability_number(0.0) == pytest.approx(4.0, abs=1e-12)
    assert rat_hole.stability_number(1e-6) == pytest.approx(4.0, abs=1e-4)


def test_depth_of_a_standing_hole() -> None:
    """C8: 0.1 m hole, flowing 0.071 and 0.66 m, static 0.175 and 1.18 m; 1.5: 88 % stays beside it."""
    for tau, density, printed in ((150, 1130, 0.071), (300, 1130, 0.175), (600, 900, 0.66), (900, 900, 1.18)):
        ours = float(rat_hole.standing_depth(0.1, tau, density))
        assert ours == pytest.approx(printed, abs=5e-3 if printed > 0.5 else 5e-4)
        second = brentq(
            lambda h, tau=tau, density=density: density * GRAVITY * h
            - tau * float(rat_hole.stability_number(h / 0.1)), 1e-4, 20.0
        )  # fmt: skip
        assert ours == pytest.approx(second, rel=5e-5)
    assert rat_hole.share_beside_hole(0.1, 0.28575) == pytest.approx(0.88, abs=5e-3)
    assert rat_hole.share_beside_hole(0.4, 0.3) == 0.0
    assert rat_hole.standing_depth(0.1, 0.0, 900.0) == 0.0
    wide = float(rat_hole.standing_depth(1e3, 100.0, 1000.0))
    assert wide == pytest.approx(400.0 / (1000.0 * GRAVITY), rel=1e-4)
