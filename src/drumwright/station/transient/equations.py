"""Flows between the nodes of the plant and their derivatives, over floats; run plain or compiled.

Written for both a Python list and an array as argument, without objects; one place for each physical law. The
flow of a passage over its pressure comes as a table that the steady laws filled (`passages`).
"""

from __future__ import annotations

from math import exp, log, sqrt

from drumwright.station.transient.layout import (
    ACCEL,
    ACCEL_1,
    ACCEL_W,
    AIR_1,
    AIR_2,
    AIR_AT_END,
    AIR_AT_PUMP,
    AIR_FACTOR,
    ATMOSPHERE,
    BACK_SLIP,
    BREAKDOWN,
    BUFFER_EXPONENT,
    BUFFER_KIND,
    BUFFER_NODE,
    BUFFER_PRECHARGE,
    BUFFER_RATE,
    BUFFER_VOLUME,
    BUFFERED,
    BURST,
    C1,
    C2,
    CG,
    CU,
    DELIVERED,
    DEST_D,
    DEST_T,
    DESTINATION,
    DESTINATION_PRESSURE,
    DISPLACEMENT,
    DRAW,
    DRAWN,
    DRAWN_OFF,
    DRIVE_LAG,
    FED,
    FEED_COMPLIANCE,
    FEED_CONDUCTANCE,
    FEED_D,
    FEED_FACTOR,
    FEED_PRESSURE,
    FLEXIBILITY_1,
    FLEXIBILITY_2,
    GROWTH_TIME,
    HOPPER,
    HOPPER_VOLUME,
    INLET_NEED,
    LAG_END,
    LAG_OUTLET,
    LAG_SWITCH,
    LINE,
    LINE_D,
    LINE_S,
    LINE_YIELD,
    MEASURED_1,
    MEASURED_2,
    NECK,
    NECK_D,
    NECK_YIELD,
    OCTAVES,
    P1,
    P2,
    PARTS,
    PG,
    POINTS,
    PU,
    PUMP,
    PUMP_1,
    PUMP_KIND,
    PUMP_U,
    PUMP_W,
    PUMPED,
    Q_DEST,
    Q_FEED,
    Q_LINE,
    Q_NECK,
    Q_PUMP,
    Q_RELIEF,
    Q_SPILL,
    RAMP_FACTOR,
    RAMP_UP,
    RATE_DOWN,
    RELIEF,
    RELIEF_D,
    RELIEF_OPENING,
    RELIEF_SHUT,
    RELIEVED,
    REST_EXTRA,
    SPEED,
    SPEED_SET,
    SPILL_D,
    SPILLED,
    STALL_PRESSURE,
    STATIC_HEAD,
    STORED_1,
    STORED_2,
    STRUCTURE,
    SWITCH,
    TABLE_SIZE,
    VALVE_AT,
    VALVE_SINCE,
    VALVE_SLOPE,
    VALVE_UNTIL,
    VAPOUR_PRESSURE,
    VOLUME_1,
    VOLUME_2,
)
from drumwright.station.transient.vector import Vector

MOST_PRESSURE = 2.0**OCTAVES  # Pa, where a table ends
PER_OCTAVE = 1.4426950408889634  # 1/ln 2
END_STOP = 0.02  # of a buffer: over its last part the pressure falls linearly to none (physics book 6.5)
SPRING_STOP = 200.0  # times as stiff once a spring buffer is full
STALL_BAND = 0.03  # of the stall pressure: over it the drive gives way
CHECK = 0.02  # of the wanted flow: below, a filler or the destination takes what comes


