"""Height and reach of the stand against the trade book."""

import math

import pytest

from drumwright.machine.stand.height import CLEARANCE, PALLET_HEIGHT, arm_reach, needed_height


def test_height_of_a_drum_on_its_pallet() -> None:
    """Trade book 1.4: 150 + 880 + 100 = 1130 mm; a 1.2 m pump on a 150 mm plate needs 2.48 m."""
    assert math.isclose(PALLET_HEIGHT + 0.880 + CLEARANCE, 1.130, rel_tol=1e-12)
    assert float(needed_height(0.880, 0.0, 0.0)) == pytest.approx(1.130, abs=1e-12)
    assert float(needed_height(0.880, 0.150, 1.2)) == pytest.approx(2.48, abs=1e-12)


def test_reach_over_a_pallet_of_four() -> None:
    """Trade book 1.2: mast 300 mm outside the edge of a 1200 mm pallet, radii 0.67 m and 1.24 m."""
    near, far = arm_reach(0.585)
    assert near == pytest.approx(0.67, abs=0.005)
    assert far == pytest.approx(1.24, abs=0.005)
    # second route: distances between points drawn on the floor
    mast = (0.0, -0.3)
    drums = [(x, y) for x in (-0.3, 0.3) for y in (0.3, 0.9)]
    distances = sorted(math.dist(mast, drum) for drum in drums)
    assert distances == pytest.approx([near, near, far, far], rel=1e-12)


def test_drums_wider_than_a_quarter_touch() -> None:
    near, far = arm_reach(0.7)
    assert (near, far) == pytest.approx((math.hypot(0.9 - 0.35, 0.35), math.hypot(0.9 + 0.35, 0.35)))
    assert arm_reach(0.585, mast_clearance=0.4)[1] > arm_reach(0.585)[1]
