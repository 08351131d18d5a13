"""Ryan & Johnson, AIChE J. 5 (1959) 433, and Hanks, AIChE J. 9 (1963) 306: from memory."""

import numpy as np

from drumwright.flow.regime import hanks_limit, ryan_johnson_limit
from validation_registry import record


def test_power_law_limit_as_remembered() -> None:
    """PIP-16, from memory: 2100 at n = 1, greatest about 2400 near n = 0.4, about 1587 at n = 0.1."""
    source = "Ryan & Johnson (1959)"
    n = np.linspace(0.1, 1.0, 9001)
    limit = np.asarray(ryan_johnson_limit(n))
    rows = [
        ("limit at n = 1", 2100.0, float(limit[-1]), 0.003, False),
        ("greatest limit", 2400.0, float(limit.max()), 0.005, False),
        ("exponent of the greatest limit", 0.4, float(n[limit.argmax()]), 0.03, True),
        ("limit at n = 0.1", 1587.0, float(limit[0]), 0.01, False),
    ]
    for name, theirs, ours, tolerance, absolute in rows:
        assert record(
            "PIP-16", source, name, theirs, ours, "-", tolerance, "from memory", absolute=absolute
        ).agrees


def test_bingham_limit_without_yield_stress() -> None:
    """PIP-18, from memory: 2100 as the Hedstrom number goes to zero."""
    ours = float(hanks_limit(0.0))
    assert record(
        "PIP-18", "Hanks (1963)", "limit at Hedstrom 0", 2100.0, ours, "-", 0.001, "from memory"
    ).agrees
