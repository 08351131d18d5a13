"""The plant in time: steps between events, looks of the control, peaks, rows and events written down.

A time event (valve, schedule, end) and every look of a control that is busy end a step. While no signal can
change what the control does, steps pass over its looks; one in which a signal leaves its room is taken again,
shorter, so that the control sees it at the look that follows, as if it had looked all the time.
"""

from __future__ import annotations

from math import floor

from drumwright.station.transient.equations import flows, slopes, valve
from drumwright.station.transient.layout import (
    AIR_FACTOR,
    BLOCKED,
    BUFFER_KIND,
    BUFFER_VOLUME,
    BUFFERED,
    BURST,
    C1,
    C2,
    CONTAINER_VOLUME,
    CU,
    DESTINATION_HOPPER,
    DISPLACEMENT,
    DO_AIR,
    DO_BLOCK,
    DO_BURST,
    DO_DRAW,
    DO_DRIFT,
    DO_DRIVE,
    DO_EMERGENCY,
    DO_FEED,
    DO_GUARD,
    DO_HEIGHT,
    DO_MAINTENANCE,
    DO_OFFSET,
    DO_OVERFILL,
    DO_POWER,
    DO_RAMP,
    DO_RELIEF,
    DO_RESET,
    DO_SPEED,
    DO_START,
    DO_STOP,
    DO_STUCK_1,
    DO_STUCK_2,
    DO_SWITCH,
    DO_TEMPERATURE,
    DO_TRANSMITTER,
    DO_VALVE,
    DONE,
    DRAW,
    DRAWN,
    DRAWN_BEFORE,
    DRIFT_1,
    DRIFT_SINCE,
    DRIVE_FAULT,
    EMERGENCY_STOP,
    ENDS_LATCHED,
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
    FED,
    FEED_FACTOR,
    GUARD_OPEN,
    HEIGHT_FAILS,
    HEIGHT_VALUE,
    HOPPER,
    HOPPER_VOLUME,
    INLET_NEED,
    LEAST_IN,
    LOOKS,
    MAINTENANCE,
    MEASURED_1,
    MEASURED_2,
    NOT_FINITE,
    OFFSET_1,
    OVERFILL,
    P1,
    P2,
    PEAK_1,
    PEAK_2,
    PEAK_G,
    PEAK_G_AT,
    PG,
    PLACE,
    POWER_OFF,
    POWER_RETURN,
    PU,
    PUMP_TEMPERATURE,
    Q_DEST,
    Q_FEED,
    Q_LINE,
    Q_PUMP,
    Q_RELIEF,
    RAMP_FACTOR,
    REFUSED,
    RELIEF_SHUT,
    RESET_NOW,
    ROW_SIZE,
    ROWS,
    SCAN,
    SCHEDULE_SIZE,
    SPEED,
    SPEED_FACTOR,
    SPEED_WANTED,
    STALL_PRESSURE,
    START_REQUEST,
    STATUS,
    STEP_TOO_SMALL,
    STEPS,
    STOP_REQUEST,
    STORED_1,
    STORED_2,
    STRUCTURE,
    STUCK_1,
    STUCK_2,
    STUCK_VALUE_1,
    STUCK_VALUE_2,
    SWITCH_FAILS,
    TOO_MANY_STEPS,
    TRANSMITTER_FAULT,
    VALVE_AT,
    VALVE_SLOPE,
    VALVE_UNTIL,
    WIRED_SCAN,
)
from drumwright.station.transient.looks import (
    S_SWITCH,
    SIGNAL_COUNT,
    ST_FAULT,
    ST_STOPPED,
    command,
    enter,
    follow_level,
    judge,
    latched,
    left,
    move_plate,
    move_valve,
    note,
    plate_height,
    proceed,
    read,
    room,
)
from drumwright.station.transient.step import STATES, step
from drumwright.station.transient.vector import Vector

