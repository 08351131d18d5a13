"""What the controller does at one look: signals, control objects, states, set speed; the flat table is run.

At every look of the controller a condition that holds adds the time since its last look to its timer, and
the object acts once the timer has reached its delay; it ends when the signal is back beyond the reset limit
for the reset delay, or when somebody resets it by hand. Wired contacts do so at their own, shorter look.
"""

from __future__ import annotations

from drumwright.station.control.layout import COLUMNS, OUTPUTS, TRANSITION_COLUMNS
from drumwright.station.transient.layout import (
    CHANGE_TIME,
    CONTAINER_PRESENT,
    CONTAINERS,
    DESTINATION_HOPPER,
    DRAWN,
    DRAWN_BEFORE,
    DRIVE_FAULT,
    EV_ACTS,
    EV_CLOSES,
    EV_CUT,
    EV_ENDS,
    EV_OPENS,
    EV_START,
    EV_STATE,
    EV_STOP,
    FEED_FACTOR,
    FULL_HEIGHT,
    HOPPER_HIGH,
    HOPPER_LOW,
    MAY_LOWER,
    MAY_RAISE,
    PLACE,
    PLATE,
    PLATE_SPEED,
    POWER_OFF,
    RAMP_CUT,
    RAMP_DOWN,
    RATE_DOWN,
    REQUEST,
    RESET_NOW,
    RIM_HEIGHT,
    RUNNING,
    SPEED,
    SPEED_FACTOR,
    SPEED_SET,
    SPEED_WANTED,
    START_REQUEST,
    STATE_SINCE,
    STOP_REQUEST,
    STOPPED_SINCE,
    VALVE_AT,
    VALVE_CLOSING,
    VALVE_OPENING,
    VALVE_SINCE,
    VALVE_SLOPE,
    VALVE_UNTIL,
)
from drumwright.station.transient.signals import (
    S_FAULT,
    S_HOLD,
    S_LEVEL,
    S_STATE_TIME,
    SIGNAL_COUNT,
    beyond,
    note,
    plate_height,
)
from drumwright.station.transient.vector import Vector

(
    R_SIGNAL, R_BELOW, R_LIMIT, R_DELAY, R_RESET, R_RESET_DELAY, R_ACTION, R_VALUE, R_MANUAL, R_PRIORITY,
    R_PURPOSE, R_SCANNED, R_STATES, R_GROUP, R_VOTES,
) = range(len(COLUMNS))  # fmt: skip
RULE_SIZE = len(COLUMNS)
A_SLOW, A_LIMIT, A_RAMP, A_STOP, A_BLOCK = 0, 1, 2, 3, 4
A_HOLD, A_PRESS_OUT, A_HOLD_DOWN, A_HOLD_UP = 5, 14, 15, 16
T_FROM, T_SIGNAL, T_BELOW, T_LIMIT, T_DELAY, T_TO = range(len(TRANSITION_COLUMNS))
TRANSITION_SIZE = len(TRANSITION_COLUMNS)
ST_READY, ST_EMPTYING, ST_PRESS_OUT, ST_RAISE, ST_DRUM_EMPTY, ST_STOPPED, ST_FAULT = (
    0, 3, 6, 7, 8, 10, 11,
)  # fmt: skip
OUT_PUMP, OUT_PLATE = 0, 1
OUTPUT_SIZE = len(OUTPUTS)
FAR = 1.0e30
ACTING = 0.5
RUNS, RAMPS_DOWN, CUT = 0.0, 1.0, 2.0  # orders to the pump, the strongest last


