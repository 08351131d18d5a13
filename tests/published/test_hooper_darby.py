"""Hooper, Chem. Eng. 88 (24 Aug 1981) 97, and Darby, Chem. Eng. July 1999, 101: fitting losses."""

import pytest

from drumwright.flow.fittings import three_k, three_k_constants, two_k, two_k_constants
from validation_registry import record

INCH = 0.0254


@pytest.mark.parametrize(
    ("name", "constants", "loss"),
    [("globe valve", two_k_constants("globe_valve"), 6.15), ("K1 900, K_inf 4", (900.0, 4.0), 6.09)],
)
def test_two_k_globe_valve(name: str, constants: tuple[float, float], loss: float) -> None:
    """PIP-22: 6.15 and 6.09 velocity heads at Re 1e4 in 2 inch."""
    ours = float(two_k(1e4, 2.0 * INCH, *constants))
    assert record("PIP-22", "Hooper (1981)", f"loss, {name}", loss, ours, "-", 0.0001, "published").agrees


@pytest.mark.parametrize(("inches", "loss"), [(2.0, 1.15725), (12.0, 0.81951)])
def test_three_k_angle_valve(inches: float, loss: float) -> None:
    """PIP-24: angle valve at 45 degrees, Re 1e4."""
    constants = three_k_constants("valve_angle_valve_45_full_line_size_beta_1")
    ours = float(three_k(1e4, inches * INCH, *constants))
    name = f"loss, angle valve, {inches:.0f} inch"
    assert record("PIP-24", "Darby (1999)", name, loss, ours, "-", 0.0001, "published").agrees
