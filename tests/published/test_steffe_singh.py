"""Steffe & Singh, pipeline design calculations (CRC 1997), Cases 1, 3 and 5: numbers from memory."""

import math

from drumwright.flow.pipe import wall_stress
from drumwright.flow.regime import hedstrom, metzner_reed
from validation_registry import record

SOURCE = "Steffe & Singh (1997)"
BORE, VELOCITY, DENSITY = 0.0348, 1.66, 1250.0
FLOW = 0.25 * math.pi * BORE**2 * VELOCITY


def _numbers(consistency: float, exponent: float) -> tuple[float, float]:
    stress = float(wall_stress(FLOW, BORE, 0.0, consistency, exponent))
    reynolds = float(metzner_reed(FLOW, BORE, DENSITY, stress))
    return reynolds, 2.0 * stress / (DENSITY * VELOCITY**2)


def test_newtonian_and_power_law_cases_1_and_3() -> None:
    """PIP-09, from memory: Re 212.4, f 0.0753 (mu = 0.34) and Re 323.9, f 0.0494 (K = 5.2, n = 0.45)."""
    for case, law, re, f in (("Case 1", (0.34, 1.0), 212.4, 0.0753), ("Case 3", (5.2, 0.45), 323.9, 0.0494)):
        ours_re, ours_f = _numbers(*law)
        source = f"{SOURCE}, {case}"
        assert record("PIP-09", source, "Reynolds number", re, ours_re, "-", 0.001, "from memory").agrees
        assert record("PIP-09", source, "Fanning factor", f, ours_f, "-", 0.002, "from memory").agrees


def test_hedstrom_number_case_5() -> None:
    """PIP-10, from memory: He = 654.8 (tau_y = 50 Pa, mu_p = 0.34 Pa s)."""
    ours = float(hedstrom(BORE, DENSITY, 50.0, 0.34))
    source = f"{SOURCE}, Case 5"
    assert record("PIP-10", source, "Hedstrom number", 654.8, ours, "-", 0.001, "from memory").agrees
