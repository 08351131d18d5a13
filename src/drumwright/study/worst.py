"""Search for the highest pressure: moment, product, season, wear, air, tolerances and single faults together.

Every run is a row of numbers drawn for its index, so that the answer depends neither on how many processes
share the work nor, up to there, on how many runs were asked for. Runs come in blocks, each as long as all
before it: most of a block is drawn wide, its end around the best of all that ran before.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Final

import numpy as np

from drumwright.machine.delivery.surge import surge_bound, wave_speed
from drumwright.station.transient.compiled import available
from drumwright.study.draws import FAULTS, PRODUCTS, Bench, Draw, bench_of, drawn, run_draw
from drumwright.study.running import Machine

Done = tuple[int, float, float, bool]  # index, highest at the outlet and at the end [Pa(g)], solved
RUNS: Final = 10_000
DURATION: Final = 60.0  # s
BLOCK = 64  # runs of the first block
WIDE = 0.7  # of a block; the others are drawn around the best so far
BEST = 24
CHUNK, LEAST_CHUNK = 125, 8  # runs that a process does before it reports


@dataclass(frozen=True, slots=True)
class Peak:
    """The highest pressure at one part and the run it came from."""

    part: str  # outlet or end
    pressure: float  # Pa(g)
    index: int
    draw: Draw


@dataclass(frozen=True, slots=True)
class Worst:
    """What a search found."""

    peaks: tuple[Peak, ...]
    by_fault: tuple[tuple[str, float], ...]  # highest at the outlet for each fault [Pa(g)]
    over: int  # runs above the weakest part
    asked: int
    done: int
    unsolved: int
    duration: float
    seed: int
    weakest: float
    surge: float  # margin of a wave the search does not see [Pa]
    products: int
    seasons: tuple[str, ...]
    latest: float  # moment the outlet begins to shut first [s]
    stopped: bool


@dataclass(frozen=True, slots=True)
class Part:
    """Runs that are drawn alike."""

    first: int
    end: int  # index after the last
    around: tuple[Draw, ...]  # empty where they are drawn wide


Task = tuple[int, tuple[int, ...], tuple[Draw, ...], float, bool]
_BENCH: list[Bench] = []  # of a worker process, set once by its start


def _begin(bench: Bench) -> None:
    _BENCH.append(bench)


def _begin_worker(bench: Bench) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C ends the search, which then ends its workers
    _begin(bench)


def _work(task: Task) -> list[Done]:
    seed, indexes, around, duration, fast = task
    return [_one(_BENCH[-1], seed, index, around, duration, fast) for index in indexes]


def _one(bench: Bench, seed: int, index: int, around: Sequence[Draw], duration: float, fast: bool) -> Done:
    trace = run_draw(bench, drawn(bench, seed, index, around), duration, fast=fast)
    return index, trace.peaks["outlet"], trace.peaks["end"], trace.solved


class _Search:
    """What was run so far, and from which draws."""

    def __init__(self, machine: Machine, bench: Bench, seed: int, duration: float) -> None:
        self.machine, self.bench, self.seed, self.duration = machine, bench, seed, duration
        self.found: list[Done] = []
        self.parts: list[Part] = []

    def draw(self, index: int) -> Draw:
        """Draw of a run."""
        part = next(each for each in self.parts if each.first <= index < each.end)
        return drawn(self.bench, self.seed, index, part.around)

    @property
    def solved(self) -> list[Done]:
        """Runs that came to their end."""
        return [each for each in self.found if each[3]]

    def best(self) -> tuple[Draw, ...]:
        """Draws of the highest runs, at the outlet and at the end."""
        high = sorted(self.solved, key=lambda each: (-each[1], each[0]))[:BEST]
        high += sorted(self.solved, key=lambda each: (-each[2], each[0]))[: BEST // 3]
        return tuple(self.draw(each[0]) for each in high)

    def peaks(self) -> tuple[Peak, ...]:
        """Highest of each part, the first of equal ones."""
        solved, found = self.solved, []
        for part, place in (("outlet", 1), ("end", 2)):
            if solved:
                top = min(solved, key=lambda each: (-each[place], each[0]))
                found.append(Peak(part, top[place], top[0], self.draw(top[0])))
        return tuple(found)

    def by_fault(self) -> tuple[tuple[str, float], ...]:
        """Highest at the outlet for each fault."""
        found: dict[str, float] = {}
        for index, outlet, _, _ in self.solved:
            fault = self.draw(index).fault
            found[fault] = max(found.get(fault, 0.0), outlet)
        return tuple((fault, found[fault]) for fault in FAULTS if fault in found)


def spans(runs: int) -> list[tuple[int, int, bool]]:
    """First run, run after the last, and whether they are drawn wide, for so many runs.

    Parameters
    ----------
    runs : int
    """
    found = []
    first, size = 0, BLOCK
    while first < runs:
        wide = first + int(WIDE * size)
        found += [(first, min(wide, runs), True), (wide, min(first + size, runs), False)]
        first += size
        size = first
    return [span for span in found if span[0] < span[1]]


def search(
    machine: Machine,
    *,
    runs: int = RUNS,
    duration: float = DURATION,
    seed: int = 1,
    workers: int = 1,
    products: int = PRODUCTS,
    tell: Callable[[int], None] = lambda done: None,
) -> Worst:
    """Search for the highest pressure at pump outlet and end of the line.

    Parameters
    ----------
    machine : Machine
    runs : int
    duration : float
        Of each run [s].
    seed : int
    workers : int
        Processes; the answer is the same for any number.
    products : int
        Samples of the band for each season.
    tell : callable
        Called with the number of runs done.

    Notes
    -----
    Ctrl-C ends the search and keeps what was found. More runs with the same seed never find less. A search
    finds a high pressure, never proves the highest.
    """
    made = _Search(machine, bench_of(machine, products), seed, duration)
    fast, stopped = available(), False
    with ExitStack() as open_ones:
        pool = None
        if workers > 1:
            pool = ProcessPoolExecutor(workers, initializer=_begin_worker, initargs=(made.bench,))
            open_ones.callback(pool.shutdown, cancel_futures=True)
        _begin(made.bench)
        open_ones.callback(_BENCH.pop)
        try:
            for first, end, wide in spans(runs):
                part = Part(first, end, () if wide else made.best())
                made.parts.append(part)
                for done in _shared(made, part, fast, pool, workers):
                    made.found += done
                    tell(len(made.found))
        except KeyboardInterrupt:
            stopped = True
    return _named(made, runs, stopped)


def _shared(
    made: _Search, part: Part, fast: bool, pool: ProcessPoolExecutor | None, workers: int
) -> Iterator[list[Done]]:
    share = (part.end - part.first) // (2 * workers)
    size = CHUNK if pool is None else max(min(CHUNK, share), LEAST_CHUNK)
    indexes = range(part.first, part.end)
    tasks = [
        (made.seed, tuple(indexes[at : at + size]), part.around, made.duration, fast)
        for at in range(0, len(indexes), size)
    ]
    yield from map(_work, tasks) if pool is None else pool.map(_work, tasks)


def _named(made: _Search, runs: int, stopped: bool) -> Worst:
    machine, solved = made.machine, made.solved
    return Worst(
        peaks=made.peaks(),
        by_fault=made.by_fault(),
        over=sum(each[1] > machine.weakest for each in solved),
        asked=runs,
        done=len(made.found),
        unsolved=len(made.found) - len(solved),
        duration=made.duration,
        seed=made.seed,
        weakest=machine.weakest,
        surge=surge_of(machine),
        products=len({key[:2] for key in made.bench.plants}),
        seasons=tuple(machine.found.balances),
        latest=made.bench.settles + 3.0,
        stopped=stopped,
    )


def surge_of(machine: Machine) -> float:
    """Bound of a pressure wave in the line, which the two volumes of the plant do not carry [Pa].

    Parameters
    ----------
    machine : Machine
    """
    state, plant = machine.state, machine.plant()
    wall = max(plant["flexibility_1"] - 1.0 / machine.around.bulk_modulus, 0.0)
    density = float(machine.problem.sample["product.density"][0])
    speed = wave_speed(density, machine.around.bulk_modulus, wall)
    return float(np.ravel(surge_bound(density, speed, float(np.ravel(state.velocity)[0])))[0])
