"""Pipes and hygienic tubes by standard: outside diameter, wall, bore."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from drumwright.basis.errors import StockError
from drumwright.basis.tables import read_csv

TABLE = "pipes.csv"
MILLIMETRE = 1e-3


class Tube(NamedTuple):
    """One size of one standard; lengths in metres."""

    standard: str
    size: str
    outside_diameter: float
    wall: float
    use: str  # pipe or hygienic
    source: str
    kind: str

    @property
    def bore(self) -> float:
        """Inside diameter [m]."""
        return self.outside_diameter - 2.0 * self.wall


@cache
def _tubes() -> dict[tuple[str, str], Tube]:
    """Every row of the table, by standard and size."""
    return {
        (row["standard"], row["size"]): Tube(
            row["standard"],
            row["size"],
            MILLIMETRE * float(row["outside_diameter"]),
            MILLIMETRE * float(row["wall"]),
            row["use"],
            f"{row['source']}, {row['place']}",
            row["kind"],
        )
        for row in read_csv(TABLE)
    }


def standards() -> tuple[str, ...]:
    """Standards of the table, in its order."""
    return tuple(dict.fromkeys(standard for standard, _ in _tubes()))


def list_of(standard: str) -> tuple[Tube, ...]:
    """Sizes of one standard, from narrow to wide.

    Parameters
    ----------
    standard : str
        One of `standards`.

    Raises
    ------
    StockError
        If there is no such standard.
    """
    found = tuple(tube for (name, _), tube in _tubes().items() if name == standard)
    if not found:
        raise StockError(f"no pipes of standard {standard}; allowed: {', '.join(standards())}")
    return tuple(sorted(found, key=lambda tube: tube.bore))


def bore_of(standard: str, size: str) -> float:
    """Bore of one size [m].

    Parameters
    ----------
    standard : str
        One of `standards`.
    size : str
        As in the table, e.g. "DN50".

    Raises
    ------
    StockError
        If there is no such standard or size.
    """
    sizes = {tube.size: tube for tube in list_of(standard)}
    if size not in sizes:
        raise StockError(f"no size {size} in standard {standard}; allowed: {', '.join(sizes)}")
    return sizes[size].bore