def passage(tables: Vector, which: int, excess: float) -> tuple[float, float]:
    """Flow [m3/s] of a passage and its derivative at a pressure [Pa] beyond what holds it.

    A cubic through values and slopes at even parts of every octave of pressure.
    """
    if not excess > 0.0:  # nor for not-a-number, which no table holds
        return 0.0, 0.0
    start = which * TABLE_SIZE
    if excess < 1.0:
        return tables[start] * excess, tables[start]
    if excess >= MOST_PRESSURE:
        slope = tables[start + 2 * POINTS - 1]
        return tables[start + POINTS - 1] + slope * (excess - MOST_PRESSURE), slope
    octave = min(int(log(excess) * PER_OCTAVE), OCTAVES - 1)
    width = float(1 << octave) * (1.0 / PARTS)
    place = excess / width - PARTS
    part = int(place)
    x = place - part
    index = octave * PARTS + part
    here = start + index
    begin, end = tables[here], tables[here + 1]
    left, right = tables[here + POINTS] * width, tables[here + POINTS + 1] * width
    rise = end - begin
    c = left + right - 2.0 * rise
    b = rise - left - c
    return begin + x * (left + x * (b + x * c)), (left + x * (2.0 * b + 3.0 * c * x)) / width


def node(
    stored: float, volume: float, flexibility: float, air: float, atmosphere: float
) -> tuple[float, float]:
    """Gauge pressure [Pa] of a stretch of line that holds more than at atmospheric pressure, and its slope.

    v/V = b (p - p_a) + alpha (1 - p_a/p), the integral of the compliance of physics book 6.1.
    """
    k = air - flexibility * atmosphere - stored / volume
    root = sqrt(k * k + 4.0 * flexibility * air * atmosphere)
    if k > 0.0:
        absolute = 2.0 * air * atmosphere / (k + root)
    else:
        absolute = (root - k) / (2.0 * flexibility)
    lowest = 1.0e-6 * atmosphere
    if absolute < lowest:
        absolute = lowest
    compliance = volume * (flexibility + air * atmosphere / (absolute * absolute))
    return absolute - atmosphere, 1.0 / compliance


def buffer_pressure(p: Vector, stored: float) -> tuple[float, float]:
    """Gauge pressure [Pa] of the buffer and its slope over the product in it [Pa/m3]."""
    volume = p[BUFFER_VOLUME]
    soft = END_STOP * volume
    at = stored
    if at < soft:
        at = soft
    if p[BUFFER_KIND] < 1.5:
        most = (1.0 - 0.1 * END_STOP) * volume
        if at > most:
            at = most
        gas = volume - at
        absolute = (p[BUFFER_PRECHARGE] + p[ATMOSPHERE]) * exp(p[BUFFER_EXPONENT] * log(volume / gas))
        pressure, slope = absolute - p[ATMOSPHERE], p[BUFFER_EXPONENT] * absolute / gas
    else:
        pressure, slope = p[BUFFER_PRECHARGE] + p[BUFFER_RATE] * at, p[BUFFER_RATE]
        if at > volume:
            pressure += (SPRING_STOP - 1.0) * p[BUFFER_RATE] * (at - volume)
            slope *= SPRING_STOP
    if stored < soft:
        slope = pressure / soft
        pressure = slope * stored
    return pressure, slope


def valve(t: float, r: Vector) -> float:
    """Share the valve of the destination is open [-]."""
    if t >= r[VALVE_UNTIL]:
        t = r[VALVE_UNTIL]
    share = r[VALVE_AT] + r[VALVE_SLOPE] * (t - r[VALVE_SINCE])
    return float(min(max(share, 0.0), 1.0))


def flows(t: float, y: Vector, p: Vector, tables: Vector, r: Vector, f: Vector) -> None:
    """Fill in pressures, flows and derivatives at a moment."""
    air_1, air_2 = p[AIR_1] + r[AIR_AT_PUMP] / p[VOLUME_1], p[AIR_2] + r[AIR_AT_END] / p[VOLUME_2]
    p1, c1 = node(y[STORED_1], p[VOLUME_1], p[FLEXIBILITY_1], air_1, p[ATMOSPHERE])
    p2, c2 = node(y[STORED_2], p[VOLUME_2], p[FLEXIBILITY_2], air_2, p[ATMOSPHERE])
    f[P1], f[C1], f[P2], f[C2] = p1, c1, p2, c2
    _supply(y, p, tables, r, f)
    _line(y, p, tables, f)
    _buffer(y, p, tables, f)
    excess = p1 - p[RELIEF_OPENING]
    if r[RELIEF_SHUT] > 0.5:
        excess = 0.0
    f[Q_RELIEF], f[RELIEF_D] = passage(tables, RELIEF, excess)
    f[Q_SPILL], f[SPILL_D] = 0.0, 0.0
    if r[BURST] > 0.0 and p1 > 0.0:
        f[Q_SPILL], f[SPILL_D] = r[BURST] * p1, r[BURST]
    _destination(t, p, tables, r, f)


