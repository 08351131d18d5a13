"""Bits of every condition at one flow, where it lives: lines, feeds, pumps between them, plates and seals.

All warmings and seasons lie side by side in one long sample, so that each condition is one call. Exact
bounds save most of the work: what a pump does falls with the pressure behind it and rises with the pressure
before it, sample by sample. So a sample in which the best and the worst corner of a box of feeds and lines
agree is settled for all of them; only where they differ is the box divided.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.motor import sizes
from drumwright.machine.pump.operate import load, operate, stall_pressure
from drumwright.machine.pump.stock import rated_pressure
from drumwright.study.arrangement_bench import Bench, Some, part_of
from drumwright.study.bits import Words, enough
from drumwright.study.plate_bits import PlateBits

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Tables(NamedTuple):
    """Conditions at one flow as bits; rows that cannot pass anyway may hold a bound that fails too.

    `line` has the axes (kinds, bores, classes, warms, seasons, words): running and restart pressure against
    the weakest part. `pump`, `inlet`, `reached` and `plate` have (machines, kinds, feeds, bores, warms,
    seasons, words): pressure and motor of the pump; its inlet; its flow; plate, seal and wall.
    """

    line: Words
    pump: Words
    inlet: Words
    reached: Words
    plate: Words


class Corner(NamedTuple):
    """What a pump does at rows of inlet and outlet pressure."""

    holds: Mask  # inlet, flow, motor; axes (3, rows, samples)
    required: Array  # absolute, at the inlet [Pa]


def tables_of(bench: Bench, flow: int, alive: Mask) -> Tables:
    """Conditions at one flow, for the arrangements that are left.

    Parameters
    ----------
    bench : Bench
    flow : int
        Place on its axis.
    alive : ndarray of bool, shape (machines, kinds, feeds, bores, classes, warms)
    """
    return _Flow(bench, flow, alive).tables()


class _Flow:
    """All arrangements at one flow."""

    def __init__(self, bench: Bench, flow: int, alive: Mask) -> None:
        self.bench, self.flow, self.alive = bench, flow, alive.copy()
        self.wanted = bench.sample["enquiry.flow"] * bench.space.flows[flow]
        rows = (*alive.shape[:4], *bench.contexts, bench.words)
        self.pump, self.inlet, self.reached, self.plate = (np.zeros(rows, np.uint64) for _ in range(4))
        self.between: dict[tuple[int, int, int], tuple[Array, Array]] = {}
        self.largest = sizes(bench.problem.inputs.likely("site.mains_frequency"))[-1]

    def tables(self) -> Tables:
        """All conditions, those that are cheap and decide much first."""
        bench, space = self.bench, self.bench.space
        used = np.asarray(self.alive.any(axis=(0, 2, 4, 5)))
        none = (np.zeros_like(self.wanted), np.zeros_like(self.wanted))
        own = [
            [
                bench.line(kind, bore, self.wanted) if used[kind, bore] else none
                for bore in range(len(space.bores))
            ]
            for kind in range(len(space.kinds))
        ]
        self.outlet = np.array([[each[0] for each in row] for row in own])
        self.restart = np.array([[each[1] for each in row] for row in own])
        allowed = bench.allowed  # (classes, n)
        line = bench.packed((self.outlet[:, :, None] <= allowed) & (self.restart[:, :, None] <= allowed))
        self.alive &= self._every(line)[None, :, None]
        self._pressures(line)
        for machine, first in enumerate(bench.like):
            if first != machine:  # the same pump with the same air
                self._copy(machine, first)
            elif self.alive[machine].any():
                self._machine(machine)
        self.alive &= (self._every(self.inlet) & self._every(self.reached))[:, :, :, :, None]
        PlateBits(self).fill()
        return Tables(line, self.pump, self.inlet, self.reached, self.plate)

    def _every(self, words: Words) -> Mask:
        """Whether a condition holds often enough in every season; axes up to the warmings."""
        return np.asarray(enough(words, self.bench.samples).all(axis=-1))

    def inlets(self, machine: int, pairs: NDArray[np.intp]) -> Array:
        """Pressure before the pump of a machine at the wanted flow, by kind of stand and feed [Pa(g)].

        Parameters
        ----------
        machine : int
        pairs : ndarray of int, shape (rows, 2)
            Kind of stand and feed [-].
        """
        beside = self.bench.beside_of[machine]
        rows = [self.bench.feed(int(k), int(g), bool(beside[g]), self.flow, self.wanted)[1] for k, g in pairs]
        return np.array(rows)

    def _pressures(self, line: Words) -> None:
        """What pumps add against what they are rated for; machines alike in that are looked at once."""
        bench, done = self.bench, dict[Any, Words]()
        pairs = np.argwhere(self.alive.any(axis=(0, 3, 4, 5)))
        for machine in np.flatnonzero(self.alive.any(axis=(1, 2, 3, 4, 5))).tolist():
            choice, rated = bench.machine_choice(machine), self._rated(machine)
            key = (choice.pump.turns, rated.tobytes(), bench.beside_of[machine].tobytes())
            if key not in done:
                inlets = self.inlets(machine, pairs)[:, None] if choice.pump.turns else 0.0
                added = self.outlet[pairs[:, 0]] - inlets  # (pairs, bores, n)
                done[key] = bench.packed((added <= rated) & (self.restart <= rated)[pairs[:, 0]])
            good = done[key]
            self.pump[machine, pairs[:, 0], pairs[:, 1]] = good
            both = self._every(good[:, :, None] & line[pairs[:, 0]])
            self.alive[machine, pairs[:, 0], pairs[:, 1]] &= both

    def _rated(self, machine: int) -> Array:
        """Pressure that a machine may build [Pa]."""
        bench = self.bench
        pump, sample = bench.machine_choice(machine).pump, bench.machine_sample(machine)
        rated = np.full_like(self.wanted, rated_pressure(pump, bench.problem.abrasion))
        return rated if pump.turns else np.minimum(rated, stall_pressure(pump, 0.0, 0.0, sample))

    def _copy(self, machine: int, first: int) -> None:
        """Take over what was found for the same machine on a line of another class."""
        for table in (self.inlet, self.reached):
            table[machine] = table[first]
        own = [(k, g) for m, k, g in self.between if m == first]
        self.between |= {(machine, k, g): self.between[first, k, g] for k, g in own}

    def _machine(self, machine: int) -> None:
        """Inlet, flow and motor of a machine at every feed and line that is left.

        The best and the worst corner of all of them first; where those differ, and in the samples where they
        do, feed by feed between the ends of its lines, then line by line.
        """
        alike = np.flatnonzero(np.asarray(self.bench.like) == machine)
        left = np.asarray(self.alive[alike].any(axis=(0, 4, 5)))  # (kinds, feeds, bores)
        pairs = np.argwhere(left.any(axis=2))
        if not len(pairs):
            return
        inlets = self.inlets(machine, pairs)
        low, high = self._ends(pairs[:, 0], left)
        best = inlets.max(axis=0), low[0].min(axis=0), low[1].min(axis=0)
        worst = inlets.min(axis=0), high[0].max(axis=0), high[1].max(axis=0)
        found = self.corner(machine, *(np.stack(each) for each in zip(best, worst, strict=True)))
        span = found.required.min(axis=0), found.required.max(axis=0)
        self.between |= {(machine, int(kind), int(feed)): span for kind, feed in pairs}
        open_samples = self._open(found)
        if not open_samples.size:
            self._keep(machine, pairs, found.holds[:, None, :1])
            return
        shape = (3, len(pairs), left.shape[2], self.wanted.size)
        whole = np.broadcast_to(found.holds[:, None, :1], shape).copy()
        self._divided(machine, (pairs, inlets, low, high), left, open_samples, whole)
        self._keep(machine, pairs, whole)

    def _open(self, found: Corner) -> NDArray[np.intp]:
        """Samples in which two corners differ, of the warmings that do not fail at the best one."""
        fails = np.asarray(~self._every(self.bench.packed(found.holds[:, 0])).all(axis=0))
        differ = (found.holds[:, 0] != found.holds[:, 1]).any(axis=0)
        shaped = differ.reshape(len(fails), -1) & ~fails[:, None]
        return np.flatnonzero(shaped.ravel())

    def _divided(
        self,
        machine: int,
        rows: tuple[NDArray[np.intp], Array, Array, Array],
        left: Mask,
        samples: NDArray[np.intp],
        whole: Mask,
    ) -> None:
        """Settle the open samples of a machine: by feed or by line first, what still differs one by one.

        A pump driven by air depends on its line before all, one that turns on its feed.
        """
        pairs, inlets, low, high = rows
        if self.bench.machine_choice(machine).pump.turns:
            outlet, restart = (np.concatenate([low[part], high[part]])[:, samples] for part in (0, 1))
            own = inlets[:, samples]
            ends = self.corner(machine, np.concatenate([own, own]), outlet, restart, samples)
            best, worst = (ends.holds[:, at, None] for at in _halves(len(pairs)))
        else:
            best, worst = self._by_line(machine, pairs, inlets, left, samples)
        whole[..., samples] = best
        differ = np.broadcast_to((best != worst).any(axis=0), (*whole.shape[1:3], samples.size))
        row, bore, at = np.nonzero(differ & left[tuple(pairs.T)][:, :, None])
        if not row.size:
            return
        sample, kind = samples[at], pairs[row, 0]
        there = self.outlet[kind, bore, sample], self.restart[kind, bore, sample]
        exact = self.corner(machine, inlets[row, sample], *there, sample)
        whole[:, row, bore, sample] = exact.holds

    def _by_line(
        self,
        machine: int,
        pairs: NDArray[np.intp],
        inlets: Array,
        left: Mask,
        samples: NDArray[np.intp],
    ) -> tuple[Mask, Mask]:
        """The best and the worst corner of all feeds on each line, by feed and line."""
        lines, own, kinds = np.argwhere(left.any(axis=1)), inlets[:, samples], pairs[:, 0]
        most = {kind: own[kinds == kind].max(axis=0) for kind in np.unique(kinds)}
        least = {kind: own[kinds == kind].min(axis=0) for kind in np.unique(kinds)}
        before = np.array([each[kind] for each in (most, least) for kind, _ in lines])
        kind, bore = np.concatenate([lines, lines]).T
        found = self.lines(machine, kind, before, bore, samples)
        spread = []
        for at in _halves(len(lines)):
            by_kind = np.zeros((3, *self.outlet.shape[:2], samples.size), bool)
            by_kind[:, lines[:, 0], lines[:, 1]] = found.holds[:, at]
            spread.append(by_kind[:, kinds])
        return spread[0], spread[1]

    def lines(
        self,
        machine: int,
        kinds: NDArray[np.intp],
        inlets: Array,
        bores: NDArray[np.intp],
        samples: NDArray[np.intp] | None = None,
    ) -> Corner:
        """A machine at rows of one feed and one line each, without bounds.

        Parameters
        ----------
        machine : int
        kinds, bores : ndarray of int, shape (rows,)
            [-]
        inlets : ndarray, shape (rows, n)
            [Pa(g)]
        samples : ndarray of int, optional
            Those that are looked at; all where left out [-].
        """
        own = slice(None) if samples is None else samples
        outlet, restart = (each[kinds, bores][:, own] for each in (self.outlet, self.restart))
        return self.corner(machine, inlets, outlet, restart, samples)

    def _ends(self, kinds: NDArray[np.intp], left: Mask) -> tuple[Array, Array]:
        """Least and greatest pressure of the lines left to each kind of stand, sample by sample [Pa(g)]."""
        low, high = {}, {}
        for kind in np.unique(kinds):
            bores = np.flatnonzero(left[kind].any(axis=0))
            both = np.stack([self.outlet[kind, bores], self.restart[kind, bores]])
            low[kind], high[kind] = both.min(axis=1), both.max(axis=1)
        ends = (np.stack([of[kind] for kind in kinds], axis=1) for of in (low, high))
        first, last = ends
        return first, last

    def _keep(self, machine: int, pairs: NDArray[np.intp], holds: Mask) -> None:
        """Enter what was found for feeds and lines, conditions of shape (3, feeds or 1, lines or 1, n)."""
        inlet, reached, motor = self.bench.packed(holds)
        kind, feed = pairs.T
        self.inlet[machine, kind, feed], self.reached[machine, kind, feed] = inlet, reached
        for each in np.flatnonzero(np.asarray(self.bench.like) == machine):
            self.pump[each, kind, feed] &= motor

    def corner(
        self,
        machine: int,
        inlet: Array,
        outlet: Array,
        restart: Array,
        samples: NDArray[np.intp] | None = None,
    ) -> Corner:
        """The pump of a machine at rows of pressures.

        Parameters
        ----------
        machine : int
        inlet, outlet, restart : ndarray, shape (rows, n)
            [Pa(g)]
        samples : ndarray of int, optional
            Those that are looked at; all where left out [-].
        """
        bench, abrasion = self.bench, self.bench.problem.abrasion
        pump, sample = bench.machine_choice(machine).pump, bench.machine_sample(machine)
        atmosphere, flow, law = bench.atmosphere, self.wanted, bench.law
        if samples is not None:
            sample, law = Some(sample, samples), part_of(law, samples)
            atmosphere, flow = atmosphere[samples], flow[samples]
        state = operate(
            pump, abrasion, flow, atmosphere + inlet, atmosphere + outlet, atmosphere,
            sample["product.density"], law, sample,
        )  # fmt: skip
        motor: Any = True
        if pump.turns:
            driven = load(pump, abrasion, state.speed, outlet - inlet, restart, law, sample)
            motor = driven.motor_required <= self.largest
        required = np.broadcast_to(state.inlet_required, inlet.shape)
        conditions = (atmosphere + inlet >= required, ~(state.excess < 0.0), motor)
        return Corner(np.stack([np.broadcast_to(each, inlet.shape) for each in conditions]), required)


def _halves(size: int) -> tuple[slice, slice]:
    """The first and the second half of rows that stand one behind the other."""
    return slice(0, size), slice(size, None)
