"""Limit cycles of the stop and of the slow-down band: periods and limits by hand against the simulation.

One line of constant compliance, a destination that draws an even flow, and one control object. By hand: the
relaxation between stop and restart, C dp/q_f + C dp/(Q - q_f); the place in the band at which the pump gives
what is drawn; and the band time below which the band swings, from the phase of its loop (integrator, lag of
the transmitter, lag of the drive, half a scan), with the period at that limit.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from drumwright.station.control.objects import Condition, Control, ControlObject, StateOutputs
from drumwright.station.control.table import compiled
from drumwright.station.transient import passages
from drumwright.station.transient.run import Plant, Tables, Trace, run
from transient_kit import plant
from validation_registry import record

BAR = 1.0e5
FLOW, DRAWN = 0.5e-3, 0.2e-3  # m3/s, of the pump and of the destination
VOLUME, FLEXIBILITY = 10.0e-3, 2.0e-8  # m3, 1/Pa
COMPLIANCE = 2.0 * VOLUME * FLEXIBILITY


def line(room: float = VOLUME, **changes: float) -> Plant:
    """A line without friction worth naming, whose destination draws an even flow above some pressure."""
    made = plant(
        yield_stress=0.0, consistency=0.5, exponent=1.0, bore=0.1, length=1.0, volume_1=room,
        volume_2=room, flexibility_1=FLEXIBILITY, flexibility_2=FLEXIBILITY, air_1=0.0, air_2=0.0,
        feed_conductance=1e-6, ramp_up=500.0, ramp_down=500.0, ramp_cut=500.0, **changes,
    )  # fmt: skip
    made.passages[4] = passages.saturating(2.0e3, DRAWN * 1.01)[0]
    return replace(made, passages=made.passages)


def control(*objects: ControlObject) -> Tables:
    table = compiled(Control(objects, (), (("emptying", StateOutputs(pump=True)),)), lambda name: math.nan)
    return Tables(table.rules, table.transitions, table.outputs)


def stops(high: float, low: float) -> Tables:
    seen = Condition("outlet_pressure", "above", high, low)
    return control(ControlObject("stop", (seen,), (("stop", 0.0), ("block_start", 0.0))))


def band(low: float, high: float) -> Tables:
    return control(
        ControlObject("slow", (Condition("outlet_pressure", "above", low, low),), (("slow", high),))
    )


def swing(trace: Trace, last: float) -> float:
    """Greatest less least outlet pressure over the last seconds [Pa]."""
    late = trace.rows["time"] > trace.rows["time"][-1] - last
    return float(np.ptp(trace.rows["outlet_pressure"][late]))


def period(trace: Trace, last: float) -> float:
    """Mean time between two rises through the mean of the last seconds [s]."""
    late = trace.rows["time"] > trace.rows["time"][-1] - last
    t, p = trace.rows["time"][late], trace.rows["outlet_pressure"][late]
    level = 0.5 * (p.max() + p.min())
    up = np.flatnonzero((p[:-1] < level) & (p[1:] >= level))
    crossed = t[up] + (level - p[up]) / (p[up + 1] - p[up]) * (t[up + 1] - t[up])
    return float(np.diff(crossed).mean())


@pytest.mark.parametrize(("high", "low"), [(6.0, 3.0), (8.0, 5.0), (5.0, 4.0)])
def test_stop_and_restart_relax_as_by_hand(high: float, low: float) -> None:
    """Period C dp/q_f + C dp/(Q - q_f) where instruments and drive are fast (2 %)."""
    made = line(10.0 * VOLUME, lag_outlet=0.002, drive_lag=0.005, scan=0.005)
    trace = run(made, 60.0, stops(high * BAR, low * BAR), every=0.005)
    moved = 10.0 * COMPLIANCE * (high - low) * BAR
    fast = moved / (FLOW - DRAWN) + moved / DRAWN
    found = period(trace, 40.0)
    name = f"TRN stop and restart {low:.0f} to {high:.0f} bar"
    record(name, "balance of the line by hand", "period", fast, found, "s", 0.02, "recomputed")
    assert found == pytest.approx(fast, rel=0.02)
    assert trace.count("pump_cut") == pytest.approx(60.0 / fast, abs=2.0)


def test_lag_of_transmitter_scan_and_drive_lengthens_the_swing() -> None:
    """The rate times lag and half a scan, and what a drive of first order moves until it gives q_f (8 %).

    Over the stop T[(Q - q) - q ln(Q/q)], under the restart T[q + (Q - q) ln(1 - q/Q)], T lag of the drive.
    """
    lag, scan, drive = 0.1, 0.02, 0.05
    made = line(lag_outlet=lag, drive_lag=drive, scan=scan)
    trace = run(made, 60.0, stops(6.0 * BAR, 3.0 * BAR), every=0.005)
    late, more = lag + 0.5 * scan, FLOW - DRAWN
    up = more * late + drive * (more - DRAWN * math.log(FLOW / DRAWN))
    down = DRAWN * late + drive * (DRAWN + more * math.log(1.0 - DRAWN / FLOW))
    assert swing(trace, 40.0) - 3.0 * BAR == pytest.approx((up + down) / COMPLIANCE, rel=0.08)


@pytest.mark.parametrize("share", [0.3, 0.4, 0.8])
def test_a_wide_band_settles_where_the_pump_gives_what_is_drawn(share: float) -> None:
    """p = p_hi - (q_f/Q)(p_hi - p_lo); nothing stops, nothing swings."""
    made = line(lag_outlet=0.05, drive_lag=0.05, scan=0.02)
    made.passages[4] = passages.saturating(2.0e3, share * FLOW * 1.01)[0]
    trace = run(made, 60.0, band(3.0 * BAR, 7.0 * BAR), every=0.02)
    wanted = 7.0 * BAR - share * 4.0 * BAR
    assert trace.rows["outlet_pressure"][-1] == pytest.approx(wanted, rel=0.01)
    assert swing(trace, 10.0) < 0.002 * BAR and trace.count("pump_cut") == 0


def limit(lags: tuple[float, ...], dead: float) -> tuple[float, float]:
    """Band time at which the loop just swings, and the period there [s]: its phase is then half a turn."""
    low, high = 1e-3, 1e4
    for _ in range(200):
        w = math.sqrt(low * high)
        phase = 0.5 * math.pi + sum(math.atan(w * lag) for lag in lags) + w * dead
        low, high = (w, high) if phase < math.pi else (low, w)
    gain = math.prod(1.0 / math.hypot(1.0, w * lag) for lag in lags) / w
    return gain, 2.0 * math.pi / w


@pytest.mark.parametrize(("lag", "drive", "scan"), [(0.1, 0.1, 0.05), (0.3, 0.05, 0.02), (0.05, 0.2, 0.1)])
def test_a_band_swings_below_its_limit_and_not_above(lag: float, drive: float, scan: float) -> None:
    """Half of the limit: it swings with the period of the limit (15 %); twice the limit: it comes to rest."""
    least, wave = limit((lag, drive), 0.5 * scan)
    swings = {}
    for factor in (0.5, 2.0):
        width = factor * least * FLOW / COMPLIANCE
        made = line(lag_outlet=lag, drive_lag=drive, scan=scan)
        trace = run(made, 60.0, band(4.0 * BAR, 4.0 * BAR + width), every=0.005)
        swings[factor] = swing(trace, 20.0) / width
        if factor < 1.0:
            found = period(trace, 20.0)
    assert swings[0.5] > 0.2 and swings[2.0] < 0.01
    name = f"TRN swing of the band, lags {lag:g} s and {drive:g} s"
    record(name, "phase of the loop by hand", "period", wave, found, "s", 0.3, "recomputed")
    assert found == pytest.approx(wave, rel=0.3)


def test_the_sure_band_of_the_physics_book_is_above_the_limit() -> None:
    """T_b >= 4 t_lag (physics book 6.2 c, 14.2 A14) leaves room to the limit whatever the lags are."""
    random = np.random.default_rng(1)
    for _ in range(200):
        lags = tuple(np.exp(random.uniform(np.log(0.01), np.log(1.0), 2)))
        scan = float(np.exp(random.uniform(np.log(0.005), np.log(0.5))))
        least, _ = limit(lags, 0.5 * scan)
        assert 4.0 * (sum(lags) + scan) > 1.5 * least
