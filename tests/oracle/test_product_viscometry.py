"""What simple instruments read, against independent integration, volume balance, and the check list."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from drumwright.product import viscometry
from drumwright.product.library import library
from validation_registry import record


def agrees(check: str, source: str, name: str, theirs: float, ours: float, unit: str, tol: float) -> bool:
    return record(check, source, name, theirs, ours, unit, tol, "recomputed").agrees


def test_coaxial_cylinders() -> None:
    """RHE-15: 31.4135 1/s at 20 rpm, n = 0.4; second route integrates r dOmega/dr over the gap."""
    n, bob, cup, speed = 0.4, 0.0125, 0.013556, 20.0 / 60.0
    ours = float(viscometry.bob_shear_rate(n, 2.0 * bob, 2.0 * cup, speed))
    assert agrees("RHE-15", "Krieger and Maron", "shear rate at the bob", 31.413543, ours, "1/s", 1e-4)
    turned = quad(lambda r: ours * (bob / r) ** (2.0 / n) / r, bob, cup)[0]  # stress falls with r^-2
    assert turned == pytest.approx(2.0 * math.pi * speed, rel=1e-9)
    newton = float(viscometry.bob_shear_rate(1.0, 2.0 * bob, 2.0 * cup, speed))
    assert newton == pytest.approx(28.0, abs=0.05)


def test_spindle_in_a_wide_vessel() -> None:
    """RHE-16: 6.98132 1/s at 10 rpm, n = 0.3; the cup of a hundred bobs comes close."""
    ours = float(viscometry.bob_shear_rate(0.3, 0.01, math.inf, 10.0 / 60.0))
    assert agrees("RHE-16", "limit of Krieger and Maron", "shear rate", 6.981317, ours, "1/s", 1e-4)
    assert float(viscometry.bob_shear_rate(0.3, 0.01, 1.0, 10.0 / 60.0)) == pytest.approx(ours, rel=1e-9)


def test_a_cylinder_shows_the_viscosity_of_a_newtonian_liquid() -> None:
    """Torque of the exact solution for coaxial cylinders: 4 pi mu L Omega / (1/Rb^2 - 1/Rc^2)."""
    bob, cup, length, speed, mu = 0.0125, 0.015, 0.04, 0.5, 20.0
    exact = 4.0 * math.pi * mu * length * 2.0 * math.pi * speed / (1.0 / bob**2 - 1.0 / cup**2)
    assert viscometry.bob_torque(mu, 2.0 * bob, length, speed, 2.0 * cup) == pytest.approx(exact, rel=1e-12)
    assert float(viscometry.bob_stress(exact, 2.0 * bob, length)) == pytest.approx(
        mu * float(viscometry.bob_shear_rate(1.0, 2.0 * bob, 2.0 * cup, speed)), rel=1e-12
    )


def test_disc_spindle() -> None:
    """RHE-17, factors from memory: 52.5 Pa, 10.56 1/s, K = 20.45 Pa s^n (spindle 5, 20 rpm, 50 %)."""
    stress = float(viscometry.disc_stress(5, 0.5))
    rate = float(viscometry.disc_shear_rate(5, 20.0 / 60.0, 0.4))
    source = "Mitschka (1982), Briggs and Steffe (1997)"
    rows = (("stress", 52.5, stress, "Pa"), ("shear rate", 10.56, rate, "1/s"),
            ("consistency", 20.45002, stress / rate**0.4, "Pa s^n"))  # fmt: skip
    for name, theirs, ours, unit in rows:
        assert record("RHE-17", source, name, theirs, ours, unit, 0.005, "from memory").agrees


@pytest.mark.parametrize("spindle", range(1, 8))
def test_disc_spindles_show_the_viscosity_of_a_newtonian_liquid(spindle: int) -> None:
    """The instrument's own factors against stress over rate at n = 1: within 4.1 % as the table says."""
    for viscosity in (0.5, 5.0, 50.0):
        reading = viscometry.disc_reading(spindle, 0.5, viscosity)
        stress = float(viscometry.disc_stress(spindle, reading))
        rate = float(viscometry.disc_shear_rate(spindle, 0.5, 1.0))
        assert stress / rate == pytest.approx(viscosity, rel=0.041)


