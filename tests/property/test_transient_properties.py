"""Random plants in time: none hangs, chatters or is silently unsolved; peaks and events hold the tolerance.

300 plants; 10,000 freshly drawn ones in the long check; a tenth of that where the kernel is not compiled.
What is asked (10,000 plants, 60 s, tolerance 1e-4: none unsolved, error of the peak over 1 bar + peak at most
0.3 % in 99 of 100, events counted alike in 99.5 of 100) is the aim of the performance book, T8.
"""

from __future__ import annotations

import os
from typing import Any, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.station.control.objects import default_control
from drumwright.station.control.set_points import SetPoints, names
from drumwright.station.control.table import compiled
from drumwright.station.transient import equations, layout, passages
from drumwright.station.transient.compiled import available
from drumwright.station.transient.layout import (
    DO_BLOCK,
    DO_BURST,
    DO_EMERGENCY,
    DO_FEED,
    DO_OFFSET,
    DO_POWER,
    DO_RELIEF,
    DO_RESET,
    DO_START,
    DO_STUCK_1,
    DO_VALVE,
    REGISTERS,
    STATE,
)
from drumwright.station.transient.rest import standing
from drumwright.station.transient.run import TOLERANCE, Plant, Tables, Trace, first_registers, run
from transient_kit import ATMOSPHERE, plant

LONG = os.environ.get("DRUMWRIGHT_HYPOTHESIS") == "long"
FAST = available()
COUNT = (10_000 if LONG else 300) // (1 if FAST else 10)
FIRST = int(np.random.SeedSequence().generate_state(1)[0]) if LONG else 0
DURATION = 60.0  # s
STEPS = 400_000  # of a run of a minute; the performance book saw 23,000
BAR = 1.0e5
DENSITY = 1200.0  # kg/m3
OVERPRESSURE = 0.1  # of the relief valve at the full flow, share of its set (physics book 6.3)
PERCENT_99, EVENTS_RIGHT = 0.003, 0.995
# A line that hardly flows is said to move or to stand; thin product decides that by a few pascals.
OF_THE_LINE, LINE_RIGHT = ("line_moves", "line_stands"), 0.95
ONCE_WRONG = (3_507_803_851, 3_507_803_529)  # seeds of runs of 10,000
MOST_EACH = 400  # events of one kind in a minute: more is chatter
Row = tuple[float, int, float, float]


class Drawn(NamedTuple):
    """One random plant with its control and what is done to it."""

    plant: Plant
    control: Tables
    schedule: list[Row]


def drawn(seed: int) -> Drawn:
    """A plant drawn for a seed alone."""
    random = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(np.exp(random.uniform(np.log(low), np.log(high))))

    speed = between(0.2, 5.0)
    flow = between(0.1, 8.0) / 3600.0
    ramp = speed / between(0.1, 5.0)
    length, bore = between(1.0, 25.0), between(0.03, 0.12)
    room = 0.25 * np.pi * bore**2 * length
    soft = between(5e-11, 5e-8) + 1.0 / 2.2e9
    air = between(1e-5, 0.08)
    top = between(5.0, 40.0) * BAR
    changes: dict[str, float] = {
        "displacement": flow / speed, "speed_wanted": speed, "ramp_up": ramp, "ramp_down": ramp,
        "ramp_cut": speed / between(0.05, 0.5), "drive_lag": between(0.02, 0.2), "stall_pressure": 1.5 * top,
        "back_slip": float(random.random() < 0.7), "feed_conductance": flow / between(0.05 * BAR, 0.9 * BAR),
        "feed_compliance": between(1e-9, 1e-7), "inlet_need": between(1e4, 9e4),
        "container_volume": between(1.0, 300.0) * 1e-3,
        "volume_1": 0.5 * room, "volume_2": 0.5 * room, "flexibility_1": soft, "flexibility_2": soft,
        "air_1": air, "air_2": air, "static_head": float(random.uniform(-0.3, 1.0)) * BAR,
        "rest_extra": float(random.choice((0.0, between(1e3, 2e5)))), "growth_time": between(10.0, 3000.0),
        "breakdown": between(10.0, 3000.0), "relief_opening": 0.9 * top,
        "lag_outlet": between(0.01, 0.3), "lag_switch": between(0.005, 0.05), "scan": between(0.01, 0.1),
    }  # fmt: skip
    if random.random() < 0.5:
        kind = float(random.choice((1.0, 2.0)))
        volume = between(0.3, 60.0) * 1e-3
        changes |= {
            "buffer_kind": kind, "buffer_node": float(random.choice((1.0, 2.0))), "buffer_volume": volume,
            "buffer_precharge": between(0.1, 3.0) * BAR, "buffer_rate": between(0.5, 8.0) * BAR / volume,
            "buffer_exponent": float(random.uniform(1.0, 1.4)),
        }  # fmt: skip
    if random.random() < 0.15:  # driven by air: its "speed" is the share its valve is open
        changes |= {
            "pump_kind": 1.0, "displacement": 1.0, "speed_wanted": 1.0, "ramp_up": 2.0, "ramp_down": 2.0,
            "ramp_cut": 10.0, "stall_pressure": between(3.0, 30.0) * BAR,
        }  # fmt: skip
    yield_stress = float(random.choice((0.0, between(1.0, 800.0))))
    law = (yield_stress, between(0.5, 600.0), float(random.uniform(0.2, 1.0)))
    relief = (between(0.02, 0.06), between(0.1, 1.0))
    made = plant(
        yield_stress=law[0], consistency=law[1], exponent=law[2], bore=bore, length=length,
        slip=between(1e-14, 1e-11), resting=bool(random.random() < 0.7), relief=relief, **changes,
    )  # fmt: skip
    lift = OVERPRESSURE * 0.9 * top / flow
    for table, pipe, more in ((0, (bore, length), 0.0), (2, relief, lift), (3, (0.05, 0.15), 0.0),
                              (4, (0.05, 1.5), 0.0)):  # fmt: skip
        made.passages[table] = _pipe(*pipe, law, flow, more)
    if changes.get("pump_kind") == 1.0:
        made.passages[1] *= flow / max(float(made.passages[1].max()), 1e-30) * 10.0
    made.start[:] = np.where(standing(made.parameters) != 0.0, standing(made.parameters), made.start)
    return Drawn(made, _control(random, made, top), _schedule(random))


