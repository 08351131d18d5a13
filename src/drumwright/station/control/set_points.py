"""Set points of one machine by name: the levels that control objects refer to."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class SetPoints:
    """Numbers behind the names in control objects, SI units; not-a-number where the machine has none."""

    slow_down: float  # [Pa(g)]
    stop: float  # [Pa(g)]
    trip: float  # [Pa(g)]
    relief: float  # [Pa(g)]
    restart_below: float  # [Pa(g)]
    pressure_lost: float  # [Pa(g)]
    inlet_low: float  # [Pa(a)]
    primed: float  # air drawn out, product pressed to the pump [Pa(a)]
    air_low: float  # [Pa(g)]
    pump_hot: float  # [K]
    pump_cool: float  # [K]
    bottom: float  # of the plate over the bottom [m]
    filled: float  # of the plate over the bottom, just over the product of a full container [m]
    raised: float  # of the plate over the bottom [m]
    torque_low: float  # over the setting of the drive [-]
    running_share: float  # of the wanted speed
    last_share: float  # of the wanted speed while the rest is pressed out [-]
    prime_share: float
    jog_share: float
    assist_high: float  # [Pa(g)]
    lift_high: float  # [N]
    longest_stop: float  # [s]
    stop_half: float  # [s]
    closed_time: float  # [s]
    least_stop: float  # [s]
    confirm_time: float  # [s]
    prime_time: float  # [s]
    prime_longest: float  # [s]
    lost_time: float  # [s]
    had_time: float  # [s]
    press_out_time: float  # [s]
    clear_time: float  # [s]
    batch_slow: float = 0.9  # of the batch [-]
    batch_slow_share: float = 0.2  # of the wanted speed [-]
    batch_stop: float = 1.0  # of the batch [-]

    def level(self, name: str) -> float:
        """Number of a set point by its name.

        Parameters
        ----------
        name : str

        Raises
        ------
        KeyError
            If there is none of that name, or this machine has no number for it.
        """
        if name not in names():
            raise KeyError(name)
        value = float(getattr(self, name))
        if math.isnan(value):
            raise KeyError(name)
        return value


def names() -> tuple[str, ...]:
    """Names of all set points."""
    return tuple(each.name for each in fields(SetPoints))
