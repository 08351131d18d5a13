"""What happens to a plant in time: what a schedule asks for, what begins and ends, peaks and rows."""

from __future__ import annotations

from drumwright.station.transient.equations import valve
from drumwright.station.transient.layout import (
    AIR_AT_END,
    AIR_AT_PUMP,
    AIR_FACTOR,
    AIR_OUT,
    BLOCKED,
    BUFFER_KIND,
    BUFFER_VOLUME,
    BUFFERED,
    BURST,
    CONTAINER_VOLUME,
    DO_BLOCK,
    DO_DRAW,
    DO_DRIFT,
    DO_HEIGHT,
    DO_POWER,
    DO_RESET,
    DO_STUCK_1,
    DO_STUCK_2,
    DO_VALVE,
    DRAW,
    DRAWN,
    DRAWN_BEFORE,
    DRIFT_1,
    DRIFT_SINCE,
    DRIVE_FAULT,
    EMERGENCY_STOP,
    EV_BUFFER_EMPTY,
    EV_BUFFER_FILLS,
    EV_EMPTY,
    EV_FED,
    EV_HOPPER_EMPTY,
    EV_HOPPER_FED,
    EV_MOVES,
    EV_RELIEF,
    EV_RELIEF_ENDS,
    EV_SCHEDULED,
    EV_STALL,
    EV_STANDS,
    EV_STARVES,
    EV_TURNS,
    FEED_FACTOR,
    GUARD_OPEN,
    HEIGHT_FAILS,
    HEIGHT_VALUE,
    HOPPER,
    HOPPER_VOLUME,
    INLET_NEED,
    LINE_D,
    MAINTENANCE,
    MEASURED_1,
    MEASURED_2,
    OFFSET_1,
    OVERFILL,
    P1,
    P2,
    PG,
    PLACE,
    POWER_OFF,
    POWER_RETURN,
    PU,
    PUMP_TEMPERATURE,
    Q_DEST,
    Q_LINE,
    Q_PUMP,
    Q_RELIEF,
    RAMP_FACTOR,
    RELIEF_OPENING,
    RELIEF_SHUT,
    RESET_NOW,
    SPEED,
    SPEED_FACTOR,
    STALL_PRESSURE,
    START_REQUEST,
    STOP_REQUEST,
    STRUCTURE,
    STUCK_1,
    STUCK_2,
    STUCK_VALUE_1,
    STUCK_VALUE_2,
    SWITCH_FAILS,
    TRANSMITTER_FAULT,
    VALVE_AT,
)
from drumwright.station.transient.looks import ST_STOPPED, enter, move_valve
from drumwright.station.transient.signals import note, plate_height
from drumwright.station.transient.vector import Vector

# The register that takes the value of what a schedule asks for, in the order of `layout.SCHEDULE`.
REGISTER_OF = (
    VALVE_AT, DRAW, RESET_NOW, START_REQUEST, SPEED_FACTOR, FEED_FACTOR, AIR_FACTOR, RELIEF_SHUT, BURST,
    STUCK_1, DRIFT_1, OFFSET_1, STUCK_2, RAMP_FACTOR, SWITCH_FAILS, BLOCKED, HEIGHT_FAILS, GUARD_OPEN,
    EMERGENCY_STOP, DRIVE_FAULT, POWER_OFF, PUMP_TEMPERATURE, OVERFILL, TRANSMITTER_FAULT, STOP_REQUEST,
    MAINTENANCE,
)  # fmt: skip
SLOPE_TELLS = 5.0  # time constants of a pressure in a step: in a longer one its slope is no slope of the step
RESEATS = 0.995  # of its opening: under it the relief valve counts as shut again
RELIEF_SEEN = 1.0e-9  # m3/s
LITTLE = 1.0e-3  # of the wanted speed
MOVES, STANDS = 0.02, 0.002  # of the wanted flow
MOVES_AT = 200.0  # Pa of push; less is hidden by the tolerance where the product is thin
F_RELIEF, F_BUFFER, F_MOVES, F_STALL, F_STARVES, F_EMPTY, F_HOPPER = range(7)  # what is going on


def schedule_at(
    t: float, row: int, schedule: Vector, y: Vector, p: Vector, r: Vector, ev: Vector,
    counts: Vector, most: int,
) -> None:  # fmt: skip
    """Do what the schedule asks for now."""
    what, value, duration = int(schedule[row + 1]), schedule[row + 2], schedule[row + 3]
    if what == DO_VALVE:
        if r[BLOCKED] < 0.5:
            move_valve(t, value, duration, r, ev, counts, most)
        return
    if what == DO_DRAW:
        r[DRAW] = value
        return
    note(t, EV_SCHEDULED, float(what), ev, counts, most)
    if what == DO_POWER:
        if value > 0.5 and r[POWER_OFF] > 0.5:  # the controller begins anew: stopped, and nobody has started
            r[POWER_RETURN] = 1.0
            enter(t, ST_STOPPED, y, p, r, ev, counts, most)
        r[POWER_OFF] = 1.0 - value
        return
    r[REGISTER_OF[what]] = value
    if what == DO_RESET:
        r[RESET_NOW], r[POWER_RETURN] = 1.0, 0.0
    elif what == DO_STUCK_1:
        r[STUCK_VALUE_1] = y[MEASURED_1]
    elif what == DO_STUCK_2:
        r[STUCK_VALUE_2] = y[MEASURED_2]
    elif what == DO_DRIFT:
        r[DRIFT_SINCE] = t
    elif what == DO_BLOCK:
        r[BLOCKED] = 1.0
        move_valve(t, value, duration, r, ev, counts, most)
    elif what == DO_HEIGHT:
        r[HEIGHT_VALUE] = plate_height(y, p, r)


