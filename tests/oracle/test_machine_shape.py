"""Shape of containers against quadrature and inversion by root search; the table of kinds against itself."""

import math
from typing import get_args

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from drumwright.machine.container.drum import cylinder_volume, disc_area
from drumwright.machine.container.kinds import QUANTITIES, kind, kinds
from drumwright.machine.container.shape import Shape, frustum, likely_shape, rectangular_bin
from drumwright.station.records import ContainerKind
from validation_registry import record


def slices(shape: Shape, high: float) -> float:
    """Volume below a height from areas of thin slices."""
    return quad(lambda z: float(shape.area(z)), 0.0, high, epsabs=0, epsrel=1e-12)[0]


def test_nesting_drum_of_590_and_510_mm() -> None:
    """S05 and physics book 2.5: 590/510 x 850 mm holds 202 L and needs 40 mm of radial travel."""
    shape = frustum(0.590, 0.510, 0.850)
    ours = float(shape.volume)
    assert ours == pytest.approx(slices(shape, 0.85), rel=1e-12)
    source = "590/510 x 850 mm, slices by quadrature"
    assert record("S05", source, "volume", 202.0, 1e3 * ours, "L", 0.02, "recomputed").agrees
    travel = 1e3 * float(shape.radial_travel)
    assert record("S05", source, "radial travel", 40.0, travel, "mm", 2.0, "recomputed", absolute=True).agrees


def test_conical_drum_of_the_book() -> None:
    """Physics book 0.3, 2.5: half-angle 1.68 deg, perimeter +157 mm (8.7 %), area +16.6 %, travel 25 mm."""
    shape = frustum(0.575, 0.525, 0.85)
    assert math.degrees(float(shape.half_angle)) == pytest.approx(1.68, abs=5e-3)
    assert float(shape.perimeter_change) == pytest.approx(0.157, abs=5e-4)
    assert float(shape.perimeter_change / shape.perimeter(0.85)) == pytest.approx(0.087, abs=5e-4)
    assert float((shape.area(0.85) - shape.bottom_area) / shape.area(0.85)) == pytest.approx(0.166, abs=5e-4)
    assert float(shape.radial_travel) == pytest.approx(0.025)


def test_height_of_a_volume_and_wall_by_other_routes() -> None:
    shape = frustum(0.575, 0.525, 0.85)
    for litres in (1.0, 60.0, 190.0):
        second = brentq(lambda z, v=litres: slices(shape, z) - 1e-3 * v, 0.0, 0.9, xtol=1e-13)
        assert float(shape.height_of(1e-3 * litres)) == pytest.approx(second, rel=1e-9)
    slope = 0.5 * (0.575 - 0.525) / 0.85
    for low, high in ((0.0, 0.85), (0.1, 0.3)):
        rings = quad(lambda z: float(shape.perimeter(z)) * math.hypot(1.0, slope), low, high)[0]
        assert float(shape.wall_area(low, high)) == pytest.approx(rings, rel=1e-12)


def test_a_cone_without_angle_is_the_straight_drum() -> None:
    """Physics book 10: cone alpha -> 0 equals straight; near it the error is of the order of the angle."""
    straight = frustum(0.5715, 0.5715, 0.78)
    assert float(straight.volume) == pytest.approx(float(cylinder_volume(0.5715, 0.78)), rel=1e-15)
    assert float(straight.wall_area()) == pytest.approx(math.pi * 0.5715 * 0.78, rel=1e-15)
    assert float(straight.half_angle) == float(straight.radial_travel) == 0.0
    assert float(straight.height_of(0.2)) == pytest.approx(0.2 / float(disc_area(0.5715)), rel=1e-15)
    for step in (1e-3, 1e-6, 1e-9, 1e-12):
        near = frustum(0.5715 + step, 0.5715, 0.78)
        assert float(near.volume) == pytest.approx(float(straight.volume), rel=2.0 * step / 0.5715)
        assert float(near.height_of(near.volume)) == pytest.approx(0.78, rel=1e-13)


