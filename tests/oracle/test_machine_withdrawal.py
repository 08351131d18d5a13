"""Withdrawal, air at a change of drum and paste entry: physics book 3, trade book 0, 3, 4.4, other routes."""

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from drumwright.machine.container import strength
from drumwright.machine.plate import air, port, withdrawal
from drumwright.machine.plate.force import net_force
from drumwright.machine.plate.recovery import assumed
from drumwright.machine.plate.squeeze import squeeze_force
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

RADIUS, AREA, BOOK_ATMOSPHERE = 0.28575, 0.25652, 101e3


def test_full_vacuum_and_caps_of_the_book() -> None:
    """Physics book 3: full vacuum 25.9 kN; 5 mm/s at 3 mm: 12 kN (a), (b) and (c) stop at the atmosphere."""
    source = "101 kPa on the plate of a drum"
    for law, theirs in ((TOMATO, 12.0), (GREASE, 25.9), (SYRUP, 25.9)):
        by = (law.yield_stress, law.consistency, law.exponent)
        stuck = squeeze_force(5e-3, 3e-3, RADIUS, *by)
        parts = withdrawal.lift_parts(60.0, 135.0, 0.0, stuck, AREA, BOOK_ATMOSPHERE)
        ours = float(parts["adhesion"]) / 1e3
        assert record("physics 3", source, "adhesion, capped", theirs, ours, "kN", 0.01, "recomputed").agrees
        assert float(parts["weight"]) == pytest.approx(60 * 9.80665)
        assert float(parts["seal_friction"]) == 135.0
    both = withdrawal.lift_parts(0.0, 0.0, np.array([0.0, 5e4, 2e5]), 5e5, AREA, BOOK_ATMOSPHERE)
    assert both["suction"] + both["adhesion"] == pytest.approx(np.full(3, BOOK_ATMOSPHERE * AREA))


def test_vent_of_the_book() -> None:
    """Physics book 3, 14.3: 30 mm/s needs 7.7 L/s; 23.8 mm at 5 mbar, 16.8 mm at 20 mbar."""
    needed = 1e3 * AREA * 0.030
    assert needed == pytest.approx(7.7, abs=0.05)
    for suction, theirs in ((500.0, 23.8), (2000.0, 16.8)):
        bore = float(withdrawal.vent_bore(0.030, AREA, suction))
        source = f"Bernoulli, {suction / 100:g} mbar, coefficient 0.6"
        assert record("physics 3", source, "vent bore", theirs, 1e3 * bore, "mm", 0.003, "recomputed").agrees
        head = 0.5 * 1.2 * (AREA * 0.030 / (0.6 * 0.25 * math.pi * bore**2)) ** 2
        assert head == pytest.approx(suction, rel=1e-12)


def test_vent_of_the_trade_book() -> None:
    """Trade book 0.6: a 10 mm vent at 1 kPa passes 2 L/s (8 mm/s); 100 mm/s needs 26 L/s."""
    for speed in (2.0e-3 / AREA, 8e-3):
        assert 1e3 * float(withdrawal.vent_bore(speed, AREA, 1000.0)) == pytest.approx(10.0, abs=0.35)
    fast = 1e3 * AREA * 0.1
    assert fast == pytest.approx(26.0, abs=0.4)


def test_assist_orifice_of_the_book() -> None:
    """Physics book 3: 3.44 mm at 6 bar(g); second route: greatest mass flow over the throat pressure."""
    supply = 6e5 + 101325.0
    bore = float(withdrawal.assist_orifice(0.030, AREA, supply))
    source = "nozzle flow, greatest over the throat pressure"
    assert record("physics 3", source, "assist orifice", 3.44, 1e3 * bore, "mm", 0.003, "recomputed").agrees

    def less(ratio: float) -> float:
        k = 1.4
        heat = 2 * k / (k - 1) * 287.05 * 293.15 * (1 - ratio ** ((k - 1) / k))
        density = supply / (287.05 * 293.15) * ratio ** (1 / k)
        return -density * math.sqrt(heat)

    per_area = -float(minimize_scalar(less, bounds=(0.1, 0.99), method="bounded").fun)
    second = 0.6 * 0.25 * math.pi * bore**2 * per_area / 1.2
    assert float(withdrawal.choked_flow(bore, supply)) == pytest.approx(second, rel=1e-6)
    assert second == pytest.approx(AREA * 0.030, rel=1e-6)


def test_air_of_a_drum_and_time() -> None:
    """Trade book 3: 218 L at 0.2 bar; trade book 2.1: stroke over the lesser speed."""
    ours = float(withdrawal.assist_air(0.218, 0.2e5, 101325.0))
    assert ours == pytest.approx(0.218 * (1.01325 + 0.2) / 1.01325, rel=1e-12)
    assert float(withdrawal.raise_time(0.8, 0.1, 0.1 * AREA, AREA)) == pytest.approx(8.0)
    assert float(withdrawal.raise_time(0.8, 0.1, 0.02 * AREA, AREA)) == pytest.approx(40.0)