def judge(
    t: float, past: float, wired: float, r: Vector, rules: Vector, count: int, timers: Vector, resets: Vector,
    acting: Vector, shown: Vector, sig: Vector,
) -> float:  # fmt: skip
    """Move every condition on; return 1 where a timer runs: looks must follow.

    A condition with manual reset stays only while its whole object acts (`shown`, of the look before): before
    that it ends by itself, for one of two signs that was there an hour ago is no sign now.
    """
    busy = 0.0
    place = int(r[PLACE])
    for k in range(count):
        at = k * RULE_SIZE
        if (rules[at + R_SCANNED] < 0.5) != (wired > 0.5):
            continue
        value = sig[int(rules[at + R_SIGNAL])]
        alive = (int(rules[at + R_STATES]) >> place) % 2 == 1
        was = acting[k]
        if alive and beyond(rules[at + R_BELOW], rules[at + R_LIMIT], value):
            timers[k] += past
            resets[k] = 0.0
            if was < ACTING:
                if timers[k] >= rules[at + R_DELAY]:
                    acting[k] = 1.0
                else:
                    busy = 1.0
        else:
            timers[k] = 0.0
            over = (not alive) or not beyond(rules[at + R_BELOW], rules[at + R_RESET], value)
            if was > ACTING and rules[at + R_MANUAL] > 0.5 and shown[k] > ACTING:
                if over and r[RESET_NOW] > 0.5:
                    acting[k] = 0.0
            elif was > ACTING and over:
                resets[k] += past
                if resets[k] >= rules[at + R_RESET_DELAY]:
                    acting[k] = 0.0
                else:
                    busy = 1.0
            else:
                resets[k] = 0.0
    return busy


def acts(k: int, rules: Vector, count: int, acting: Vector) -> bool:
    """Whether an object acts: alone, or with enough others of its group, whose rows stand together."""
    if acting[k] < ACTING:
        return False
    group = rules[k * RULE_SIZE + R_GROUP]
    if group <= 0.0:
        return True
    j = k
    while j > 0 and rules[(j - 1) * RULE_SIZE + R_GROUP] == group:
        j -= 1
    votes = 0.0
    while j < count and rules[j * RULE_SIZE + R_GROUP] == group:
        if acting[j] > ACTING:
            votes += 1.0
        j += 1
    return bool(votes >= rules[k * RULE_SIZE + R_VOTES])


def command(
    t: float, y: Vector, p: Vector, r: Vector, rules: Vector, count: int, acting: Vector, shown: Vector,
    outputs: Vector, sig: Vector, ev: Vector, counts: Vector, most: int,
) -> float:  # fmt: skip
    """Set speed and plate from all objects that act; the strongest wins.

    Return 1 where a signal sets the speed of a running pump: looks must follow.
    """
    factor, order, blocked, slowing = r[SPEED_FACTOR], RUNS, 0.0, 0.0
    r[MAY_LOWER], r[MAY_RAISE] = 1.0, 1.0
    for k in range(count):
        now = acting[k] > ACTING and acts(k, rules, count, acting)
        if now != (shown[k] > ACTING):
            kind, shown[k] = EV_ENDS, 0.0
            if now:
                kind, shown[k] = EV_ACTS, 1.0
            note(t, kind, float(k), ev, counts, most)
        if not now:
            continue
        at = k * RULE_SIZE
        action = int(rules[at + R_ACTION])
        if action == A_SLOW:
            width = rules[at + R_VALUE] - rules[at + R_LIMIT]
            left = (rules[at + R_VALUE] - sig[int(rules[at + R_SIGNAL])]) / width
            factor = min(factor, min(max(left, 0.0), 1.0))
            if left > 0.0:
                slowing = 1.0
        elif action == A_LIMIT:
            factor = min(factor, rules[at + R_VALUE])
        elif action == A_RAMP:
            order = max(order, RAMPS_DOWN)
        elif action == A_STOP:
            order = CUT
        elif action == A_BLOCK:
            blocked = 1.0
        if action in (A_HOLD, A_HOLD_DOWN):
            r[MAY_LOWER] = 0.0
        if action in (A_HOLD, A_HOLD_UP):
            r[MAY_RAISE] = 0.0
    if outputs[int(r[PLACE]) * OUTPUT_SIZE + OUT_PUMP] < 0.5 or (r[RUNNING] < 0.5 and blocked > 0.5):
        order = max(order, RAMPS_DOWN)
    set_pump(t, factor, order, y, p, r, ev, counts, most)
    if r[RUNNING] < 0.5:
        slowing = 0.0
    return slowing


