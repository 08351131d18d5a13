"""One step of a Rosenbrock method whose linear system is eliminated by hand.

Rodas3 of Sandu et al. (1997), coefficients from memory, held by a test of its order: four stages, order 3
with an error estimate of order 2, L-stable, stiffly accurate; three looks at the flows, one Jacobian. What
leaves one volume enters another in the Jacobian too, so the volume balance closes to rounding.
"""

from __future__ import annotations

from drumwright.station.transient.equations import drawn_off, flows, slopes
from drumwright.station.transient.layout import (
    ACCEL_1,
    ACCEL_W,
    BREAKDOWN,
    BUFFER_KIND,
    BUFFER_NODE,
    BUFFER_VOLUME,
    BUFFERED,
    C1,
    C2,
    CG,
    CU,
    DELIVERED,
    DEST_D,
    DEST_T,
    DRAWN,
    DRAWN_OFF,
    FED,
    FEED_D,
    GROWTH_TIME,
    HOPPER,
    HOPPER_VOLUME,
    LAG_END,
    LAG_OUTLET,
    LAG_SWITCH,
    LINE_D,
    LINE_S,
    MEASURED_1,
    MEASURED_2,
    NECK_D,
    P1,
    P2,
    PG,
    PU,
    PUMP_1,
    PUMP_U,
    PUMP_W,
    PUMPED,
    Q_LINE,
    Q_NECK,
    Q_RELIEF,
    RELIEF_D,
    RELIEVED,
    SPEED,
    SPEED_WANTED,
    SPILL_D,
    SPILLED,
    STORED_1,
    STORED_2,
    STRUCTURE,
    SWITCH,
)
from drumwright.station.transient.vector import Vector

STATES = 16
BAR = 1.0e5
# Places of the coefficients of the elimination.
(
    E_ONE, E_W1, E_WD, E_U1, E_UD, E_S1, E_SD, E_L1, E_LD, E_N1, E_QP1, E_DE, E_A11, E_A12, E_A21, E_A22,
    E_DET, E_HO, E_HB, E_M1, E_M2, E_M3, E_D1, E_D2, E_D3,
) = range(25)  # fmt: skip


def prepare(g: float, y: Vector, p: Vector, r: Vector, f: Vector, e: Vector) -> None:
    """Coefficients that eliminate all states but the two line pressures, for the diagonal g = 1/(h gamma)."""
    c1, c2, cg, cu = f[C1], f[C2], f[CG], f[CU]
    e[E_ONE] = 1.0 / g
    e[E_WD] = 1.0 / (g - f[ACCEL_W])
    e[E_W1] = f[ACCEL_1] * c1 * e[E_WD]
    e[E_UD] = 1.0 / (g + (f[FEED_D] + f[PUMP_U]) * cu)
    e[E_U1] = -(f[PUMP_W] * e[E_W1] + f[PUMP_1] * c1) * e[E_UD]
    e[E_QP1] = f[PUMP_W] * e[E_W1] + f[PUMP_U] * cu * e[E_U1] + f[PUMP_1] * c1
    sign = 1.0
    if f[Q_LINE] < 0.0:
        sign = -1.0
    flow = abs(f[Q_LINE])
    stiff = g + 1.0 / p[GROWTH_TIME] + p[BREAKDOWN] * flow
    loose = p[BREAKDOWN] * y[STRUCTURE] * sign
    if stiff + loose * f[LINE_S] < 0.2 * g:  # a structure that gives way at once: refused where too coarse
        e[E_LD] = 1.0 / stiff
    else:
        e[E_LD] = 1.0 / (stiff + loose * f[LINE_S])
    e[E_L1] = -loose * f[LINE_D] * e[E_LD]
    e[E_DE] = f[LINE_D] + f[LINE_S] * e[E_L1]
    at_pump = p[BUFFER_NODE] < 1.5
    ck = c2
    if at_pump:
        ck = c1
    e[E_SD] = 1.0 / (g + f[NECK_D] * cg)
    e[E_S1] = f[NECK_D] * ck * e[E_SD]
    e[E_N1] = f[NECK_D] * (ck - cg * e[E_S1])
    e[E_A11] = g - e[E_QP1] + (e[E_DE] + f[RELIEF_D] + f[SPILL_D]) * c1
    e[E_A12] = -e[E_DE] * c2
    e[E_A21] = -e[E_DE] * c1
    e[E_A22] = g + (e[E_DE] + f[DEST_D]) * c2
    if at_pump:
        e[E_A11] += e[E_N1]
    else:
        e[E_A22] += e[E_N1]
    e[E_DET] = 1.0 / (e[E_A11] * e[E_A22] - e[E_A12] * e[E_A21])
    _, out_d = drawn_off(y, p, r)
    e[E_HO] = out_d
    e[E_HB] = 1.0 / (g + out_d)
    e[E_M1], e[E_M2], e[E_M3] = 1.0 / p[LAG_OUTLET], 1.0 / p[LAG_END], 1.0 / p[LAG_SWITCH]
    e[E_D1], e[E_D2], e[E_D3] = 1.0 / (g + e[E_M1]), 1.0 / (g + e[E_M2]), 1.0 / (g + e[E_M3])


