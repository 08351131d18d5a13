"""Rim of the plate, larger: gap beside the disc, what the seal bridges, and what stays below."""

from __future__ import annotations

from dataclasses import dataclass

import drawsvg as draw

from drumwright.report import palette
from drumwright.report.drawing import text_width
from drumwright.report.words import Words
from drumwright.study.result import Section

FRAME = (150.0, 104.0)  # width and height
WALL_AT = 0.88  # share of the width at which the wall stands
LEAST_SEEN = 0.012  # [m] the window shows at least this much of the gap beside the disc
_EDGE = {"stroke": palette.INK, "stroke_width": 1.1}


@dataclass(frozen=True, slots=True)
class Rim:
    """One place of the rim: where the plate stands and how far the wall is there [m]."""

    beside: float  # gap between disc and wall
    slope: float  # by how much the wall moves outwards for a height
    below: float  # product under the rim of the disc; more than the window shows for a full container
    dish: float  # how much deeper the bottom is in its middle

    def open_gap(self, reach: float) -> float:
        """What the seal leaves open beside the disc [m]."""
        return max(0.0, self.beside - reach)


def half_width(found: Section, up: float) -> float:
    """Half width of the inside at a height [m].

    Parameters
    ----------
    found : Section
    up : float
        Height above the bottom [m].
    """
    return 0.5 * (found.bottom + (found.top - found.bottom) * up / found.height)


def rims(found: Section) -> tuple[Rim, Rim]:
    """Rim of the full container and of the one at its end.

    Parameters
    ----------
    found : Section
        With a plate.
    """
    slope = 0.5 * (found.top - found.bottom) / found.height
    places = ((found.filled, found.filled), (found.gap, found.gap))
    full, end = (
        Rim(half_width(found, up) - 0.5 * found.disc, slope, below, found.dish) for up, below in places
    )
    return full, end


def larger(found: Section, scale: float) -> int:
    """How many times larger than the section both details are drawn.

    Parameters
    ----------
    found : Section
    scale : float
        Of the section [1/m].
    """
    full, end = rims(found)
    widest = max(LEAST_SEEN, 1.6 * full.beside, 1.6 * end.beside, 2.2 * found.gap)
    return max(2, int(0.6 * FRAME[0] / widest / scale))


def rim_detail(
    picture: draw.Drawing, found: Section, rim: Rim, corner: tuple[float, float], scale: float, side: int
) -> None:
    """Draw one detail in its frame.

    Parameters
    ----------
    picture : Drawing
    found : Section
    rim : Rim
    corner : tuple of float
        Upper left corner of the frame.
    scale : float
        Of the detail [1/m].
    side : int
        -1 with the wall on the left, 1 on the right.
    """
    (left, top), (wide, tall) = corner, FRAME
    clip = draw.ClipPath()
    clip.append(draw.Rectangle(left, top, wide, tall))
    group = draw.Group(clip_path=clip)
    wall = left + wide * (WALL_AT if side > 0 else 1.0 - WALL_AT)
    floor = min(rim.below, 0.5 * tall / scale)
    place = _Place(wall - side * scale * rim.beside, top + tall - 14.0 - scale * floor, scale, side)
    _product_and_wall(group, rim, place)
    group.append(place.box(-1.0, 0.0, 0.0, 1.0, fill=palette.STEEL, **_EDGE))
    _seal(group, found, rim, place)
    picture.append(group)
    picture.append(draw.Rectangle(left, top, wide, tall, fill="none", stroke=palette.LINE, stroke_width=1.0))