def set_pump(
    t: float, factor: float, order: float, y: Vector, p: Vector, r: Vector, ev: Vector, counts: Vector,
    most: int,
) -> None:  # fmt: skip
    """Give the drive its speed and its ramp; write down where the pump starts and stops."""
    if r[POWER_OFF] > 0.5 or r[DRIVE_FAULT] > 0.5:
        order = CUT
    r[RATE_DOWN] = p[RAMP_DOWN]
    if order == CUT:
        r[RATE_DOWN] = p[RAMP_CUT]
    if order > RUNS and r[RUNNING] > 0.5:
        kind = EV_STOP
        if order == CUT:
            kind = EV_CUT
        note(t, kind, y[SPEED], ev, counts, most)
        r[RUNNING], r[STOPPED_SINCE] = 0.0, t
    elif order == RUNS and r[RUNNING] < 0.5:
        note(t, EV_START, 0.0, ev, counts, most)
        r[RUNNING] = 1.0
    r[SPEED_SET] = 0.0
    if order == RUNS:
        r[SPEED_SET] = factor * p[SPEED_WANTED]


def enter(
    t: float, state: int, y: Vector, p: Vector, r: Vector, ev: Vector, counts: Vector, most: int
) -> None:  # fmt: skip
    """Go to a state; out of a container the plate leaves the product, a full container is a new one."""
    if state == ST_RAISE and r[PLATE] < 0.0:
        r[PLATE] = max(plate_height(y, p, r), 0.0)
        r[FEED_FACTOR] = 0.0
    if state == ST_READY and r[PLACE] == ST_DRUM_EMPTY:
        r[DRAWN_BEFORE] = y[DRAWN]
    r[PLACE], r[STATE_SINCE] = float(state), t
    note(t, EV_STATE, float(state), ev, counts, most)


def latched(rules: Vector, count: int, acting: Vector, sig: Vector) -> bool:
    """Fill in whether an object acts that must be reset by hand; tell whether the end of a container acts."""
    sig[S_FAULT], sig[S_HOLD], press = 0.0, 0.0, False
    for k in range(count):
        at = k * RULE_SIZE
        if acting[k] < ACTING or not acts(k, rules, count, acting):
            continue
        if rules[at + R_ACTION] == A_PRESS_OUT:
            press = True
        if rules[at + R_MANUAL] > 0.5:
            if rules[at + R_PURPOSE] > 0.5:
                sig[S_FAULT] = 1.0
            else:
                sig[S_HOLD] = 1.0
    return press


def proceed(
    t: float, past: float, press: bool, y: Vector, p: Vector, r: Vector, transitions: Vector, count: int,
    timers: Vector, sig: Vector, ev: Vector, counts: Vector, most: int,
) -> float:  # fmt: skip
    """Follow the first transition of the state whose condition has held long enough."""
    busy = 0.0
    if press and r[PLACE] == ST_EMPTYING:
        enter(t, ST_PRESS_OUT, y, p, r, ev, counts, most)
        sig[S_STATE_TIME], busy = 0.0, 1.0
    place = r[PLACE]
    for k in range(count):
        at = k * TRANSITION_SIZE
        if transitions[at + T_FROM] != place:
            timers[k] = 0.0
            continue
        if beyond(transitions[at + T_BELOW], transitions[at + T_LIMIT], sig[int(transitions[at + T_SIGNAL])]):
            timers[k] += past
            if timers[k] >= transitions[at + T_DELAY]:
                for j in range(count):  # every wait begins anew in another state
                    timers[j] = 0.0
                enter(t, int(transitions[at + T_TO]), y, p, r, ev, counts, most)
                r[START_REQUEST], r[STOP_REQUEST] = 0.0, 0.0
                return 1.0
            busy = 1.0
        else:
            timers[k] = 0.0
    return busy


def move_plate(t: float, past: float, p: Vector, r: Vector, outputs: Vector) -> float:
    """Lower the plate to the product or raise it out of the container; people bring the next container."""
    if r[PLACE] == ST_DRUM_EMPTY and p[CHANGE_TIME] > 0.0 and r[CONTAINERS] > 0.5:
        r[CONTAINER_PRESENT] = 1.0
        if t - r[STATE_SINCE] >= p[CHANGE_TIME]:
            r[CONTAINER_PRESENT] = 0.0
        return 1.0
    if r[PLACE] == ST_READY and p[CHANGE_TIME] > 0.0 and r[CONTAINER_PRESENT] < 0.5:
        r[CONTAINER_PRESENT], r[START_REQUEST] = 1.0, 1.0
        return 1.0
    motion = outputs[int(r[PLACE]) * OUTPUT_SIZE + OUT_PLATE]
    if r[PLATE] < 0.0 or motion == 0.0:
        return 0.0
    if motion > 0.0 and r[MAY_RAISE] > 0.5:
        r[PLATE] = min(r[PLATE] + p[PLATE_SPEED] * past, p[RIM_HEIGHT])
    if motion < 0.0 and r[MAY_LOWER] > 0.5:
        r[PLATE] -= p[PLATE_SPEED] * past
        if r[PLATE] <= p[FULL_HEIGHT]:
            r[PLATE], r[FEED_FACTOR] = -1.0, 1.0
    return 1.0