SMALLEST = 1.0e-9  # s
NEAR = 1.0e-9  # s, two times that are the same
FIRST_STEP = 1.0e-3
SAFETY, SHRINK, GROW = 0.9, 0.2, 4.0
RELIEF_SEEN = 1.0e-9  # m3/s
LITTLE = 1.0e-3  # of the wanted flow
F_RELIEF, F_BUFFER, F_MOVES, F_STALL, F_STARVES, F_EMPTY, F_HOPPER = range(7)  # what is going on
FLAGS = 7
FLOW_COUNT = 29


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
    if what == DO_RESET:
        r[RESET_NOW], r[POWER_RETURN] = 1.0, 0.0
    elif what == DO_START:
        r[START_REQUEST] = 1.0
    elif what == DO_STOP:
        r[STOP_REQUEST] = 1.0
    elif what == DO_MAINTENANCE:
        r[MAINTENANCE] = value
    elif what == DO_SPEED:
        r[SPEED_FACTOR] = value
    elif what == DO_FEED:
        r[FEED_FACTOR] = value
    elif what == DO_AIR:
        r[AIR_FACTOR] = value
    elif what == DO_RELIEF:
        r[RELIEF_SHUT] = value
    elif what == DO_BURST:
        r[BURST] = value
    elif what == DO_STUCK_1:
        r[STUCK_1], r[STUCK_VALUE_1] = value, y[MEASURED_1]
    elif what == DO_DRIFT:
        r[DRIFT_1], r[DRIFT_SINCE] = value, t
    elif what == DO_OFFSET:
        r[OFFSET_1] = value
    elif what == DO_STUCK_2:
        r[STUCK_2], r[STUCK_VALUE_2] = value, y[MEASURED_2]
    elif what == DO_RAMP:
        r[RAMP_FACTOR] = value
    elif what == DO_SWITCH:
        r[SWITCH_FAILS] = value
    elif what == DO_BLOCK:
        r[BLOCKED] = 1.0
        move_valve(t, value, duration, r, ev, counts, most)
    elif what == DO_HEIGHT:
        r[HEIGHT_FAILS], r[HEIGHT_VALUE] = value, plate_height(y, p, r)
    elif what == DO_GUARD:
        r[GUARD_OPEN] = value
    elif what == DO_EMERGENCY:
        r[EMERGENCY_STOP] = value
    elif what == DO_DRIVE:
        r[DRIVE_FAULT] = value
    elif what == DO_POWER:
        if value > 0.5 and r[POWER_OFF] > 0.5:  # the controller begins anew: stopped, and nobody has started
            r[POWER_RETURN] = 1.0
            enter(t, ST_STOPPED, y, p, r, ev, counts, most)
        r[POWER_OFF] = 1.0 - value
    elif what == DO_TEMPERATURE:
        r[PUMP_TEMPERATURE] = value
    elif what == DO_OVERFILL:
        r[OVERFILL] = value
    elif what == DO_TRANSMITTER:
        r[TRANSMITTER_FAULT] = value


def watch(
    t: float, y: Vector, p: Vector, r: Vector, f: Vector, flags: Vector, ev: Vector, counts: Vector, most: int
) -> None:
    """Write down what begins and what ends, with room between so that nothing chatters."""
    some = LITTLE * p[DISPLACEMENT]
    turn(
        t,
        F_RELIEF,
        f[Q_RELIEF] > RELIEF_SEEN,
        f[Q_RELIEF] <= 0.0,
        EV_RELIEF,
        EV_RELIEF_ENDS,
        flags,
        ev,
        counts,
        most,
    )
    if p[BUFFER_KIND] > 0.5:
        share = y[BUFFERED] / p[BUFFER_VOLUME]
        turn(
            t, F_BUFFER, share > 0.03, share < 0.01, EV_BUFFER_FILLS, EV_BUFFER_EMPTY, flags, ev, counts, most
        )
    line = abs(f[Q_LINE])
    turn(t, F_MOVES, line > some, line < 0.01 * some, EV_MOVES, EV_STANDS, flags, ev, counts, most)
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
    t0: float, p0: float, d0: float, t1: float, p1: float, d1: float, peaks: Vector, at: int, sign: float
) -> None:
    """Keep the greatest value (least with sign -1) of a pressure over a step, by its cubic."""
    p0, d0, p1, d1 = sign * p0, sign * d0, sign * p1, sign * d1
    best, when = p1, t1
    if p0 > p1:
        best, when = p0, t0
    if d0 > 0.0 and d1 < 0.0:
        h = t1 - t0
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


def next_look(looked: float, t: float, scan: float) -> float:
    """Time of the first look at or after a time."""
    count = floor((t - looked) / scan - 1.0e-6) + 1.0
    return looked + max(count, 1.0) * scan


def scanned_left(sig: Vector, low: Vector, high: Vector) -> bool:
    """Whether a signal of the controller has left its room."""
    return left(sig, low, high, 0, S_SWITCH) or left(sig, low, high, S_SWITCH + 1, SIGNAL_COUNT)


