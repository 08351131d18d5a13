"""Bits of plate, seal and wall of the container, or of what a bin keeps, for every feed of a flow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from drumwright.study.bits import Words, enough
from drumwright.study.container_checks import outlet_checks, plate_checks
from drumwright.study.stand_findings import free_base_check

if TYPE_CHECKING:
    from drumwright.study.flow_tables import _Flow

Array = NDArray[np.float64]


class _View(NamedTuple):
    """What plate and outlet checks look at of a balance."""

    feed: Any
    law: Any
    inlet_required: Array
    under_plate_gauge: Array
    flow: Array
    wanted_flow: Array
    emptying_time: Array
    atmosphere: Array


class PlateBits:
    """Fills the plate table of a flow: once for every feed where the pump does not matter.

    Parameters
    ----------
    own : _Flow
        With its inlets and flows.
    """

    def __init__(self, own: _Flow) -> None:
        self.own, self.bench = own, own.bench

    def fill(self) -> None:
        """All feeds of all machines that are left."""
        left = np.asarray(self.own.alive.any(axis=(3, 4, 5)))  # (machines, kinds, feeds)
        for kind, feed in np.argwhere(left.any(axis=0)):
            machines = np.flatnonzero(left[:, kind, feed])
            for beside in (False, True):
                own = [int(each) for each in machines if bool(self.bench.beside_of[each, feed]) is beside]
                if own and self.bench.plated:
                    self._plate(int(kind), int(feed), beside, own)
                elif own:
                    self._outlet(int(kind), int(feed), own)

    def _plate(self, kind: int, feed: int, beside: bool, machines: list[int]) -> None:
        """Bounds over all machines first, then machine by machine, then line by line where they differ."""
        table, bench = self.own.plate, self.bench
        ends = [self.own.between[machine, kind, feed] for machine in machines]
        widest = np.array([np.min([low for low, _ in ends], axis=0), np.max([up for _, up in ends], axis=0)])
        found = self._holds(kind, feed, beside, widest)
        if np.array_equal(found[0], found[1]):
            table[machines, kind, feed] = bench.packed(found[0])
            return
        both = self._holds(kind, feed, beside, np.concatenate([np.stack(each) for each in ends]))
        for row, machine in enumerate(machines):
            one, other = both[2 * row], both[2 * row + 1]
            at_best = bench.packed(one | other)
            held = enough(at_best & bench.height[machine, feed], bench.samples)
            standing = np.asarray(held.all(axis=-1))
            differ = (one != other).reshape(len(standing), -1) & standing[:, None]
            samples = np.flatnonzero(differ.ravel())
            table[machine, kind, feed] = at_best
            if samples.size:
                self._exact(kind, feed, machine, samples)

    def _exact(self, kind: int, feed: int, machine: int, samples: NDArray[np.intp]) -> None:
        """Line by line, in the samples in which bounds do not decide."""
        own = self.own
        bores = np.flatnonzero(np.asarray(own.alive[machine, kind, feed]).any(axis=(1, 2)))
        pairs = np.full((bores.size, 2), (kind, feed))
        inlets = own.inlets(machine, pairs[:1])[:, samples].repeat(bores.size, axis=0)
        found = own.lines(machine, pairs[:, 0], inlets, bores, samples)
        required = np.tile(own.between[machine, kind, feed][0], (bores.size, 1))
        required[:, samples] = found.required
        beside = bool(self.bench.beside_of[machine, feed])
        exact = self.bench.packed(self._holds(kind, feed, beside, required))
        here = np.zeros(required.shape[1], bool)
        here[samples] = True
        mask = self.bench.packed(here)
        own.plate[machine, kind, feed, bores] = own.plate[machine, kind, feed, bores] & (exact | ~mask)

    def _holds(self, kind: int, feed: int, beside: bool, required: Array) -> NDArray[np.bool_]:
        """Checks of plate and wall where the pump draws its port down to rows of pressures [Pa]."""
        bench = self.bench
        inputs, sample, choice = bench.problem.inputs, bench.sample, bench.feed_choice(kind, feed, beside)
        own = bench.feed(kind, feed, beside, self.own.flow, self.own.wanted)[0]
        view = cast(Any, self._view(own, required, self.own.wanted))
        checks = free_base_check(inputs, sample, view, choice, "all")
        checks += plate_checks(inputs, sample, view, choice, "all")
        ok = np.ones(required.shape, bool)
        for check in checks:
            ok = np.asarray(ok & check.ok)
        return ok

    def _outlet(self, kind: int, feed: int, machines: list[int]) -> None:
        """What a bin keeps, once for every set of samples in which the flow is reached."""
        done: dict[bytes, Words] = {}
        own = self.own
        fed = self.bench.feed(kind, feed, False, own.flow, own.wanted)[0]
        for machine in machines:
            for bore in np.flatnonzero(own.alive[machine, kind, feed].any(axis=(1, 2))):
                reached = own.reached[machine, kind, feed, bore]
                key = reached.tobytes()
                if key not in done:
                    flow = np.where(self.bench.unpacked(reached), own.wanted, 0.0)
                    view = cast(Any, self._view(fed, own.wanted, flow))
                    (check,) = outlet_checks(self.bench.sample, view, "all")
                    done[key] = self.bench.packed(check.ok)
                own.plate[machine, kind, feed, bore] = done[key]

    def _view(self, feed: Any, required: Array, flow: Array) -> _View:
        volume, law = self.bench.sample["container.usable_volume"], self.bench.law
        time = np.where(flow > 0.0, volume / np.maximum(flow, 1e-12), np.inf)
        under = feed.under_plate_gauge
        return _View(feed, law, required, under, flow, self.own.wanted, time, feed.atmosphere)
