"""What arrangements are compared by: numbers of those that pass, so coarse that trifles do not count."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.family import family_of
from drumwright.study.checks import hands_share, utilisation
from drumwright.study.combinations import Passing
from drumwright.study.search_space import Place
from drumwright.study.season_view import Emptying

Array = NDArray[np.float64]
CRITERIA = ("change", "size", "winter", "margin", "people", "cleaning", "time")
CLEANING = ("cip", "cip_bypass", "flush", "strip")  # easiest first; common practice, no source
CHANCE_STEP, MARGIN_STEP, MOST_MARGIN = 0.02, 0.1, 0.5  # finer differences do not count; assumed
SHARE_STEP, MASS_STEP = 0.02, 10.0  # [-], [kg]; assumed
IDLE_ENOUGH = 0.5  # busy share of a shift below which no more time is wished; assumed


class Criteria:
    """The criteria of arrangements that pass, each as an array that is better where it is less.

    Parameters
    ----------
    found : Passing
        Not empty.
    """

    def __init__(self, found: Passing) -> None:
        self.found, self.space = found, found.space
        _, flow, pump, stand, *_ = found.places.T
        self.change = found.space.change(found.places)
        masses = np.array([each.mass for each in self.space.pumps])
        self.size = masses[pump] * np.array([count for _, count in self.space.stands])[stand]
        self.winter = found.cold / found.samples
        self.margin = self._margin()
        ranks = [CLEANING.index(family_of(each).cleaning) for each in self.space.pumps]
        self.cleaning = np.array(ranks, float)[pump]
        self.people, busy = self._shift()
        self.people, self.time = self.people[stand], busy[flow, stand]

    def _margin(self) -> Array:
        """Share of the allowed pressure that is left at likely values in the worst season."""
        found, bench = self.found, self.found.bench
        warm, flow, _, stand, *_, bore, pressure_class = found.places.T
        kind = bench.kind_of_stand[stand]
        each = bench.samples + 1
        points = np.full(
            (len(self.space.flows), len(self.space.kinds), len(self.space.bores), len(self.space.warms)),
            np.inf,
        )
        used = np.zeros(points.shape[:3], bool)
        used[flow, kind, bore] = True
        for place in np.argwhere(used):
            wanted = bench.sample["enquiry.flow"] * self.space.flows[place[0]]
            running = bench.line(int(place[1]), int(place[2]), wanted)[0][::each].reshape(bench.contexts)
            points[tuple(place)] = running.max(axis=1)
        allowed = bench.allowed[pressure_class, 0]
        return np.asarray(1.0 - points[flow, kind, bore, warm] / allowed)

    def _shift(self) -> tuple[Array, Array]:
        """Share of a person by stand, busy share by flow and stand; 0 where no drums were named."""
        problem = self.found.bench.problem
        inputs, sample = problem.inputs, problem.sample
        people = np.zeros(len(self.space.stands))
        busy = np.zeros((len(self.space.flows), people.size))
        if "enquiry.drums_per_shift" not in inputs.estimates:
            return people, busy
        for stand in range(people.size):
            choice = self.space.choice(Place(0, 0, 0, stand, 0, 0, 0, 0, 0))
            people[stand] = float(hands_share(inputs, sample, choice)[0])
            for flow, factor in enumerate(self.space.flows):
                used = utilisation(inputs, sample, Emptying.at(sample, factor), choice)
                busy[flow, stand] = float(used[0]) if used is not None else 0.0
        return people, busy

    def columns(self) -> dict[str, Array]:
        """Every criterion, coarse, less is better."""
        return {
            "change": self.change,
            "size": np.round(self.size / MASS_STEP),
            "winter": -np.floor(self.winter / CHANCE_STEP),
            "margin": -np.floor(np.minimum(self.margin, MOST_MARGIN) / MARGIN_STEP),
            "people": np.round(self.people / SHARE_STEP),
            "cleaning": self.cleaning,
            "time": np.round(np.maximum(self.time, IDLE_ENOUGH) / SHARE_STEP),
        }

    def value(self, name: str, row: int) -> float:
        """The plain number behind a criterion.

        Parameters
        ----------
        name : str
            Of `CRITERIA`.
        row : int
        """
        return float(getattr(self, name)[row])


def order_by(columns: dict[str, Array], first: str) -> NDArray[np.intp]:
    """Rows from best to worst by one criterion, ties by the others in their order.

    Parameters
    ----------
    columns : dict of ndarray
        Less is better [-].
    first : str

    Notes
    -----
    The first row is on the front of all criteria: nothing that passes is at least as good in every one and
    better in some.
    """
    names = [first, *(name for name in CRITERIA if name != first)]
    return np.lexsort([columns[name] for name in reversed(names)])
