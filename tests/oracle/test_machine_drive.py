"""Drive of a pump: power balance, choice against a plain search, pressure its overload lets through."""

import math

import numpy as np
import pytest

from drumwright.machine.pump import drive, motor


def test_rated_torque_keeps_the_power() -> None:
    found = drive.drive_with(1500.0, 2.0, 50.0, 70.0)
    shaft = found.rated_torque * 2.0 * math.pi * found.rated_speed
    assert shaft == pytest.approx(0.92 * found.motor_power)
    assert found.ratio * found.rated_speed == pytest.approx(24.0)
    assert float(found.lasting_torque(found.rated_speed)) == pytest.approx(found.rated_torque)
    assert float(found.short_torque(1.2 * found.rated_speed)) == pytest.approx(found.start_torque / 1.2)


@pytest.mark.parametrize("frequency", [50.0, 60.0])
@pytest.mark.parametrize("speed", [0.13, 0.7, 2.0, 5.9])
def test_gear_is_the_slowest_that_reaches_the_speed(speed: float, frequency: float) -> None:
    """Second route: every ratio of the series tried."""
    rated = 24.0 if frequency == 50.0 else 29.0
    series = (4, 5, 6.3, 8, 10, 12.5, 16, 20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200)
    able = [rated / ratio for ratio in series if rated / ratio >= speed]
    assert float(drive.geared_speed(speed, frequency)) == pytest.approx(min(able))
    found = drive.drive_with(1500.0, speed, 1.0, 1.0, frequency)
    assert found.frequency == pytest.approx(frequency * speed / min(able))
    assert found.slowest < speed < found.fastest


def test_a_pump_faster_than_every_gear_keeps_its_speed() -> None:
    assert float(drive.geared_speed(9.0)) == 9.0
    with pytest.raises(ValueError, match="stands"):
        drive.drive_with(1500.0, 0.0, 1.0, 1.0)


def test_the_motor_of_the_search_carries_running_and_start_at_its_gear() -> None:
    """`motor.required_power` and the drive say the same: that power just holds both torques."""
    for speed, torque, start in ((0.1, 80.0, 300.0), (2.0, 20.0, 25.0), (3.3, 150.0, 160.0)):
        needed = float(motor.required_power(2 * math.pi * speed * torque, start, 2 * math.pi * speed))
        found = drive.drive_with(needed, speed, torque, start)
        assert max(1.2 * torque / found.rated_torque, start / found.start_torque) == pytest.approx(1.0)


def test_own_fan_gives_way_to_a_fan_of_its_own_at_a_crawl() -> None:
    """At a tenth of the rated speed a motor with its own fan lasts at about half its torque."""
    slow = drive.drive_with(750.0, 0.02, 40.0, 40.0)
    assert slow.frequency < 15.0
    assert slow.forced_cooling is (
        float(drive.lasting_share(slow.frequency / 50.0, False)) * slow.rated_torque < 40.0
    )


def test_lasting_torque_falls_at_both_ends() -> None:
    own, forced = drive.lasting_share(np.linspace(0.0, 1.0, 21), False), drive.lasting_share(0.05, True)
    assert (np.diff(own) > 0.0).all()
    assert float(forced) == 1.0
    # above the rated frequency the power stays
    assert float(drive.lasting_share(1.2, False)) * 1.2 == pytest.approx(1.0)


def test_overload_set_for_a_cold_start_lets_the_pressure_of_that_start_through() -> None:
    """The limit carries the cold start, so a closed line warm and run in gets at least that pressure."""
    displacement, restart, friction = 1.92e-4, 8.0e5, 4.6
    start = displacement * restart / (2 * math.pi) + 2.5 * friction
    found = drive.drive_with(1500.0, 2.0, 20.0, start)
    warm = float(drive.overload_pressure(found.overload_torque, friction, 0.0, displacement))
    assert warm > restart
    # physics book 4.5: 0.75 kW at 87 rpm stalls size M at about 39 bar with 1.5 T_n
    torque = 1.5 * 750.0 / (2 * math.pi * 87.0 / 60.0)
    assert float(drive.overload_pressure(torque, friction, 0.0, displacement)) == pytest.approx(
        38.9e5, rel=0.01
    )


def test_sixty_hertz_takes_the_horsepower_series() -> None:
    """At 60 Hz sizes are horsepower (NEMA, from memory) and the gear is chosen for the faster motor."""
    assert motor.smallest_motor(1300.0, 60.0) == pytest.approx(2.0 * 745.7, rel=1e-3)
    assert motor.smallest_motor(1300.0, 50.0) == 1500.0
    speed = 2 * math.pi * 2.35
    fifty, sixty = (float(motor.required_power(1000.0, 0.0, speed, hertz)) for hertz in (50.0, 60.0))
    assert fifty / sixty == pytest.approx((24.0 / 10.0) / (29.0 / 10.0))
