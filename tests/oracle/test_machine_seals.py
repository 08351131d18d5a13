"""Seals of the plate against physics book 2.5, geometry by scanning, and slot flow by quadrature."""

import math

import numpy as np
import pytest
from scipy.integrate import quad

from drumwright.machine.container.kinds import kind
from drumwright.machine.container.shape import frustum, likely_shape, rectangular_bin
from drumwright.machine.plate import gap_leak, seals
from drumwright.machine.plate.rim import rim_pressure
from drumwright.machine.plate.seal_choice import choose_seal, fit_seal
from validation_registry import record

NESTING = frustum(0.590, 0.510, 0.850)
CONE = frustum(0.575, 0.525, 0.85)
DRUM = frustum(0.5715, 0.5715, 0.78)


def test_rigid_plate_in_a_nesting_drum() -> None:
    """S05 and trade book 1.4: 500 mm plate, lips to 516 mm: 7.5 % of the stroke, 28 % open on top."""
    ours = float(seals.sealed_share(NESTING, 0.500, 0.008))
    heights = np.linspace(0.0, 0.85, 85001)
    scanned = float(np.mean(NESTING.diameter(heights) <= 0.516))
    assert ours == pytest.approx(scanned, abs=2e-5)
    source = "590/510 x 850 mm, heights scanned"
    assert record("S05", source, "sealed share", 0.075, ours, "-", 1e-9, "recomputed").agrees
    annulus = float(seals.annulus_share(NESTING, 0.500))
    rings = quad(lambda r: 2.0 * math.pi * r, 0.25, 0.295)[0] / float(NESTING.area(0.85))
    assert annulus == pytest.approx(rings, rel=1e-12)
    assert record(
        "S05", source, "open annulus at the top", 0.28, annulus, "-", 0.005, "recomputed", absolute=True
    ).agrees
    fit = fit_seal(seals.seals()["lip_seal"], NESTING, 20e3, 5e3, 60.0)
    assert (fit.disc_diameter, fit.sealed_share) == pytest.approx((0.500, 0.075))
    assert fit.open_annulus == pytest.approx(annulus)
    assert fit.needed_travel == pytest.approx(0.040)
    assert [each.criterion for each in fit.rejections] == ["sealed_share", "reach"]


def test_seal_reaches_all_nothing_or_the_lower_part() -> None:
    assert float(seals.sealed_share(DRUM, 0.5615, 0.005)) == 1.0
    assert float(seals.sealed_share(DRUM, 0.5615, 0.0049)) == 0.0
    assert float(seals.sealed_share(CONE, 0.509, 0.033)) == pytest.approx(1.0)
    assert float(seals.sealed_share(CONE, 0.509, 0.007)) == 0.0
    assert float(seals.sealed_share(CONE, 0.509, 0.008 + 0.0125)) == pytest.approx(0.5)
    # near a straight drum the share goes to all or nothing
    for step in (1e-6, 1e-9):
        near = frustum(0.5715 + step, 0.5715, 0.78)
        assert float(seals.sealed_share(near, 0.5615, 0.0051)) == 1.0
        assert float(seals.sealed_share(near, 0.5615, 0.0049)) == 0.0


def test_conical_drum_forces_of_the_book() -> None:
    """2.5 with 14.3: 0.6 bar, 40 mm: normal 4.0-4.3 kN, wedge 0.12, friction 0.8-2.1 kN; 33 and 8 mm gaps."""
    ends = [float(seals.normal_force(0.6e5, 0.040, CONE.perimeter(z))) for z in (0.0, 0.85)]
    low, high = (quad(lambda s, d=d: 0.6e5 * 0.040 * d, 0.0, math.pi)[0] for d in (0.525, 0.575))
    assert ends == pytest.approx([low, high], rel=1e-12)
    middle = float(seals.normal_force(0.6e5, 0.040, CONE.perimeter(0.425)))
    source = "575/525 x 850 mm, 0.6 bar on 40 mm"
    for theirs, ours, tolerance, name in (
        (4.0, ends[0], 0.05, "normal force, bottom"),
        (4.3, ends[1], 0.05, "normal force, top"),
        (0.12, float(seals.wedge_force(ends[1], CONE.half_angle)), 0.01, "wedge force"),
        (0.8, 0.2 * middle, 0.05, "friction, coefficient 0.2"),
        (2.1, 0.5 * middle, 0.05, "friction, coefficient 0.5"),
    ):
        assert record(
            "physics 2.5", source, name, theirs, 1e-3 * ours, "kN", tolerance, "recomputed", absolute=True
        ).agrees
    disc = float(seals.disc_diameter(CONE, 0.008))
    assert [0.5 * (d - disc) for d in (0.575, 0.525)] == pytest.approx([0.033, 0.008])
    assert float(seals.wedge_force(4e3, DRUM.half_angle)) == 0.0


