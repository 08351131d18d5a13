"""Every arrangement of the stock judged at once over common samples: exact joint chances by bits.

What decides an arrangement touches few of its axes: a line its bore, class and flow; a feed its seal, throat,
stand and ram; a pump feed and line. So each condition is computed where it lives, with the functions of the
steady judgement, kept as one bit a sample, and an arrangement is the intersection of its conditions.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.study.arrangement_bench import Bench
from drumwright.study.bits import Words, count, enough
from drumwright.study.check import Check
from drumwright.study.checks import static_checks
from drumwright.study.evaluation import Problem
from drumwright.study.flow_tables import Tables, tables_of
from drumwright.study.material_checks import material_checks
from drumwright.study.search_space import Place, Space, space_of

Counts = NDArray[np.int64]
Mask = NDArray[np.bool_]
FIRST = Place(0, 0, 0, 0, 0, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True)
class Passing:
    """Arrangements that pass every gate that numbers decide, with exact counts.

    Parameters
    ----------
    bench : Bench
        With everything that was computed for them.
    places : ndarray of int, shape (n, 9)
        Columns as in `Place` [-].
    joint : ndarray of int, shape (n,)
        Samples in which all of them hold together, in the worst season.
    cold : ndarray of int, shape (n,)
        The same in the first season of the problem, the coldest.
    """

    bench: Bench
    places: NDArray[np.intp]
    joint: Counts
    cold: Counts

    @property
    def space(self) -> Space:
        """Axes of the places."""
        return self.bench.space

    @property
    def samples(self) -> int:
        """Number of samples, common to all arrangements."""
        return self.bench.samples

    def __len__(self) -> int:
        """Number of arrangements that pass."""
        return int(self.joint.size)

    def place(self, row: int) -> Place:
        """Place of one of them.

        Parameters
        ----------
        row : int
        """
        return Place(*(int(each) for each in self.places[row]))


@dataclass(slots=True)
class Census:
    """How many arrangements fall at which condition, each counted at the first that stops it."""

    stopped: dict[str, int] = field(default_factory=dict)

    def add(self, name: str, number: int) -> None:
        """Count arrangements that fall.

        Parameters
        ----------
        name : str
            Of the condition.
        number : int
        """
        if number:
            self.stopped[name] = self.stopped.get(name, 0) + number


def passing(
    problem: Problem,
    *,
    workers: int = 1,
    tell: Callable[[int, int], None] = lambda done, asked: None,
) -> tuple[Passing, Census]:
    """Judge every arrangement the stock offers.

    Parameters
    ----------
    problem : Problem
        Computable, with a sample of a multiple of 64.
    workers : int
        Threads; the answer does not depend on it.
    tell : callable
        Called with the numbers of parts done and asked for.

    Returns
    -------
    Passing, Census

    Notes
    -----
    P(all hold) = popcount(A & B & C & D)/M with one bit a sample and the same samples for all: exact joint
    chances of the sample, correlations kept. A flow that is not reached counts as none, as in the search. The
    gate of hygiene and zone is left out, materials aside: it waits for answers, not for parts. Prunes are
    exact: a condition that fails alone fails in every intersection.
    """
    bench = Bench(problem, space_of(problem.inputs))
    found: list[_Part] = []
    census = Census()
    for done, each in enumerate(_work(bench, workers), 1):
        found.append(each)
        for name, number in each.census.stopped.items():
            census.add(name, number)
        tell(done, len(bench.space.flows))
    places, joint, cold = (np.concatenate([each[part] for each in found]) for part in range(3))
    return Passing(bench, places, joint, cold), census


class _Part(NamedTuple):
    """What passes at one flow."""

    places: NDArray[np.intp]
    joint: Counts
    cold: Counts
    census: Census


def _work(bench: Bench, workers: int) -> Iterator[_Part]:
    """Flow by flow in their own order, whatever the number of threads."""
    static, stopped = _first(bench)
    flows = range(len(bench.space.flows))
    if workers < 2:
        yield from (_part(bench, flow, static, stopped) for flow in flows)
        return
    with ThreadPoolExecutor(min(workers, len(flows))) as pool:
        yield from pool.map(lambda flow: _part(bench, flow, static, stopped), flows)


def _part(bench: Bench, flow: int, static: Mask, stopped: Census) -> _Part:
    """All arrangements of one flow; axes (machines, stands, feeds, bores, classes, warms)."""
    census = Census(dict(stopped.stopped))
    kinds = [static & ~bench.too_slow(flow)[:, None, None, None, None, None]] * len(bench.space.kinds)
    tables = tables_of(bench, flow, np.concatenate(kinds, axis=1))
    alive = np.broadcast_to(static, bench.shape)
    for gate, good in _gates(bench, tables, flow):
        left = alive & good
        census.add(gate, int(alive.sum()) - int(left.sum()))
        alive = left
    return _counted(bench, tables, alive, flow, census)


def _first(bench: Bench) -> tuple[Mask, Census]:
    """What passes without numbers, the stand aside: entry, frozen, passages, materials."""
    space, inputs, census, shape = bench.space, bench.problem.inputs, Census(), bench.shape
    coldest, stands = bench.problem.coldest, len(bench.space.stands)
    alive = np.ones((shape[0], 1, *shape[2:]), bool) & bench.belongs[:, None, None, None, :, None]

    def reduce(name: str, good: Mask) -> None:
        nonlocal alive
        before, alive = int(alive.sum()), alive & good
        census.add(name, (before - int(alive.sum())) * stands)

    def checks(**where: int) -> list[Check]:
        return static_checks(inputs, space.choice(FIRST._replace(**where)), coldest)

    seals = np.array([_holds(checks(seal=each), "container_plate") for each in range(len(space.seals))])
    reduce("container_plate", seals[bench.feed_axes[0]][None, None, :, None, None, None])
    warms = [
        all(bool(check.ok[0]) for check in checks(warm=each) if check.key == "feed.frozen")
        for each in range(len(space.warms))
    ]
    reduce("frozen", np.array(warms))
    reduce("passage", bench.fits_through()[..., None])
    reduce("materials", _materials(bench)[:, None, None, None, None])
    return alive, census


def _materials(bench: Bench) -> Mask:
    """Whether some material will do for every part, by machine and warming."""
    good = np.ones((len(bench.machine_pump), len(bench.space.warms)), bool)
    for machine, warm in np.ndindex(*good.shape):
        choice = bench.space.choice(FIRST._replace(warm=warm, pump=bench.machine_pump[machine]))
        parts = (
            "materials",
            choice.pump.family,
            choice.pump.temperature_limits,
            choice.plated,
            choice.warm_to,
        )
        made = functools.partial(material_checks, bench.problem.inputs, choice)
        good[machine, warm] = _holds(bench.problem.kept.once(parts, made), "hygiene_zone")
    return good


def _holds(checks: list[Check], gate: str) -> bool:
    """Whether every check of a gate that needs no samples is decided and holds."""
    return all(check.decided and bool(check.ok[0]) for check in checks if check.gate == gate)


def _gates(bench: Bench, tables: Tables, flow: int) -> Iterator[tuple[str, Mask]]:
    """Whether each gate passes, broadcast over the axes of an alive mask."""
    of, samples = bench.kind_of_stand, bench.samples

    def every(words: Words) -> Mask:
        return np.asarray(enough(words, samples).all(axis=-1))

    by_machine = (every(each[:, :, :, None] & tables.line[:, None]) for each in tables.pump)
    yield "pressure", np.stack(list(by_machine))[:, of]
    yield "feed", every(tables.inlet)[:, of][:, :, :, :, None]
    timed = bench.in_time[flow][:, None, None, None, None]
    yield "rate", np.stack([every(each[of] & timed) for each in tables.reached])[:, :, :, :, None]
    yield "people", enough(bench.hands, samples)[None, :, None, None, None, None]
    standing = tables.plate & bench.height[:, None, :, None, None, None]
    yield "container_plate", every(standing)[:, of][:, :, :, :, None]


def _counted(bench: Bench, tables: Tables, alive: Mask, flow: int, census: Census) -> _Part:
    """Places of what passed, and its exact joint counts."""
    machine, stand, feed, bore, pressure_class, warm = np.nonzero(alive)
    kind, row = bench.kind_of_stand[stand], (machine, bench.kind_of_stand[stand], feed, bore, warm)
    fixed = bench.in_time[flow][stand] & bench.hands[stand] & bench.height[machine, feed]
    both = tables.inlet & tables.reached & tables.plate & tables.pump
    joint = np.full(machine.size, bench.samples, np.int64)
    cold = joint
    for season in range(bench.contexts[1]):
        own = both[..., season, :][row] & tables.line[..., season, :][kind, bore, pressure_class, warm]
        numbers = count(own & fixed)
        joint = np.minimum(joint, numbers)
        cold = numbers if season == 0 else cold
    seal, port, ram = (axis[feed] for axis in bench.feed_axes)
    pump = np.asarray(bench.machine_pump, np.intp)[machine]
    columns = (warm, np.full_like(warm, flow), pump, stand, seal, port, ram, bore, pressure_class)
    return _Part(np.stack(columns, axis=1), joint, cold, census)