def test_bin_with_rounded_edges() -> None:
    """CNT-07: 1 m3 on 1.2 x 1.0 m stands 0.8333 m high, 83.3 mm for 100 L; rounded edges raise it."""
    sharp = rectangular_bin(1.2, 1.0, 1.0)
    second = brentq(lambda z: slices(sharp, z) - 1.0, 0.1, 2.0, xtol=1e-13)
    source = "1.2 x 1.0 m, level by root search"
    level = float(sharp.height_of(1.0))
    assert level == pytest.approx(second, rel=1e-10)
    assert record("CNT-07", source, "level of 1 m3", 0.8333, level, "m", 0.001, "recomputed").agrees
    rise = 1e3 * float(sharp.height_of(0.1))
    assert record("CNT-07", source, "level per 100 L", 83.3, rise, "mm", 0.001, "recomputed").agrees
    rounded = rectangular_bin(1.2, 1.0, 1.0, 0.1)
    chords = quad(lambda y: 1.2 - 2 * (0.1 - math.sqrt(0.01 - y * y)), 0.0, 0.1)[0]
    assert float(rounded.bottom_area) == pytest.approx(1.2 * 0.8 + 2 * chords, rel=1e-9)
    assert float(rounded.perimeter(0.5)) == pytest.approx(2 * (1.0 + 0.8) + 2 * math.pi * 0.1, rel=1e-14)
    assert float(rounded.height_of(1.0)) > level
    assert float(rectangular_bin(1.0, 1.0, 1.0, 0.5).bottom_area) == pytest.approx(float(disc_area(1.0)))


@pytest.mark.parametrize(("top", "bottom"), [(0.0, 0.5), (0.5, -0.1), (math.nan, 0.5)])
def test_impossible_dimensions_are_refused(top: float, bottom: float) -> None:
    with pytest.raises(ValueError, match="inside dimensions"):
        frustum(top, bottom, 0.8)


def test_a_corner_that_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="corner radius"):
        rectangular_bin(1.0, 0.8, 1.0, 0.41)


def test_shapes_take_arrays_over_samples() -> None:
    tops = np.array([0.57, 0.58, 0.59])
    shape = frustum(tops, 0.51, 0.85)
    assert shape.volume.shape == shape.diameter(0.4).shape == shape.height_of(0.1).shape == (3,)
    for index, top in enumerate(tops):
        assert shape.volume[index] == frustum(top, 0.51, 0.85).volume


def test_the_table_has_every_kind_of_the_case_file_and_nothing_else() -> None:
    assert set(kinds()) == set(get_args(ContainerKind))
    for each in kinds().values():
        assert set(each.numbers) <= set(QUANTITIES)
        assert all(row.note for row in each.numbers.values())
    with pytest.raises(KeyError):
        kind("barrel")
    with pytest.raises(KeyError):
        kind("pail").known("colour")
    assert kind("fibre_drum").known("hoop_depth") is None


@pytest.mark.parametrize("name", get_args(ContainerKind))
def test_likely_dimensions_of_a_kind_belong_together(name: str) -> None:
    """Volume from the likely dimensions: within 5 % of the likely brimful one, and the filled one fits in."""
    row = kind(name)
    shape = likely_shape(row)
    brimful, filled = row.known("brimful_volume"), row.known("usable_volume")
    assert filled is not None
    if brimful is not None:
        assert float(shape.volume) == pytest.approx(brimful.likely, rel=0.05)
        assert filled.likely < brimful.likely
    assert filled.likely < 1.005 * float(shape.volume)
    outside, inside = row.known("outside_diameter"), float(shape.greatest_diameter)
    assert outside is None or outside.likely > inside


def test_numbers_shared_with_the_numbered_assumptions_are_the_same() -> None:
    """The straight drum here and the defaults of the case file must not drift apart."""
    from drumwright.station.by_kind import defaults

    pairs = {
        "container.inside_diameter": "diameter_top",
        "container.usable_volume": "usable_volume",
        "container.outside_height": "outside_height",
        "container.outside_diameter": "outside_diameter",
        "container.tare": "tare",
        "container.hoops": "hoops",
        "container.hoop_depth": "hoop_depth",
        "container.hoop_width": "hoop_width",
    }
    for key, name in pairs.items():
        ours, theirs = kind("straight_drum").numbers[name], defaults()[key].estimate
        assert (ours.low, ours.likely, ours.high) == pytest.approx((theirs.low, theirs.likely, theirs.high))