def _drive(speed: float, give: float, p: Vector, r: Vector, f: Vector) -> None:
    """Acceleration of the drive: along its ramps, with its lag at the end, giving way at stall."""
    target, target_1 = r[SPEED_SET], 0.0
    if give <= 0.0:
        target = 0.0
    elif give < 1.0:
        target_1 = -target / (STALL_BAND * p[STALL_PRESSURE])
        target *= give
    pull = (target - speed) / p[DRIVE_LAG]
    up, down = p[RAMP_UP] / r[RAMP_FACTOR], r[RATE_DOWN] / r[RAMP_FACTOR]
    if pull > up:
        f[ACCEL], f[ACCEL_W], f[ACCEL_1] = up, 0.0, 0.0
    elif pull < -down and give >= 1.0:
        f[ACCEL], f[ACCEL_W], f[ACCEL_1] = -down, 0.0, 0.0
    else:
        f[ACCEL], f[ACCEL_W], f[ACCEL_1] = pull, -1.0 / p[DRIVE_LAG], target_1 / p[DRIVE_LAG]


def _supply(y: Vector, p: Vector, tables: Vector, r: Vector, f: Vector) -> None:
    """Feed and pump."""
    cu = 1.0 / p[FEED_COMPLIANCE]
    pu = p[FEED_PRESSURE] + cu * y[FED]
    f[PU], f[CU] = pu, cu
    f[FEED_D] = p[FEED_CONDUCTANCE] * r[FEED_FACTOR]
    f[Q_FEED] = f[FEED_D] * (p[FEED_PRESSURE] - pu)
    need = p[INLET_NEED] - p[VAPOUR_PRESSURE]
    full = (pu - p[VAPOUR_PRESSURE]) / need
    if full >= 1.0:
        fill, fill_u = 1.0, 0.0
    elif full <= 0.0:
        fill, fill_u = 0.0, 0.0
    else:
        fill, fill_u = full * (2.0 - full), 2.0 * (1.0 - full) / need
    speed = y[SPEED]
    if p[PUMP_KIND] < 0.5:
        over = f[P1] + p[ATMOSPHERE] - pu
        slip, slip_d = passage(tables, PUMP, over)
        if p[BACK_SLIP] < 0.5 and slip > p[DISPLACEMENT] * speed * fill:
            slip, slip_d = p[DISPLACEMENT] * speed * fill, 0.0
        f[Q_PUMP] = p[DISPLACEMENT] * speed * fill - slip
        f[PUMP_W] = p[DISPLACEMENT] * fill
        f[PUMP_U] = p[DISPLACEMENT] * speed * fill_u + slip_d
        f[PUMP_1] = -slip_d
        give = (p[STALL_PRESSURE] - f[P1]) / (STALL_BAND * p[STALL_PRESSURE])
    else:
        free, free_d = passage(tables, PUMP, r[AIR_FACTOR] * p[STALL_PRESSURE] - f[P1])
        f[Q_PUMP] = speed * fill * free
        f[PUMP_W] = fill * free
        f[PUMP_U] = speed * fill_u * free
        f[PUMP_1] = -speed * fill * free_d
        give = 1.0
    _drive(speed, give, p, r, f)