@dataclass(frozen=True, slots=True)
class _Place:
    """Where metres stand in a detail, from the lower edge of the disc."""

    edge: float
    level: float
    scale: float
    side: int

    def at(self, out: float, up: float) -> tuple[float, float]:
        """Place of a point outwards of the disc and above its lower face [m]."""
        return self.edge + self.side * self.scale * out, self.level - self.scale * up

    def box(self, out: float, up: float, out_to: float, up_to: float, **look: object) -> draw.Rectangle:
        """Rectangle between two points."""
        (x, y), (x_to, y_to) = self.at(out, up), self.at(out_to, up_to)
        return draw.Rectangle(min(x, x_to), min(y, y_to), abs(x_to - x), abs(y_to - y), **look)

    def line(self, *points: tuple[float, float]) -> list[float]:
        """Points as one flat list."""
        return [each for point in points for each in self.at(*point)]


def _product_and_wall(group: draw.Group, rim: Rim, place: _Place) -> None:
    """Product below the disc, wall, and bottom where it is in sight."""
    beside, below, slope = rim.beside, rim.below, rim.slope
    deep, inner = min(below, 1.0), -0.25  # what the window cannot show is cut off
    rim_corner = (beside - slope * deep, -deep)
    group.append(
        draw.Lines(
            *place.line((inner, 0.0), (beside, 0.0), rim_corner, (inner, -deep - rim.dish)), close=True,
            fill=palette.PRODUCT, stroke="none",
        )
    )  # fmt: skip
    wall = draw.Lines(
        *place.line((beside + slope, 1.0), rim_corner), fill="none", stroke=palette.INK, stroke_width=3.0
    )
    group.append(wall)
    bottom = draw.Lines(
        *place.line(rim_corner, (-0.25, -deep - rim.dish)), fill="none", stroke=palette.INK, stroke_width=3.0
    )
    group.append(bottom)


def _seal(group: draw.Group, found: Section, rim: Rim, place: _Place) -> None:
    """Lips or tube from the disc to the wall, as far as they reach; what stays open is marked."""
    reached = min(rim.beside, found.reach)
    look = {"stroke": palette.SEASON["winter"], "fill": "none", "stroke_linecap": "round"}
    if found.seal == "inflatable_seal":
        tube = place.box(0.0, 0.003, reached, 0.032, rx=5, ry=5, stroke_width=2.4, **look)
        group.append(tube)
    elif found.lips:
        for lip in range(found.lips):
            up = (4.0 + 9.0 * lip) / place.scale + 0.002
            path = draw.Path(stroke_width=3.4, **look)
            x, y = place.at(0.0, up)
            x_mid, y_mid = place.at(0.7 * reached, up)
            x_end, y_end = place.at(reached, up - 4.0 / place.scale)
            group.append(path.M(x, y).Q(x_mid, y_mid, x_end, y_end))
    if rim.open_gap(found.reach) > 0.0:
        (x, y), (x_to, _) = place.at(reached, 0.0), place.at(rim.beside, 0.0)
        group.append(draw.Line(x, y, x_to, y, stroke=palette.LIMIT, stroke_width=3.0))


def rim_notes(found: Section, words: Words) -> tuple[list[tuple[str, bool]], list[tuple[str, bool]]]:
    """Lines under the two details; marked where something stays open.

    Parameters
    ----------
    found : Section
    words : Words
    """
    full, end = rims(found)
    notes = []
    for rim in (full, end):
        lines = [(words.say("text.section_beside", value=words.value(rim.beside, "diameter")), False)]
        open_gap = rim.open_gap(found.reach)
        if open_gap > 1e-6:
            lines.append((words.say("text.section_open", value=words.value(open_gap, "diameter")), True))
        else:
            lines.append((words.say("text.section_reach", value=words.value(found.reach, "diameter")), False))
        notes.append(lines)
    ends = [
        (words.say("text.section_gap", value=words.value(found.gap, "diameter")), False),
        (words.say("text.section_heel", value=words.value(found.heel, "diameter")), False),
    ]
    return notes[0], [*notes[1], *ends]


def fits_in(text: str, size: float, width: float) -> float:
    """Size of a text that keeps it inside a width, never below seven.

    Parameters
    ----------
    text : str
    size : float
        Wanted.
    width : float
        There.
    """
    wide = text_width(text, size, False)
    return size if wide <= width else max(7.0, size * width / wide)
