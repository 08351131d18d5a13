"""What all arrangements of a case share: machines, feeds and lines by their places, each computed once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.kept import Kept
from drumwright.machine.line.route import line_loss, restart
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.limits import sliding_limit
from drumwright.machine.pump.piston_family import PistonFamily
from drumwright.machine.pump.rotary_family import RotaryFamily
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.balance import feed_of, route_of
from drumwright.station.inputs import Sample
from drumwright.study.bits import Words, all_true, pack
from drumwright.study.checks import _shift_checks, height, passages, required_passage, weakest_part
from drumwright.study.evaluation import PASSES, Problem
from drumwright.study.search_space import Place, Space
from drumwright.study.season_view import Emptying

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


class Some(Mapping[str, Array]):
    """Some samples of all; a quantity is cut when it is asked for.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    rows : ndarray of int
        Of the samples [-].
    """

    def __init__(self, sample: Sample, rows: NDArray[np.intp]) -> None:
        self._sample, self._rows = sample, rows

    def __getitem__(self, key: str) -> Array:
        """Return a quantity for these samples."""
        return np.asarray(self._sample[key][self._rows])

    def __iter__(self) -> Iterator[str]:
        """Iterate over the names."""
        return iter(self._sample)

    def __len__(self) -> int:
        """Return the number of quantities."""
        return len(self._sample)


def part_of(law: FlowLaw, rows: NDArray[np.intp]) -> FlowLaw:
    """The law of some samples.

    Parameters
    ----------
    law : FlowLaw
        Arrays of shape (n,).
    rows : ndarray of int
        Of the samples [-].
    """
    own = (law.yield_stress, law.consistency, law.exponent)
    return FlowLaw(*(np.asarray(each)[rows] for each in own))


class Bench:
    """A problem and its space, with what is shared.

    A machine is a pump, or a pump driven by air on a line of one class: its air is held to that class.

    Parameters
    ----------
    problem : Problem
        Computable.
    space : Space
    """

    def __init__(self, problem: Problem, space: Space) -> None:
        self.problem, self.space, self.kept = problem, space, Kept()
        self.samples = problem.sample["product.density"].size - 1
        self.contexts = len(space.warms), len(problem.seasons)  # side by side in every array over samples
        self.sample = self._tiled(problem.sample)
        self.law = self._law()
        self.words = all_true(self.samples).size
        self.plated = problem.way == "plate"
        self.machine_pump, self.machine_class = self._machines()
        classes = np.arange(len(space.classes))
        self.belongs = np.array(
            [[own is None or own == each for each in classes] for own in self.machine_class]
        )
        grid = np.meshgrid(
            *(range(len(axis)) for axis in (space.seals, space.ports, space.rams)), indexing="ij"
        )
        self.feed_axes = tuple(axis.ravel() for axis in grid)
        self.beside_of = space.beside[self.machine_pump][:, self.feed_axes[1]]
        self.kind_of_stand = np.array([space.kinds.index(kind) for kind, _ in space.stands])
        self.stand_of_kind = [int(np.argmax(self.kind_of_stand == kind)) for kind in range(len(space.kinds))]
        self.allowed = np.array([self._allowed(place) for place in range(len(space.classes))])
        self.atmosphere = feed_of(self.sample, self.law, self.feed_choice(0, 0, False)).atmosphere
        self.like = self._like()
        self.in_time, self.hands = self._shift()
        self.height = self._height()

    @property
    def shape(self) -> tuple[int, int, int, int, int, int]:
        """Machines, stands, feeds, bores, classes, warmings."""
        space = self.space
        return (
            len(self.machine_pump), len(space.stands), self.feed_axes[0].size, len(space.bores),
            len(space.classes), len(space.warms),
        )  # fmt: skip

    def _machines(self) -> tuple[list[int], list[int | None]]:
        pumps: list[int] = []
        classes: list[int | None] = []
        for index, pump in enumerate(self.space.pumps):
            own: list[int | None] = [None] if pump.turns else list(range(len(self.space.classes)))
            pumps += [index] * len(own)
            classes += own
        return pumps, classes

    def packed(self, ok: Mask) -> Words:
        """Conditions over the long sample as bits, axes (..., warms, seasons, words).

        Parameters
        ----------
        ok : ndarray of bool, shape (..., n)
            [-]
        """
        return pack(ok.reshape(*ok.shape[:-1], *self.contexts, self.samples + 1))

    def unpacked(self, words: Words) -> Mask:
        """Bits of one row as a condition over the long sample; the likely points hold.

        Parameters
        ----------
        words : ndarray of uint64, shape (warms, seasons, words)
            [-]
        """
        own = np.unpackbits(np.ascontiguousarray(words).view(np.uint8), axis=-1).astype(bool)
        return np.pad(own, ((0, 0), (0, 0), (1, 0)), constant_values=True).ravel()

    def _tiled(self, sample: Sample) -> dict[str, Array]:
        times = self.contexts[0] * self.contexts[1]
        return {key: np.tile(values, times) for key, values in sample.items()}

    def _law(self) -> FlowLaw:
        """The law of every warming and season, side by side."""
        like, problem = self.problem.sample["product.density"], self.problem
        laws = [problem.law(season, warm)[0] for warm in self.space.warms for season in problem.seasons]
        names = ("yield_stress", "consistency", "exponent")
        parts = ([np.broadcast_to(getattr(law, name), like.shape) for law in laws] for name in names)
        return FlowLaw(*(np.concatenate(part) for part in parts))

    def machine_choice(self, machine: int) -> Choice:
        """An arrangement with this machine; its other parts are the first of the space.

        Parameters
        ----------
        machine : int
        """
        own = self.machine_class[machine] or 0
        place = Place(0, 0, self.machine_pump[machine], 0, 0, 0, 0, 0, own)
        return self.kept.once(("choice", machine), lambda: self.space.choice(place))

    def machine_sample(self, machine: int) -> Sample:
        """The long sample of a machine: its test points, the air its line bears.

        Parameters
        ----------
        machine : int
        """
        own = self.problem.sample_of(self.machine_choice(machine))
        changed = {key: each for key, each in own.items() if each is not self.problem.sample.get(key)}
        return self.kept.once(("sample", machine), lambda: {**self.sample, **self._tiled(changed)})

    def _like(self) -> list[int]:
        """For every machine the first with the same pump and the same air."""
        seen: dict[object, int] = {}
        found = []
        for machine, pump in enumerate(self.machine_pump):
            air = self.machine_sample(machine).get("pump.air_pressure")
            key = (pump, None if air is None else air.tobytes())
            found.append(seen.setdefault(key, machine))
        return found

    def feed_choice(self, kind: int, feed: int, beside: bool) -> Choice:
        """An arrangement with this stand and feed; its other parts are the first of the space.

        Parameters
        ----------
        kind, feed : int
        beside : bool
            Whether the pump stands beside the mast.
        """
        seal, port, ram = (int(axis[feed]) for axis in self.feed_axes)
        place = Place(0, 0, 0, self.stand_of_kind[kind], seal, port, ram, 0, 0)
        return self.kept.once(
            ("chosen", kind, feed, beside), lambda: replace(self.space.choice(place), beside=beside)
        )

    def line(self, kind: int, bore: int, wanted: Array) -> tuple[Array, Array]:
        """Running and restart pressure behind the pump [Pa(g)].

        Parameters
        ----------
        kind, bore : int
        wanted : ndarray, shape (n,)
            [m3/s]
        """
        choice = self.space.choice(Place(0, 0, 0, self.stand_of_kind[kind], 0, 0, 0, bore, 0))
        hose = self.problem.sample_of(choice)["line.own_hose"]

        def made() -> tuple[Array, Array]:
            sample = {**self.sample, **self._tiled({"line.own_hose": hose})}
            route, density = route_of(sample, choice, self.problem.pieces), sample["product.density"]
            there = sample["destination.pressure"]
            rested = restart(route, self.law, sample["product.restart_factor"], density)
            return there + line_loss(route, wanted, density, self.law).total, rested + there

        return self.kept.once(("line", hose.tobytes(), bore, wanted[0]), made)

    def feed(self, kind: int, feed: int, beside: bool, flow: int, wanted: Array) -> tuple[Any, Array]:
        """What stands before a pump, and the pressure it leaves at the wanted flow [Pa(g)].

        Parameters
        ----------
        kind, feed : int
        beside : bool
            Whether the pump stands beside the mast.
        flow : int
        wanted : ndarray, shape (n,)
            [m3/s]
        """

        def made() -> Any:
            return feed_of(self.sample, self.law, self.feed_choice(kind, feed, beside))

        def inlet(own: Any) -> Array:
            return np.broadcast_to(own.inlet_gauge(wanted), wanted.shape)

        own = self.kept.once(("feed", kind, feed, beside), made)
        return own, self.kept.once(("inlet", kind, feed, beside, flow), lambda: inlet(own))

    def fits_through(self) -> Mask:
        """Whether the pieces pass and a pump is fast enough whatever it leaks; axes as in `shape`."""
        inputs, space = self.problem.inputs, self.space
        need = required_passage(inputs)
        good = np.ones((len(self.machine_pump), 1, self.feed_axes[0].size, len(space.bores), 1), bool)
        if need <= 0.0 or "line.bore" not in inputs.estimates:
            return good
        first = Place(0, 0, 0, 0, 0, 0, 0, 0, 0)

        def have(part: str, **where: int) -> bool:
            names = ("hose", "line") if part == "line" else (part,)
            found = passages(inputs, space.choice(first._replace(**where)))
            return min(found[name] for name in names) >= need

        pumps = np.array([have("pump", pump=index) for index in range(len(space.pumps))])
        ports = np.array([have("plate", port=index) for index in range(len(space.ports))])
        bores = np.array([have("line", bore=index) for index in range(len(space.bores))])
        good &= pumps[self.machine_pump][:, None, None, None, None]
        good &= ports[self.feed_axes[1]][None, None, :, None, None] & bores[None, None, None, :, None]
        return good

    def too_slow(self, flow: int) -> Mask:
        """Machines whose speed caps do not give the wanted flow in enough samples even without slip.

        Parameters
        ----------
        flow : int
        """
        wanted = self.problem.sample["enquiry.flow"] * self.space.flows[flow]
        found = []
        for index in self.machine_pump:
            pump = self.space.pumps[index]
            family, most = family_of(pump), pump.maximum_speed
            if isinstance(family, RotaryFamily | PistonFamily):
                most = min(most, float(sliding_limit(self.problem.abrasion) / family.sliding(pump, 1.0)))
                found.append(float((pump.displacement * most >= wanted)[1:].mean()) < PASSES)
            else:
                found.append(False)
        return np.array(found)

    def _allowed(self, pressure_class: int) -> Array:
        choice = self.space.choice(Place(0, 0, 0, 0, 0, 0, 0, 0, pressure_class))
        sample = self.problem.sample
        own = sample["line.working_share"] * weakest_part(self.problem.inputs, sample, choice)
        return np.tile(own, self.contexts[0] * self.contexts[1])

    def _shift(self) -> tuple[list[Words], Words]:
        """Time and people of a shift: by flow and stand, and by stand."""
        inputs, sample = self.problem.inputs, self.problem.sample
        timed: list[Words] = []
        hands: list[Words] = []
        for factor in self.space.flows:
            state = Emptying.at(sample, factor)
            rows: list[Words] = []
            people: list[Words] = []
            for stand in range(len(self.space.stands)):
                choice = self.space.choice(Place(0, 0, 0, stand, 0, 0, 0, 0, 0))
                checks = _shift_checks(inputs, sample, state, choice, "all")
                for gate, into in (("rate", rows), ("people", people)):
                    ok = np.ones_like(sample["enquiry.flow"], bool)
                    for check in checks:
                        ok = ok & check.ok if check.gate == gate else ok
                    into.append(pack(ok))
            timed.append(np.array(rows))
            hands.append(np.array(people))
        return timed, hands[0]

    def _height(self) -> Words:
        """Height under the lowest beam, by machine and feed."""
        sample, own = self.problem.sample, self.space
        if not self.plated:
            return np.broadcast_to(
                all_true(self.samples), (len(self.machine_pump), self.feed_axes[0].size, self.words)
            )
        found = np.zeros((len(self.machine_pump), len(own.ports), self.words), np.uint64)
        for machine, pump in enumerate(self.machine_pump):
            for port in range(len(own.ports)):
                choice = own.choice(Place(0, 0, pump, 0, 0, port, 0, 0, 0))
                found[machine, port] = pack(height(sample, choice) <= sample["site.ceiling"])
        return found[:, self.feed_axes[1]]
