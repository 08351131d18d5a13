"""Residue by place and its Monte Carlo against physics book 2.2, 2.3, 2.5 and 14.3, and plain loops."""

import math
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar

from drumwright.flow.disc_gap import smallest_gap
from drumwright.machine.container.drum import cylinder_volume
from drumwright.machine.container.shape import Shape, frustum, rectangular_bin
from drumwright.machine.plate import recovery, residue
from drumwright.product.law import FlowLaw
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

Array = NDArray[np.float64]
DRUM, HEIGHT, COUNT = 0.5715, 0.78, 200_000
SUCTION = 101e3 - 40e3  # atmosphere of the book less the port at 40 kPa abs


class Printed(NamedTuple):
    """Recovery [%] P5, P50, P95 and chance of 99 %, conservative and optimistic (physics book 14.3)."""

    law: FlowLaw
    hoops: str
    conservative: tuple[float, float, float]
    optimistic: tuple[float, float, float]
    chances: tuple[float, float]


PRINTED = {
    "a": Printed(TOMATO, "yielding", (98.23, 98.70, 99.06), (98.52, 98.99, 99.29), (0.091, 0.48)),
    "b": Printed(GREASE, "yielding", (98.00, 98.47, 98.83), (98.52, 98.91, 99.12), (0.003, 0.28)),
    "c": Printed(SYRUP, "draining", (98.08, 98.53, 98.87), (98.74, 99.02, 99.16), (0.005, 0.565)),
}
LEFT_KG = {"a": (2.1, 4.0), "b": (2.1, 3.6), "c": (3.2, 5.4)}
DENSITY = {"a": 1130.0, "b": 900.0, "c": 1400.0}


def triangles(seed: int) -> "Triangles":
    return Triangles(np.random.default_rng(seed))