def test_thrust_energy_and_plug_of_the_book() -> None:
    """Physics book 3: 0.05 bar 1.3 kN, 0.5 bar 12.8 kN; 0.1 bar x 200 L 2 kJ; plug of (b) 0.1-0.15 bar."""
    assert float(withdrawal.up_thrust(0.05e5, AREA)) == pytest.approx(1.3e3, abs=50)
    assert float(withdrawal.up_thrust(0.5e5, AREA)) == pytest.approx(12.8e3, abs=50)
    assert float(withdrawal.stored_energy(0.1e5, 0.2)) == pytest.approx(2e3)
    work = quad(lambda v: 101325.0 * (1.0 + 0.1e5 / 101325.0) * 0.2 / v - 101325.0, 0.2, 0.2 * 1.0987)[0]
    assert work < float(withdrawal.stored_energy(0.1e5, 0.2))  # what it gives back against the atmosphere
    low, high = (float(withdrawal.plug_pressure(stress, 0.040, 0.010)) / 1e5 for stress in (600.0, 900.0))
    assert low == pytest.approx(0.1, abs=0.005)  # flowing yield stress
    assert 0.1 < high <= 0.15  # static


def test_pressure_at_which_container_and_plate_let_go() -> None:
    least = float(withdrawal.least_pressure(20.0, 0.0, 135.0, AREA))
    assert float(strength.floor_force(20.0, 0.0, least, AREA, 135.0)) == pytest.approx(0.0, abs=1e-10)
    assert -float(withdrawal.least_pressure(20.0, 0.0, 0.0, AREA)) == pytest.approx(
        float(strength.lift_off_suction(20.0, 0.0, AREA))
    )
    free = float(withdrawal.moves_by_itself(60.0, 135.0, 0.0, AREA))
    assert float(withdrawal.up_thrust(free, AREA)) == pytest.approx(60 * 9.80665 + 135.0)


def test_crushing_when_the_plate_sticks() -> None:
    """Physics book 3: the pump pulls 0.6-0.8 bar: thin steel and plastic implode, 1.2 mm does not."""
    for modulus, poisson, wall, length, stands in (
        (205e9, 0.3, 0.6e-3, 0.28, False),
        (0.8e9, 0.4, 5e-3, 0.85, False),
        (205e9, 0.3, 1.2e-3, 0.28, True),
    ):
        collapse = 0.7 * strength.collapse_pressure(modulus, poisson, wall, 0.5715, length)
        assert (float(withdrawal.crush_margin(0.6e5, collapse)) > 0.0) is stands


def test_wedge_takes_from_the_net_force() -> None:
    assert float(net_force(60.0, 3000.0, 135.0, 120.0)) == pytest.approx(
        float(net_force(60.0, 3000.0, 255.0))
    )


def test_air_at_a_change_of_drum() -> None:
    """Headspace of 50 mm: 12.8 L under the plate; what is not bled arrives after the line is through."""
    under = float(air.air_under_plate(AREA, 0.050))
    assert 1e3 * under == pytest.approx(12.8, abs=0.05)
    ring = float(air.air_under_plate(AREA, 0.050, 0.025, 0.008, 0.525)) - under
    assert ring == pytest.approx(0.025 * 0.008 * math.pi * 0.525)
    let_in = float(air.air_let_in(under, 0.95))
    assert let_in == pytest.approx(0.05 * under)
    assert float(air.air_let_in(under, 1.0)) == 0.0
    assert float(air.at_pressure(let_in, 1e5, 2e5)) == pytest.approx(0.5 * let_in)
    share = float(air.air_share(let_in, 0.010))
    after, lasts = (float(x) for x in air.arrival(let_in, 0.010, 0.020, 1e-3))
    assert after == pytest.approx(20.0)
    # balance: what arrives in that time is the air and the product that carries it
    assert share * lasts * 1e-3 == pytest.approx(let_in)
    assert (1.0 - share) * lasts * 1e-3 == pytest.approx(0.010)
    for row in ("bled_share", "carried_in"):
        assert assumed("air", row).basis == "assumed"


def test_paste_entry() -> None:
    """FLM-15 (from memory): 6891 and 9795 Pa; second route: plastic shells of a cone summed by quadrature."""
    ours = float(port.paste_entry(2000.0, 0.0, 0.5, 0.1, 0.56, 0.1))
    second = quad(lambda d: 2.0 * 2000.0 / d, 0.1, 0.56, epsabs=0, epsrel=1e-12)[0]
    assert ours == pytest.approx(second, rel=1e-10)
    source = "Benbow and Bridgwater (1993), formula from memory; shells by quadrature"
    assert record("FLM-15", source, "entry", 6891.0664, ours, "Pa", 1e-4, "recomputed").agrees
    land = float(port.paste_land(500.0, 1000.0, 0.5, 0.1, 0.3, 0.1))
    assert record("FLM-15", source, "land", 9794.7332, land, "Pa", 1e-4, "recomputed").agrees
    # von Mises: the plastic sink that slips
    plain = float(port.paste_entry(port.BULK * 150.0, 0.0, 1.0, 0.1, 0.5715, 0.08))
    assert plain == pytest.approx(2.0 * math.sqrt(3.0) * 150.0 * math.log(0.5715 / 0.08), rel=1e-12)
