"""The line of a case: totals, or the pieces of the real route in the order the product passes them."""

from __future__ import annotations

from typing import Literal, Self, get_args

import numpy as np
from pydantic import model_validator

from drumwright.basis.errors import StockError
from drumwright.basis.estimate import Estimate
from drumwright.basis.quantities import show
from drumwright.machine.line.build import NEEDED, Item, build
from drumwright.machine.line.pipes import bore_of, list_of, standards
from drumwright.machine.line.segments import FITTINGS, Segment
from drumwright.station.fields import choice, flag, quantity, refuse, tables, text, whole
from drumwright.station.record_base import Record, custom

PartKind = Literal[
    "pipe",
    "hose",
    "bend",
    "reducer",
    "tee_run",
    "tee_branch",
    "ball_valve",
    "reduced_ball_valve",
    "gate_valve",
    "butterfly_valve",
    "diaphragm_valve",
    "globe_valve",
    "swing_check",
    "lift_check",
    "filter",
    "strainer",
    "meter",
    "detector",
]
KINDS: tuple[str, ...] = get_args(PartKind)
# kinds narrower inside than the pipe they stand in, by how much only their maker knows
NARROWER = frozenset(
    {"reduced_ball_valve", "butterfly_valve", "diaphragm_valve", "globe_valve", "swing_check", "lift_check"}
    | {"filter", "strainer", "meter", "detector"}
)
SHARPEST = 0.5  # of its bore: a bend cannot turn sharper along its middle


class LinePart(Record):
    """One piece of the route, or several alike one behind the other."""

    kind: PartKind | None = choice("What the piece is.", PartKind)
    count: int = whole("How many of them, one behind the other.", (1, 500), 1)
    bore: Estimate | None = quantity(
        "diameter", "Inside diameter, where the product enters; left out, that of the line.", (0.001, 1.0),
        (0.012, 0.2),
    )  # fmt: skip
    length: Estimate | None = quantity("length", "Length along its middle.", (0.0, 2000.0), (0.05, 40.0))
    rise: Estimate | None = quantity(
        "length", "Height of its end over its beginning.", (-100.0, 200.0), (-5.0, 10.0)
    )
    angle: Estimate | None = quantity("angle", "Angle of a bend.", (0.0, 3.1416), (0.2, 1.6))
    bend_radius: Estimate | None = quantity(
        "diameter", "Radius of the middle line of a bend.", (0.0, 20.0), (0.02, 2.0)
    )
    outlet_bore: Estimate | None = quantity(
        "diameter", "Inside diameter at the far end of a reducer.", (0.001, 1.0), (0.012, 0.2)
    )
    loss: Estimate | None = quantity(
        "pressure_difference", "Loss of a filter or meter with this product at this flow.", (0.0, 1e8),
        (0.0, 1e6),
    )  # fmt: skip
    passage: Estimate | None = quantity(
        "diameter", "Smallest free passage inside a strainer, meter or valve.", (0.0001, 1.0), (0.001, 0.2)
    )

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind is None:
            raise custom(refuse("CRS-050", ("kind",), words=", ".join(KINDS)))
        for name in NEEDED[self.kind]:
            field = "bend_radius" if name == "radius_over_bore" else name
            if getattr(self, field) is None:
                raise custom(refuse("CRS-051", (field,), text=self.kind, name=field))
        rise, along = _likely(self.rise) or 0.0, _likely(self.length) or 0.0
        if self.kind in ("pipe", "hose") and abs(rise) > along * (1.0 + 1e-9):
            raise custom(refuse("CRS-056", ("rise",), value=show(along, "length")))
        return self