class Triangles:
    """Draws triangular samples one after the other."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random

    def __call__(self, low: float, mode: float, high: float) -> Array:
        return self.random.triangular(low, mode, high, COUNT)

    def row(self, quantity: str, case: str) -> Array:
        """Samples of a row of the table of residue."""
        found = recovery.assumed(quantity, case)
        return self(found.low, found.likely, found.high)


def end_gap(law: FlowLaw, shape: Shape, flow: float) -> float:
    """Gap that 3 kN and the suction still feed."""
    push = 3000.0 + float(shape.bottom_area) * SUCTION
    radius = 0.5 * float(shape.bottom)
    return float(smallest_gap(flow, push, radius, 0.04, law.yield_stress, law.consistency, law.exponent))


def straight_left(row: Printed, mix: float, more: float) -> Array:
    """Volume left in a straight drum with a larger end gap and hoops at their centroid, or a smaller gap."""
    places = straight_places(row, mix, more=more)
    if more > 0.0:
        places["hoops"] = places["hoops"] * (0.469 / 0.463)
    return recovery.total(places, float(cylinder_volume(DRUM, HEIGHT)))


def straight_places(row: Printed, mix: float, with_hoops: bool = True, more: float = 0.0) -> dict[str, Array]:
    """Places of a straight drum with the widths of the book (hoops 6/9/12 mm as printed)."""
    draw = triangles(11)
    shape = frustum(DRUM, DRUM, HEIGHT)
    gap = end_gap(row.law, shape, 0.3 / 3600.0) + more
    places = {
        "heel": residue.heel(DRUM, gap, draw(0.5e-3, 3e-3, 9e-3), mix),
        "wall": residue.wall(DRUM, HEIGHT, draw.row("wall_gap", "lip")),
        "hoops": residue.hoops(
            2, draw(6e-3, 9e-3, 12e-3), draw(0.035, 0.045, 0.055), DRUM, draw.row("hoop_retained", row.hoops)
        ),
        "corner": draw(0.02e-3, 0.1e-3, 0.25e-3),
    }
    if not with_hoops:
        del places["hoops"]
    return places


@pytest.mark.parametrize("name", PRINTED)
def test_recovery_of_a_straight_drum(name: str) -> None:
    """2.3 with 14.3: P5, P50, P95 and the chance of more than 99 %, sum and greater of the two gaps."""
    row = PRINTED[name]
    filled = float(cylinder_volume(DRUM, HEIGHT))
    for mix, theirs, odds in (
        (1.0, row.conservative, row.chances[0]),
        (0.0, row.optimistic, row.chances[1]),
    ):
        left = recovery.total(straight_places(row, mix), filled)
        share = 100.0 * recovery.recovered(left, filled)
        source = (
            f"second Monte Carlo of the book, product ({name}), {'sum' if mix else 'greater'} of the gaps"
        )
        for rank, printed, ours in zip((5, 50, 95), theirs, np.percentile(share, [5, 50, 95]), strict=True):
            assert record(
                "physics 2.3",
                source,
                f"recovery P{rank}",
                printed,
                ours,
                "%",
                0.05,
                "recomputed",
                absolute=True,
            ).agrees
        # the book warns of 0.1 mm of end gap and computes hoops with or without centroid radius (14.3): the
        # printed chance must lie between those two ends, drawn samples apart
        wish = 0.01 * filled
        chances = [recovery.chance(straight_left(row, mix, by), wish) for by in (1e-4, 0.0, -1e-4)]
        assert chances[0] - 0.004 <= odds <= chances[2] + 0.004
        assert chances[1] == pytest.approx(float(np.mean(share >= 99.0)), abs=1e-9)
        if mix:
            low, high = DENSITY[name] * np.percentile(left, [5, 95])
            assert (low, high) == pytest.approx(LEFT_KG[name], abs=0.5)


def test_variance_by_place() -> None:
    """14.3: bottom 0.83, hoops 0.11, wall 0.05, corner 0.01 for (a); they add up to one."""
    found = recovery.shares(straight_places(PRINTED["a"], 1.0))
    for name, theirs in {"heel": 0.83, "hoops": 0.11, "wall": 0.05, "corner": 0.01}.items():
        what, source = f"variance share of {name}", "second Monte Carlo of the book, product (a)"
        ours = found[name]
        assert record(
            "physics 2.3", source, what, theirs, ours, "-", 0.01, "recomputed", absolute=True
        ).agrees
    assert sum(found.values()) == pytest.approx(1.0, abs=1e-12)


def test_without_hoops() -> None:
    """2.3, 14.3: (a) conservative P50 = 99.01 without hoops."""
    filled = float(cylinder_volume(DRUM, HEIGHT))
    left = recovery.total(straight_places(PRINTED["a"], 1.0, with_hoops=False), filled)
    assert 100.0 * (1.0 - float(np.median(left)) / filled) == pytest.approx(99.01, abs=0.02)


@pytest.mark.parametrize(
    ("law", "theirs"),
    [(TOMATO, (98.4, 98.8, 99.2)), (GREASE, (98.2, 98.6, 99.0)), (SYRUP, (98.0, 98.5, 98.8))],
)
def test_recovery_of_a_conical_drum(law: FlowLaw, theirs: tuple[float, float, float]) -> None:
    """2.5: conservative recovery of 190 L from 575/525 x 850 mm, expanding seal, no hoops."""
    draw, shape, filled = triangles(5), frustum(0.575, 0.525, 0.85), 0.190
    gap = end_gap(law, shape, 0.3 / 3600.0)
    wiped = float(shape.wall_area(0.0, shape.height_of(filled)))
    places = {
        "heel": residue.heel_over(shape.bottom_area, gap, draw(0.5e-3, 3e-3, 9e-3), 1.0),
        "wall": residue.wall_layer(wiped, draw.row("wall_gap", "expanding")),
        "pocket": residue.pocket(draw.row("stand_off", "expanding"), 0.008, 0.525),
        "corner": draw(0.02e-3, 0.1e-3, 0.25e-3),
    }
    assert float(np.mean(places["pocket"])) * 1e3 == pytest.approx(0.37, abs=0.01)
    share = 100.0 * recovery.recovered(recovery.total(places, filled), filled)
    assert np.percentile(share, [5, 50, 95]) == pytest.approx(theirs, abs=0.1)


def test_a_cone_without_angle_leaves_what_a_straight_drum_leaves() -> None:
    shape = frustum(DRUM, DRUM, HEIGHT)
    assert float(residue.wall_layer(shape.wall_area(), 1e-4)) == pytest.approx(
        float(residue.wall(DRUM, HEIGHT, 1e-4)), rel=1e-14
    )
    assert float(residue.heel_over(shape.bottom_area, 2e-3, 3e-3, 0.4)) == pytest.approx(
        float(residue.heel(DRUM, 2e-3, 3e-3, 0.4)), rel=1e-14
    )


def test_pocket_and_bin_corners_by_quadrature() -> None:
    ours = float(residue.pocket(0.025, 0.008, 0.525))
    ring = quad(lambda r: 2 * math.pi * r, 0.525 / 2 - 0.008, 0.525 / 2)[0] * 0.025
    assert ours == pytest.approx(ring, rel=0.02)  # thin ring at the wall's diameter
    square = rectangular_bin(1.1, 0.9, 0.9, 0.02)
    follower = rectangular_bin(1.1, 0.9, 0.9, 0.10)
    apart = float(square.bottom_area - follower.bottom_area)
    assert float(residue.bin_corners(0.10, 0.02, 0.9, 1.0)) == pytest.approx(0.9 * apart, rel=1e-12)
    assert float(residue.bin_corners(0.02, 0.10, 0.9, 1.0)) == 0.0
    assert float(residue.bag_folds(0.7, 1000.0)) == pytest.approx(0.7e-3)


def test_newtonian_film_from_the_reynolds_equation() -> None:
    """FLM-03: 9.428 um left at 10 Pa s, 20 mm/s, 5e8 Pa/m; second route: greatest gradient is w."""
    mu, speed, gradient = 10.0, 0.02, 5e8

    def greatest(through: float) -> float:
        """Greatest of p' = 6 mu U (h - h*)/h^3 over h, less w."""
        found = minimize_scalar(
            lambda x: -6 * mu * speed * (x - 1) / (through**2 * x**3), bounds=(1.01, 4.0), method="bounded"
        )
        return -float(found.fun) - gradient

    through = brentq(greatest, 1e-6, 1e-3, xtol=1e-16)
    inflection = 1.5 * through  # where (h - h*)/h^3 is greatest
    ours = float(residue.film(DRUM, HEIGHT, speed, gradient, mu, 1.0)) / (math.pi * DRUM * HEIGHT)
    assert ours == pytest.approx(0.5 * through, rel=1e-6)
    source = "Reynolds equation, greatest gradient searched"
    for what, theirs, value in (
        ("gap at the inflection", 2.8284271e-5, inflection),
        ("gap h*", 1.8856181e-5, through),
        ("film left on the wall", 9.4280904e-6, ours),
    ):
        assert record("FLM-03", source, what, theirs, value, "m", 0.001, "recomputed").agrees


