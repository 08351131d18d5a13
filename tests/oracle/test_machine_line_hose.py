"""The station's own hose: geometry by a drawn loop, growth, compliance, rating."""

import numpy as np
import pytest
from scipy.integrate import quad

from drumwright.basis.errors import StockError
from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line import segments as piece
from drumwright.machine.line.hose import (
    compliance,
    greatest_reach,
    grown_bore,
    line_compliance,
    own_hose,
    rating,
    whip_energy,
    with_grown_hoses,
)
from drumwright.machine.line.hose_kinds import Band, hose_bores, hose_kind, hose_kinds, hose_layout
from drumwright.machine.line.losses import losses, volume
from drumwright.product.law import FlowLaw

BAR, HOUR = 1e5, 3600.0


@pytest.mark.parametrize("anchor", [0.0, 0.3, 0.5, 0.8, 1.0])
def test_loop_is_long_enough_at_every_height_and_not_longer(anchor: float) -> None:
    """Draw the loop: legs to the bottom of the half circle from both ends, at every height of the plate."""
    stroke, legs = 0.9, 0.7
    made = own_hose(stroke, legs, legs, 0.3, 0.0, anchor)
    least = []
    for height in np.linspace(-anchor, 1.0 - anchor, 21) * stroke:  # of the moving end over the fixed one
        depth = 0.5 * (float(made.length) - np.pi * 0.5 * legs - height)  # of the loop below the fixed end
        least.append(min(depth, depth + height))
    assert min(least) == pytest.approx(0.0, abs=1e-12)
    assert float(made.margin) == pytest.approx(0.05)
    assert float(own_hose(stroke, legs, legs, 0.4, 0.0).margin) < 0.0


def test_an_unknown_anchor_never_shortens_the_hose() -> None:
    for anchor in np.linspace(0.0, 1.0, 11):
        known = own_hose(0.9, 1.0, 0.7, 0.3, 0.3, anchor)
        assert float(known.length) <= float(own_hose(0.9, 1.0, 0.7, 0.3, 0.3).length)
    with pytest.raises(ValueError, match="anchor"):
        own_hose(0.9, 1.0, 0.7, 0.3, 0.3, 1.1)


def test_a_moving_arm_needs_about_three_metres() -> None:
    """Trade book 8b, estimate: about 3 m. Drum 0.88 m, plate and clearance 0.25 m, arm over a pallet."""
    reach = greatest_reach(1.24, np.radians(120), 0.6)
    made = own_hose(0.88 + 0.25, reach, 0.7, 0.31, 0.3)
    assert float(made.length) == pytest.approx(3.0, rel=0.10)
    assert float(own_hose(0.88 + 0.25, 0.7, 0.7, 0.31, 0.3).length) < float(made.length)


def test_reach_against_a_scan_of_the_swing() -> None:
    radius, swing, anchor = 1.24, np.radians(150), 0.5
    angle = np.linspace(-0.5, 0.5, 20001) * swing
    scan = np.max(np.hypot(radius * np.cos(angle) - anchor, radius * np.sin(angle)))
    assert float(greatest_reach(radius, swing, anchor)) == pytest.approx(scan, rel=1e-12)


@pytest.mark.parametrize("growth", [0.01, 0.03])
def test_growth_of_the_bore_lowers_the_loss_of_the_book(growth: float) -> None:
    """Physics book 5.4: bore +1 to 3 % takes 3 to 10 % off the loss of the syrup (D^-4: 3.9 and 11.2 %)."""
    kappa = ((1 + growth) ** 2 - 1) / (10 * BAR)
    bore = float(grown_bore(0.05, 10 * BAR, kappa))
    assert bore == pytest.approx(0.05 * (1 + growth), rel=1e-12)
    law = (0.0, 50.0, 1.0)
    share = pressure_drop(1 / HOUR, bore, 1.0, *law) / pressure_drop(1 / HOUR, 0.05, 1.0, *law)
    assert share == pytest.approx((1 + growth) ** -4, rel=1e-9)
    assert 0.88 < share < 0.97
    assert float(grown_bore(0.05, -BAR, kappa)) == 0.05