def solve(p: Vector, f: Vector, e: Vector, b: Vector, k: Vector) -> None:
    """Solve (g - J) k = b by the prepared elimination."""
    one, c1, c2, cg, cu = e[E_ONE], f[C1], f[C2], f[CG], f[CU]
    w0 = b[SPEED] * e[E_WD]
    u0 = (b[FED] - f[PUMP_W] * w0) * e[E_UD]
    pump_0 = f[PUMP_W] * w0 + f[PUMP_U] * cu * u0
    l0 = b[STRUCTURE] * e[E_LD]
    line_0 = f[LINE_S] * l0
    s0 = b[BUFFERED] * e[E_SD]
    neck_0 = f[NECK_D] * cg * s0
    b1 = b[STORED_1] + pump_0 - line_0
    b2 = b[STORED_2] + line_0
    at_pump = p[BUFFER_NODE] < 1.5
    if at_pump:
        b1 += neck_0
    else:
        b2 += neck_0
    k1 = (b1 * e[E_A22] - b2 * e[E_A12]) * e[E_DET]
    k2 = (b2 * e[E_A11] - b1 * e[E_A21]) * e[E_DET]
    kb = k2
    if at_pump:
        kb = k1
    k[STORED_1], k[STORED_2] = k1, k2
    k[SPEED] = w0 + e[E_W1] * k1
    k[FED] = u0 + e[E_U1] * k1
    k[BUFFERED] = s0 + e[E_S1] * kb
    k[STRUCTURE] = l0 + e[E_L1] * (c1 * k1 - c2 * k2)
    k[MEASURED_1] = (b[MEASURED_1] + c1 * k1 * e[E_M1]) * e[E_D1]
    k[MEASURED_2] = (b[MEASURED_2] + c2 * k2 * e[E_M2]) * e[E_D2]
    k[SWITCH] = (b[SWITCH] + c1 * k1 * e[E_M3]) * e[E_D3]
    delivered = f[DEST_D] * c2 * k2
    k[HOPPER] = (b[HOPPER] + delivered) * e[E_HB]
    k[DRAWN] = (b[DRAWN] - f[FEED_D] * cu * k[FED]) * one
    k[PUMPED] = (b[PUMPED] + pump_0 + e[E_QP1] * k1) * one
    k[DELIVERED] = (b[DELIVERED] + delivered) * one
    k[RELIEVED] = (b[RELIEVED] + f[RELIEF_D] * c1 * k1) * one
    k[SPILLED] = (b[SPILLED] + f[SPILL_D] * c1 * k1) * one
    k[DRAWN_OFF] = (b[DRAWN_OFF] + e[E_HO] * k[HOPPER]) * one


