"""Which shear rates the machine reads the flow curve at, against what was measured."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drumwright.basis.phrases import Phrase, phrase

TOUCHES = 1.1  # a curve that ends this close, a factor, reaches it; assumed


@dataclass(frozen=True, slots=True)
class Need:
    """Shear rates one place of the machine works at.

    Parameters
    ----------
    place : str
        Word of the phrase catalogue, FIT-place.<word>.
    low, high : float
        [1/s]
    computed : bool
        Whether they belong to an assessed case, or to the usual machine.
    """

    place: str
    low: float
    high: float
    computed: bool = False


# Physics book 0.1: bore 50 mm, 1 m3/h, middle pump size. Derived there, not measured.
USUAL: tuple[Need, ...] = (
    Need("rest", 0.01, 0.1),
    Need("line", 20.0, 60.0),
    Need("cavity", 10.0, 30.0),
    Need("gap", 100.0, 1000.0),
    Need("film", 100.0, 1000.0),
    Need("seal_line", 2500.0, 6000.0),
    Need("slip", 1.0e4, 1.0e5),
)


@dataclass(frozen=True, slots=True)
class Reach:
    """One place against the measured range: `factor` is how far outside it lies, 1 inside."""

    need: Need
    factor: float
    side: str  # "inside", "above", "below"


def reaches(needs: Sequence[Need], low: float, high: float) -> tuple[Reach, ...]:
    """Compare what is needed with what was measured.

    Parameters
    ----------
    needs : sequence of Need
        Places of the machine.
    low, high : float
        Measured range [1/s].
    """
    found = []
    for need in needs:
        above, below = need.high / high, low / need.low
        side = "inside" if max(above, below) <= TOUCHES else "above" if above >= below else "below"
        found.append(Reach(need, max(above, below, 1.0), side))
    return tuple(found)


def sentence(reach: Reach, low: float, high: float) -> Phrase:
    """Say how one place stands against the measured range.

    Parameters
    ----------
    reach : Reach
        The place.
    low, high : float
        Measured range [1/s].
    """
    need = reach.need
    where = phrase(f"FIT-place.{need.place}")
    if reach.side == "inside":
        return phrase("FIT-range_inside", place=where, low=need.low, high=need.high)
    key = "FIT-range_above" if reach.side == "above" else "FIT-range_below"
    end, wanted = (high, need.high) if reach.side == "above" else (low, need.low)
    return phrase(key, place=where, end=end, wanted=wanted, factor=_round(reach.factor))


def _round(factor: float) -> float:
    """Two significant digits."""
    size = 10.0 ** (math.floor(math.log10(factor)) - 1)
    return round(factor / size) * size
