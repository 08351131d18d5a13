"""Cushions, waves, columns: Sullivan, Esposito, Subramanya, Daugherty and Franzini, by their notebooks."""

import numpy as np
import pytest

from drumwright.machine.delivery import control_loop, dead_head, gas_cushion, surge
from validation_registry import record

PSI, GALLON, BAR, LITRE, INCH = 6894.757293168, 3.785411784e-3, 1e5, 1e-3, 0.0254


def test_sullivan_example_12_4() -> None:
    """TRN-02: 5 US gal between 2000 and 3000 psi(g), precharge 1500 psi(g), isothermal."""
    before, least, most = ((gauge + 14.7) * PSI for gauge in (1500.0, 2000.0, 3000.0))
    size = float(gas_cushion.storage_volume(5.0 * GALLON, before, least, most, gas_cushion.ISOTHERMAL))
    source = "Sullivan, Fluid Power Theory & Applications, Example 12.4"
    assert record("TRN-02", source, "gas volume", 20.05, size / GALLON, "US gal", 0.002, "published").agrees


def test_esposito_example_14_10() -> None:
    """TRN-04: two strokes of 152 mm x 2.54 m in 5 min, 84/126/210 bar(a), isothermal; book rounds down."""
    source = "Esposito, Fluid Power with Applications, Example 14-10"
    stroke = 0.25 * np.pi * 0.152**2 * 2.54
    size = float(gas_cushion.storage_volume(stroke, 84 * BAR, 126 * BAR, 210 * BAR, gas_cushion.ISOTHERMAL))
    assert record("TRN-04", source, "gas volume", 172, size / LITRE, "L", 0.006, "published").agrees
    mean = 2.0 * stroke / 300.0 * 210 * BAR  # the pump fills all the time
    assert record("TRN-04", source, "pump power with it", 6.45, mean / 1e3, "kW", 0.005, "published").agrees
    alone = stroke / 10.0 * 126 * BAR
    assert record("TRN-04", source, "pump power without", 58.1, alone / 1e3, "kW", 0.003, "published").agrees


def test_esposito_example_14_7() -> None:
    """TRN-05: one stroke of 6 in x 100 in, 1200/1800/3000 psi(a), isothermal."""
    stroke = 0.25 * np.pi * (6 * INCH) ** 2 * 100 * INCH
    pressures = 1200 * PSI, 1800 * PSI, 3000 * PSI
    size = float(gas_cushion.storage_volume(stroke, *pressures, gas_cushion.ISOTHERMAL))
    source = "Esposito, Fluid Power with Applications, Example 14-7"
    assert record("TRN-05", source, "gas volume", 45.9, size / GALLON, "US gal", 0.004, "published").agrees


def test_subramanya_problems_14_12_and_14_14() -> None:
    """TRN-06: wave speed in a steel pipe; head rise of a sudden stop."""
    growth = dead_head.wall_growth(2.5, 0.020, 2.07e11)
    speed = float(surge.wave_speed(0.8 * 998.0, 1.43e9, growth))
    source = "Subramanya, 1000 Solved Problems in Fluid Mechanics"
    assert record("TRN-06", f"{source}, 14.12", "wave speed", 980.4, speed, "m/s", 1e-3, "published").agrees
    other = surge.wave_speed(998.0, 2.0e9, dead_head.wall_growth(0.9, 0.0125, 1.0e11))
    head = float(surge.surge_bound(998.0, other, 2.60)) / (998.0 * 9.81)
    assert record("TRN-06", f"{source}, 14.14", "head rise", 240.2, head, "m", 1e-3, "published").agrees


@pytest.mark.parametrize(("share", "theirs"), [(0.25, 0.577), (0.50, 1.242), (0.75, 2.201)])
def test_daugherty_franzini_example_13_3(share: float, theirs: float) -> None:
    """TRN-14: column of 15 m of 0.1 m bore under 2 m of head, f 0.02, entrance 0.5."""
    settled = surge.settled_velocity(2.0, 15.0, 0.1, 0.02, 0.5)
    source = "Daugherty and Franzini, Example 13.3"
    assert record("TRN-14", source, "settled velocity", 2.9529646, float(settled), "m/s", 1e-3,
                  "recomputed").agrees  # fmt: skip
    ours = float(surge.rigid_column_time(15.0, settled, 1000.0 * 9.81 * 2.0, 1000.0, share))
    name = f"time to {share:.0%} of the velocity"
    assert record("TRN-14", source, name, theirs, ours, "s", 0.01, "published").agrees


@pytest.mark.parametrize(("time", "theirs"), [(2.0, 0.6321), (4.0, 0.8647), (6.0, 0.9502), (8.0, 0.9817)])
def test_first_order_lag(time: float, theirs: float) -> None:
    """TRN-11: table of the first-order step response, digits as printed in the check list."""
    ours = float(control_loop.lag_response(time, 2.0))
    made = record("TRN-11", "check list, first-order lag", f"share after {time:g} s", theirs, ours, "-", 5e-5,
                  "from memory", absolute=True)  # fmt: skip
    assert made.agrees