def test_wedge_is_what_the_work_of_lifting_says() -> None:
    """Second route: lifting by dz opens the seal by dz tan(alpha) all round; work p b pi D dz tan(alpha)."""
    step, pressure, width = 1e-6, 0.6e5, 0.04
    z = 0.4
    opened = 0.5 * (float(CONE.diameter(z + step)) - float(CONE.diameter(z))) / step
    work = pressure * width * float(CONE.perimeter(z)) * opened
    normal = seals.normal_force(pressure, width, CONE.perimeter(z))
    assert float(seals.wedge_force(normal, CONE.half_angle)) == pytest.approx(work, rel=1e-7)


def test_rim_pressure_rule() -> None:
    """1.3: p_c >= 1.3 p_rim for a plain lip; with the whole rim pressure on its back p_c/0.3."""
    assert float(seals.allowed_rim_pressure(65e3)) == pytest.approx(50e3)
    assert float(seals.allowed_rim_pressure(30e3, 1.0)) == pytest.approx(100e3)
    assert float(seals.allowed_rim_pressure(1.0, 1.3)) == math.inf
    for contact in (2e4, 5e4):
        for share in (0.0, 0.5, 1.0):
            rim = float(seals.allowed_rim_pressure(contact, share))
            assert contact + share * rim == pytest.approx(1.3 * rim)


def test_inflation_range_meets_both_rules_at_its_ends() -> None:
    """2.5: p_s >= 1.3 p_rim, F_fric <= 0.5 (W + F_ram); above a rim pressure there is no inflation at all."""
    perimeter = float(CONE.perimeter(0.85))
    least, most = (float(x) for x in seals.inflation_range(20e3, 3600.0, 0.3, 0.04, perimeter))
    assert least == pytest.approx(26e3)
    assert 0.3 * most * 0.04 * math.pi * 0.575 == pytest.approx(1800.0)
    assert least < most
    # fixed at 0.6 bar, coefficient 0.5: friction above half of 80 kg and 2.5 kN
    assert 0.5 * 0.6e5 * 0.04 * perimeter > 0.5 * (80 * 9.80665 + 2500.0)
    rims = np.array([10e3, 30e3, 70e3])
    low, high = seals.inflation_range(rims, 3600.0, 0.3, 0.04, perimeter)
    assert list(low <= high) == [True, True, False]
    assert float(seals.inflation_range(-5e3, 3600.0, 0.3, 0.04, perimeter)[0]) == 0.0


def test_free_strain_of_a_tube() -> None:
    """Perimeter of the greatest section over that of the disc."""
    disc = float(seals.disc_diameter(NESTING, 0.008))
    assert float(seals.free_strain(NESTING, disc)) == pytest.approx(math.pi * 0.59 / (math.pi * 0.494) - 1.0)


def test_choice_for_a_straight_drum() -> None:
    """A lip fits; at a rim pressure of 57 kPa(g) (correction C5) it must be pressed on by the product."""
    rim = float(rim_pressure(11.7e3, 40e3 - 101e3, 0.28575, 0.04))
    assert rim == pytest.approx(57e3, rel=0.01)
    ranked = choose_seal(DRUM, rim, 3600.0, 150.0, 0.002)
    best = ranked[0]
    assert best.seal == "lip_seal"
    assert best.fits
    assert [each.criterion for each in best.conditions] == ["rim_pressure"]
    assert choose_seal(DRUM, 20e3, 3600.0, 150.0, 0.002)[0].conditions == ()
    by_name = {fit.seal: fit for fit in ranked}
    assert by_name["double_lip_seal"].friction == pytest.approx(2.0 * best.friction)
    assert [each.criterion for each in by_name["hard_plate"].rejections] == ["leak_stress"]
    # a lip cannot hold what even the product's own pressure on its back does not make up for
    assert not any(fit.fits for fit in choose_seal(DRUM, 200e3, 3600.0, 150.0))


