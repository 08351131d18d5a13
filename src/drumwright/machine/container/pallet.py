"""Four containers on a pallet: pattern and overhang."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from drumwright.basis.estimate import Basis
from drumwright.basis.tables import read_toml
from drumwright.machine.container.drum import pallet_pattern, staggered_length


@dataclass(frozen=True, slots=True)
class Pallet:
    """A pallet of the table `data/pallets.toml` [m]."""

    name: str
    length: float
    width: float
    height: float
    basis: Basis
    source: str


@dataclass(frozen=True, slots=True)
class Layout:
    """Four round containers on a pallet [m].

    `overhang_length` and `overhang_width` stand out on each of the two ends, 0 where the square fits.
    `zigzag_length` is the length of the staggered row, None where the width does not make one;
    `zigzag_overhang` what of it stands out on each of the two ends of the length.
    """

    square: float
    overhang_length: float
    overhang_width: float
    zigzag_length: float | None
    zigzag_overhang: float | None

    @property
    def fits(self) -> bool:
        """Whether two by two stand on the pallet without overhang."""
        return max(self.overhang_length, self.overhang_width) == 0.0


@cache
def pallets() -> Mapping[str, Pallet]:
    """Every pallet of the table by name."""
    return MappingProxyType(
        {name: Pallet(name=name, **row) for name, row in read_toml("pallets.toml").items()}
    )


def usual_pallet() -> Pallet:
    """The pallet taken for four drums where nobody said which (trade book 1.2: 1200 x 1200 mm)."""
    return pallets()["square_1200"]


def layout(outside_diameter: float, length: float, width: float) -> Layout:
    """Where four containers stand on a pallet.

    Parameters
    ----------
    outside_diameter : float
        Over the hoops or the rim, the greatest one [m].
    length, width : float
        Sides of the pallet [m].
    """
    square, _, (along, across) = pallet_pattern(outside_diameter, length, width)
    if not outside_diameter <= width < 2.0 * outside_diameter:
        return Layout(square, along, across, None, None)
    row = staggered_length(outside_diameter, width)
    return Layout(square, along, across, row, max(0.0, 0.5 * (row - length)))
