"""Events of a run in words."""

from __future__ import annotations

from collections.abc import Iterator

from drumwright.basis.catalogue import catalogue
from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.control.layout import STATES
from drumwright.station.transient.layout import DO_POWER, SCHEDULE
from drumwright.study.faults import name_of
from drumwright.study.run_study import RunStudy
from drumwright.study.scenario import Outcome


def told_events(study: RunStudy, shown: Outcome) -> Iterator[tuple[float, Phrase]]:
    """Events of a run with their words; an object with several actions once.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    """
    last: set[tuple[float, str, str]] = set()
    for event in shown.trace.events:
        if event.kind in ("object_acts", "object_ends"):
            name = study.machine.names[int(event.value)].identifier
            if (event.time, event.kind, name) in last:
                continue
            last.add((event.time, event.kind, name))
            yield event.time, phrase(f"EV-{event.kind}", name=_object(name))
        elif event.kind == "state":
            yield event.time, phrase("EV-state", state=phrase(f"CTL-state.{STATES[int(event.value)]}"))
        elif event.kind == "scheduled":
            yield event.time, _done(shown, event.time, int(event.value))
        else:
            yield event.time, phrase(f"EV-{event.kind}")


def run_name(study: RunStudy, shown: Outcome) -> Phrase:
    """Name of a run.

    Parameters
    ----------
    study : RunStudy
    shown : Outcome
    """
    return phrase(f"FAULT-{name_of(study.machine, shown.scenario)}")


def _object(identifier: str) -> Phrase:
    """Name of a control object as its row of cause and effect has it."""
    key = f"RPT.control.row.{identifier}"
    return phrase(key) if key in catalogue() else phrase("RPT.plain", text=identifier.replace("_", " "))


def _done(shown: Outcome, time: float, what: int) -> Phrase:
    """What was done to the machine at that time."""
    if what == DO_POWER:
        value = next(
            (row[2] for row in shown.scenario.schedule if row[1] == what and abs(row[0] - time) < 0.1), 0.0
        )
        return phrase("EV-do.power_back" if value > 0.5 else "EV-do.power")
    return phrase(f"EV-do.{SCHEDULE[what]}")
