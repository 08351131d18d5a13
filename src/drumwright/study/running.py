"""The arrangement of a case in time: its plant with its own control, and what stands around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import NotJudgedYet
from drumwright.basis.statistics import quantiles
from drumwright.machine.delivery.destination import is_closed
from drumwright.machine.line.losses import volume
from drumwright.machine.pump.operate import stall_pressure
from drumwright.station.control.objects import Control
from drumwright.station.control.set_points import SetPoints
from drumwright.station.control.table import RowName, compiled
from drumwright.station.records import Case
from drumwright.station.transient.build import Surroundings, plant_of
from drumwright.station.transient.layout import STATE
from drumwright.station.transient.run import Plant, Tables, Trace, run
from drumwright.study.assess import judgements
from drumwright.study.destinations import Takes, delivering, takes_of
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.line_findings import BULK_MODULUS
from drumwright.study.line_stops import segments_of_route, stops_of
from drumwright.study.pump_figures import motor_of
from drumwright.study.set_levels import control_of
from drumwright.study.set_points import PARTS, parts_of

Array = NDArray[np.float64]
SAMPLES = 1024
TEN_BAR = 1.0e6  # Pa, the growth of a hose is stated for
CONFIRMED = 0.05  # s, between two rows of a trace
SURELY = 1.5  # times the filling of the line with pressure that is waited for a steady line
LONGEST_START = 90.0  # s, waited for it at most
WHOLE_BUFFER = {
    "gas_cushion": ("volume", "precharge", "neck_bore", "neck_length"),
    "spring": ("volume", "precharge", "full_pressure"),
}
FILLS = 0.3  # of the volume of a buffer, which it has taken when it is in balance
PAST_RIM = 0.01  # m, how far the plate goes on once it is up
RAISES_AT = 0.05  # m/s, rapid travel of the plate (trade book 2.1)
OVER_LIMIT = 1.1  # of the torque at a cold start the drive is set to (as `drive_with`)


@dataclass(frozen=True, slots=True)
class Machine:
    """One arrangement in one season, ready to run."""

    problem: Problem
    found: Evaluation
    season: str
    control: Control
    points: SetPoints
    tables: Tables
    names: tuple[RowName, ...]
    around: Surroundings
    weakest: float  # Pa(g)
    part: str  # that it is
    turns: bool
    closes: bool  # the destination can close on the running pump
    takes: Takes  # how the destination takes product
    kept: dict[Any, Plant] = field(default_factory=dict)

    @property
    def state(self) -> Any:
        """The steady balance of the season."""
        return self.found.balances[self.season]

    @property
    def line_volume(self) -> float:
        """Volume of the full line [m3]."""
        return float(np.ravel(volume(segments_of_route(self.state.route)))[0])

    def plant(self, index: int = 0, season: str | None = None, worn: float = 0.0, **changes: Any) -> Plant:
        """A sample of this arrangement as a plant.

        Parameters
        ----------
        index : int
            Of the sample; 0 is at likely inputs.
        season : str, optional
            That of the machine where left out.
        worn : float
            Growth of the clearance [m].
        **changes : Any
            Of `Surroundings` [-].
        """
        key = (index, season, worn, tuple(sorted(changes.items())))
        if key not in self.kept:
            state = self.found.balances[season or self.season]
            around = replace(self.around, **changes)
            plant = plant_of(
                self.problem.sample_of(self.found.choice), state, self.found.choice,
                segments_of_route(state.route), around, index, worn,
            )  # fmt: skip
            self.kept[key] = delivering(plant, self.takes)
        return self.kept[key]


def machine_of(case: Case, *, samples: int = SAMPLES, season: str | None = None) -> Machine:
    """The arrangement a case rests on, as a machine in time.

    Parameters
    ----------
    case : Case
    samples : int
        Scrambled Sobol points, a power of two.
    season : str, optional
        winter, norm or summer; the coldest where left out.

    Raises
    ------
    NotJudgedYet
        If no arrangement can be computed: an answer is missing, or nothing enters the container.
    """
    first = judgements(case, samples)[0]
    found = first.best or first.asked
    if found is None or not found.balances or not flows(found):
        what, allowed, remedy = trouble("RUN-001")
        raise NotJudgedYet(f"{what}: {allowed}; {remedy}")
    return machine_for(first.problem, found, season)


def flows(found: Evaluation) -> bool:
    """Whether something flows in every season.

    Parameters
    ----------
    found : Evaluation
    """
    return all(float(state.flow[0]) > 0.0 for state in found.balances.values())


def machine_for(problem: Problem, found: Evaluation, season: str | None = None) -> Machine:
    """A judged arrangement as a machine in time.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With balances.
    season : str, optional
        As in `machine_of`.
    """
    taken = season if season is not None and season in found.balances else next(iter(found.balances))
    state = found.balances[taken]
    control, points = control_of(problem, found)
    table = compiled(control, points.level)
    parts = np.array([float(np.ravel(part)[0]) for part in parts_of(problem, state, found.choice)])
    return Machine(
        problem=problem,
        found=found,
        season=taken,
        control=control,
        points=points,
        tables=Tables(table.rules, table.transitions, table.outputs),
        names=table.names,
        around=surroundings_of(problem, found, state, points),
        weakest=float(parts.min()),
        part=PARTS[int(parts.argmin())],
        turns=found.choice.pump.turns,
        closes=is_closed(problem.inputs.choices["destination.kind"] or "open_tank"),
        takes=takes_of(problem.inputs, float(state.wanted_flow[0]), problem.inputs.likely("product.density")),
    )


def surroundings_of(problem: Problem, found: Evaluation, state: Any, points: SetPoints) -> Surroundings:
    """What stands around pump and line, at likely inputs.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    state : Balance
        Of the season.
    points : SetPoints

    Notes
    -----
    Air in the product is counted as it is stated, else as it is assumed: a run shows what is likely, the
    search for the worst varies it.
    """
    sample, choice = problem.sample_of(found.choice), found.choice

    def likely(key: str, otherwise: float) -> float:
        return float(sample[key][0]) if key in sample else otherwise

    running, cold = (
        quantiles(np.atleast_1d(values)[1:], 0.95)[0]
        for values in (state.load.torque, state.load.start_torque)
    )
    setting = OVER_LIMIT * max(running, cold, 1e-9)
    turns = choice.pump.turns
    return Surroundings(
        stall_pressure=stall_of(problem, found),
        ramp_time=max(likely("control.ramp_time", 1.0), 0.05),
        run_on_time=likely("control.run_on_time", 0.2),
        drive_lag=max(likely("control.drive_lag", 0.05), 0.01),
        scan_time=max(likely("control.scan_time", 0.05), 0.005),
        lag_outlet=max(likely("control.transmitter_lag", 0.05), 0.005),
        bulk_modulus=BULK_MODULUS,
        air_share=max(likely("product.air_share", likely("model.entrained_air", 0.01)), 0.0),
        hose_growth=likely("line.hose_growth", 0.01) / TEN_BAR,
        effective_modulus=likely("line.effective_modulus", 0.0) or None,
        relief_opening=points.relief if turns else None,
        relief_overpressure=likely("control.relief_overpressure", 0.1),
        relief_branch=likely("model.relief_branch", 0.3),
        relief_flow=choice.pump.displacement * choice.pump.maximum_speed if turns else 0.0,
        growth_time=max(likely("product.restart_time", 600.0), 1.0),
        rested=likely("product.restart_factor", 1.0),
        torque_running=float(np.ravel(state.load.torque)[0]) / setting if turns else 0.0,
        torque_at_rest=_friction_share(state, setting) if turns else 0.0,
        buffer=buffer_of(problem),
        neck=(max(likely("buffer.neck_bore", 0.05), 1e-3), max(likely("buffer.neck_length", 0.15), 1e-3)),
        rim_height=points.raised + PAST_RIM,
        plate_speed=RAISES_AT,
    )


def _friction_share(state: Any, setting: float) -> float:
    """Share of the setting the pump takes at the wanted speed against no pressure."""
    built = max(float(state.pressure_added[0]), 0.0)
    pump = float(np.ravel(state.load.torque)[0])
    displaced = float(state.pump_wanted.speed[0])
    moved = built * float(state.wanted_flow[0]) / max(displaced, 1e-9) / (2.0 * np.pi)
    return max(pump - moved, 0.0) / setting


def stall_of(problem: Problem, found: Evaluation) -> float:
    """Pressure on a closed outlet at which drive or air gives no more, at likely inputs [Pa(g)].

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    sample, pump = problem.sample_of(found.choice), found.choice.pump
    if pump.turns:
        mains = problem.inputs.likely("site.mains_frequency")
        motor = motor_of(found, mains)
        state = next(iter(found.balances.values()))
        if not np.isfinite(motor):
            motor = quantiles(state.load.motor_required[1:], 0.95)[0]
        speed = float(state.pump_wanted.speed[0])
        return float(np.ravel(stall_pressure(pump, float(motor), speed, sample))[0])
    one = {"site.air_pressure": np.ones(1)}
    ratio = float(np.ravel(stall_pressure(pump, 0.0, 0.0, one))[0])
    return ratio * float(sample["pump.air_pressure"][0])