def _pipe(
    bore: float, length: float, law: tuple[float, float, float], flow: float, lift: float
) -> NDArray[np.float64]:
    """Table of a pipe with the velocity head, which bounds the flow of a thin product, and a valve's lift."""
    head = 0.5 * DENSITY * (1.0 + 0.02 * length / bore) / (0.25 * np.pi * bore**2) ** 2

    def pressure(rate: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(pressure_drop(rate, bore, length, *law) + head * rate**2 + lift * rate)

    held = 4.0 * law[0] * length / bore
    return passages.from_flow(pressure, np.array([held]), np.array([20.0 * flow]))[0]


def _control(random: np.random.Generator, made: Plant, top: float) -> Tables:
    """No control in one of five; else the table of the trade with levels under the top."""
    if random.random() < 0.2:
        return Tables()
    trip = float(random.uniform(0.75, 0.85)) * top
    stop = trip * float(random.uniform(0.8, 0.97))
    slow = stop * float(random.uniform(0.4, 0.95))
    running = 0.3 * slow
    levels = dict.fromkeys(names(), 1.0) | {
        "slow_down": slow, "stop": stop, "trip": trip, "relief": 0.9 * top,
        "restart_below": slow * float(random.uniform(0.5, 0.95)), "pressure_lost": 0.3 * running,
        "inlet_low": made["inlet_need"], "primed": made["inlet_need"], "air_low": 4.0 * BAR,
        "pump_hot": 350.0, "pump_cool": 335.0, "bottom": 0.02, "filled": made["full_height"] + 0.02,
        "raised": made["rim_height"], "torque_low": 0.1, "running_share": 0.5, "last_share": 0.4,
        "prime_share": 0.3, "jog_share": 0.1, "assist_high": 1.5e4, "lift_high": 1e4, "longest_stop": 40.0,
        "stop_half": 20.0, "closed_time": 10.0, "least_stop": 1.0, "confirm_time": 2.0, "prime_time": 3.0,
        "prime_longest": 40.0, "lost_time": 3.0, "had_time": 4.0, "press_out_time": 10.0,
    }  # fmt: skip
    points = SetPoints(**levels)
    table = compiled(default_control(made["pump_kind"] < 0.5), points.level)
    return Tables(table.rules, table.transitions, table.outputs)


def _schedule(random: np.random.Generator) -> list[Row]:
    """A filler that cycles, and in half of the plants something else."""
    rows: list[Row] = []
    period = float(np.exp(random.uniform(np.log(1.5), np.log(12.0))))
    share, ramp = float(random.uniform(0.2, 0.8)), float(np.exp(random.uniform(np.log(0.02), np.log(0.6))))
    for k in range(int(DURATION / period) + 1 if random.random() < 0.8 else 0):
        rows += [(k * period, DO_VALVE, 1.0, ramp), ((k + share) * period, DO_VALVE, 0.0, ramp)]
    at = float(random.uniform(1.0, 0.8 * DURATION))
    more: tuple[tuple[Row, ...], ...] = (
        ((at, DO_BLOCK, 0.0, 0.05),),
        ((at, DO_BURST, float(np.exp(random.uniform(np.log(1e-10), np.log(1e-7)))), 0.0),),
        ((at, DO_FEED, 0.0, 0.0), (at + 8.0, DO_FEED, 1.0, 0.0)),
        ((at, DO_POWER, 0.0, 0.0), (at + 3.0, DO_POWER, 1.0, 0.0), (at + 4.0, DO_RESET, 1.0, 0.0),
         (at + 4.5, DO_START, 1.0, 0.0), (at + 5.0, DO_START, 1.0, 0.0)),
        ((at, DO_STUCK_1, 1.0, 0.0), (at, DO_RELIEF, float(random.random() < 0.5), 0.0)),
        ((at, DO_EMERGENCY, 1.0, 0.0), (at + 2.0, DO_EMERGENCY, 0.0, 0.0), (at + 3.0, DO_RESET, 1.0, 0.0)),
        ((0.0, DO_OFFSET, float(random.normal(0.0, 0.1 * BAR)), 0.0),),
    )  # fmt: skip
    if random.random() < 0.5:
        rows += more[int(random.integers(len(more)))]
    return rows


def ran(asked: Drawn, tolerance: float) -> Trace:
    """A run of a drawn plant; few rows are kept."""
    return run(
        asked.plant, DURATION, asked.control, asked.schedule, tolerance=tolerance, every=1.0,
        most_steps=STEPS, fast=FAST,
    )  # fmt: skip


class Seen(NamedTuple):
    """What three runs of one plant say."""

    seed: int
    status: str
    steps: int
    imbalance: float
    finite: bool
    busiest: int  # events of the kind with most of them
    peak_error: float  # over 1 bar + peak, against a run at 1e-6
    alike: bool  # as many events of every kind as ten times tighter, but for those of the line
    line_alike: bool  # as many times that the line moves and stands


def _kinds(trace: Trace) -> dict[str, int]:
    found: dict[str, int] = {}
    for event in trace.events:
        found[event.kind] = found.get(event.kind, 0) + 1
    return found


def _alike(kinds: dict[str, int], others: dict[str, int]) -> tuple[bool, bool]:
    apart = {kind for kind in (*kinds, *others) if kinds.get(kind, 0) != others.get(kind, 0)}
    return not apart - set(OF_THE_LINE), not apart & set(OF_THE_LINE)


def _look_at(seed: int) -> Seen:
    asked = drawn(seed)
    usual, tighter, tightest = (ran(asked, tolerance) for tolerance in (TOLERANCE, 1e-5, 1e-6))
    kinds = _kinds(usual)
    peak, true = usual.peaks["outlet"], tightest.peaks["outlet"]
    values = [*usual.peaks.values(), *usual.end.values()]
    return Seen(
        seed, usual.status, usual.steps + usual.refused, usual.imbalance, bool(np.isfinite(values).all()),
        max(kinds.values(), default=0) if not usual.lost_events else 10**6,
        abs(peak - true) / (BAR + abs(true)), *_alike(kinds, _kinds(tighter)),
    )  # fmt: skip


@pytest.fixture(scope="module")
def seen() -> list[Seen]:
    """Every random plant, run three times."""
    return [_look_at(FIRST + index) for index in range(COUNT)]


def _worst(found: list[Seen], key: Any) -> str:
    return "; ".join(str(each) for each in sorted(found, key=key)[-5:])


def test_none_hangs_and_none_is_unsolved(seen: list[Seen]) -> None:
    """Every run comes to its end within its steps, with finite numbers."""
    bad = [each for each in seen if each.status != "solved" or not each.finite or each.steps >= STEPS]
    assert not bad, bad[:5]


def test_none_chatters(seen: list[Seen]) -> None:
    assert max(each.busiest for each in seen) <= MOST_EACH, _worst(seen, lambda each: each.busiest)


def test_what_was_pumped_is_somewhere(seen: list[Seen]) -> None:
    """Volume missing over what was pumped: rounding only."""
    assert max(each.imbalance for each in seen) < 1e-9, _worst(seen, lambda each: each.imbalance)


def test_peaks_hold_the_tolerance(seen: list[Seen]) -> None:
    """At most 0.3 % of 1 bar + peak in 99 of 100 plants (performance book, T8)."""
    errors = sorted(each.peak_error for each in seen)
    place = int(np.ceil(0.99 * len(errors))) - 1
    assert errors[place] <= PERCENT_99, _worst(seen, lambda each: each.peak_error)


def test_events_are_counted_alike(seen: list[Seen]) -> None:
    """As many events of every kind at the working tolerance as ten times tighter: 99.5 of 100 plants."""
    alike = sum(each.alike for each in seen) / len(seen)
    line = sum(each.line_alike for each in seen) / len(seen)
    assert alike >= EVENTS_RIGHT, (alike, [each.seed for each in seen if not each.alike][:20])
    assert line >= LINE_RIGHT, (line, [each.seed for each in seen if not each.line_alike][:20])


@pytest.mark.parametrize("seed", ONCE_WRONG)
def test_plants_that_once_ran_into_their_step_limit(seed: int) -> None:
    """A passage at its yield, passed by every step in turn: 400,000 steps of 10 us, or hundreds of events."""
    trace = ran(drawn(seed), TOLERANCE)
    assert trace.solved and trace.steps + trace.refused < 20_000
    assert max(_kinds(trace).values()) <= MOST_EACH


@pytest.mark.parametrize("seed", [1258, *range(20 if FAST else 3)])
def test_a_peak_is_no_higher_than_the_steps_show(seed: int) -> None:
    """Between two steps a peak is found by a cubic: once 96 bar where no step ended above 12 (like 1258)."""
    asked = drawn(seed)
    trace = run(asked.plant, DURATION, asked.control, asked.schedule, every=0.0, most_rows=60_000, fast=FAST)
    for part in ("outlet", "end"):
        highest = float(trace.rows[f"{part}_pressure"].max())
        assert highest - 1.0 <= trace.peaks[part] <= highest + 0.01 * (BAR + highest)


@pytest.mark.parametrize("seed", range(40))
def test_a_plant_that_stands_begins_at_rest(seed: int) -> None:
    """Nothing flows in line and neck, and the nodes show what the column puts on them."""
    made = drawn(seed).plant
    start, p = standing(made.parameters), made.parameters
    flow = np.zeros(len(layout.FLOWS))
    registers = first_registers(made)
    equations.flows(0.0, start, p, np.ascontiguousarray(made.passages.ravel()), registers, flow)
    assert flow[layout.Q_LINE] == pytest.approx(0.0, abs=1e-12)
    assert flow[layout.Q_NECK] == pytest.approx(0.0, abs=1e-9)
    head = made["static_head"]
    assert flow[layout.P1] == pytest.approx(max(head - made["line_yield"], 0.0), abs=1e-3)
    assert flow[layout.P2] == pytest.approx(max(-head - made["line_yield"], 0.0), abs=1e-3)


def test_a_run_that_is_cut_short_says_so() -> None:
    """Too few steps: the trace says it is not solved; nobody may take its peak for the peak."""
    asked = drawn(1)
    cut = run(asked.plant, DURATION, asked.control, asked.schedule, most_steps=50)
    assert not cut.solved and cut.status == "too_many_steps"


@pytest.mark.parametrize("place", range(len(STATE)))
@pytest.mark.parametrize("value", [np.nan, np.inf])
def test_broken_numbers_are_seen(place: int, value: float) -> None:
    """A start that is no number is told, wherever it stands; a transmitter that shows none stops nothing."""
    asked = drawn(1)
    asked.plant.start[place] = value
    broken = run(asked.plant, 0.5, asked.control, asked.schedule)
    assert not broken.solved and broken.status == "not_finite"


def test_the_draws_are_wide() -> None:
    """The plants differ as meant: with and without control, buffer and air pump, moving and standing."""
    plants = [drawn(seed) for seed in range(200)]
    for share in (
        np.mean([len(each.control.rules) == 0 for each in plants]),
        np.mean([each.plant["buffer_kind"] == 1.0 for each in plants]),
        np.mean([each.plant["buffer_kind"] == 2.0 for each in plants]),
        np.mean([each.plant["pump_kind"] == 1.0 for each in plants]),
    ):
        assert 0.05 < share < 0.5
    assert min(each.plant["atmosphere"] for each in plants) == ATMOSPHERE
    assert len(REGISTERS) > 0
