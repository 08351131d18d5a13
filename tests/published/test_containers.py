"""Containers: definitions and figures of opened pages."""

import math

from drumwright.basis.quantities import read, to_display
from drumwright.machine.container.drum import cylinder_volume
from validation_registry import record


def test_55_us_gallons() -> None:
    """CNT-01: definition of the US gallon, 231 cubic inches of 25.4 mm."""
    ours = to_display(read("55 US gal", "volume"), "volume", "metric")
    source = "definition of the US gallon (231 in3)"
    assert record("CNT-01", source, "55 US gal", 208.198, ours, "L", 1e-5, "published").agrees
    assert math.isclose(ours, 55 * 231 * 25.4**3 * 1e-6, rel_tol=1e-12)


def test_volume_of_the_drum_of_a_trade_drawing() -> None:
    """CNT-01: a second opened page quotes 57.8 US gal, 218.9 L to the brim of 22.5 in by 33.5 in."""
    ours = float(cylinder_volume(read("22.5 in", "diameter"), read("33.5 in", "diameter")))
    source = "trade pages: 22.5 in x 33.5 in inside; 57.8 US gal, 218.9 L brimful"
    assert record("CNT-01", source, "brimful volume", 218.9, 1e3 * ours, "L", 0.003, "published").agrees
    gallons = to_display(ours, "volume", "US")
    assert record("CNT-01", source, "brimful volume", 57.8, gallons, "US gal", 0.003, "published").agrees