class Line(Record):
    """Pipe and hose from pump to destination."""

    bore: Estimate | None = quantity("diameter", "Inside diameter of the pipe.", (0.001, 1.0), (0.012, 0.2))
    tube: str | None = text(
        "Or the tube by standard and size, such as en_10357_a DN50: the bore of its table is taken."
    )
    length: Estimate | None = quantity(
        "length", "Length of the customer's route.", (0.0, 2000.0), (0.5, 60.0)
    )
    rise: Estimate | None = quantity(
        "length", "Height gained from pump to end.", (-100.0, 200.0), (-5.0, 15.0)
    )
    part: tuple[LinePart, ...] = tables(
        "Pieces of the route in the order of the product; length, rise and fittings follow from them."
    )
    own_hose: Estimate | None = quantity(
        "length", "Length of the station's own hose, always part of the line.", (0.0, 100.0), (0.0, 8.0)
    )
    own_hose_bore: Estimate | None = quantity(
        "diameter", "Inside diameter of the own hose, where it differs.", (0.001, 1.0), (0.012, 0.2)
    )
    bends: Estimate | None = quantity("count", "Bends in the route.", (0.0, 500.0), (0.0, 25.0))
    valves: Estimate | None = quantity("count", "Valves in the route.", (0.0, 200.0), (0.0, 10.0))
    fittings_diameters: Estimate | None = quantity(
        "ratio",
        "All fittings as pipe length in bores; overrides bends and valves.",
        (0.0, 1e5),
        (0.0, 1000.0),
    )
    existing: bool | None = flag("Whether this pipe exists and its bore is to be kept.")
    pressure_class: Estimate | None = quantity(
        "pressure_gauge", "Greatest pressure its weakest part may see.", (0.0, 1e8), (2e5, 2.5e7)
    )
    working_share: Estimate | None = quantity(
        "ratio", "Share of that pressure used as stop set point.", (0.1, 1.0), (0.6, 1.0)
    )
    smallest_passage: Estimate | None = quantity(
        "diameter", "Smallest free passage in the route.", (0.0005, 1.0), (0.01, 0.2)
    )
    hose_growth: Estimate | None = quantity(
        "fraction", "Growth of the volume of a hose under 10 bar.", (0.0, 1.0), (0.002, 0.1)
    )
    effective_modulus: Estimate | None = quantity(
        "pressure_difference",
        "Bulk modulus of the full line as a whole; takes the place of product, air, hose and pipe.",
        (1e5, 3e9), (1e7, 2.2e9),
    )  # fmt: skip
    meal_break: Estimate | None = quantity(
        "duration", "Time a full line stands over a meal break.", (0.0, 1e6), (300.0, 7200.0)
    )
    night_stop: Estimate | None = quantity(
        "long_time", "Time a full line stands over night.", (0.0, 1e7), (3600.0, 2.6e5)
    )

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        """Totals beside pieces, or a tube beside a bore, would say a thing twice."""
        if self.tube is not None:
            if self.bore is not None:
                raise custom(refuse("CRS-054", ("tube",)))
            if self.tube_bore is None:
                listed = "; ".join(
                    f"{name} {', '.join(t.size for t in list_of(name))}" for name in standards()
                )
                raise custom(refuse("CRS-055", ("tube",), text=self.tube, words=listed))
        if self.part:
            for name in ("length", "rise", "bends", "valves", "fittings_diameters"):
                if getattr(self, name) is not None:
                    raise custom(refuse("CRS-052", (name,), text=name))
            if self.own_bore is None and any(part.bore is None for part in self.part):
                raise custom(refuse("CRS-053", ("bore",)))
        for index, part in enumerate(self.part):
            bore = part.bore or self.own_bore
            if part.kind == "bend" and part.bend_radius is not None and bore is not None:
                least = SHARPEST * bore.likely
                if part.bend_radius.likely < least:
                    place = ("part", index, "bend_radius")
                    raise custom(refuse("CRS-057", place, value=show(least, "diameter")))
        return self

    @property
    def tube_bore(self) -> float | None:
        """Bore of the tube of the table [m]; None where there is no such tube."""
        standard, _, size = (self.tube or "").strip().partition(" ")
        try:
            return bore_of(standard, size.strip())
        except StockError:
            return None

    @property
    def own_bore(self) -> Estimate | None:
        """Bore as stated, or of the stated tube."""
        if self.bore is not None or self.tube is None or self.tube_bore is None:
            return self.bore
        return Estimate.exact(self.tube_bore, "from_memory", note=self.tube)