def test_choice_for_a_nesting_drum() -> None:
    """S05: expanding seal with at least 40 mm of radial travel, no lip; its air has a range."""
    ranked = choose_seal(NESTING, 40e3, 80 * 9.80665 + 7.0e3, 60.0)
    best = ranked[0]
    assert (best.seal, best.fits) == ("inflatable_seal", True)
    assert best.offered_travel >= 0.040
    assert best.inflation[0] == pytest.approx(52e3)
    assert best.open_annulus == 0.0
    assert best.sealed_share == 1.0
    assert all(not fit.fits for fit in ranked[1:])
    weak = choose_seal(NESTING, 40e3, 80 * 9.80665, 60.0)
    assert not any(fit.fits for fit in weak)
    inflatable = next(fit for fit in weak if fit.seal == "inflatable_seal")
    assert {each.criterion for each in inflatable.rejections} == {"inflation", "friction"}


def test_the_disc_must_pass_the_mouth() -> None:
    """A belly of 560 mm behind a mouth of 480 mm leaves 41 mm to bridge: no lip; a rolled rim leaves 6 mm."""
    belly = likely_shape(kind("plastic_drum"))
    assert float(seals.disc_diameter(belly, 0.005, 0.0, 0.48)) == pytest.approx(0.478)
    assert choose_seal(belly, 20e3, 8e3, 150.0)[0].seal == "lip_seal"
    behind = choose_seal(belly, 20e3, 8e3, 150.0, opening=0.48)[0]
    assert behind.seal == "inflatable_seal"
    assert behind.needed_reach == pytest.approx(0.041)
    rolled = choose_seal(DRUM, 20e3, 8e3, 150.0, opening=0.5615)[0]
    assert (rolled.seal, rolled.fits) == ("lip_seal", True)
    assert rolled.needed_reach == pytest.approx(0.006)


def test_choice_for_a_bin_asks_for_a_corner_radius() -> None:
    sharp = choose_seal(rectangular_bin(1.1, 0.9, 0.9, 0.02), 10e3, 20e3, 60.0)
    assert [each.criterion for each in sharp[0].rejections] == ["bend"]
    round_enough = choose_seal(rectangular_bin(1.1, 0.9, 0.9, 0.10), 10e3, 20e3, 60.0)
    assert round_enough[0].seal == "lip_seal"
    assert round_enough[0].fits


def test_likely_shapes_of_the_table_get_the_seal_that_is_expected() -> None:
    found = {}
    for name in ("straight_drum", "conical_drum", "pail"):
        found[name] = choose_seal(likely_shape(kind(name)), 30e3, 4000.0, 100.0, 0.001)[0].seal
    assert found["straight_drum"] == "lip_seal"
    assert found["conical_drum"] == "inflatable_seal"
    assert found["pail"] == "inflatable_seal"  # 15 mm of taper is more than a lip reaches


def test_blow_by_stress_and_volume() -> None:
    """2.2: flows if p_rim c/(2b) > tau_y; c/2 stays by drag; pressed flow by quadrature of the profile."""
    assert float(gap_leak.gap_stress(20e3, 0.5e-3, 5e-3)) == pytest.approx(1000.0)
    still = float(gap_leak.passed(1.8, 0.78, 1e-3, 0.0, 0.5e-3, 5e-3, 150.0, 60.0, 0.35))
    assert still == pytest.approx(1.8 * 0.78 * 0.25e-3, rel=1e-12)
    # Newtonian: Couette and Poiseuille add up exactly
    gap, land, mu, rim, speed = 0.3e-3, 5e-3, 50.0, 20e3, 1e-3
    profile = quad(lambda y: speed * y / gap + rim / land * y * (gap - y) / (2 * mu), 0.0, gap)[0]
    ours = float(gap_leak.passed(1.8, 0.78, speed, rim, gap, land, 0.0, mu, 1.0))
    assert ours == pytest.approx(1.8 * 0.78 * profile / speed, rel=1e-9)
