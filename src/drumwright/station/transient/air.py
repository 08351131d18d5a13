"""Air that a change of container lets in: it passes the pump first, then both halves of the line."""

from __future__ import annotations

from math import exp

from drumwright.station.transient.layout import (
    AIR_AT_END,
    AIR_AT_PUMP,
    AIR_OUT,
    AIR_POCKET,
    CHANGE_AIR,
    DRAWN_BEFORE,
    EV_AIR,
    EV_AIR_GONE,
    Q_DEST,
    Q_LINE,
    Q_PUMP,
    VOLUME_1,
    VOLUME_2,
)
from drumwright.station.transient.signals import note
from drumwright.station.transient.vector import Vector

LEFT = 0.02  # of the air of a change that may stay in the line: it counts as gone; assumed


def let_in(t: float, p: Vector, r: Vector, ev: Vector, counts: Vector, most: int) -> None:
    """A full container stands there: what is between its product and the plate stands before the pump."""
    r[AIR_POCKET] += p[CHANGE_AIR]
    if p[CHANGE_AIR] > 0.0:
        note(t, EV_AIR, p[CHANGE_AIR], ev, counts, most)


def move_air(
    t: float, past: float, p: Vector, r: Vector, f: Vector, ev: Vector, counts: Vector, most: int
) -> float:
    """Move the air of a change on by the flows since the last look; 1 while some is on its way.

    Volumes at atmospheric pressure. The pump moves the pocket before it moves product, and each half of
    the line gives off its air with what leaves it, well mixed. What a half holds over its volume at
    atmospheric pressure stays a balance of flows, so this changes pressures and no volume.
    """
    if r[AIR_POCKET] <= 0.0 and r[AIR_AT_PUMP] <= 0.0 and r[AIR_AT_END] <= 0.0:
        return 0.0
    pumped = min(max(f[Q_PUMP], 0.0) * past, r[AIR_POCKET])
    onward = r[AIR_AT_PUMP] * (1.0 - exp(-max(f[Q_LINE], 0.0) * past / p[VOLUME_1]))
    out = r[AIR_AT_END] * (1.0 - exp(-max(f[Q_DEST], 0.0) * past / p[VOLUME_2]))
    r[AIR_POCKET] -= pumped
    r[DRAWN_BEFORE] += pumped  # no product of the container
    r[AIR_AT_PUMP] += pumped - onward
    r[AIR_AT_END] += onward - out
    r[AIR_OUT] += out
    if r[AIR_POCKET] <= 0.0 and r[AIR_AT_PUMP] + r[AIR_AT_END] < LEFT * p[CHANGE_AIR]:
        r[AIR_OUT] += r[AIR_AT_PUMP] + r[AIR_AT_END]
        r[AIR_AT_PUMP], r[AIR_AT_END] = 0.0, 0.0
        note(t, EV_AIR_GONE, r[AIR_OUT], ev, counts, most)
    return 1.0
