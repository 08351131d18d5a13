"""One run of the search for the worst: what is drawn for it, its text, and the plant it is run on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields, replace

import numpy as np

from drumwright.machine.pump.base import ROTOR_STEP
from drumwright.station.control.layout import COLUMNS, SIGNALS
from drumwright.station.transient.layout import (
    DO_DRIFT,
    DO_OFFSET,
    DO_RAMP,
    DO_RELIEF,
    DO_STUCK_1,
    DO_SWITCH,
    DO_VALVE,
)
from drumwright.station.transient.run import Plant, Tables, Trace, run
from drumwright.study.running import Machine, rested_after, settled_after, started

PRODUCTS = 16  # samples of the band each season is searched with
CLOSES = (0.05, 2.0)  # s
AIR = (0.002, 0.05)  # share of the volume (physics book 6.1)
RAMPS = (1.0, 1.3)  # times as long as set; assumed
DRIFT = 0.05  # of the weakest part a second
FAULTS = ("none", "stuck_1", "drift", "switch_fails", "relief_shut", "slow_drive", "cold_start")
SHARE_SOUND = 0.4  # of the runs without a fault
SHUTS = 8  # times at most in a run
SWITCH_SIGNAL = SIGNALS.index("outlet_switch")
LIMIT = COLUMNS.index("limit")


@dataclass(frozen=True, slots=True)
class Draw:
    """One run of the search: everything that was drawn for it."""

    season: str
    sample: int
    worn: int  # steps of the clearance
    air: float
    moment: float  # the outlet begins to shut [s]
    closing: float  # [s]
    reopens: float  # after so long [s]; it shuts again as long after
    offset: float  # of the transmitter, share of its error -1 to 1
    switch: float  # of its tolerance, -1 to 1
    relief: float  # of its tolerance, -1 to 1
    ramp: float  # times as long as set
    fault: str

    def text(self) -> str:
        """The draw in one word that reads back."""
        return ",".join(f"{key}={value}" for key, value in asdict(self).items())


def draw_of(text: str) -> Draw:
    """Read a draw back.

    Parameters
    ----------
    text : str
        As `Draw.text` wrote it.

    Raises
    ------
    ValueError
        If it is not one.
    """
    pairs = dict(part.split("=", 1) for part in text.split(","))
    if set(pairs) != {each.name for each in fields(Draw)} or pairs["fault"] not in FAULTS:
        raise ValueError(text)
    kinds = {"season": str, "fault": str, "sample": int, "worn": int}
    found = {name: kinds.get(name, float)(word) for name, word in pairs.items()}
    if not all(math.isfinite(value) for value in found.values() if isinstance(value, float)):
        raise ValueError(text)
    return Draw(**found)


@dataclass(frozen=True, slots=True)
class Bench:
    """What a worker needs: plants by season, sample and wear, and the control."""

    plants: dict[tuple[str, int, int], Plant]
    cold: dict[tuple[str, int], tuple[float, float]]
    tables: Tables
    weakest: float
    offset: float  # error of the transmitter [Pa]
    switch: float
    relief: float  # tolerances [-]
    settles: float  # s
    fixed_air: bool


def bench_of(machine: Machine, products: int = PRODUCTS) -> Bench:
    """Make the plants a search draws from.

    Parameters
    ----------
    machine : Machine
    products : int
        Samples for each season: that at likely inputs, and even steps through the running pressure.
    """
    sample = machine.problem.sample_of(machine.found.choice)
    wears = (0, 1) if machine.turns else (0,)
    plants: dict[tuple[str, int, int], Plant] = {}
    cold: dict[tuple[str, int], tuple[float, float]] = {}
    for season, state in machine.found.balances.items():
        order = np.argsort(state.running_gauge[1:]) + 1
        places = np.linspace(0, order.size - 1, products - 1).astype(int)
        there = replace(machine, season=season)
        rested = rested_after(there, "night")
        for index in (0, *order[places].tolist()):
            cold[season, index] = rested
            for worn in wears:
                plants[season, index, worn] = machine.plant(int(index), season, worn * ROTOR_STEP)
    span = (
        float(sample["control.transmitter_span"][0])
        if "control.transmitter_span" in sample
        else (1.6 * machine.weakest)
    )
    return Bench(
        plants, cold, machine.tables, machine.weakest,
        offset=span * float(sample["control.transmitter_tolerance"].max()),
        switch=float(sample["control.switch_tolerance"].max()),
        relief=float(sample["control.relief_tolerance"].max()),
        settles=settled_after(machine),
        fixed_air=machine.around.effective_modulus is not None,
    )  # fmt: skip


def drawn(bench: Bench, seed: int, index: int, around: Sequence[Draw] = ()) -> Draw:
    """What is drawn for a run.

    Parameters
    ----------
    bench : Bench
    seed, index : int
    around : sequence of Draw
        Best of what was run before; empty where the draw is wide.
    """
    random = np.random.default_rng([seed, index])
    keys = list(bench.plants)
    season, sample, worn = keys[int(random.integers(len(keys)))]
    fault = "none" if random.random() < SHARE_SOUND else FAULTS[1 + int(random.integers(len(FAULTS) - 1))]
    first = Draw(
        season, sample, worn,
        air=float(np.exp(random.uniform(*np.log(AIR)))),
        moment=float(random.uniform(0.1, bench.settles + 3.0)),
        closing=float(np.exp(random.uniform(*np.log(CLOSES)))),
        reopens=float(np.exp(random.uniform(math.log(0.2), math.log(20.0)))),
        offset=float(random.uniform(-1.0, 1.0)),
        switch=float(random.uniform(-1.0, 1.0)),
        relief=float(random.uniform(-1.0, 1.0)),
        ramp=float(random.uniform(*RAMPS)),
        fault=fault,
    )  # fmt: skip
    if not around:
        return first
    base = around[int(random.integers(len(around)))]

    def near(value: float, other: float, low: float, high: float) -> float:
        return float(np.clip(value + 0.15 * (other - value), low, high))

    return replace(
        base,
        air=near(base.air, first.air, *AIR),
        moment=near(base.moment, first.moment, 0.1, bench.settles + 3.0),
        closing=near(base.closing, first.closing, *CLOSES),
        reopens=near(base.reopens, first.reopens, 0.2, 20.0),
        offset=near(base.offset, first.offset, -1.0, 1.0),
        switch=near(base.switch, first.switch, -1.0, 1.0),
        relief=near(base.relief, first.relief, -1.0, 1.0),
        ramp=near(base.ramp, first.ramp, *RAMPS),
    )


def run_draw(bench: Bench, asked: Draw, duration: float, *, fast: bool, every: float = 1e9) -> Trace:
    """Run what was drawn.

    Parameters
    ----------
    bench : Bench
    asked : Draw
    duration : float
        [s]
    fast : bool
        With the compiled kernel.
    every : float
        Between two rows [s]; a search keeps none.
    """
    plant = bench.plants[asked.season, asked.sample, asked.worn]
    values: dict[str, float] = {}
    if not bench.fixed_air:
        values |= {"air_1": asked.air, "air_2": asked.air}
    if plant["pump_kind"] < 0.5:
        values["relief_opening"] = plant["relief_opening"] * (1.0 + asked.relief * bench.relief)
    structure = 0.0
    if asked.fault == "cold_start":
        structure, colder = bench.cold[asked.season, asked.sample]
        values |= {"line_yield": plant["line_yield"] * colder, "rest_extra": plant["rest_extra"] * colder}
    plant = started(plant.with_values(**values), structure)
    if every > duration:  # nobody looks at the rows: end with a latched pump that stands
        plant = replace(plant, registers={**plant.registers, "ends_latched": 1.0})
    rules = bench.tables.rules.copy()
    if len(rules):
        wired = rules[:, 0] == SWITCH_SIGNAL
        rules[wired, LIMIT] *= 1.0 + asked.switch * bench.switch
    tables = Tables(rules, bench.tables.transitions, bench.tables.outputs)
    return run(
        plant, duration, tables, _schedule(bench, asked, duration), every=every, most_rows=20_000, fast=fast
    )


def _schedule(bench: Bench, asked: Draw, duration: float) -> list[tuple[float, int, float, float]]:
    rows: list[tuple[float, int, float, float]] = [
        (0.0, DO_OFFSET, -abs(asked.offset) * bench.offset, 0.0),
        (0.0, DO_RAMP, asked.ramp * (2.0 if asked.fault == "slow_drive" else 1.0), 0.0),
    ]
    at = max(asked.moment - 0.5, 0.0)
    single = {
        "stuck_1": (at, DO_STUCK_1, 1.0, 0.0),
        "drift": (at, DO_DRIFT, -DRIFT * bench.weakest, 0.0),
        "switch_fails": (at, DO_SWITCH, 1.0, 0.0),
        "relief_shut": (at, DO_RELIEF, 1.0, 0.0),
    }
    if asked.fault in single:
        rows.append(single[asked.fault])
    moment = asked.moment
    for _ in range(SHUTS):
        if moment >= duration:
            break
        rows.append((moment, DO_VALVE, 0.0, asked.closing))
        rows.append((moment + asked.closing + asked.reopens, DO_VALVE, 1.0, asked.closing))
        moment += 2.0 * (asked.closing + asked.reopens)
    return rows


def checked(machine: Machine, text: str) -> tuple[Draw, Bench]:
    """A draw read from its text, with the bench it runs on.

    Parameters
    ----------
    machine : Machine
    text : str

    Raises
    ------
    ValueError
        If it is no draw of this machine.
    """
    asked, bench = draw_of(text), bench_of(machine)
    if (asked.season, asked.sample, asked.worn) not in bench.plants:
        raise ValueError(text)
    return asked, bench
