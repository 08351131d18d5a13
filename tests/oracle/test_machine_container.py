"""Geometry of containers against other routes: quadrature, exact shells, distances between circles."""

import math
from itertools import pairwise
from typing import get_args

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq, fsolve

from drumwright.basis.quantities import read
from drumwright.machine.container.drum import (
    cylinder_volume,
    disc_area,
    heel_bound,
    hoop_volume,
    left_by_layers,
    pallet_pattern,
    plate_entry,
    staggered_length,
)
from drumwright.station.records import ContainerKind
from validation_registry import record

DRUM = 0.5715


def disc_by_quadrature(diameter: float) -> float:
    """Area of a disc from its chords."""
    radius = 0.5 * diameter
    return quad(lambda t: 2.0 * (radius * math.cos(t)) ** 2, -0.5 * math.pi, 0.5 * math.pi)[0]


def test_volume_of_a_55_gallon_drum() -> None:
    """CNT-01: 22.5 in by 33.5 in inside, against chords summed by quadrature."""
    diameter, height = read("22.5 in", "diameter"), read("33.5 in", "diameter")
    ours = float(cylinder_volume(diameter, height))
    assert ours == pytest.approx(disc_by_quadrature(diameter) * height, rel=1e-12)
    source = "22.5 in x 33.5 in inside, chords by quadrature"
    for theirs, scale, unit in ((218.3, 1e3, "L"), (57.66, 1.0 / read("1 US gal", "volume"), "US gal")):
        assert record("CNT-01", source, "volume", theirs, ours * scale, unit, 0.003, "recomputed").agrees


def test_inner_height_from_the_capacities_of_iso_15750() -> None:
    """CNT-02: heights in whole millimetres; the capacities were opened, 571.5 mm inside is from memory."""
    source = "ISO 15750-1, -2 capacities, 571.5 mm inside (from memory)"
    for litres, theirs in ((208.0, 811), (210.0, 819), (216.5, 844), (212.0, 826), (230.0, 897)):
        ours = 1e-3 * litres / float(disc_area(DRUM))
        second = brentq(lambda h, v=litres: disc_by_quadrature(DRUM) * h - 1e-3 * v, 0.1, 2.0, xtol=1e-14)
        assert ours == pytest.approx(second, rel=1e-10)
        assert float(cylinder_volume(DRUM, ours)) == pytest.approx(1e-3 * litres, rel=1e-12)
        name = f"inner height of {litres:g} L"
        assert record(
            "CNT-02", source, name, theirs, 1e3 * ours, "mm", 0.5, "recomputed", absolute=True
        ).agrees


def test_four_drums_on_a_pallet() -> None:
    """CNT-03: footprint, overhang 85 mm on 1000 mm, 15 mm on 1140 mm (common practice, no source)."""
    source = "585 mm drums, geometry"
    side, _, overhang = pallet_pattern(0.585, 1.2, 1.0)
    rows = [
        ("side of the square pattern", 1170.0, side),
        ("overhang a side on 1200 x 1000", 85.0, overhang[1]),
        ("overhang a side on 1140 x 1140", 15.0, pallet_pattern(0.585, 1.14, 1.14)[2][0]),
    ]
    for name, theirs, ours in rows:
        assert record("CNT-03", source, name, theirs, 1e3 * ours, "mm", 1e-9, "recomputed").agrees
    assert overhang[0] == 0.0
    fits = [pallet_pattern(0.585, length, width)[1] for length, width in ((1.2, 0.8), (1.2, 1.0), (1.2, 1.2))]
    assert fits == [False, False, True]
    assert pallet_pattern(0.6, 1.2, 1.2)[1] and not pallet_pattern(0.6001, 1.2, 1.2)[1]


