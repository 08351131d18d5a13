"""What every instrument of the plant shows, with the faults it may have; events written down."""

from __future__ import annotations

from drumwright.station.control.layout import SIGNALS
from drumwright.station.transient.layout import (
    AIR_FACTOR,
    AIR_SUPPLY,
    ASSIST_PRESSURE,
    ATMOSPHERE,
    BATCH_VOLUME,
    CONTAINER_AREA,
    CONTAINER_PRESENT,
    CONTAINER_VOLUME,
    DELIVERED,
    DRAWN,
    DRAWN_BEFORE,
    DRIFT_1,
    DRIFT_SINCE,
    DRIVE_FAULT,
    EMERGENCY_STOP,
    EVENT_COUNT,
    EVENT_SIZE,
    GUARD_OPEN,
    HEIGHT_FAILS,
    HEIGHT_VALUE,
    HOPPER,
    HOPPER_VOLUME,
    LIFT_PULL,
    MAINTENANCE,
    MEASURED_1,
    MEASURED_2,
    OFFSET_1,
    OVERFILL,
    P1,
    PLATE,
    POWER_RETURN,
    PU,
    PUMP_KIND,
    PUMP_TEMPERATURE,
    Q_RELIEF,
    REQUEST,
    RUNNING,
    SPEED,
    SPEED_WANTED,
    START_REQUEST,
    STATE_SINCE,
    STOP_REQUEST,
    STOPPED_SINCE,
    STUCK_1,
    STUCK_2,
    STUCK_VALUE_1,
    STUCK_VALUE_2,
    SWITCH,
    SWITCH_FAILS,
    TORQUE_AT_REST,
    TORQUE_SLOPE,
    TRANSMITTER_FAULT,
)
from drumwright.station.transient.vector import Vector

(
    S_OUTLET, S_END, S_SWITCH, S_INLET, S_SPEED, S_TORQUE, S_HEIGHT, S_LEVEL, S_AIR, S_REQUEST, S_STOPPED,
    S_TRANSMITTER, S_GUARD, S_EMERGENCY, S_RELIEF, S_DRIVE, S_POWER, S_TEMPERATURE, S_ASSIST, S_PULL,
    S_OVERFILL, S_BATCH, S_CONTAINER, S_START, S_STOP, S_KEY, S_FAULT, S_HOLD, S_STATE_TIME,
) = range(len(SIGNALS))  # fmt: skip
SIGNAL_COUNT = len(SIGNALS)


def note(t: float, kind: int, value: float, ev: Vector, counts: Vector, most: int) -> None:
    """Write an event down, as long as there is room; all are counted."""
    count = int(counts[EVENT_COUNT])
    if count < most:
        ev[count * EVENT_SIZE] = t
        ev[count * EVENT_SIZE + 1] = float(kind)
        ev[count * EVENT_SIZE + 2] = value
    counts[EVENT_COUNT] += 1.0


def on_product(r: Vector) -> bool:
    """Whether the plate stands on the product; a stopped machine is left where it was."""
    return bool(r[PLATE] < 0.0)


def plate_height(y: Vector, p: Vector, r: Vector) -> float:
    """Height of the plate over the bottom [m], of the level where there is none."""
    if on_product(r):
        return float((p[CONTAINER_VOLUME] - (y[DRAWN] - r[DRAWN_BEFORE])) / p[CONTAINER_AREA])
    return float(r[PLATE])


def beyond(below: float, limit: float, value: float) -> bool:
    """Whether a signal is beyond a limit."""
    if below > 0.5:
        return value < limit
    return value > limit


def read_registers(t: float, p: Vector, r: Vector, sig: Vector) -> None:
    """Fill in the signals that change only at a look or by the schedule, and the times."""
    sig[S_AIR] = p[AIR_SUPPLY] * r[AIR_FACTOR]
    sig[S_REQUEST] = r[REQUEST]
    sig[S_STOPPED] = 0.0
    if r[RUNNING] < 0.5:
        sig[S_STOPPED] = t - r[STOPPED_SINCE]
    sig[S_TRANSMITTER] = r[TRANSMITTER_FAULT]
    sig[S_GUARD] = r[GUARD_OPEN]
    sig[S_EMERGENCY] = r[EMERGENCY_STOP]
    sig[S_DRIVE] = r[DRIVE_FAULT]
    sig[S_POWER] = r[POWER_RETURN]
    sig[S_TEMPERATURE] = r[PUMP_TEMPERATURE]
    sig[S_ASSIST] = r[ASSIST_PRESSURE]
    sig[S_PULL] = r[LIFT_PULL]
    sig[S_OVERFILL] = r[OVERFILL]
    sig[S_CONTAINER], sig[S_KEY] = r[CONTAINER_PRESENT], r[MAINTENANCE]
    sig[S_START], sig[S_STOP] = r[START_REQUEST], r[STOP_REQUEST]
    sig[S_STATE_TIME] = t - r[STATE_SINCE]


def read(t: float, y: Vector, p: Vector, r: Vector, f: Vector, sig: Vector) -> None:
    """Fill in what every instrument shows."""
    sig[S_OUTLET] = y[MEASURED_1] + r[OFFSET_1]
    if r[STUCK_1] > 0.5:
        sig[S_OUTLET] = r[STUCK_VALUE_1]
    if r[DRIFT_1] != 0.0:
        sig[S_OUTLET] += r[DRIFT_1] * (t - r[DRIFT_SINCE])
    sig[S_END] = y[MEASURED_2]
    if r[STUCK_2] > 0.5:
        sig[S_END] = r[STUCK_VALUE_2]
    sig[S_SWITCH] = y[SWITCH]
    if r[SWITCH_FAILS] > 0.5:
        sig[S_SWITCH] = 0.0
    sig[S_INLET] = f[PU]
    sig[S_SPEED] = y[SPEED] / p[SPEED_WANTED]
    sig[S_TORQUE] = 0.0
    if p[PUMP_KIND] < 0.5 and r[RUNNING] > 0.5:
        sig[S_TORQUE] = p[TORQUE_AT_REST] + p[TORQUE_SLOPE] * (f[P1] + p[ATMOSPHERE] - f[PU])
    sig[S_HEIGHT] = plate_height(y, p, r)
    if r[HEIGHT_FAILS] > 0.5:
        sig[S_HEIGHT] = r[HEIGHT_VALUE]
    sig[S_LEVEL] = 1.0
    if p[HOPPER_VOLUME] > 0.0:
        sig[S_LEVEL] = y[HOPPER] / p[HOPPER_VOLUME]
    sig[S_BATCH] = 0.0
    if p[BATCH_VOLUME] > 0.0:
        sig[S_BATCH] = y[DELIVERED] / p[BATCH_VOLUME]
    sig[S_RELIEF] = 0.0
    if f[Q_RELIEF] > 0.0:
        sig[S_RELIEF] = 1.0
    read_registers(t, p, r, sig)
