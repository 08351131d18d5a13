"""A case in time: one scenario, all single faults, or the search for the worst, as one answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.quantities import read
from drumwright.station.records import Case
from drumwright.study.cycle import MOST, containers
from drumwright.study.draws import Draw, checked, run_draw
from drumwright.study.faults import FAULTS, outcome, play, scenario
from drumwright.study.result import SEASONS
from drumwright.study.running import Machine, machine_of, run_machine
from drumwright.study.scenario import Outcome, Scenario
from drumwright.study.set_points import air_ladder_of, ladder_of, missing_at
from drumwright.study.shift_formula import hands_of
from drumwright.study.shift_inputs import prepare
from drumwright.study.worst import DURATION, RUNS, Worst, search

LONGEST = 86_400.0
SHORTEST = 1.0
MOST_WORKERS = 64


@dataclass(frozen=True, slots=True)
class Level:
    """One rung of the ladder the run was judged against [Pa(g)]."""

    name: str
    pressure: float


@dataclass(frozen=True, slots=True)
class RunStudy:
    """What runs of a case gave."""

    title: str
    units: str
    season: str
    turns: bool  # a motor turns the pump
    closes: bool  # the destination can close on it
    levels: tuple[Level, ...]  # rising
    weakest: float  # Pa(g)
    part: str
    missing: float  # P95 [Pa]; zero or less where the set points fit
    machine: Machine
    outcomes: tuple[Outcome, ...]  # one scenario, or one for each fault after the normal run
    worst: Worst | None = None


def run(
    case: Case,
    *,
    fault: str | None = None,
    every_fault: bool = False,
    again: str | None = None,
    drums: int | None = None,
    season: str | None = None,
    duration: str | None = None,
    samples: int | None = None,
    fast: bool = False,
) -> RunStudy:
    """Run a case in time: normal, with single faults, a run of the search again, or whole containers.

    Parameters
    ----------
    case : Case
    fault : str, optional
        One of `faults.FAULTS`.
    every_fault : bool
        The normal run and each single fault.
    again : str, optional
        A run of the search, as it printed it.
    drums : int, optional
        So many whole containers one after the other, with the changes between them.
    season : str, optional
        winter, norm or summer; the coldest where left out.
    duration : str, optional
        Of one scenario, with its unit; as the scenario needs where left out.
    samples : int, optional
        Samples the arrangement is judged with.
    fast : bool
        With the compiled kernel, which takes some seconds the first time.

    Returns
    -------
    RunStudy

    Raises
    ------
    QuantityError
        If a name or duration cannot be used.
    NotJudgedYet
        If there is no arrangement that could run.
    """
    if fault is not None and fault not in FAULTS:
        raise QuantityError(*trouble("RUN-002", text=fault, names=", ".join(FAULTS)))
    if season is not None and season not in SEASONS:
        raise QuantityError(*trouble("RUN-005", text=season))
    machine = machine_of(case, season=season, **({"samples": samples} if samples else {}))
    long = None if duration is None else _duration(duration)
    if again is not None:
        return _study(case, machine, (_again(machine, again, long),))
    if every_fault:
        return all_of(case, machine, fast=fast)
    if drums is not None:
        asked = containers(machine, checked_count(drums), hands_of(prepare(case).plan))
    else:
        asked = scenario(machine, fault or "normal")
    if long is not None:
        asked = replace(asked, duration=long)
    trace = run_machine(machine, asked.duration, asked.schedule, asked.plant, fast=fast, every=asked.every)
    return _study(case, machine, (outcome(machine, asked, trace),))


def checked_count(drums: int) -> int:
    """Number of containers of a run.

    Parameters
    ----------
    drums : int

    Raises
    ------
    QuantityError
        If there are none, or too many.
    """
    if not 1 <= drums <= MOST:
        raise QuantityError(*trouble("RUN-007", text=str(drums)))
    return drums


def all_of(case: Case, machine: Machine, *, fast: bool = False) -> RunStudy:
    """The normal run of a machine and each single fault.

    Parameters
    ----------
    case : Case
        For its title and units.
    machine : Machine
    fast : bool
        As in `run`.
    """
    names = ("normal", *FAULTS)
    return _study(case, machine, tuple(play(machine, name, fast=fast) for name in names))


def run_worst(
    case: Case,
    *,
    runs: int = RUNS,
    seed: int = 1,
    workers: int = 1,
    duration: str | None = None,
    season: str | None = None,
    samples: int | None = None,
    tell: Callable[[int], None] = lambda done: None,
) -> RunStudy:
    """Search a case for the highest pressure, and run the highest found again.

    Parameters
    ----------
    case : Case
    runs, seed, workers : int
        As in `worst.search`.
    duration : str, optional
        Of each run, with its unit; 60 s where left out.
    season : str, optional
        Of the machine shown; the search takes all of them.
    samples : int, optional
        Samples the arrangement is judged with.
    tell : callable
        Called with the number of runs done.

    Raises
    ------
    QuantityError
        If a number cannot be used.
    NotJudgedYet
        If there is no arrangement that could run.
    """
    if not 1 <= workers <= MOST_WORKERS:
        raise QuantityError(*trouble("RUN-004", text=str(workers)))
    machine = machine_of(case, season=season, **({"samples": samples} if samples else {}))
    long = DURATION if duration is None else _duration(duration)
    found = search(machine, runs=runs, duration=long, seed=seed, workers=workers, tell=tell)
    shown = tuple(_again(machine, peak.draw.text(), long) for peak in found.peaks[:1])
    return replace(_study(case, machine, shown), worst=found)


def _duration(text: str) -> float:
    value = read(text, "short_time")
    if not SHORTEST <= value <= LONGEST:
        raise QuantityError(*trouble("RUN-003", text=text))
    return value


def _again(machine: Machine, text: str, duration: float | None) -> Outcome:
    try:
        asked, bench = checked(machine, text)
    except ValueError:
        raise QuantityError(*trouble("RUN-006", text=text)) from None
    return replay(machine, asked, bench, DURATION if duration is None else duration)


def replay(machine: Machine, asked: Draw, bench: object, duration: float) -> Outcome:
    """A run of the search with its trace.

    Parameters
    ----------
    machine : Machine
    asked : Draw
    bench : Bench
    duration : float
        [s]
    """
    trace = run_draw(bench, asked, duration, fast=False, every=0.02)  # type: ignore[arg-type]
    plant = bench.plants[asked.season, asked.sample, asked.worn]  # type: ignore[attr-defined]
    shown = Scenario("worst", asked.moment, duration, (), plant, True)
    return outcome(replace(machine, season=asked.season), shown, trace)


def _study(case: Case, machine: Machine, outcomes: tuple[Outcome, ...]) -> RunStudy:
    points = machine.points
    named = ("slow_down", "stop", "trip", "relief") if machine.turns else ()
    levels = [Level(name, float(getattr(points, name))) for name in named]
    if not machine.turns:
        levels.append(Level("stall", machine.around.stall_pressure))
    return RunStudy(
        title=case.case.title or case.case.number or "",
        units=case.case.units or "metric",
        season=machine.season,
        turns=machine.turns,
        closes=machine.closes,
        levels=(*levels, Level("weakest", machine.weakest)),
        weakest=machine.weakest,
        part=machine.part,
        missing=_missing(machine),
        machine=machine,
        outcomes=outcomes,
    )


def _missing(machine: Machine) -> float:
    """Pressure the set points, or the air, lack at the unfavourable end of the band [Pa]."""
    reader = ladder_of if machine.turns else air_ladder_of
    made = reader(machine.problem, machine.found)
    assert made is not None  # a machine has balances
    return missing_at(made)
