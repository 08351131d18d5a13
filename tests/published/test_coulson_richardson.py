"""Coulson, Richardson, Backhurst & Harker, Chemical Engineering Vol. 1, Example 3.10 (p. 127)."""

from drumwright.flow.pipe import centre_velocity
from drumwright.product.fit import fit_curve
from validation_registry import record

SOURCE = "Coulson & Richardson Vol. 1, Example 3.10 (p. 127)"


def test_two_point_power_law_and_bingham_example_3_10() -> None:
    """RHE-01: n = 0.2, K = 10, tau_y = 14.35 Pa, mu_p = 0.1505 Pa s from two points."""
    fitted = fit_curve([10.0, 50.0], [15.85, 21.87])
    power, bingham = fitted.model("power_law"), fitted.model("bingham")
    rows = [
        ("exponent", 0.2, power.parameter("exponent").value, "-", 0.005),
        ("consistency", 10.0, power.parameter("consistency").value, "Pa s^n", 0.005),
        ("Bingham yield stress", 14.345, bingham.parameter("yield_stress").value, "Pa", 0.001),
        ("plastic viscosity", 0.1505, bingham.parameter("consistency").value, "Pa s", 0.002),
    ]
    for name, theirs, ours, unit, tolerance in rows:
        assert record("RHE-01", SOURCE, name, theirs, ours, unit, tolerance, "published").agrees


def test_pressure_drop_from_centre_line_velocity_example_3_10() -> None:
    """PIP-05: 626 kPa gives a centre-line velocity of 1 m/s in 200 m of 40 mm pipe (k = 10, n = 0.2)."""
    target, low, high = 1.0, 10.0, 100.0
    for _ in range(80):
        middle = 0.5 * (low + high)
        if centre_velocity(middle, 0.04, 0.0, 10.0, 0.2) < target:
            low = middle
        else:
            high = middle
    ours = 4.0 * low * 200.0 / 0.04
    assert record("PIP-05", SOURCE, "pressure drop", 626000.0, ours, "Pa", 0.002, "published").agrees
