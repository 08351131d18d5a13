"""Pump sums of Esposito, Sullivan, Schaschke and Cengel, read in open transcriptions of the examples."""

import pytest

from drumwright.basis.quantities import read, to_display
from drumwright.machine.container.drum import cylinder_volume
from drumwright.machine.pump.motor import smallest_motor
from drumwright.machine.pump.progressing_cavity import hydraulic_torque
from drumwright.machine.pump.rotor_pair import from_closed_volume
from drumwright.machine.pump.sums import efficiencies, suction_level, torque_of
from validation_registry import record

ESPOSITO = "Esposito, Fluid Power with Applications, Example 5-9 (p. 201)"
SULLIVAN = "Sullivan, Fluid Power Theory & Applications, Example"
SCHASCHKE = "Schaschke, Example 9.6 (p. 247)"


def test_efficiencies_and_torque_example_5_9() -> None:
    """PMP-02: the overall efficiency is cut to 83.5 % in Example 5-10, the torque rounded up to 112 N m."""
    displacement, pressure = read("0.1 L", "displacement"), 7.0e6
    _, _, overall = efficiencies(displacement, 0.0015, read("1000 rpm", "rotation"), pressure, 120.0)
    torque = float(hydraulic_torque(displacement, pressure))
    assert record(
        "PMP-02", ESPOSITO, "overall efficiency", 0.835, overall, "-", 0.001, "published", absolute=True
    ).agrees
    assert record("PMP-02", ESPOSITO, "ideal torque", 112.0, torque, "N m", 0.006, "published").agrees


def test_input_torque_and_efficiency_example_7_1() -> None:
    """PMP-04: 5 hp at 1725 rpm is 15.217 lbf ft; 3 gal/min at 2500 psi make it 87.5 %."""
    source = f"{SULLIVAN} 7.1 (p. 135)"
    power, speed = read("5 hp", "power"), read("1725 rpm", "rotation")
    torque = float(torque_of(power, speed))
    pressure, flow = read("2500 psi", "pressure_difference"), read("3 US gal/min", "flow")
    _, _, overall = efficiencies(1.0e-4, flow, speed, pressure, torque)
    ours = to_display(torque, "torque", "US")
    assert record("PMP-04", source, "torque", 15.217, ours, "lbf ft", 0.002, "published").agrees
    assert record("PMP-04", source, "overall efficiency", 0.875, overall, "-", 0.002, "published").agrees


def test_overall_efficiency_does_not_depend_on_the_displacement() -> None:
    small, large = (efficiencies(volume, 1e-3, 10.0, 1e6, 50.0)[2] for volume in (1e-5, 1e-3))
    assert small == pytest.approx(large, rel=1e-14)


def test_volumetric_efficiency_example_7_2() -> None:
    """PMP-05: 52 gal/min from 3.75 in3 a revolution at 3300 rpm is 0.97067."""
    displacement, flow = read("3.75 in3/rev", "displacement"), read("52 US gal/min", "flow")
    volumetric, _, _ = efficiencies(displacement, flow, read("3300 rpm", "rotation"), 1e6, 100.0)
    source = f"{SULLIVAN} 7.2 (p. 137)"
    assert record(
        "PMP-05", source, "volumetric efficiency", 0.97067, volumetric, "-", 1e-4, "published"
    ).agrees


def test_lowest_level_for_suction_head_example_9_6() -> None:
    """PMP-06: 14.95 m3 can be drawn from the tank in 2.99 h before the suction head falls short."""
    level = suction_level(5.0, 18000.0, 95222.0, 970.0, 3.0, 0.5, gravity=9.81)
    volume = float(cylinder_volume(3.0, 2.5 - level))
    hours = volume / read("5 m3/h", "flow") / 3600.0
    assert record("PMP-06", SCHASCHKE, "volume", 14.95, volume, "m3", 0.002, "published").agrees
    assert record("PMP-06", SCHASCHKE, "time", 2.99, hours, "h", 0.002, "published").agrees


def test_two_lobe_pump_from_its_closed_volume_example_14_4() -> None:
    """PMP-13: two lobes, 0.45 cm3 closed, two of them in half a turn: 1620 cm3/min at 900 rpm."""
    source = "Cengel & Cimbala, Fluid Mechanics - Fundamentals & Applications, Example 14-4 (p. 780)"
    flow = from_closed_volume(0.45e-6, 2) * read("900 rpm", "rotation") * 60e6
    assert record("PMP-13", source, "flow", 1620.0, flow, "cm3/min", 1e-4, "published").agrees


def test_motor_sizes_round_up() -> None:
    """PMP-14, from memory: 0.9, 2.3, 5.6 and 8.0 kW ask for 1.1, 3, 7.5 and 11 kW."""
    source = "EN 50347 / IEC 60072-1, rated powers of 4-pole cage motors"
    for asked, rated in ((0.9, 1.1), (2.3, 3.0), (5.6, 7.5), (8.0, 11.0)):
        ours = smallest_motor(asked * 1e3) / 1e3
        name = f"motor for {asked} kW"
        assert record("PMP-14", source, name, rated, ours, "kW", 1e-9, "from memory").agrees