def _line(y: Vector, p: Vector, tables: Vector, f: Vector) -> None:
    """Flow along the line: the table of the steady law, held longer by a rested structure."""
    push = f[P1] - f[P2] - p[STATIC_HEAD]
    held = p[LINE_YIELD] + p[REST_EXTRA] * y[STRUCTURE]
    sign = 1.0
    if push < 0.0:
        sign = -1.0
    flow, slope = passage(tables, LINE, sign * push - held)
    f[Q_LINE], f[LINE_D], f[LINE_S] = sign * flow, slope, -sign * p[REST_EXTRA] * slope


def _buffer(y: Vector, p: Vector, tables: Vector, f: Vector) -> None:
    """Flow into the buffer."""
    f[PG], f[CG], f[Q_NECK], f[NECK_D] = 0.0, 0.0, 0.0, 0.0
    if p[BUFFER_KIND] < 0.5:
        return
    f[PG], f[CG] = buffer_pressure(p, y[BUFFERED])
    push = f[P2] - f[PG]
    if p[BUFFER_NODE] < 1.5:
        push = f[P1] - f[PG]
    sign = 1.0
    if push < 0.0:
        sign = -1.0
    flow, slope = passage(tables, NECK, sign * push - p[NECK_YIELD])
    f[Q_NECK], f[NECK_D] = sign * flow, slope


def _destination(t: float, p: Vector, tables: Vector, r: Vector, f: Vector) -> None:
    """What the destination takes through its valve; nothing comes back."""
    share = valve(t, r)
    flow, slope = passage(tables, DESTINATION, f[P2] - p[DESTINATION_PRESSURE])
    f[Q_DEST], f[DEST_D] = share * flow, share * slope
    f[DEST_T] = 0.0
    if t < r[VALVE_UNTIL]:
        f[DEST_T] = r[VALVE_SLOPE] * flow


def drawn_off(y: Vector, p: Vector, r: Vector) -> tuple[float, float]:
    """What the filler draws from its hopper [m3/s], less as that runs out, and its slope over the volume."""
    soft = 0.01 * p[HOPPER_VOLUME]
    if p[HOPPER_VOLUME] <= 0.0 or y[HOPPER] >= soft:
        return r[DRAW], 0.0
    if y[HOPPER] <= 0.0:
        return 0.0, 0.0
    return r[DRAW] * y[HOPPER] / soft, r[DRAW] / soft


def slopes(y: Vector, p: Vector, r: Vector, f: Vector, d: Vector) -> None:
    """Fill in the time derivatives of all states from the flows of the moment."""
    at_pump = p[BUFFER_NODE] < 1.5
    neck_1, neck_2 = 0.0, f[Q_NECK]
    if at_pump:
        neck_1, neck_2 = f[Q_NECK], 0.0
    d[SPEED] = f[ACCEL]
    d[STORED_1] = f[Q_PUMP] - f[Q_LINE] - f[Q_RELIEF] - f[Q_SPILL] - neck_1
    d[STORED_2] = f[Q_LINE] - f[Q_DEST] - neck_2
    d[BUFFERED] = f[Q_NECK]
    d[STRUCTURE] = (1.0 - y[STRUCTURE]) / p[GROWTH_TIME] - p[BREAKDOWN] * y[STRUCTURE] * abs(f[Q_LINE])
    d[FED] = f[Q_FEED] - f[Q_PUMP]
    d[MEASURED_1] = (f[P1] - y[MEASURED_1]) / p[LAG_OUTLET]
    d[MEASURED_2] = (f[P2] - y[MEASURED_2]) / p[LAG_END]
    d[SWITCH] = (f[P1] - y[SWITCH]) / p[LAG_SWITCH]
    out, _ = drawn_off(y, p, r)
    d[HOPPER] = f[Q_DEST] - out
    d[DRAWN] = f[Q_FEED]
    d[PUMPED] = f[Q_PUMP]
    d[DELIVERED] = f[Q_DEST]
    d[RELIEVED] = f[Q_RELIEF]
    d[SPILLED] = f[Q_SPILL]
    d[DRAWN_OFF] = out
