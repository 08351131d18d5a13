"""What is done to a machine in a run, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass

from drumwright.basis.phrases import Phrase
from drumwright.station.transient.run import Plant, Trace

Row = tuple[float, int, float, float]


@dataclass(frozen=True, slots=True)
class Scenario:
    """What is done to a machine, and when."""

    name: str
    onset: float  # s
    duration: float  # s
    schedule: tuple[Row, ...]
    plant: Plant
    blocked: bool = False  # the outlet is shut while the pump runs
    every: float = 0.05  # least time between two rows of the trace [s]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a machine did under a scenario; SI units, pressures gauge."""

    scenario: Scenario
    trace: Trace
    peak: float
    peak_time: float
    end_peak: float
    least_inlet: float  # Pa(a)
    time_to_stop: float | None  # s from the onset until the pump stands; None: it runs on
    spilled: float  # m3, burst
    relieved: float  # m3
    rise: float  # greatest rise of pressure [Pa/s]
    closed_form_rise: float | None  # Pa/s
    closed_form_peak: float | None  # of a stop at the pressure that called it
    caught_by: str  # identifier of a control object; relief, drive, none, nothing
    over: float  # of the weakest part; above 1 it is passed
    text: Phrase
    notes: tuple[Phrase, ...] = ()  # more to say, in order
