"""The plant in time: steps between events, looks of the control, peaks, rows and events written down.

A time event (valve, schedule, end) and every look of a control that is busy end a step. While no signal can
change what the control does, steps pass over its looks; one in which a signal leaves its room is taken again,
shorter, so that the control sees it at the look that follows, as if it had looked all the time.
"""

from __future__ import annotations

from math import floor

from drumwright.station.transient.air import let_in, move_air
from drumwright.station.transient.equations import flows, slopes, valve
from drumwright.station.transient.happenings import (
    F_EMPTY,
    LITTLE,
    peak,
    schedule_at,
    watch,
    write_row,
)
from drumwright.station.transient.layout import (
    C1,
    C2,
    CONTAINER_VOLUME,
    CONTAINERS,
    CU,
    DEST_D,
    DESTINATION_HOPPER,
    DISPLACEMENT,
    DONE,
    DRAWN,
    DRAWN_BEFORE,
    ENDS_LATCHED,
    FED,
    FEED_D,
    LEAST_IN,
    LINE_D,
    LOOKS,
    NECK_D,
    NOT_FINITE,
    P1,
    P2,
    PEAK_1,
    PEAK_2,
    PEAK_G,
    PEAK_G_AT,
    PG,
    PLACE,
    POINTS,
    POWER_OFF,
    PU,
    PUMP,
    PUMP_1,
    PUMP_KIND,
    PUMP_U,
    Q_FEED,
    REFUSED,
    RELIEF_D,
    RESET_NOW,
    ROW_SIZE,
    ROWS,
    SCAN,
    SCHEDULE_SIZE,
    SPEED,
    SPEED_WANTED,
    STATUS,
    STEP_TOO_SMALL,
    STEPS,
    STORED_1,
    STORED_2,
    TABLE_SIZE,
    TOO_MANY_STEPS,
    VALVE_AT,
    VALVE_SLOPE,
    VALVE_UNTIL,
    WIRED_SCAN,
)
from drumwright.station.transient.looks import (
    ST_DRUM_EMPTY,
    ST_FAULT,
    command,
    follow_level,
    judge,
    latched,
    left,
    move_plate,
    proceed,
    room,
)
from drumwright.station.transient.signals import S_SWITCH, SIGNAL_COUNT, read
from drumwright.station.transient.step import STATES, begun, step
from drumwright.station.transient.vector import Vector

SMALLEST = 1.0e-12  # s
NEAR = 1.0e-9  # s, two times that are the same
FIRST_STEP = 1.0e-3
SAFETY, SHRINK, GROW = 0.9, 0.2, 4.0
FLOW_COUNT = 29


def next_look(looked: float, t: float, scan: float) -> float:
    """Time of the first look at or after a time."""
    count = floor((t - looked) / scan - 1.0e-6) + 1.0
    return looked + max(count, 1.0) * scan


def scanned_left(sig: Vector, low: Vector, high: Vector) -> bool:
    """Whether a signal of the controller has left its room."""
    return left(sig, low, high, 0, S_SWITCH) or left(sig, low, high, S_SWITCH + 1, SIGNAL_COUNT)


def look_scanned(
    t: float, past: float, p: Vector, tables: Vector, y: Vector, r: Vector,
    rules: Vector, rule_count: int, transitions: Vector, transition_count: int, outputs: Vector,
    memory: Vector, f: Vector, ev: Vector, most: int, counts: Vector,
) -> float:  # fmt: skip
    """One look of the controller; 1 where it must look again at once."""
    timers, resets, acting, waits = memory[0], memory[1], memory[2], memory[3]
    sig, flags, shown = memory[4], memory[7], memory[8]
    counts[LOOKS] += 1.0
    busy = 1.0
    if r[POWER_OFF] < 0.5:
        read(t, y, p, r, f, sig)
        follow_level(t, p, r, sig, ev, counts, most)
        busy = judge(t, past, 0.0, r, rules, rule_count, timers, resets, acting, shown, sig)
        busy += command(t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most)
        press = latched(rules, rule_count, acting, sig)
        before = r[DRAWN_BEFORE]
        busy += proceed(
            t, past, press, y, p, r, transitions, transition_count, waits, sig, ev, counts, most
        )  # fmt: skip
        if r[DRAWN_BEFORE] != before:  # a full container stands there
            flags[F_EMPTY] = 0.0
            r[CONTAINERS] -= 1.0
            let_in(t, p, r, ev, counts, most)
        busy += move_plate(t, past, p, r, outputs)
        busy += move_air(t, past, p, r, f, ev, counts, most)
        if r[RESET_NOW] > 1.5:  # the wired contacts have seen it too
            r[RESET_NOW] = 0.0
        busy += r[RESET_NOW]
    else:
        command(t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most)
    room(r, p, rules, rule_count, transitions, transition_count, sig, memory[5], memory[6])
    flows(t, y, p, tables, r, f)
    return busy