def test_layer_that_stands_in_a_hoop() -> None:
    """2.2: 13.5 mm (a) and 68 mm (b) never drain; syrup always does; FLM-11 the same balance."""
    assert float(residue.standing_layer(150.0, 1130.0)) == pytest.approx(13.5e-3, abs=5e-5)
    assert float(residue.standing_layer(600.0, 900.0)) == pytest.approx(68e-3, abs=5e-4)
    assert float(residue.standing_layer(0.0, 1400.0)) == 0.0
    assert float(residue.standing_layer(100.0, 1100.0)) == pytest.approx(0.0092701474, rel=1e-4)


def test_hold_up_when_the_product_changes() -> None:
    """2.2: 5 m of DN50 hold 9.8 L; trade book 0: 6 m of DN65 19.9 L."""
    held = recovery.hold_up(0.5e-3, 0.6e-3, 1.5e-3, 0.05, 5.0)
    assert float(held["line"]) * 1e3 == pytest.approx(9.8, abs=0.05)
    assert float(recovery.total(held)) * 1e3 == pytest.approx(9.8 + 2.6, abs=0.05)
    assert float(recovery.hold_up(0, 0, 0, 0.065, 6.0)["line"]) * 1e3 == pytest.approx(19.9, abs=0.05)


def test_recovery_and_residue_are_the_whole() -> None:
    """Physics book 10: recovery + residue = 100 %; never more is left than was filled in."""
    random = np.random.default_rng(2)
    places = {name: random.uniform(0.0, 0.02, 4096) for name in ("heel", "wall", "hoops")}
    left = recovery.total(places, 0.03)
    assert np.max(left) == 0.03
    assert left / 0.03 + recovery.recovered(left, 0.03) == pytest.approx(np.ones(4096), abs=1e-15)


def test_shares_of_places_that_move_together_or_not_at_all() -> None:
    random = np.random.default_rng(4)
    first, second = random.normal(0.0, 3.0, 100_000), random.normal(0.0, 4.0, 100_000)
    found = recovery.shares({"first": first, "second": second, "still": 1.0})
    assert found["first"] == pytest.approx(9.0 / 25.0, abs=0.01)
    assert found["still"] == pytest.approx(0.0, abs=1e-12)
    against = recovery.shares({"up": first, "down": -0.5 * first})
    assert against == pytest.approx({"up": 2.0, "down": -1.0})
    assert recovery.shares({"still": 1.0, "too": 2.0}) == {"still": 0.0, "too": 0.0}


def test_arrays_and_a_plain_loop_give_the_same() -> None:
    random = np.random.default_rng(9)
    gap, mismatch, mix, film = (random.uniform(0.0, 0.01, 64) for _ in range(4))
    places = {
        "heel": residue.heel(DRUM, gap, mismatch, mix),
        "wall": residue.wall(DRUM, HEIGHT, film),
        "film": residue.film(DRUM, HEIGHT, 1e-3, 1e7, 60.0 + film, 0.35),
    }
    for index in range(64):
        one = {
            "heel": residue.heel(DRUM, gap[index], mismatch[index], mix[index]),
            "wall": residue.wall(DRUM, HEIGHT, film[index]),
            "film": residue.film(DRUM, HEIGHT, 1e-3, 1e7, 60.0 + film[index], 0.35),
        }
        assert float(recovery.total(one)) == pytest.approx(float(recovery.total(places)[index]), rel=1e-14)


def test_an_assumption_that_does_not_exist_is_refused() -> None:
    with pytest.raises(KeyError):
        recovery.assumed("hoop_retained", "sometimes")