def watch(
    t: float, wanted: float, y: Vector, p: Vector, r: Vector, f: Vector, flags: Vector, ev: Vector,
    counts: Vector, most: int,
) -> None:  # fmt: skip
    """Write down what begins and what ends, with room between so that nothing chatters."""
    opens, shuts = f[Q_RELIEF] > RELIEF_SEEN, f[P1] < RESEATS * p[RELIEF_OPENING]
    turn(t, F_RELIEF, opens, shuts, EV_RELIEF, EV_RELIEF_ENDS, flags, ev, counts, most)
    if p[BUFFER_KIND] > 0.5:
        share = y[BUFFERED] / p[BUFFER_VOLUME]
        turn(
            t, F_BUFFER, share > 0.03, share < 0.01, EV_BUFFER_FILLS, EV_BUFFER_EMPTY, flags, ev, counts, most
        )
    line = abs(f[Q_LINE])
    moves = line > max(MOVES * wanted, MOVES_AT * f[LINE_D])
    stands = line < max(STANDS * wanted, 0.1 * MOVES_AT * f[LINE_D])
    turn(t, F_MOVES, moves, stands, EV_MOVES, EV_STANDS, flags, ev, counts, most)
    over = f[P1] / p[STALL_PRESSURE]
    turn(t, F_STALL, over > 0.99, over < 0.9, EV_STALL, EV_TURNS, flags, ev, counts, most)
    inlet = f[PU] / p[INLET_NEED]
    turn(t, F_STARVES, inlet < 0.9, inlet > 0.98, EV_STARVES, EV_FED, flags, ev, counts, most)
    if p[HOPPER_VOLUME] > 0.0:
        share = y[HOPPER] / p[HOPPER_VOLUME]
        empty = share < 0.005 and r[DRAW] > 0.0
        turn(t, F_HOPPER, empty, share > 0.02, EV_HOPPER_EMPTY, EV_HOPPER_FED, flags, ev, counts, most)
    if flags[F_EMPTY] < 0.5 and y[DRAWN] - r[DRAWN_BEFORE] >= p[CONTAINER_VOLUME]:
        flags[F_EMPTY] = 1.0
        r[FEED_FACTOR] = 0.0
        note(t, EV_EMPTY, y[DRAWN], ev, counts, most)


def turn(
    t: float, which: int, begins: bool, ends: bool, kind: int, other: int, flags: Vector, ev: Vector,
    counts: Vector, most: int,
) -> None:  # fmt: skip
    """Write down the beginning or end of something that goes on."""
    if begins and flags[which] < 0.5:
        flags[which] = 1.0
        note(t, kind, 0.0, ev, counts, most)
    elif ends and flags[which] > 0.5:
        flags[which] = 0.0
        note(t, other, 0.0, ev, counts, most)


def peak(
    t0: float, p0: float, d0: float, t1: float, p1: float, d1: float, stiffness: float, peaks: Vector,
    at: int, sign: float,
) -> None:  # fmt: skip
    """Keep the greatest value (least with sign -1) of a pressure over a step, by its cubic.

    Where the pressure follows its flows much faster than the step is long (`stiffness` [1/s]), its slope is
    the error of the step times that stiffness and tells nothing: the ends of the step are taken alone.
    """
    p0, d0, p1, d1 = sign * p0, sign * d0, sign * p1, sign * d1
    best, when = p1, t1
    if p0 > p1:
        best, when = p0, t0
    h = t1 - t0
    if d0 > 0.0 and d1 < 0.0 and h * stiffness < SLOPE_TELLS:
        rise = (p1 - p0) / h
        c = (d0 + d1 - 2.0 * rise) / (h * h)
        b = (3.0 * rise - 2.0 * d0 - d1) / h
        x = h * d0 / (d0 - d1)
        for _ in range(4):
            slope = d0 + x * (2.0 * b + 3.0 * c * x)
            curve = 2.0 * b + 6.0 * c * x
            if curve < 0.0:
                x = min(max(x - slope / curve, 0.0), h)
        value = p0 + x * (d0 + x * (b + x * c))
        if value > best:
            best, when = value, t0 + x
    if best > sign * peaks[at]:
        peaks[at], peaks[at + 1] = sign * best, when


def write_row(t: float, y: Vector, p: Vector, r: Vector, f: Vector, rows: Vector, at: int) -> None:
    """Write one row of the trace."""
    rows[at] = t
    rows[at + 1], rows[at + 2], rows[at + 3], rows[at + 4] = f[P1], f[P2], f[PG], f[PU]
    rows[at + 5], rows[at + 6], rows[at + 7] = y[SPEED], f[Q_PUMP], f[Q_LINE]
    rows[at + 8], rows[at + 9], rows[at + 10] = f[Q_DEST], f[Q_RELIEF], y[BUFFERED]
    rows[at + 11], rows[at + 12], rows[at + 13] = y[HOPPER], y[DRAWN] - r[DRAWN_BEFORE], valve(t, r)
    rows[at + 14], rows[at + 15], rows[at + 16] = y[STRUCTURE], y[MEASURED_1], y[MEASURED_2]
    rows[at + 17], rows[at + 18] = r[PLACE], plate_height(y, p, r)
    rows[at + 19], rows[at + 20] = r[AIR_AT_PUMP] + r[AIR_AT_END], r[AIR_OUT]
