"""Where the product goes: what takes it, in what portions, under which pressure, and when it stops."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from drumwright.basis.estimate import Estimate
from drumwright.station.fields import choice, flag, quantity, refuse, tables, whole
from drumwright.station.record_base import Record, custom
from drumwright.station.shift_card import DestinationStop

DestinationKind = Literal["open_tank", "closed_filler", "header", "batch_scale", "hopper"]


class Destination(Record):
    """Where the product goes."""

    kind: DestinationKind | None = choice("Type of destination.", DestinationKind)
    pressure: Estimate | None = quantity(
        "pressure_gauge", "Pressure at the destination.", (-1.0e5, 1e8), (0.0, 1e6)
    )
    inlet_pressure_low: Estimate | None = quantity(
        "pressure_gauge", "Least inlet pressure it works with.", (-1.0e5, 1e8), (0.0, 1e6)
    )
    inlet_pressure_high: Estimate | None = quantity(
        "pressure_gauge", "Greatest inlet pressure it stands.", (-1.0e5, 1e8), (0.0, 2e6)
    )
    longest_stop: Estimate | None = quantity("duration", "Longest stop of the destination.", (0.0, 1e8))
    stop_pattern_known: bool | None = flag("Whether its stops were logged.")
    valve_closing_time: Estimate | None = quantity(
        "short_time", "Time its valve takes to close.", (0.0, 3600.0), (0.05, 20.0)
    )
    hopper_volume: Estimate | None = quantity(
        "volume", "Volume of its own hopper.", (0.0, 50.0), (0.001, 2.0)
    )
    valve_opening_time: Estimate | None = quantity(
        "short_time", "Time its valve takes to open.", (0.0, 3600.0), (0.05, 20.0)
    )
    dose: Estimate | None = quantity(
        "volume", "What it takes at a time: a dose of a filler, of one valve of a header.", (0.0, 10.0),
        (1e-5, 1.0),
    )  # fmt: skip
    cycle_time: Estimate | None = quantity(
        "short_time", "Time from one dose to the next.", (0.05, 1e6), (0.3, 3600.0)
    )
    valves: int = whole("Dosing valves that open one after the other within that time.", (1, 100), 1)
    batch_mass: Estimate | None = quantity("mass", "Weight of a batch.", (0.0, 1e5), (0.1, 5000.0))
    slow_from: Estimate | None = quantity(
        "fraction", "Share of a batch that is fed fast; then the feed is slow.", (0.0, 1.0), (0.5, 0.995)
    )
    slow_share: Estimate | None = quantity("fraction", "Slow feed over fast feed.", (0.0, 1.0), (0.02, 0.6))
    stop: tuple[DestinationStop, ...] = tables("Stops of the destination, by their sort.")

    @model_validator(mode="after")
    def _limits(self) -> Self:
        low, high = self.inlet_pressure_low, self.inlet_pressure_high
        if low is not None and high is not None and low.likely > high.likely:
            raise custom(refuse("CRS-002", ("inlet_pressure_low",)))
        return self
