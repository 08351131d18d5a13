"""What a destination does in time: doses, stops, draws from its hopper, a batch; as rows of a schedule."""

from __future__ import annotations

from typing import Any, NamedTuple

from drumwright.machine.delivery.destination import behaviour
from drumwright.station.transient.layout import DO_DRAW, DO_VALVE, HOPPER
from drumwright.station.transient.run import Plant

Row = tuple[float, int, float, float]
ALWAYS_OPEN = 0.98  # of a cycle: a valve that is open longer does not shut
LEVEL_LOW, LEVEL_HIGH = 0.4, 0.85  # of the hopper between which the pump is asked for; assumed


class Takes(NamedTuple):
    """How a destination takes product, single numbers."""

    kind: str
    closes: bool  # with a valve on the line
    opening: float
    closing: float  # [s]
    cycle: float  # from dose to dose [s]; 0 where none is known
    open_for: float  # of a cycle, each valve [s]
    valves: int
    draw: float  # from its hopper [m3/s]
    hopper: float  # [m3]
    level_low: float  # of the hopper [-]
    valve_follows: bool  # the level of the hopper
    batch: float  # [m3]; 0 none
    stops: tuple[tuple[float, float], ...]  # runs so long, stands so long [s]

    @property
    def doses(self) -> bool:
        """Whether its valve opens and shuts again and again while the pump runs."""
        return 0.0 < self.open_for < ALWAYS_OPEN * self.cycle


def takes_of(inputs: Any, flow: float, density: float) -> Takes:
    """Read how a destination takes product, at likely inputs.

    Parameters
    ----------
    inputs : Inputs
    flow : float
        Of the pump [m3/s].
    density : float
        [kg/m3]

    Notes
    -----
    A dose is filled at the flow of the pump, shared by all valves that are open: open n dose/Q of each cycle.
    """
    said, kind = inputs.estimates, inputs.choices["destination.kind"]

    def likely(key: str, otherwise: float) -> float:
        return float(said[key].likely) if key in said else otherwise

    does = behaviour(kind)
    closing = max(likely("destination.valve_closing_time", 0.5), 0.02)
    valves = int(inputs.choices.get("destination.valves") or 1)
    cycle, dose = likely("destination.cycle_time", 0.0), likely("destination.dose", 0.0)
    hopper = likely("destination.hopper_volume", 0.0) if kind == "hopper" else 0.0
    low = likely("shift.start_level", LEVEL_LOW)
    return Takes(
        kind=kind or "unknown",
        closes=does.closes and not does.own_level,
        opening=max(likely("destination.valve_opening_time", closing), 0.02),
        closing=closing,
        cycle=cycle if dose > 0.0 else 0.0,
        open_for=valves * dose / flow if cycle > 0.0 else 0.0,
        valves=valves,
        draw=likely("shift.draw", flow),
        hopper=hopper,
        level_low=min(low, LEVEL_HIGH - 0.05),
        valve_follows="destination.valve_closing_time" in said,
        batch=likely("destination.batch_mass", 0.0) / density if does.by_weight else 0.0,
        stops=tuple(inputs.choices.get("destination.stops") or ()),
    )


def plant_values(takes: Takes) -> dict[str, float]:
    """Parameters of a plant that the destination gives.

    Parameters
    ----------
    takes : Takes
    """
    follows = 1.0 if takes.valve_follows else 2.0
    return {
        "valve_closing": takes.closing,
        "valve_opening": takes.opening,
        "hopper_volume": takes.hopper,
        "destination_hopper": follows if takes.hopper > 0.0 else 0.0,
        "hopper_low": takes.level_low,
        "hopper_high": LEVEL_HIGH,
        "batch_volume": takes.batch,
    }


def delivering(plant: Plant, takes: Takes) -> Plant:
    """The plant with this destination, its hopper at a middling level.

    Parameters
    ----------
    plant : Plant
    takes : Takes
    """
    begin = plant.start.copy()
    begin[HOPPER] = 0.5 * (takes.level_low + LEVEL_HIGH) * takes.hopper
    made = plant.with_values(**plant_values(takes))
    return Plant(made.parameters, made.passages, begin, made.registers)


def doses(takes: Takes, begin: float, end: float) -> list[Row]:
    """Rows of the valves that dose between two times: shares of them that are open.

    Parameters
    ----------
    takes : Takes
        With doses.
    begin, end : float
        [s]
    """
    edges: list[tuple[float, int]] = []
    for valve in range(takes.valves):
        first = begin + valve * takes.cycle / takes.valves
        count = int(max(end - first, 0.0) / takes.cycle) + 1
        for k in range(count):
            opens = first + k * takes.cycle
            edges += [(opens, 1), (opens + takes.open_for, -1)]
    rows, is_open = [], 0
    for time, change in sorted(edges):
        is_open += change
        if time < end:
            ramp = takes.opening if change > 0 else takes.closing
            rows.append((time, DO_VALVE, is_open / takes.valves, ramp))
    shut: list[Row] = [(begin - takes.closing, DO_VALVE, 0.0, takes.closing)] if begin > takes.closing else []
    return shut + rows


def stops(takes: Takes, begin: float, end: float) -> list[Row]:
    """Rows of the stops of a destination, each kind as often and as long as on average.

    Parameters
    ----------
    takes : Takes
    begin, end : float
        [s]

    Notes
    -----
    Where stops of two kinds meet, the longer one holds. A stop shuts the valve of a closed destination, or
    ends the draw from a hopper; any other goes on by itself.
    """
    away: list[tuple[float, float]] = []
    for runs, lasts in takes.stops:
        at = begin + runs
        while at < end:
            away.append((at, at + lasts))
            at += runs + lasts
    rows: list[Row] = []
    for first, last in _joined(away):
        if takes.hopper > 0.0:
            rows += [(first, DO_DRAW, 0.0, 0.0), (last, DO_DRAW, takes.draw, 0.0)]
        elif takes.closes:
            rows += [(first, DO_VALVE, 0.0, takes.closing), (last, DO_VALVE, 1.0, takes.opening)]
    return rows


def _joined(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for first, last in sorted(spans):
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return found


def schedule_of(takes: Takes, begin: float, end: float) -> list[Row]:
    """Everything the destination does between two times.

    Parameters
    ----------
    takes : Takes
    begin, end : float
        [s]
    """
    rows: list[Row] = [(0.0, DO_DRAW, takes.draw, 0.0)] if takes.hopper > 0.0 else []
    if takes.closes and takes.doses:
        away = stops(takes, begin, end)
        spans = [(away[k][0], away[k + 1][0]) for k in range(0, len(away), 2)]
        dosing = [row for row in doses(takes, begin, end) if not any(a <= row[0] < b for a, b in spans)]
        return sorted(rows + dosing + [row for row in away if row[2] < 0.5])
    return sorted(rows + stops(takes, begin, end))