def step(
    t: float, h: float, y: Vector, p: Vector, tables: Vector, r: Vector, f: Vector, d: Vector, work: Vector,
    new: Vector,
) -> float:  # fmt: skip
    """Take a step and return its error over what is allowed at tolerance 1.

    Parameters
    ----------
    t, h : float
        Time and length of the step [s].
    y, p, tables, r : vector
        State, parameters, tables and registers.
    f, d : vector
        Flows and slopes at the beginning of the step, already filled in; kept.
    work : vector
        Room for the stages.
    new : vector
        The state at the end.

    Notes
    -----
    Error by pressures over 1 bar + pressure, speed over the wanted one, buffer over its volume, structure as
    it is. Volumes that feed nothing back are not judged.
    """
    g = 2.0 / h
    e, f2, d2 = work[0], work[1], work[2]
    b, k1, k2, k3, k4 = work[3], work[4], work[5], work[6], work[7]
    prepare(g, y, p, r, f, e)
    change = f[DEST_T]
    per = 1.0 / h
    for i in range(STATES):
        b[i] = d[i]
    _add_change(b, 0.5 * h * change)
    solve(p, f, e, b, k1)
    for i in range(STATES):
        b[i] = d[i] + 4.0 * per * k1[i]
    _add_change(b, 1.5 * h * change)
    solve(p, f, e, b, k2)
    for i in range(STATES):
        new[i] = y[i] + 2.0 * k1[i]
    flows(t + h, new, p, tables, r, f2)
    slopes(new, p, r, f2, d2)
    for i in range(STATES):
        b[i] = d2[i] + per * (k1[i] - k2[i])
    solve(p, f, e, b, k3)
    for i in range(STATES):
        new[i] = y[i] + 2.0 * k1[i] + k3[i]
    flows(t + h, new, p, tables, r, f2)
    slopes(new, p, r, f2, d2)
    for i in range(STATES):
        b[i] = d2[i] + per * (k1[i] - k2[i] - 8.0 / 3.0 * k3[i])
    solve(p, f, e, b, k4)
    for i in range(STATES):
        new[i] = new[i] + k4[i]
    return _error(p, f, k4)


def _add_change(b: Vector, amount: float) -> None:
    """Time derivative of the right-hand side: the valve that moves."""
    b[STORED_2] -= amount
    b[HOPPER] += amount
    b[DELIVERED] += amount


def _error(p: Vector, f: Vector, k: Vector) -> float:
    one, two = 1.0 / (BAR + abs(f[P1])), 1.0 / (BAR + abs(f[P2]))
    worst = max(abs(k[STORED_1]) * f[C1] * one, abs(k[STORED_2]) * f[C2] * two)
    worst = max(worst, abs(k[FED]) * f[CU] / (BAR + abs(f[PU])), abs(k[SPEED]) / p[SPEED_WANTED])
    worst = max(worst, abs(k[STRUCTURE]), abs(k[MEASURED_1]) * one, abs(k[MEASURED_2]) * two)
    worst = max(worst, abs(k[SWITCH]) * one)
    if p[BUFFER_VOLUME] > 0.0:
        worst = max(worst, abs(k[BUFFERED]) * f[CG] / (BAR + abs(f[PG])))
    if p[HOPPER_VOLUME] > 0.0:
        worst = max(worst, abs(k[HOPPER]) / p[HOPPER_VOLUME])
    return float(worst)


def begun(h: float, p: Vector, f: Vector, after: Vector) -> float:
    """How far a flow that begins or ends in a step may have thrown a pressure, over 1 bar + pressure.

    A passage that holds has no slope; a long step over the moment it gives way lands beyond where it would
    stand, the next one lands before it again, and so on for ever, each within the tolerance.

    Parameters
    ----------
    h : float
        [s]
    p, f, after : vector
        Parameters, and flows at both ends of the step.
    """
    one = h * after[C1] / (BAR + abs(after[P1]))
    two = h * after[C2] / (BAR + abs(after[P2]))
    worst = max(one, two) * _begun(f[Q_LINE], after[Q_LINE])
    worst = max(worst, one * _begun(f[Q_RELIEF], after[Q_RELIEF]))
    if p[BUFFER_KIND] > 0.5:
        at = two
        if p[BUFFER_NODE] < 1.5:
            at = one
        worst = max(worst, at * _begun(f[Q_NECK], after[Q_NECK]))
    return float(worst)


def _begun(before: float, after: float) -> float:
    if (before == 0.0) == (after == 0.0):
        return 0.0
    return abs(after - before)