def test_compliance_is_the_slope_of_the_volume_taken_up() -> None:
    """Integrated from 1 bar to a pressure it gives back liquid, wall and isothermal air."""
    room, kappa, modulus, alpha, p_atm = 9.8e-3, 2e-8, 1.6e9, 0.01, 101325.0
    low, high = p_atm, 9e5
    taken = quad(lambda p: float(compliance(room, kappa, modulus, alpha, p, p_atm)), low, high, epsrel=1e-12)[
        0
    ]
    whole = room * ((1 / modulus + kappa) * (high - low) + alpha * p_atm * (1 / low - 1 / high))
    assert taken == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize(
    ("kappa", "air", "low", "high"),
    [(2e-8, 0.005, 12.4, 13.3), (1e-10, 0.005, 175.0, 186.0), (1e-10, 0.0, 505.0, 515.0)],
)
def test_dead_head_rates_of_the_book(kappa: float, air: float, low: float, high: float) -> None:
    """Physics book 6.2a and 14.3: 5 m DN50, 1 m3/h, 6 bar: 12.6-13.2, 178.6, 510.2 bar/s."""
    room = np.pi / 4 * 0.05**2 * 5.0
    rate = 1 / HOUR / float(compliance(room, kappa, 2.2e9, air, 7.013e5)) / BAR
    assert low < rate < high


def test_compliance_of_a_line_is_the_sum_of_its_parts() -> None:
    line = [piece.hose(0.05, 3.0), piece.pipe(0.065, 5.0), piece.reducer(0.065, 0.05, 0.2)]
    rest = (1.6e9, 0.01, 9e5)
    ours = float(line_compliance(line, 2e-8, 1e-10, *rest))
    parts = [
        compliance(volume([each]), kappa, *rest)
        for each, kappa in zip(line, (2e-8, 1e-10, 1e-10), strict=True)
    ]
    assert ours == pytest.approx(float(sum(parts)), rel=1e-12)


def test_grown_hoses_lower_the_loss_of_the_hoses_only() -> None:
    """Hose of syrup widened by 2 % (D^-4), the pipe as it was."""
    line, law = [piece.hose(0.05, 3.0), piece.pipe(0.05, 5.0)], FlowLaw(0.0, 50.0, 1.0)
    kappa = (1.02**2 - 1) / 8e5
    stiff, wide = (losses(each, 2e-4, 1400.0, law) for each in (line, with_grown_hoses(line, 8e5, kappa)))
    assert float(wide.hose) == pytest.approx(float(stiff.hose) / 1.02**4, rel=1e-9)
    assert float(wide.friction[1]) == float(stiff.friction[1])


def test_rating_of_a_hose() -> None:
    made = rating(10 * BAR, np.array([6.0, 9.0, 12.0]) * BAR, 40 * BAR)
    assert np.allclose(made.margin, np.array([4.0, 1.0, -2.0]) * BAR)
    assert made.burst_enough.tolist() == [True, True, False]
    assert made.injection.tolist() == [False, True, True]
    hot = rating(10 * BAR, 8 * BAR, None, 0.7)
    assert float(hot.margin) == pytest.approx(-1.0 * BAR)
    assert np.isnan(hot.burst_factor)
    assert not hot.burst_enough
    assert float(rating(10 * BAR, 8 * BAR, None, 1.5).margin) == pytest.approx(2.0 * BAR)
    assert float(whip_energy(1e-2, 2e-10, 10 * BAR)) == pytest.approx(100.0)
    assert float(whip_energy(1e-5, 2e-10, 10 * BAR)) == pytest.approx(10.0)


def test_hose_kinds_are_ordered_and_say_how_they_are_known() -> None:
    """Rubber gives most and carries least; every number is marked as assumed or from memory."""
    rows = [band for kind in hose_kinds().values() for band in kind[1:]]
    for row in [*rows, *hose_layout().values()]:
        assert isinstance(row, Band)
        assert 0.0 < row.low <= row.likely <= row.high
        assert row.kind in ("assumed", "from_memory")
        assert row.source
    assert list(hose_bores()) == sorted(hose_bores())
    rubber, braided = hose_kind("rubber_textile"), hose_kind("smooth_ptfe_braided")
    assert rubber.expansion.likely > braided.expansion.likely
    assert rubber.rated.likely < braided.rated.likely
    with pytest.raises(StockError, match="rubber_textile"):
        hose_kind("garden")