def look_wired(
    t: float, past: float, p: Vector, tables: Vector, y: Vector, r: Vector,
    rules: Vector, rule_count: int, transitions: Vector, transition_count: int, outputs: Vector,
    memory: Vector, f: Vector, ev: Vector, most: int, counts: Vector,
) -> float:  # fmt: skip
    """One look of the wired contacts; 1 where they must look again at once."""
    timers, resets, acting, sig, shown = memory[0], memory[1], memory[2], memory[4], memory[8]
    read(t, y, p, r, f, sig)
    busy = judge(t, past, 1.0, r, rules, rule_count, timers, resets, acting, shown, sig)
    if r[RESET_NOW] > 0.5:
        r[RESET_NOW] = 2.0
    command(t, y, p, r, rules, rule_count, acting, shown, outputs, sig, ev, counts, most)
    room(r, p, rules, rule_count, transitions, transition_count, sig, memory[5], memory[6])
    flows(t, y, p, tables, r, f)
    return busy


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
    rules : vector
        Flat table of the control objects.
    rule_count : int
    transitions : vector
        Flat table of the transitions.
    transition_count : int
    outputs : vector
        Of the states.
    schedule : vector
        Rows of time, what, value, duration, sorted by time.
    schedule_count : int
    memory : vector of vectors
        Timers, reset timers, acting; timers of transitions; signals, low and high room; flags; shown.
    work : vector of vectors
        Room for the step.
    rows : vector
        Of the trace.
    most_rows : int
    ev : vector
        Events.
    most_events : int
    peaks, counts : vector
        What else comes out.
    """
    sig, low, high, flags = memory[4], memory[5], memory[6], memory[7]
    f, d, new, after = work[8], work[9], work[10], work[11]
    controlled = rule_count + transition_count > 0 or p[DESTINATION_HOPPER] > 0.5
    t, h, next_row, following = 0.0, FIRST_STEP, 0.0, 0
    look, wired_look = 0.0, 0.0
    looked, wired_looked = 0.0, 0.0
    quiet, quiet_wired, first = False, False, True
    old_t, old_p1, old_d1, old_p2, old_d2, old_pu, old_du = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    scan, wired = p[SCAN], p[WIRED_SCAN]
    wanted = p[DISPLACEMENT] * p[SPEED_WANTED]
    if p[PUMP_KIND] > 0.5:
        wanted = tables[PUMP * TABLE_SIZE + POINTS - 1]
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
        watch(t, wanted, y, p, r, f, flags, ev, counts, most_events)
        if not quiet and t >= look - NEAR:
            past = 0.0 if first else t - looked
            looked, look = t, t + scan
            quiet = look_scanned(
                t, past, p, tables, y, r, rules, rule_count, transitions, transition_count, outputs, memory,
                f, ev, most_events, counts,
            ) < 0.5  # fmt: skip
        if not quiet_wired and t >= wired_look - NEAR:
            past = 0.0 if first else t - wired_looked
            wired_looked, wired_look = t, t + wired
            quiet_wired = look_wired(
                t, past, p, tables, y, r, rules, rule_count, transitions, transition_count, outputs, memory,
                f, ev, most_events, counts,
            ) < 0.5  # fmt: skip
        slopes(y, p, r, f, d)
        if first:
            first = False
            peaks[PEAK_1], peaks[PEAK_2], peaks[LEAST_IN], peaks[PEAK_G] = f[P1], f[P2], f[PU], f[PG]
        elif t > old_t:
            stiff = f[LINE_D] + f[NECK_D]
            stiff_1, stiff_2 = f[C1] * (stiff + f[RELIEF_D] - f[PUMP_1]), f[C2] * (stiff + f[DEST_D])
            stiff_u = f[CU] * (f[FEED_D] + f[PUMP_U])
            peak(old_t, old_p1, old_d1, t, f[P1], f[C1] * d[STORED_1], stiff_1, peaks, PEAK_1, 1.0)
            peak(old_t, old_p2, old_d2, t, f[P2], f[C2] * d[STORED_2], stiff_2, peaks, PEAK_2, 1.0)
            peak(old_t, old_pu, old_du, t, f[PU], f[CU] * d[FED], stiff_u, peaks, LEAST_IN, -1.0)
            if f[PG] > peaks[PEAK_G]:
                peaks[PEAK_G], peaks[PEAK_G_AT] = f[PG], t
        old_t, old_p1, old_d1 = t, f[P1], f[C1] * d[STORED_1]
        old_p2, old_d2, old_pu, old_du = f[P2], f[C2] * d[STORED_2], f[PU], f[CU] * d[FED]
        ended = t >= duration - NEAR
        if r[ENDS_LATCHED] > 0.5 and r[PLACE] == ST_FAULT and d[STORED_1] <= 0.0 and d[STORED_2] <= 0.0:
            ended = ended or y[SPEED] < LITTLE * p[SPEED_WANTED]  # nothing moves the pump again
        if r[PLACE] == ST_DRUM_EMPTY and r[CONTAINERS] < 0.5:
            ended = True  # no container comes any more
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
            if begun(h, p, f, after) > tolerance and h > SMALLEST:
                h *= SHRINK
                counts[REFUSED] += 1.0
                continue
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
                    rest = next_look(wired_looked, t, wired) - t
                    if h > rest * 1.0001 + NEAR:
                        h = max(rest, 0.25 * h)
                        counts[REFUSED] += 1.0
                        continue
                    quiet_wired, wired_look = False, t + rest
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
