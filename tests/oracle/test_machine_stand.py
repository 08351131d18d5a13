"""Height of the stand against the trade book."""

import math

import pytest

from drumwright.machine.stand.height import CLEARANCE, PALLET_HEIGHT, needed_height


def test_height_of_a_drum_on_its_pallet() -> None:
    """Trade book 1.4: 150 + 880 + 100 = 1130 mm; a 1.2 m pump on a 150 mm plate needs 2.48 m."""
    assert math.isclose(PALLET_HEIGHT + 0.880 + CLEARANCE, 1.130, rel_tol=1e-12)
    assert float(needed_height(0.880, 0.0, 0.0)) == pytest.approx(1.130, abs=1e-12)
    assert float(needed_height(0.880, 0.150, 1.2)) == pytest.approx(2.48, abs=1e-12)
