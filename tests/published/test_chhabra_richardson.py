"""Chhabra & Richardson, Non-Newtonian Flow and Applied Rheology, Example 3.1: numbers from memory."""

from drumwright.flow.pipe import centre_velocity, pressure_drop, wall_stress
from validation_registry import record

SOURCE = "Chhabra & Richardson, Example 3.1"


def test_polymer_solution_example_3_1() -> None:
    """PIP-07, from memory: 110 kPa, centre line 2.2 m/s (m = 3, n = 0.5)."""
    flow, bore = 0.69444444 / 1075.0, 0.025
    stress = wall_stress(flow, bore, 0.0, 3.0, 0.5)
    drop = float(pressure_drop(flow, bore, 10.0, 0.0, 3.0, 0.5))
    centre = float(centre_velocity(stress, bore, 0.0, 3.0, 0.5))
    assert record("PIP-07", SOURCE, "pressure drop", 1.1e5, drop, "Pa", 0.01, "from memory").agrees
    assert record("PIP-07", SOURCE, "centre-line velocity", 2.2, centre, "m/s", 0.01, "from memory").agrees
