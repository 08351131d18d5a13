"""Fields of people and supply: who works, how long each step takes, how the destination stops."""

from __future__ import annotations

from typing import Literal

from drumwright.basis.estimate import Estimate
from drumwright.station.fields import choice, flag, quantity, tables
from drumwright.station.record_base import Record

ElementName = Literal[
    "bring", "open", "liner", "centre", "lower", "prime", "press_out", "raise", "wipe", "remove", "swing",
    "pallet", "pail", "pail_lid", "bin", "connect",
]  # fmt: skip
CleaningClass = Literal["same_product", "same_family", "allergen", "reactive", "end_of_week"]
_SHARE = (0.0, 1.0)


class DestinationStop(Record):
    """Stops of the destination of one sort."""

    every_run: Estimate | None = quantity(
        "duration", "Time it runs between two stops of this sort, on average.", (1.0, 1e7), (30.0, 36000.0)
    )
    lasts: Estimate | None = quantity(
        "duration", "Time such a stop takes, on average.", (0.1, 1e7), (5.0, 7200.0)
    )
    spread: Estimate | None = quantity(
        "ratio", "Standard deviation of that time over its mean.", (0.0, 3.0), (0.1, 1.5)
    )


class ShiftElement(Record):
    """One step of a container change, by the stop-watch."""

    name: ElementName | None = choice("Step of the change.", ElementName)
    time: Estimate | None = quantity("duration", "Time of that step.", (0.0, 36000.0), (2.0, 900.0))


class Shift(Record):
    """People and supply, as far as they were said."""

    draw: Estimate | None = quantity(
        "flow", "Flow the destination draws while it runs.", (1e-9, 0.05), (5e-6, 5e-3)
    )
    refill_flow: Estimate | None = quantity(
        "flow", "Flow of the pump while it fills a hopper.", (1e-9, 0.05), (5e-6, 5e-3)
    )
    change_spread: Estimate | None = quantity(
        "ratio", "Standard deviation of the change time over its mean.", (0.0, 3.0), (0.1, 0.8)
    )
    react_time: Estimate | None = quantity(
        "duration", "Time until somebody begins a change.", (0.0, 7200.0), (0.0, 600.0)
    )
    walk_time: Estimate | None = quantity(
        "duration", "Time on the way to the station.", (0.0, 3600.0), (0.0, 300.0)
    )
    operators: Estimate | None = quantity("count", "People for all stations.", (1.0, 50.0), (1.0, 6.0))
    other_task: Estimate | None = quantity(
        "duration", "Time of one piece of their other work.", (1.0, 36000.0), (30.0, 1800.0)
    )
    trucks: Estimate | None = quantity("count", "Trucks that bring containers.", (1.0, 50.0), (1.0, 4.0))
    truck_wait: Estimate | None = quantity(
        "duration", "Time until a truck comes, on average.", (0.0, 36000.0), (0.0, 1800.0)
    )
    availability: Estimate | None = quantity(
        "fraction", "Share of the pumping time in which a station is in order.", _SHARE, (0.7, 1.0)
    )
    outage: Estimate | None = quantity(
        "duration", "Time a station is out of order, on average.", (1.0, 86400.0), (30.0, 3600.0)
    )
    start_level: Estimate | None = quantity(
        "fraction", "Level of the hopper at which the pump starts again.", _SHARE, (0.3, 0.98)
    )
    heel: Estimate | None = quantity(
        "volume", "What stays in the hopper and cannot be drawn.", (0.0, 20.0), (0.0, 0.1)
    )
    cleaning: CleaningClass | None = choice("How it is cleaned between products.", CleaningClass)
    lifting_aid: bool | None = flag("Whether an aid lifts containers, lids and plates.")
    element: tuple[ShiftElement, ...] = tables("Steps of a container change, by the stop-watch.")
