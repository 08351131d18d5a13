"""What a fault does beside the pressure: a plate that sticks lets the pump draw on the container."""

from __future__ import annotations

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.station.strength import strength_of
from drumwright.station.transient.run import Trace
from drumwright.study.running import Machine

CAREFUL = 0.05  # share of the samples whose container bears less still


def jam_notes(machine: Machine, trace: Trace) -> tuple[Phrase, ...]:
    """Suction in the container behind a stuck plate against what its wall bears.

    Parameters
    ----------
    machine : Machine
    trace : Trace

    Notes
    -----
    With the plate held and no vent the pressure before the pump is that under the plate (physics book 6.4).
    The limit is the 5 % of the samples that bears least, dents counted.
    """
    if not machine.found.choice.plated:
        return ()
    atmosphere = machine.plant()["atmosphere"]
    suction = max(atmosphere - trace.peaks["inlet_least"], 0.0)
    sample = machine.problem.sample_of(machine.found.choice)
    collapse = strength_of(machine.problem.inputs, sample, machine.state.feed.shape).collapse
    if collapse is None:
        return (phrase("RUN-jam_unknown", suction=suction),)
    limit = quantiles(collapse[1:], CAREFUL)[0]
    key = "RUN-jam_collapse" if suction > limit else "RUN-jam_held"
    return (phrase(key, suction=suction, limit=limit),)
