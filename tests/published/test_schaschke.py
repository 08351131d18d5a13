"""Schaschke, Fluid Mechanics - Worked Examples for Engineers, Example 3.4 (p. 67)."""

import math

from drumwright.flow.pipe import flow_rate, wall_stress
from drumwright.flow.regime import metzner_reed
from validation_registry import record

SOURCE = "Schaschke, Example 3.4 (p. 67)"


def test_glycerol_delivery_example_3_4() -> None:
    """PIP-01: Q = 0.0077 m3/s and Re = 82.05 at 90 kPa over 60 m of 126 mm pipe."""
    flow = float(flow_rate(9.0e4, 0.126, 60.0, 0.0, 1.2, 1.0))
    reynolds = float(metzner_reed(flow, 0.126, 1260.0, wall_stress(flow, 0.126, 0.0, 1.2, 1.0)))
    assert math.isfinite(flow)
    assert record("PIP-01", SOURCE, "flow", 0.0077, flow, "m3/s", 0.01, "published").agrees
    assert record("PIP-01", SOURCE, "Reynolds number", 82.047, reynolds, "-", 0.001, "published").agrees
