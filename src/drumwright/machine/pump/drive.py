"""Drive of a pump that turns: motor, gear and inverter, its torque at low speed, its overload setting.

The overload setting protects the drive. What pressure it lets the pump reach is computed here to show that it
protects nothing else.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.tables import read_toml

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Drive:
    """A motor with its gear and inverter, seen at the pump shaft; SI units."""

    motor_power: float  # rated [W]
    ratio: float  # motor speed over pump speed [-]
    rated_speed: float  # of the pump at the rated frequency [1/s]
    rated_frequency: float  # [Hz]
    frequency: float  # at the wanted flow [Hz]
    forced_cooling: bool  # fan with its own motor
    overload_torque: float  # torque limit at the pump shaft [N m]

    @property
    def rated_torque(self) -> float:
        """Torque at the pump shaft at rated motor torque [N m]."""
        return _rated_torque(self.motor_power, self.rated_speed)

    @property
    def start_torque(self) -> float:
        """Torque at the pump shaft that the current limit of the inverter leaves at start [N m]."""
        return float(_data()["inverter"]["start_torque_ratio"]) * self.rated_torque

    @property
    def slowest(self) -> float:
        """Slowest pump speed the inverter is used at [1/s]."""
        return float(_data()["inverter"]["slowest"]) * self.rated_speed

    @property
    def fastest(self) -> float:
        """Fastest pump speed the inverter is used at [1/s]."""
        return float(_data()["inverter"]["fastest"]) * self.rated_speed

    def lasting_torque(self, speed: ArrayLike) -> Array:
        """Torque at the pump shaft for long at a pump speed [1/s]; see `lasting_share`."""
        ratio = np.asarray(speed, float) / self.rated_speed
        return self.rated_torque * lasting_share(ratio, self.forced_cooling)

    def short_torque(self, speed: ArrayLike) -> Array:
        """Torque at the pump shaft for a start at a pump speed [1/s]; falls above the rated frequency."""
        ratio = np.asarray(speed, float) / self.rated_speed
        return self.start_torque / np.maximum(ratio, 1.0)


def _data() -> dict[str, Any]:
    return read_toml("stock/drives.toml")


def _rated_torque(power: float, rated_speed: float) -> float:
    return power * float(_data()["gear"]["efficiency"]) / (2.0 * math.pi * rated_speed)


def lasting_share(speed_ratio: ArrayLike, forced: bool) -> Array:
    """Torque a motor may give for long over its rated torque [-].

    Parameters
    ----------
    speed_ratio : array_like
        Speed over rated speed [-].
    forced : bool
        Whether a fan with its own motor cools it.

    Notes
    -----
    Own fan: points of `data/stock/drives.toml`, from memory. Above rated speed the power is kept, so the
    torque falls as 1 / ratio.
    """
    cooling = _data()["cooling"]
    ratio = np.asarray(speed_ratio, float)
    share = np.interp(ratio, cooling["speed"], cooling["forced" if forced else "own_fan"])
    return np.asarray(share / np.maximum(ratio, 1.0))


def series_of(frequency: float) -> float:
    """Frequency of the motor series that serves a mains frequency: 50 or 60 [Hz], the nearer one.

    Parameters
    ----------
    frequency : float
        Of the mains [Hz].
    """
    return 60.0 if frequency > 55.0 else 50.0


def motor_powers(frequency: float = 50.0) -> tuple[float, ...]:
    """Rated powers of the series for a mains frequency [W].

    Parameters
    ----------
    frequency : float
        50 or 60 [Hz].

    Raises
    ------
    KeyError
        If there is no series for that frequency.
    """
    return tuple(_data()["supply"][f"{frequency:.0f}"]["powers"])


def geared_speed(speed: ArrayLike, frequency: float = 50.0) -> Array:
    """Pump speed at the rated frequency of the motor with the gear that fits a wanted speed [1/s].

    Parameters
    ----------
    speed : array_like
        Wanted pump speed [1/s].
    frequency : float
        Of the mains, 50 or 60 [Hz].

    Notes
    -----
    The slowest gear whose rated pump speed is at or above the wanted one, so that the motor runs at or just
    below its rated frequency; above the fastest gear the wanted speed itself.
    """
    data = _data()
    rated = np.sort(data["supply"][f"{frequency:.0f}"]["rated_speed"] / np.asarray(data["gear"]["ratios"]))
    wanted = np.asarray(speed, float)
    place = np.searchsorted(rated, wanted * (1.0 - 1e-9))
    return np.where(place < rated.size, rated[np.minimum(place, rated.size - 1)], wanted)


def drive_with(
    motor_power: float, speed: float, torque: float, start_torque: float, frequency: float = 50.0
) -> Drive:
    """The drive with a motor of this size on a pump, its gear and its torque limit.

    Parameters
    ----------
    motor_power : float
        Rated [W].
    speed : float
        Pump speed at the wanted flow [1/s].
    torque, start_torque : float
        Greatest running torque at that speed and greatest torque at a cold start [N m].
    frequency : float
        Of the mains, 50 or 60 [Hz].

    Raises
    ------
    ValueError
        If the pump does not turn.

    Notes
    -----
    The motor has a fan of its own motor where its own does not cool it enough at the wanted speed. The torque
    limit is 1.1 times the greatest torque asked, at most what the inverter gives.
    """
    if not speed > 0.0:
        raise ValueError("the drive of a pump that stands cannot be chosen")
    data = _data()
    rated_speed = float(geared_speed(speed, frequency))
    rated = _rated_torque(motor_power, rated_speed)
    turned = speed / rated_speed
    forced = float(lasting_share(turned, False)) * rated < torque
    limit = float(data["overload"]["margin"]) * max(torque, start_torque)
    limit = min(limit, float(data["inverter"]["start_torque_ratio"]) * rated)
    ratio = float(data["supply"][f"{frequency:.0f}"]["rated_speed"]) / rated_speed
    return Drive(motor_power, ratio, rated_speed, frequency, turned * frequency, forced, limit)


def overload_pressure(
    limit_torque: ArrayLike, friction_torque: ArrayLike, drag_torque: ArrayLike, displacement: float
) -> Array:
    """Pressure a pump reaches on a closed line before its torque limit stops it [Pa].

    Parameters
    ----------
    limit_torque : array_like
        Torque limit of the drive at the pump shaft [N m].
    friction_torque, drag_torque : array_like
        Of it lost to press fit and to shearing product [N m]; the lower, the higher the pressure.
    displacement : float
        Of the pump [m3 a turn].

    Notes
    -----
    2 pi (T_limit - T_f - T_v) / V. A limit that lets the pump start cold lets it press far above the running
    pressure once it is warm and run in: overload is no pressure protection.
    """
    left = np.asarray(limit_torque, float) - np.asarray(friction_torque) - np.asarray(drag_torque)
    return np.asarray(2.0 * math.pi * np.maximum(left, 0.0) / displacement)