def test_vane() -> None:
    """RHE-19: 213.154 Pa from 0.05 N m, 40 mm by 80 mm; second route adds side and two ends."""
    ours = float(viscometry.vane_yield_stress(0.05, 0.04, 0.08))
    assert agrees("RHE-19", "Nguyen and Boger (1983)", "yield stress", 213.15394, ours, "Pa", 1e-4)
    side = ours * math.pi * 0.04 * 0.08 * 0.02
    end = quad(lambda r: ours * 2.0 * math.pi * r * r, 0.0, 0.02)[0]
    assert side + 2.0 * end == pytest.approx(0.05, rel=1e-9)


@pytest.mark.parametrize(("stress", "reading"), [(20.0, 0.077873308), (150.0, 0.016520936)])
def test_trough(stress: float, reading: float) -> None:
    """RHE-21: run-out beyond the gate in both regimes; second route balances the volume."""
    ours = float(viscometry.trough_reading(stress, 1050.0))
    name = f"run-out at {stress:.0f} Pa"
    assert agrees("RHE-21", "Balmforth et al. (2007)", name, reading, ours, "m", 0.003)
    assert float(viscometry.trough_yield_stress(ours, 1050.0)) == pytest.approx(stress, rel=1e-9)
    slope = 2.0 * stress / (1050.0 * viscometry.GRAVITY)
    depth, whole = viscometry.TROUGH_DEPTH, viscometry.TROUGH_DEPTH * viscometry.TROUGH_LENGTH

    def volume(front: float) -> float:
        # no deeper than the filling, down to nothing at the front
        return quad(lambda x: min(depth, math.sqrt(slope * (front - x))), 0.0, front, limit=200)[0]

    front = brentq(lambda x: volume(x) - whole, 0.05, 0.3)
    assert front - viscometry.TROUGH_LENGTH == pytest.approx(ours, rel=2e-3)


def test_trough_reading_falls_with_yield_stress() -> None:
    stress = np.geomspace(0.5, 2000.0, 200)
    found = np.asarray(viscometry.trough_reading(stress, 1050.0))
    assert (np.diff(found) < 0.0).all() and (found > 0.0).all()
    np.testing.assert_allclose(viscometry.trough_yield_stress(found, 1050.0), stress, rtol=1e-9)


def test_spread() -> None:
    """RHE-22: 25.3005 Pa from 1 L over 300 mm; second route integrates the static profile."""
    ours = float(viscometry.spread_yield_stress(1e-3, 0.3, 1100.0))
    assert agrees("RHE-22", "Roussel and Coussot (2005)", "yield stress", 25.300545, ours, "Pa", 2e-3)
    slope = 2.0 * ours / (1100.0 * viscometry.GRAVITY)
    volume = quad(lambda r: 2.0 * math.pi * r * math.sqrt(slope * (0.15 - r)), 0.0, 0.15)[0]
    assert volume == pytest.approx(1e-3, rel=1e-6)


def test_grades_of_penetration() -> None:
    """RHE-13, ASTM D217 Note 1: 280 is grade 2, 300 between grades, 360 is 0, 85 is 6, 476 none."""
    found = [viscometry.consistency_number(tenths * 1e-4) for tenths in (280, 300, 360, 85, 476)]
    assert found == ["2", "", "0", "6", ""]
    grade = float(viscometry.consistency_number(0.028))
    assert record("RHE-13", "ASTM D217, Note 1", "grade of 280", 2.0, grade, "-", 0.0, "published").agrees


def test_softer_grease_has_less_yield_stress() -> None:
    found = [viscometry.penetration_yield_stress(tenths * 1e-4) for tenths in range(90, 470, 5)]
    for column in zip(*found, strict=True):
        assert (np.diff(column) <= 0.0).all()
    low, likely, high = viscometry.penetration_yield_stress(0.028)
    assert (low, likely, high) == pytest.approx((200.0, 600.0, 1200.0))  # physics book 0.2


def test_the_library_row_of_ketchup_lies_in_the_published_band() -> None:
    """RHE-26, Koocheki et al. (2009), abstract: power law n 0.189 to 0.228, K 8.42 to 27.22 Pa s^n."""
    entry = next(each for each in library() if each.name == "ketchup with gum")
    source = "Koocheki et al. (2009), abstract"
    rows = (("least exponent", 0.189, entry.exponent[0], "-"),
            ("greatest exponent", 0.228, entry.exponent[1], "-"),
            ("least consistency", 8.42, entry.consistency[0], "Pa s^n"),
            ("greatest consistency", 27.22, entry.consistency[1], "Pa s^n"))  # fmt: skip
    for name, theirs, ours, unit in rows:
        assert record("RHE-26", source, name, theirs, ours, unit, 0.0, "published").agrees
