"""Rows and layers that the charts of pump, drive and line share."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Any

from drumwright.report import palette
from drumwright.report.charts import Spec
from drumwright.report.words import Words

Entry = tuple[str, str, list[int]]


def rows_of(
    across: Sequence[float],
    tables: Sequence[Sequence[float]],
    line: str,
    kinds: tuple[str, str],
    words: Words,
) -> list[Spec]:
    """Return rows of a line, with its band where three tables are given; what is not finite is left out.

    Parameters
    ----------
    across : sequence of float
        Values of the horizontal axis [SI].
    tables : sequence of sequences of float
        One table, or low, likely and high [SI].
    line : str
        Label.
    kinds : tuple of str
        Quantity kinds of both axes.
    words : Words
    """
    likely = tables[len(tables) // 2]
    rows: list[dict[str, Any]] = []
    for index, (at, value) in enumerate(zip(across, likely, strict=True)):
        if not isfinite(value):
            continue
        row: dict[str, Any] = {
            "x": words.shown(at, kinds[0]), "y": words.shown(value, kinds[1]), "line": line, "order": index,
        }  # fmt: skip
        if len(tables) == 3 and all(isfinite(table[index]) for table in tables):
            row |= {
                "a": words.shown(tables[0][index], kinds[1]),
                "b": words.shown(tables[2][index], kinds[1]),
            }
        rows.append(row)
    return rows


def point(x: float, y: float, line: str, kinds: tuple[str, str], words: Words) -> Spec:
    """Return a row for a mark.

    Parameters
    ----------
    x, y : float
        [SI]
    line : str
        Label of its line.
    kinds : tuple of str
        Quantity kinds of both axes.
    words : Words
    """
    return {"x": words.shown(x, kinds[0]), "y": words.shown(y, kinds[1]), "line": line}


def lines(x: Spec, y: Spec, colour: Spec, dash: Spec) -> list[Spec]:
    """Return bands where rows carry one, and all lines.

    Parameters
    ----------
    x, y, colour, dash : dict
        Channels.
    """
    return [
        {
            "transform": [{"filter": "isValid(datum.a)"}],
            "mark": {"type": "area", "opacity": 0.16, "clip": True},
            "encoding": {"x": x, "y": {**y, "field": "a"}, "y2": {"field": "b"}, "color": colour},
        },
        {
            "mark": {"type": "line", "strokeWidth": 1.9, "clip": True},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash, "order": {"field": "order"}},
        },
    ]


def marks(points: list[Spec], x: Spec, y: Spec, colour: Spec) -> Spec:
    """Return marks with the colour of their lines.

    Parameters
    ----------
    points : list of dict
        Rows.
    x, y, colour : dict
        Channels.
    """
    return {
        "data": {"values": points},
        "mark": {
            "type": "point",
            "size": 75,
            "filled": True,
            "opacity": 1,
            "stroke": palette.INK,
            "clip": True,
        },
        "encoding": {"x": x, "y": y, "color": colour},
    }