def test_staggered_drums_touch_and_stay_on_the_width() -> None:
    """CNT-03: 1821.9 mm on 1000 mm; second route: centres found from the three touching distances."""

    def apart(along: np.ndarray) -> list[float]:
        across = [0.2925, 1.0 - 0.2925, 0.2925, 1.0 - 0.2925]
        centres = list(zip([0.0, *along], across, strict=True))
        return [math.dist(a, b) - 0.585 for a, b in pairwise(centres)]

    second = float(fsolve(apart, [0.4, 0.8, 1.2], xtol=1e-13)[-1]) + 0.585
    ours = staggered_length(0.585, 1.0)
    assert ours == pytest.approx(second, rel=1e-9)
    source = "585 mm drums on 1000 mm, centres from touching distances"
    assert record("CNT-03", source, "zigzag length", 1821.9317, 1e3 * ours, "mm", 0.001, "recomputed").agrees
    for width in (0.5, 1.17, 2.0):
        with pytest.raises(ValueError, match="zigzag"):
            staggered_length(0.585, width)


def test_film_and_bottom_layer() -> None:
    """CNT-09: 0.2 mm film and 3 mm layer; second route: exact volume between two cylinders."""
    left, recovery = (float(value) for value in left_by_layers(DRUM, 0.8, 2e-4, 3e-3))
    core = disc_by_quadrature(DRUM - 4e-4) * (0.8 - 3e-3)
    exact = disc_by_quadrature(DRUM) * 0.8 - core
    assert left == pytest.approx(exact, rel=2e-3)  # thin-layer formula: the corner is counted twice
    assert left > exact
    source = "571.5 mm x 0.8 m, exact shell by quadrature"
    assert record("CNT-09", source, "left", 1.0568292, 1e3 * left, "L", 0.002, "recomputed").agrees
    assert record(
        "CNT-09", source, "recovery", 0.99485017, recovery, "-", 0.0003, "recomputed", absolute=True
    ).agrees
    assert left / float(cylinder_volume(DRUM, 0.8)) + recovery == pytest.approx(1.0, abs=1e-15)


def test_hoop_volume_against_a_solid_of_revolution() -> None:
    """Physics book 2.2: 45 x 9 mm gives 0.463 L; the exact solid of revolution is 0.469 L (14.3)."""
    depth, width = 0.009, 0.045
    ours = 1e3 * float(hoop_volume(depth, width, DRUM))
    assert ours == pytest.approx(0.463, abs=5e-4)
    outer = quad(lambda x: (0.5 * DRUM + depth * math.sin(math.pi * x / width)) ** 2, 0.0, width)[0]
    exact = 1e3 * math.pi * (outer - (0.5 * DRUM) ** 2 * width)
    assert exact == pytest.approx(0.469, abs=1e-3)
    assert 0.0 < exact - ours < 0.02 * exact


def test_heel_bound_of_a_bin() -> None:
    """Trade book 2.5: (2/3) h(L) L W of h(x) = sqrt(2 tau_y x/(rho g)), slope by slope."""
    for stress, density in ((150.0, 1130.0), (600.0, 900.0)):
        profile = quad(lambda x, s=stress, r=density: math.sqrt(2 * s * x / (r * 9.80665)), 0.0, 1.1)[0]
        assert float(heel_bound(stress, density, 1.1, 0.93)) == pytest.approx(0.93 * profile, rel=1e-7)
    assert float(heel_bound(0.0, 1400.0, 1.1, 0.93)) == 0.0
    # a point outlet (physics book 14.3: 129.4 and 290.0 L) leaves more than this lower bound
    assert float(heel_bound(150.0, 1130.0, 1.1, 0.93)) < 0.1294
    assert float(heel_bound(600.0, 900.0, 1.1, 0.93)) < 0.2900


def test_every_container_kind_of_the_case_file_has_an_entry_answer() -> None:
    for kind in get_args(ContainerKind):
        assert plate_entry(kind) in ("enters", "cannot_enter", "not_judged")
    with pytest.raises(KeyError):
        plate_entry("barrel")