def buffer_of(problem: Problem) -> dict[str, float] | None:
    """Parameters of a buffer that is stated whole; None without one, or where something of it is missing.

    Parameters
    ----------
    problem : Problem

    Notes
    -----
    It stands at the end of the line. As in the figures nothing is credited that was not said: a gas cushion
    needs volume, precharge and neck, a spring buffer volume and both pressures.
    """
    kind, estimates = problem.inputs.choices["buffer.kind"], problem.inputs.estimates
    if kind not in WHOLE_BUFFER or not {f"buffer.{name}" for name in WHOLE_BUFFER[kind]} <= set(estimates):
        return None
    room, precharge = estimates["buffer.volume"].likely, estimates["buffer.precharge"].likely
    found = {"buffer_node": 2.0, "buffer_volume": room, "buffer_precharge": precharge}
    if kind == "gas_cushion":
        return found | {"buffer_kind": 1.0, "buffer_exponent": 1.2}
    full = estimates["buffer.full_pressure"].likely
    return found | {"buffer_kind": 2.0, "buffer_rate": max(full - precharge, 1.0) / room}


def buffer_left_out(problem: Problem) -> bool:
    """Whether a buffer is named that the run goes without, for something of it was not said.

    Parameters
    ----------
    problem : Problem
    """
    return problem.inputs.choices["buffer.kind"] in WHOLE_BUFFER and buffer_of(problem) is None


