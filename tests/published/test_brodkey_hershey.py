"""Brodkey & Hershey, Transport Phenomena: A Unified Approach, Example 15.1 (p. 760)."""

from drumwright.product.regression import power_law_regression
from validation_registry import record

SOURCE = "Brodkey & Hershey, Example 15.1 (p. 760)"


def test_log_regression_of_nine_points_example_15_1() -> None:
    """RHE-02: n = 0.3841, K = 0.9609 (intercept 9.17046 = ln(1e4 K)), stress units of the book."""
    shear_rate = [10.0, 20.0, 50.0, 100.0, 200.0, 400.0, 600.0, 1000.0, 2000.0]
    stress = [2.2, 3.1, 4.4, 5.8, 7.4, 9.8, 11.1, 13.9, 17.0]
    law = power_law_regression(shear_rate, stress)
    assert record("RHE-02", SOURCE, "exponent", 0.3841, law.exponent, "-", 0.001, "published").agrees
    assert record(
        "RHE-02", SOURCE, "consistency", 0.9609, law.consistency, "book unit s^n", 0.002, "published"
    ).agrees
