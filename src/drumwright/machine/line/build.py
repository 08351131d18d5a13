"""A line from the words and numbers of a case: each kind of piece with what it must be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FlowOutOfRange
from drumwright.machine.line import segments as piece
from drumwright.machine.line.segments import FITTINGS, Segment

# kind of piece -> what must be given besides kind and bore; "loss" may be replaced by "laminar"
NEEDED: dict[str, tuple[str, ...]] = {
    "pipe": ("length",),
    "riser": ("length",),
    "hose": ("length",),
    "bend": ("angle", "radius_over_bore"),
    "reducer": ("outlet_bore", "length"),
    "expander": ("outlet_bore", "length"),
    "filter": ("loss",),
    "strainer": ("loss",),
    "meter": ("loss",),
    "detector": ("loss",),
    **dict.fromkeys(FITTINGS, ()),
}


class Item(NamedTuple):
    """One piece as a case states it; floats or arrays over samples, None where nothing was said."""

    kind: str
    bore: ArrayLike  # [m]
    length: ArrayLike | None = None  # [m]
    rise: ArrayLike = 0.0  # [m]
    angle: ArrayLike | None = None  # [rad]
    radius_over_bore: ArrayLike | None = None  # [-]
    outlet_bore: ArrayLike | None = None  # [m]
    loss: ArrayLike | None = None  # [Pa]
    laminar: ArrayLike | None = None  # K1 [-]
    turbulent: ArrayLike = 0.0  # K_infinity [-]
    wall: ArrayLike | None = None  # thickness [m]
    material: str = ""
    passage: ArrayLike | None = None  # smallest free one inside [m]


def lacking(items: Sequence[Item]) -> tuple[tuple[int, str], ...]:
    """Places of the pieces that lack something, with the name of what they lack.

    Parameters
    ----------
    items : sequence of Item

    Raises
    ------
    FlowOutOfRange
        If there is no such kind of piece.
    """
    found = []
    for index, item in enumerate(items):
        if item.kind not in NEEDED:
            raise FlowOutOfRange(f"no piece of a line called {item.kind}; allowed: {', '.join(NEEDED)}")
        for name in NEEDED[item.kind]:
            spared = name == "loss" and item.laminar is not None
            if getattr(item, name) is None and not spared:
                found.append((index, name))
    return tuple(found)


def build(items: Sequence[Item]) -> tuple[Segment, ...]:
    """Segments of a line, in the order the product passes them.

    Parameters
    ----------
    items : sequence of Item

    Raises
    ------
    FlowOutOfRange
        If a kind is unknown, a piece lacks what it must be told (`lacking`), or a value is out of its range:
        a filter without a stated loss is not one without loss.
    """
    if troubles := lacking(items):
        listed = ", ".join(f"{items[index].kind} ({index + 1}): {name}" for index, name in troubles)
        raise FlowOutOfRange(f"pieces of the line lack values: {listed}")
    made = [_whole(item) for item in items]
    return close_jumps(made)


def _whole(item: Item) -> Segment:
    """One piece with all that was said of it."""
    return replace(_segment(item), wall=item.wall, material=item.material, passage=item.passage)


def close_jumps(segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """The same line with a "jump" of no length wherever the bore changes without a reducer.

    Parameters
    ----------
    segments : sequence of Segment

    Notes
    -----
    A jump counts the turning of the flow at a sudden change of bore (`flow.cone.cone_entry_length`).
    """
    jumps = set(bore_jumps(segments))
    closed: list[Segment] = []
    for index, each in enumerate(segments):
        if index in jumps:
            closed.append(replace(piece.reducer(_end(segments[index - 1]), each.bore, 0.0), kind="jump"))
        closed.append(each)
    return tuple(closed)


def _segment(item: Item) -> Segment:
    length: ArrayLike = 0.0 if item.length is None else item.length
    match item.kind:
        case "pipe":
            return piece.pipe(item.bore, length, item.rise)
        case "riser":  # climbs as far as it is long
            return piece.pipe(item.bore, length, length)
        case "hose":
            return piece.hose(item.bore, length, item.rise)
        case "bend":
            assert item.angle is not None
            assert item.radius_over_bore is not None
            return piece.bend(item.bore, item.angle, item.radius_over_bore, item.rise)
        case "reducer" | "expander":
            assert item.outlet_bore is not None
            return piece.reducer(item.bore, item.outlet_bore, length, item.rise)
        case kind if kind in FITTINGS:
            return piece.fitting(kind, item.bore, length, item.rise)
    if item.laminar is not None:
        return piece.rated_by_coefficient(item.kind, item.bore, item.laminar, item.turbulent, length)
    assert item.loss is not None
    return piece.stated_loss(item.kind, item.bore, item.loss, length, item.rise)


def bore_jumps(segments: Sequence[Segment]) -> tuple[int, ...]:
    """Places of the segments that begin with another bore than the one before ended, without a reducer.

    Parameters
    ----------
    segments : sequence of Segment

    Notes
    -----
    A sketch that jumps has often forgotten a reducer: worth a question.
    """
    places = range(1, len(segments))
    return tuple(index for index in places if not _same(_end(segments[index - 1]), segments[index].bore))


def _end(segment: Segment) -> ArrayLike:
    """Bore a segment ends with [m]."""
    return segment.bore if segment.outlet_bore is None else segment.outlet_bore


def _same(first: ArrayLike, second: ArrayLike) -> bool:
    return bool(np.all(np.abs(np.asarray(first) / np.asarray(second) - 1.0) < 1e-3))
