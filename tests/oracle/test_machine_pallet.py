"""Four containers on a pallet: CNT-03, S05, trade book 1.2 and 1.4, against distances of circles."""

import math
from itertools import combinations

import pytest

from drumwright.machine.container.pallet import layout, pallets
from validation_registry import record


def test_overhang_of_four_nesting_drums() -> None:
    """S05: 600 mm drums on a side of 1000 mm stand out 100 mm at each end."""
    on = pallets()["eur2"]
    found = layout(0.600, on.length, on.width)
    centres = [(x, y) for x in (-0.3, 0.3) for y in (-0.3, 0.3)]
    assert all(math.dist(a, b) >= 0.6 - 1e-12 for a, b in combinations(centres, 2))
    second = max(abs(y) for _, y in centres) + 0.3 - 0.5 * on.width
    ours = found.overhang_width
    assert ours == pytest.approx(second, rel=1e-12)
    source = "two circles side by side"
    assert record(
        "S05", source, "overhang", 100.0, 1e3 * ours, "mm", 15.0, "recomputed", absolute=True
    ).agrees
    assert found.overhang_length == pytest.approx(0.0, abs=1e-12)
    assert not found.fits


@pytest.mark.parametrize(
    ("name", "fits", "across"),
    [
        ("eur", False, 0.185),
        ("eur2", False, 0.085),
        ("square_1200", True, 0.0),
        ("square_1140", False, 0.015),
    ],
)
def test_drums_of_585_mm(name: str, fits: bool, across: float) -> None:
    """CNT-03 and trade book 1.2: 85 mm on 1000 mm, 15 mm on 1140 mm; the zigzag is 1822 mm long."""
    on = pallets()[name]
    found = layout(0.585, on.length, on.width)
    assert found.fits is fits
    assert found.overhang_width == pytest.approx(across, abs=1e-12)
    if name == "eur2":
        assert found.zigzag_length == pytest.approx(1.8219317, rel=1e-6)
        assert found.zigzag_overhang == pytest.approx(0.5 * (1.8219317 - 1.2), rel=1e-6)
    if name == "square_1200":
        assert found.zigzag_length is None


def test_zigzag_needs_a_width_between_one_and_two_drums() -> None:
    assert layout(0.585, 1.2, 0.5).zigzag_length is None
    assert layout(0.585, 1.2, 1.17).zigzag_length is None
    assert layout(0.585, 1.2, 0.585).zigzag_length == pytest.approx(4 * 0.585)


def test_pallets_say_where_they_are_from() -> None:
    assert set(pallets()) >= {"eur", "eur2", "eur3", "eur6"}
    for each in pallets().values():
        assert each.source
        assert each.basis in ("published", "common_practice")
        assert 0.1 < each.height < 0.2
