"""Motor sizes and efficiency, and what a pump asks of its motor."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.tables import read_csv, read_toml
from drumwright.machine.pump.drive import geared_speed, motor_powers, series_of


def sizes(frequency: float = 50.0) -> tuple[float, ...]:
    """Rated powers offered [W], rising.

    Parameters
    ----------
    frequency : float
        Of the mains [Hz]; IEC series at 50, horsepower series at 60, both from memory (check value PMP-14).
    """
    return motor_powers(series_of(frequency))


def smallest_motor(required: float, frequency: float = 50.0) -> float:
    """Smallest rated power [W] at or above the required one; infinite where the series ends.

    Parameters
    ----------
    required : float
        [W]
    frequency : float
        Of the mains [Hz].
    """
    return next((power for power in sizes(frequency) if power >= required), math.inf)


def mains_of(model: Mapping[str, NDArray[np.float64]]) -> float:
    """Frequency of the mains of a sample [Hz]; 50 where it holds none.

    Parameters
    ----------
    model : mapping of ndarray
        Sampled quantities.
    """
    stated = model.get("site.mains_frequency")
    return 50.0 if stated is None else float(np.asarray(stated).flat[0])


def required_power(
    running_power: ArrayLike, start_torque: ArrayLike, angular_speed: ArrayLike, frequency: float = 50.0
) -> NDArray[np.float64]:
    """Rated power [W] that running and starting ask of the motor.

    Parameters
    ----------
    running_power : array_like
        Shaft power at the pump [W].
    start_torque : array_like
        Torque at the pump shaft at cold start [N m].
    angular_speed : array_like
        Pump speed at the wanted flow [rad/s].
    frequency : float
        Of the mains [Hz].

    Notes
    -----
    Running: T omega_r x 1.2 / eta_gear, omega_r the rated speed at the pump with the next gear of the series
    (`drive.geared_speed`). Starting: T_start omega_r / (1.5 eta_gear), 1.5 the torque a drive gives at start
    (physics book 4.5, A8; margins assumed, `data/stock/drives.toml`).
    """
    data = read_toml("stock/drives.toml")
    efficiency = data["gear"]["efficiency"]
    wanted = np.asarray(angular_speed, float) / (2.0 * math.pi)
    rated = geared_speed(wanted, series_of(frequency))
    stretch = np.divide(rated, wanted, out=np.ones_like(rated), where=wanted > 0.0)
    running = np.asarray(running_power) * stretch * data["motor"]["running_margin"] / efficiency
    starting = np.asarray(start_torque) * 2.0 * math.pi * rated
    starting = starting / (data["inverter"]["start_torque_ratio"] * efficiency)
    return np.asarray(np.maximum(running, starting))


def motor_efficiency(power: float, efficiency_class: str = "IE3", poles: int = 4) -> float:
    """Nominal efficiency [-] of a 50 Hz cage motor.

    Parameters
    ----------
    power : float
        Rated power [W], 120 W to 200 kW.
    efficiency_class : str
        IE2, IE3 or IE4.
    poles : int
        2, 4, 6 or 8.

    Raises
    ------
    ValueError
        If no coefficients cover the motor.

    Notes
    -----
    eta = A x^3 + B x^2 + C x + D, x = log10(P / 1 kW), in per cent; UK SI 2021/745 Sch. 16 para 5.
    """
    kilowatts = power / 1000.0
    for row in read_csv("motor_efficiency_50hz.csv"):
        low, high = (float(end) for end in row["power_range_kW"].split("-"))
        # the two ranges leave the standard size 0.55-0.75 kW gap to the lower one
        if row["class"] == efficiency_class and int(row["poles"]) == poles and low <= kilowatts <= high:
            x = math.log10(kilowatts)
            a, b, c, d = (float(row[name]) for name in "ABCD")
            return (((a * x + b) * x + c) * x + d) / 100.0
    raise ValueError(f"no efficiency coefficients for {kilowatts} kW, {efficiency_class}, {poles} poles")
