"""Drive of a pump: power balance, choice against a plain search, pressure its overload lets through."""

import math

import numpy as np
import pytest

from drumwright.machine.pump import drive


def test_rated_torque_keeps_the_power() -> None:
    found = drive.choose_drive(2.0, 50.0, 70.0)
    assert found is not None
    shaft = found.rated_torque * 2.0 * math.pi * found.rated_speed
    assert shaft == pytest.approx(0.92 * found.motor_power)


@pytest.mark.parametrize("frequency", [50.0, 60.0])
@pytest.mark.parametrize(
    ("speed", "torque", "start"), [(0.1, 80.0, 300.0), (2.0, 20.0, 25.0), (5.0, 150.0, 160.0)]
)
def test_choice_is_the_smallest_of_a_plain_search(
    speed: float, torque: float, start: float, frequency: float
) -> None:
    """Second route: every power of the series with the ratio found, smallest that holds both."""
    found = drive.choose_drive(speed, torque, start, frequency)
    assert found is not None
    share = float(drive.lasting_share(speed / found.rated_speed, False))
    able = [
        power
        for power in drive.motor_powers(frequency)
        if share * 0.92 * power / (2 * math.pi * found.rated_speed) >= 1.2 * torque
        and 1.5 * 0.92 * power / (2 * math.pi * found.rated_speed) >= start
    ]
    assert found.motor_power == min(able)
    assert found.slowest < speed < found.fastest
    assert found.frequency == pytest.approx(frequency * speed / found.rated_speed)


def test_ratio_leaves_speed_both_ways() -> None:
    for speed in np.geomspace(0.15, 5.0, 25):
        found = drive.choose_drive(float(speed), 20.0, 30.0)
        assert found is not None
        assert 0.65 < found.frequency / 50.0 < 1.0


def test_torque_beyond_the_series_gives_no_drive() -> None:
    assert drive.choose_drive(3.0, 1.0e5, 1.0e5) is None
    with pytest.raises(ValueError, match="stands"):
        drive.choose_drive(0.0, 1.0, 1.0)


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
    found = drive.choose_drive(2.0, 20.0, start)
    assert found is not None
    warm = float(drive.overload_pressure(found.overload_torque, friction, 0.0, displacement))
    assert warm > restart
    # physics book 4.5: 0.75 kW at 87 rpm stalls size M at about 39 bar with 1.5 T_n
    torque = 1.5 * 750.0 / (2 * math.pi * 87.0 / 60.0)
    assert float(drive.overload_pressure(torque, friction, 0.0, displacement)) == pytest.approx(
        38.9e5, rel=0.01
    )