def follow_level(t: float, p: Vector, r: Vector, sig: Vector, ev: Vector, counts: Vector, most: int) -> None:
    """A hopper asks for product below its low mark and no more above the high one; its valve may follow."""
    if p[DESTINATION_HOPPER] < 0.5 or r[REQUEST] > 1.5:
        return
    if r[REQUEST] < 0.5 and sig[S_LEVEL] <= p[HOPPER_LOW]:
        r[REQUEST] = 1.0
        if p[DESTINATION_HOPPER] < 1.5:
            move_valve(t, 1.0, p[VALVE_OPENING], r, ev, counts, most)
    elif r[REQUEST] > 0.5 and sig[S_LEVEL] >= p[HOPPER_HIGH]:
        r[REQUEST] = 0.0
        if p[DESTINATION_HOPPER] < 1.5:
            move_valve(t, 0.0, p[VALVE_CLOSING], r, ev, counts, most)


def move_valve(
    t: float, target: float, duration: float, r: Vector, ev: Vector, counts: Vector, most: int
) -> None:
    """Send the valve of the destination towards a share open."""
    now = t
    if t > r[VALVE_UNTIL]:
        now = r[VALVE_UNTIL]
    at = min(max(r[VALVE_AT] + r[VALVE_SLOPE] * (now - r[VALVE_SINCE]), 0.0), 1.0)
    kind = EV_OPENS
    if target < at:
        kind = EV_CLOSES
    if target != at:
        note(t, kind, target, ev, counts, most)
    if duration < 1e-3:
        duration = 1e-3
    r[VALVE_AT], r[VALVE_SINCE] = at, t
    r[VALVE_SLOPE], r[VALVE_UNTIL] = (target - at) / duration, t + duration


def room(
    r: Vector, p: Vector, rules: Vector, count: int, transitions: Vector, transition_count: int, sig: Vector,
    low: Vector, high: Vector,
) -> None:  # fmt: skip
    """Between which values of every signal nothing of the control can change."""
    for s in range(SIGNAL_COUNT):
        low[s], high[s] = -FAR, FAR
    place = int(r[PLACE])
    for k in range(count):
        at = k * RULE_SIZE
        if (int(rules[at + R_STATES]) >> place) % 2 == 0:
            continue
        s = int(rules[at + R_SIGNAL])
        narrow(s, rules[at + R_LIMIT], sig[s], low, high)
        narrow(s, rules[at + R_RESET], sig[s], low, high)
        if rules[at + R_ACTION] == A_SLOW:
            narrow(s, rules[at + R_VALUE], sig[s], low, high)
    for k in range(transition_count):
        at = k * TRANSITION_SIZE
        if transitions[at + T_FROM] == place:
            s = int(transitions[at + T_SIGNAL])
            narrow(s, transitions[at + T_LIMIT], sig[s], low, high)
    if p[DESTINATION_HOPPER] > 0.5:
        narrow(S_LEVEL, p[HOPPER_LOW], sig[S_LEVEL], low, high)
        narrow(S_LEVEL, p[HOPPER_HIGH], sig[S_LEVEL], low, high)


def narrow(s: int, limit: float, value: float, low: Vector, high: Vector) -> None:
    """Bring a limit of a signal into its room."""
    if limit >= value:
        high[s] = min(high[s], limit)
    else:
        low[s] = max(low[s], limit)


def left(sig: Vector, low: Vector, high: Vector, first: int, last: int) -> bool:
    """Whether a signal has left its room."""
    for s in range(first, last):  # no generator: the kernel is compiled
        gone = bool(sig[s] < low[s] or sig[s] > high[s])
        if gone:
            return gone
    return False