def segments_of(line: Line) -> tuple[Segment, ...]:
    """Segments of the stated pieces at their likely values; none where the line is given by totals.

    Parameters
    ----------
    line : Line

    Raises
    ------
    FlowOutOfRange
        If a value is out of the range of its law.
    """
    items: list[Item] = []
    for part in line.part:
        bore = part.bore if part.bore is not None else line.own_bore
        if bore is None or part.kind is None:
            continue  # refused while reading
        item = Item(
            kind=part.kind,
            bore=bore.likely,
            length=_likely(part.length),
            rise=part.rise.likely if part.rise is not None else 0.0,
            angle=_likely(part.angle),
            radius_over_bore=part.bend_radius.likely / bore.likely if part.bend_radius is not None else None,
            outlet_bore=_likely(part.outlet_bore),
            loss=_likely(part.loss),
            passage=_likely(part.passage),
        )
        items += [item] * part.count
    return build(items) if items else ()


def _likely(stated: Estimate | None) -> float | None:
    return None if stated is None else stated.likely


def totals_of(segments: tuple[Segment, ...]) -> dict[str, float]:
    """Length, rise and fittings of a route as totals, and its narrowest bore.

    Parameters
    ----------
    segments : tuple of Segment

    Notes
    -----
    What counts as pipe is length; the rest counts as diameters of the pipe it stands in. Used where the route
    is looked at with one bore all through; the losses themselves go piece by piece, and so does the own hose.
    """
    if not segments:
        return {}
    plain = [each for each in segments if each.straight]
    fittings = [each.diameters for each in segments if not each.straight]
    return {
        "length": float(np.sum([each.length for each in plain])),
        "rise": float(np.sum([each.rise for each in segments])),
        "fittings_diameters": float(np.sum(fittings)),
        "bore": float(np.min(bores_of(segments))),
    }


def bores_of(segments: tuple[Segment, ...]) -> list[float]:
    """Every bore of a route at its likely value, the far ends of reducers among them [m].

    Parameters
    ----------
    segments : tuple of Segment
    """
    ends = [each.outlet_bore for each in segments if each.outlet_bore is not None]
    return [float(np.asarray(size).flat[0]) for size in (*(each.bore for each in segments), *ends)]


def hose_bore_of(line: Line, segments: tuple[Segment, ...]) -> Estimate | None:
    """Bore of the own hose beside pieces: as stated, that of the line, or that of the first piece.

    Parameters
    ----------
    line : Line
    segments : tuple of Segment
        Of the same line; None where it is given by totals, whose hose is as wide as the line.
    """
    if line.own_hose_bore is not None or not segments:
        return line.own_hose_bore
    first = float(np.asarray(segments[0].bore).flat[0])
    return line.own_bore or line.part[0].bore or Estimate.exact(first, "computed")


def free_passage(segments: tuple[Segment, ...], bore: float | None) -> tuple[float, tuple[str, ...]]:
    """Smallest free passage of the pieces [m], and the kinds of those nobody knows the passage of.

    Parameters
    ----------
    segments : tuple of Segment
        At least one.
    bore : float or None
        Chosen to go through all of them [m]; None keeps the bores as stated. What stands in the line to catch
        or to measure keeps its own passage, valves are bought anew.
    """
    kept = [each for each in segments if bore is None or each.kind not in FITTINGS]
    stated = [float(np.asarray(each.passage).flat[0]) for each in kept if each.passage is not None]
    unknown = [each.kind for each in segments if each.kind in NARROWER and each not in kept]
    unknown += [each.kind for each in kept if each.kind in NARROWER and each.passage is None]
    sizes = bores_of(segments) if bore is None else [bore]
    return min(sizes + stated), tuple(dict.fromkeys(unknown))