def write_row(t: float, y: Vector, p: Vector, r: Vector, f: Vector, rows: Vector, at: int) -> None:
    """Write one row of the trace."""
    rows[at] = t
    rows[at + 1], rows[at + 2], rows[at + 3], rows[at + 4] = f[P1], f[P2], f[PG], f[PU]
    rows[at + 5], rows[at + 6], rows[at + 7] = y[SPEED], f[Q_PUMP], f[Q_LINE]
    rows[at + 8], rows[at + 9], rows[at + 10] = f[Q_DEST], f[Q_RELIEF], y[BUFFERED]
    rows[at + 11], rows[at + 12], rows[at + 13] = y[HOPPER], y[DRAWN] - r[DRAWN_BEFORE], valve(t, r)
    rows[at + 14], rows[at + 15], rows[at + 16] = y[STRUCTURE], y[MEASURED_1], y[MEASURED_2]
    rows[at + 17], rows[at + 18] = r[PLACE], plate_height(y, p, r)


def simulate(
    duration: float, tolerance: float, most_steps: int, every: float,
    p: Vector, tables: Vector, y: Vector, r: Vector,
    rules: Vector, rule_count: int, transitions: Vector, transition_count: int, outputs: Vector,
    schedule: Vector, schedule_count: int,
    memory: Vector, work: Vector, rows: Vector, most_rows: int, ev: Vector, most_events: int,
    peaks: Vector, counts: Vector,
) -> None:  # fmt: skip
    """Run a plant; state, registers, rows, events, peaks and counts are changed in place.

    A solver kernel, longer than a function may be elsewhere: one loop whose parts share all of its variables.

    Parameters
    ----------
    duration, tolerance : float
        [s], [-]
    most_steps : int
        After so many steps the run ends as not solved.
    every : float
        Least time between two rows [s]; rows at events are always written.
    p, tables, y, r : vector
        Parameters, tables, state and registers (`layout`).
    rules, transitions, outputs : vector
        Flat tables of the control.
    schedule : vector
        Rows of time, what, value, duration, sorted by time.
    memory : vector of vectors
        Timers, reset timers, acting; timers of transitions; signals, low and high room; flags.
    work : vector of vectors
        Room for the step.
    rows, ev, peaks, counts : vector
        What comes out.
    """
    timers, resets, acting, waits = memory[0], memory[1], memory[2], memory[3]
    sig, low, high, flags, shown = memory[4], memory[5], memory[6], memory[7], memory[8]
    f, d, new, after = work[8], work[9], work[10], work[11]
    controlled = rule_count + transition_count > 0 or p[DESTINATION_HOPPER] > 0.5
    t, h, next_row, following = 0.0, FIRST_STEP, 0.0, 0
    look, wired_look = 0.0, 0.0
    looked, wired_looked = 0.0, 0.0
    quiet, quiet_wired, first = False, False, True
    old_t, old_p1, old_d1, old_p2, old_d2, old_pu, old_du = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    scan, wired = p[SCAN], p[WIRED_SCAN]
    status = DONE
    while True:
        moved = False
        while following < schedule_count and schedule[following * SCHEDULE_SIZE] <= t + NEAR:
            schedule_at(t, following * SCHEDULE_SIZE, schedule, y, p, r, ev, counts, most_events)
            following += 1
            moved = True
            if quiet:
                quiet, look = False, next_look(looked, t, scan)
                looked = look - scan
            if quiet_wired:
                quiet_wired, wired_look = False, next_look(wired_looked, t, wired)
                wired_looked = wired_look - wired
        if t >= r[VALVE_UNTIL] - NEAR and r[VALVE_SLOPE] != 0.0:
            r[VALVE_AT], r[VALVE_SLOPE], moved = valve(t, r), 0.0, True
        if moved or first:
            flows(t, y, p, tables, r, f)
        watch(t, y, p, r, f, flags, ev, counts, most_events)
        if not quiet and t >= look - NEAR:
            past = t - looked
            if first:
                past = 0.0
            looked, look = t, t + scan
            counts[LOOKS] += 1.0
            if r[POWER_OFF] < 0.5:
                read(t, y, p, r, f, sig)
                follow_level(t, p, r, sig, ev, counts, most_events)
                busy = judge(t, past, 0.0, r, rules, rule_count, timers, resets, acting, sig)
                command(
                    t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most_events
                )  # fmt: skip
                press = latched(rules, rule_count, acting, sig)
                busy += proceed(
                    t, past, press, y, p, r, transitions, transition_count, waits, sig, ev, counts,
                    most_events,
                )  # fmt: skip
                busy += move_plate(t, past, p, r, outputs)
                r[RESET_NOW] = 0.0
                quiet = busy < 0.5
                if flags[F_EMPTY] > 0.5 and y[DRAWN] - r[DRAWN_BEFORE] < p[CONTAINER_VOLUME]:
                    flags[F_EMPTY] = 0.0  # a full container stands there
            else:
                command(
                    t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most_events
                )  # fmt: skip
            room(r, p, rules, rule_count, transitions, transition_count, sig, low, high)
            flows(t, y, p, tables, r, f)
        if not quiet_wired and t >= wired_look - NEAR:
            past = t - wired_looked
            if first:
                past = 0.0
            wired_looked, wired_look = t, t + wired
            read(t, y, p, r, f, sig)
            busy = judge(t, past, 1.0, r, rules, rule_count, timers, resets, acting, sig)
            quiet_wired = busy < 0.5
            command(
                    t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most_events
                )  # fmt: skip
            room(r, p, rules, rule_count, transitions, transition_count, sig, low, high)
            flows(t, y, p, tables, r, f)
        slopes(y, p, r, f, d)
        if first:
            first = False
            peaks[PEAK_1], peaks[PEAK_2], peaks[LEAST_IN], peaks[PEAK_G] = f[P1], f[P2], f[PU], f[PG]
        elif t > old_t:
            peak(old_t, old_p1, old_d1, t, f[P1], f[C1] * d[STORED_1], peaks, PEAK_1, 1.0)
            peak(old_t, old_p2, old_d2, t, f[P2], f[C2] * d[STORED_2], peaks, PEAK_2, 1.0)
            peak(old_t, old_pu, old_du, t, f[PU], f[CU] * d[FED], peaks, LEAST_IN, -1.0)
            if f[PG] > peaks[PEAK_G]:
                peaks[PEAK_G], peaks[PEAK_G_AT] = f[PG], t
        old_t, old_p1, old_d1 = t, f[P1], f[C1] * d[STORED_1]
        old_p2, old_d2, old_pu, old_du = f[P2], f[C2] * d[STORED_2], f[PU], f[CU] * d[FED]
        ended = t >= duration - NEAR
        if r[ENDS_LATCHED] > 0.5 and r[PLACE] == ST_FAULT and d[STORED_1] <= 0.0:
            ended = ended or y[SPEED] < LITTLE * p[SPEED_WANTED]  # nothing moves the pump again
        if (t >= next_row - NEAR or moved or ended) and counts[ROWS] < most_rows:
            write_row(t, y, p, r, f, rows, int(counts[ROWS]) * ROW_SIZE)
            counts[ROWS] += 1.0
            next_row = t + every
        if ended:
            break
        until = duration
        if following < schedule_count:
            until = min(until, schedule[following * SCHEDULE_SIZE])
        if r[VALVE_SLOPE] != 0.0:
            until = min(until, r[VALVE_UNTIL])
        if not quiet:
            until = min(until, look)
        if not quiet_wired:
            until = min(until, wired_look)
        content = p[CONTAINER_VOLUME] - (y[DRAWN] - r[DRAWN_BEFORE])
        if content > 0.0 and f[Q_FEED] * h > content:
            until = min(until, t + max(content / f[Q_FEED], 1.0e-4))
        h = min(h, until - t)
        while True:
            if counts[STEPS] + counts[REFUSED] >= most_steps:
                status = TOO_MANY_STEPS
                break
            error = step(t, h, y, p, tables, r, f, d, work, new) / tolerance
            if not error < 1.0e12:
                if h < SMALLEST:
                    status = NOT_FINITE
                    break
                h *= 0.1
                counts[REFUSED] += 1.0
                continue
            ratio = GROW
            if error > 1.0e-6:
                ratio = min(max(SAFETY * error ** (-1.0 / 3.0), SHRINK), GROW)
            if error > 1.0:
                if h < SMALLEST:
                    status = STEP_TOO_SMALL
                    break
                h *= ratio
                counts[REFUSED] += 1.0
                continue
            flows(t + h, new, p, tables, r, after)
            if controlled and (quiet or quiet_wired):
                read(t + h, new, p, r, after, sig)
                if quiet and scanned_left(sig, low, high):
                    rest = next_look(looked, t, scan) - t
                    if h > rest * 1.0001 + NEAR:
                        h = max(rest, 0.25 * h)
                        counts[REFUSED] += 1.0
                        continue
                    quiet, look = False, t + rest
                    looked = look - scan
                if quiet_wired and left(sig, low, high, S_SWITCH, S_SWITCH + 1):
                    if h > wired:
                        h = max(wired, 0.25 * h)
                        counts[REFUSED] += 1.0
                        continue
                    quiet_wired, wired_look = False, t + h
                    wired_looked = wired_look - wired
            break
        if status != DONE:
            break
        reached = t + h
        if until - reached < NEAR:
            reached = until
        t = reached
        for i in range(STATES):
            y[i] = new[i]
        for i in range(FLOW_COUNT):
            f[i] = after[i]
        h *= ratio
        counts[STEPS] += 1.0
    counts[STATUS] = float(status)