def started(plant: Plant, structure: float = 0.0) -> Plant:
    """The plant with the structure of its line grown by a rest: 0 none, 1 whole.

    Parameters
    ----------
    plant : Plant
    structure : float
        [-]
    """
    begin = plant.start.copy()
    begin[STATE.index("structure")] = structure
    return Plant(plant.parameters, plant.passages, begin, plant.registers)


def rested_after(machine: Machine, stop: str) -> tuple[float, float]:
    """Structure after a stop and the factor its cold yield stress has over the running one, at likely inputs.

    Parameters
    ----------
    machine : Machine
    stop : str
        filler_stop, meal_break or night.
    """
    found = stops_of(machine.problem, machine.state)[stop]
    growth, factor = float(np.ravel(found.growth)[0]), machine.around.rested
    structure = (growth - 1.0) / (factor - 1.0) if factor > 1.0 else 0.0
    law = float(np.ravel(np.asarray(machine.state.law.yield_stress))[0])
    cold = float(np.ravel(found.yield_stress)[0]) / max(law * growth, 1e-9)
    return structure, max(cold, 1.0)


def settled_after(machine: Machine) -> float:
    """Time from a start to a steady line [s]: ramp, line filled with pressure, buffer, and some seconds.

    Parameters
    ----------
    machine : Machine
    """
    plant, flow = machine.plant(), float(machine.state.wanted_flow[0])
    absolute = plant["atmosphere"] + max(float(machine.state.running_gauge[0]), 0.0)
    swelled = (
        sum(
            plant[f"volume_{k}"]
            * (
                plant[f"flexibility_{k}"] * (absolute - plant["atmosphere"])
                + plant[f"air_{k}"] * (1.0 - plant["atmosphere"] / absolute)
            )
            for k in (1, 2)
        )
        + FILLS * plant["buffer_volume"]
    )
    wait = 3.0 * machine.around.ramp_time + 6.0 + SURELY * swelled / max(flow, 1e-9)
    return float(np.clip(wait, 6.0, LONGEST_START))


def run_machine(
    machine: Machine,
    duration: float,
    schedule: Sequence[tuple[float, int, float, float]],
    plant: Plant | None = None,
    *,
    fast: bool = False,
    every: float = CONFIRMED,
) -> Trace:
    """Run a machine with its own control.

    Parameters
    ----------
    machine : Machine
    duration : float
        [s]
    schedule : sequence
        As in `transient.run.run`.
    plant : Plant, optional
        That at likely inputs where left out.
    fast : bool
        With the compiled kernel.
    every : float
        Least time between two rows [s].
    """
    return run(
        machine.plant() if plant is None else plant,
        duration,
        machine.tables,
        schedule,
        every=every,
        fast=fast,
    )
