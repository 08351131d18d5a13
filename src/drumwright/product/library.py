"""Published products and reference liquids: a place to begin, never a measured value."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from drumwright.basis.tables import read_csv
from drumwright.product.combine import Prior

WIDER = 3.0  # factor by which a row is widened both ways as a prior: another maker, another batch; assumed
WIDER_EXPONENT = 0.1
ICE_POINT = 273.15


@dataclass(frozen=True, slots=True)
class Entry:
    """One row of the library.

    Parameters
    ----------
    name : str
        Name by which a card refers to it.
    group : str
        "food", "grease", "reference" or "gel".
    temperature : float or None
        [K]; None where the source names none.
    yield_stress, consistency, exponent : tuple of float
        Low and high [Pa], [Pa s^n], [-].
    kind : str
        "published", "from_memory", "computed" (fitted here to open data) or "assumed".
    source : str
        Citation.
    """

    name: str
    group: str
    temperature: float | None
    yield_stress: tuple[float, float]
    consistency: tuple[float, float]
    exponent: tuple[float, float]
    kind: str
    source: str


@cache
def library() -> tuple[Entry, ...]:
    """Return every row, in the order of the table."""
    found = []
    for row in read_csv("products.csv"):
        tau_y, k, n = (
            (float(row[f"{name}_low"]), float(row[f"{name}_high"]))
            for name in ("yield_stress", "consistency", "exponent")
        )
        warm = float(row["temperature_c"]) + ICE_POINT if row["temperature_c"] else None
        found.append(Entry(row["name"], row["group"], warm, tau_y, k, n, row["kind"], row["source"]))
    return tuple(found)


def prior_of(name: str) -> tuple[Prior, float | None] | None:
    """Return the prior of a row, widened, and its temperature [K]; None where there is no such row.

    Parameters
    ----------
    name : str
        Name of the row, upper and lower case alike.

    Notes
    -----
    Stress at 1 1/s is yield stress plus consistency, widened three times both ways; exponents by 0.1.
    """
    for entry in library():
        if entry.name.lower() == name.strip().lower():
            low = entry.yield_stress[0] + entry.consistency[0]
            high = entry.yield_stress[1] + entry.consistency[1]
            exponents = (entry.exponent[0] - WIDER_EXPONENT, entry.exponent[1] + WIDER_EXPONENT)
            prior = Prior(
                low / WIDER, high * WIDER, max(0.1, exponents[0]), min(1.2, exponents[1]), entry.name
            )
            return prior, entry.temperature
    return None


def middle(entry: Entry) -> tuple[float, float, float]:
    """Return yield stress [Pa], consistency [Pa s^n] and exponent [-] in the middle of a row.

    Parameters
    ----------
    entry : Entry
        A row.
    """
    return (
        0.5 * sum(entry.yield_stress),
        math.sqrt(entry.consistency[0] * entry.consistency[1]),
        0.5 * sum(entry.exponent),
    )
