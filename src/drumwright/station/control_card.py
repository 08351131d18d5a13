"""Control of a case: what every gap of the set-point ladder is made of, each an input with its default."""

from __future__ import annotations

from drumwright.basis.estimate import Estimate
from drumwright.station.fields import quantity
from drumwright.station.record_base import Record

_SHARE = (0.0, 1.0)


class ControlCard(Record):
    """Drive, transmitter, switch and relief valve, as far as they are given."""

    ramp_time: Estimate | None = quantity(
        "short_time", "Time the drive takes from the wanted speed to none.", (0.0, 600.0), (0.05, 10.0)
    )
    drive_lag: Estimate | None = quantity(
        "short_time", "Time from an order to the drive until its speed follows.", (0.0, 60.0), (0.0, 0.5)
    )
    scan_time: Estimate | None = quantity(
        "short_time", "Time between two looks of the controller.", (0.001, 60.0), (0.002, 0.5)
    )
    transmitter_lag: Estimate | None = quantity(
        "short_time", "Time constant of the pressure transmitter.", (0.0, 60.0), (0.0, 1.0)
    )
    transmitter_span: Estimate | None = quantity(
        "pressure_difference", "Range of the pressure transmitter.", (1e3, 1e8), (2e5, 4e7)
    )
    transmitter_tolerance: Estimate | None = quantity(
        "fraction", "Error of the transmitter, as a share of its range.", (0.0, 0.5), (0.0005, 0.05)
    )
    switch_tolerance: Estimate | None = quantity(
        "fraction", "Error of the independent switch, as a share of its set.", (0.0, 0.5), (0.002, 0.1)
    )
    switch_delay: Estimate | None = quantity(
        "short_time", "Time from the switch until the power of the drive is cut.", (0.0, 60.0), (0.002, 0.5)
    )
    run_on_time: Estimate | None = quantity(
        "short_time", "Time pump and drive turn on after their power is cut.", (0.0, 60.0), (0.01, 2.0)
    )
    relief_tolerance: Estimate | None = quantity(
        "fraction", "Tolerance of the spring of the relief valve, as a share of its set.", (0.0, 0.5),
        (0.01, 0.2),
    )  # fmt: skip
    relief_overpressure: Estimate | None = quantity(
        "fraction", "Rise of the relief valve to full flow, as a share of its set.", _SHARE, (0.05, 0.5)
    )
    hysteresis: Estimate | None = quantity(
        "pressure_difference", "Distance from the slow-down set point down to the restart.", (0.0, 1e7),
        (1e4, 5e5),
    )  # fmt: skip
