"""The library of products to start from as lines of 80 columns and as plain data."""

from __future__ import annotations

import dataclasses
import textwrap
from collections.abc import Iterator
from typing import Any

from drumwright.basis.quantities import plain
from drumwright.product.library import Entry, library
from drumwright.report.words import Words

WIDTH = 80


def library_lines(words: Words) -> Iterator[str]:
    """Yield the library with the law and the source of every row.

    Parameters
    ----------
    words : Words
        Labels and units.
    """
    yield from textwrap.wrap(words.say("fit.library"), WIDTH)
    for entry in library():
        head = f"{entry.name:<38}  {_law(entry, words)}"
        yield from textwrap.wrap(head, WIDTH, subsequent_indent=" " * 4)
        warm = (
            "" if entry.temperature is None else words.say("fit.warm", warm=_warm(entry.temperature, words))
        )
        kind = words.name("basis", entry.kind)
        said = words.say("fit.known", kind=kind, warm=warm, source=entry.source)
        yield from textwrap.wrap(said, WIDTH, initial_indent="    ", subsequent_indent="    ")


def _warm(temperature: float, words: Words) -> str:
    """A temperature to the tenth of a degree at most, as its source gives it."""
    shown = round(words.shown(temperature, "temperature"), 1)
    return f"{plain(shown, 4, trim=True)} {words.unit('temperature')}"


def _law(entry: Entry, words: Words) -> str:
    tau_y, k, n = (_span(pair) for pair in (entry.yield_stress, entry.consistency, entry.exponent))
    return words.say("fit.law", tau_y=tau_y, k=k, n=n)


def _span(pair: tuple[float, float]) -> str:
    low, high = (plain(value, 3, trim=True) for value in pair)
    return low if low == high else f"{low}-{high}"


def library_data() -> list[dict[str, Any]]:
    """Return the library as plain data, SI units."""
    return [dataclasses.asdict(entry) for entry in library()]
