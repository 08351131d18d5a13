"""What makes the set points fit: each remedy tried alone, with the number it needs, smallest change first."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.line.route import LineLoss, line_loss, restart
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import bores
from drumwright.station.balance import route_of
from drumwright.station.control.ladder import stop_alone
from drumwright.study.set_points import Footing, coldest, footing, ladder_on, missing_at

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

SAMPLES = 1025  # the likely point and 1024 others
STEPS = 24  # of a range that is scanned
HALVINGS = 14
MOST_CUSHION = 0.2  # [m3]
MOST_HOSE = 30.0  # [m]
HARD = 0.5  # share that a stop without a slow-down counts as, for it is hard on pump and product; assumed


class Remedy(NamedTuple):
    """One change and what it does alone."""

    name: str  # stop_alone, cushion, ramp, hose, flow, bore, class
    value: float  # what it must be [SI]; the furthest that was tried where that is not enough
    before: float  # [SI]
    missing: float  # that is left at the value, P95 [Pa]; zero or less where it is enough
    change: float  # how large the change is, as a share of what there is [-]
    text: Phrase

    @property
    def enough(self) -> bool:
        """Whether it makes the set points fit alone."""
        return self.missing <= 0.0


class _View(NamedTuple):
    """What `footing` looks at of a balance, over the first samples."""

    route: Any
    law: FlowLaw
    temperature: Any
    wanted_flow: Any
    loss: LineLoss
    running_gauge: Any
    restart_gauge: Any
    atmosphere: Any


def remedies(problem: Problem, found: Evaluation) -> tuple[Remedy, ...]:
    """Remedies for set points that do not fit: those that are enough alone first, smallest change first.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With a pump that a motor turns, in its coldest season.

    Returns
    -------
    tuple of Remedy
        Empty where the set points fit as they are, or there is no ladder.

    Notes
    -----
    Over the first samples only; what is found is the least within a few per cent. A simulation in time is to
    confirm it. A wider slow-down band is none: it is as wide as it must be, and every bar of it is missing
    below. No band at all is one: the stop then cuts the drive.
    """
    if not found.balances or not found.choice.pump.turns:
        return ()
    trial = _Trial(problem, found)
    if trial.lack(trial.base) <= 0.0:
        return ()
    tried = [
        trial.alone(), trial.cushion(), trial.ramp(), trial.hose(), trial.flow(), trial.bore(),
        trial.stronger(),
    ]  # fmt: skip
    made = [each for each in tried if each is not None]
    return tuple(
        sorted(made, key=lambda each: (not each.enough, each.change if each.enough else each.missing))
    )


class _Trial:
    """One arrangement with a thin sample, and its changes."""

    def __init__(self, problem: Problem, found: Evaluation) -> None:
        self.choice, state = found.choice, coldest(found)
        self.count = min(SAMPLES, state.wanted_flow.size)
        self.sample = {k: v[: self.count] for k, v in problem.sample_of(found.choice).items()}
        self.problem = replace(problem, sample=self.sample)
        parts = (state.law.yield_stress, state.law.consistency, state.law.exponent)
        self.law = FlowLaw(*(self._thin(part) for part in parts))
        self.temperature, self.wanted = self._thin(state.temperature), self._thin(state.wanted_flow)
        self.atmosphere, self.pieces = self._thin(state.atmosphere), problem.pieces
        self.base = self.at()

    def _thin(self, values: Any) -> Any:
        return values[: self.count] if np.ndim(values) else values

    def at(self, flow: float = 1.0, bore: float | None = None, hose: float = 0.0) -> Footing:
        """Footing with another flow [share], bore [m] or so much more hose [m]."""
        sample = {**self.sample, "line.own_hose": self.sample["line.own_hose"] + hose}
        choice = self.choice if bore is None else replace(self.choice, bore=bore)
        route, density = route_of(sample, choice, self.pieces), sample["product.density"]
        end, wanted = sample["destination.pressure"], self.wanted * flow
        loss = line_loss(route, wanted, density, self.law)
        rested = restart(route, self.law, sample["product.restart_factor"], density) + end
        view = _View(
            route, self.law, self.temperature, wanted, loss, loss.total + end, rested, self.atmosphere
        )
        return footing(self.problem, view, choice, sample)

    @staticmethod
    def lack(base: Footing) -> float:
        """Missing pressure at the unfavourable end [Pa]."""
        return missing_at(ladder_on(base))

    def _least(self, steps: list[float], lack: Callable[[float], float]) -> tuple[float, float]:
        """First step that is enough, made finer; else the one that leaves least, with what is left [Pa]."""
        before, best = steps[0], (math.inf, steps[0])
        for step in steps:
            left = lack(step)
            best = min(best, (left, step))
            if left <= 0.0:
                return self._between(before, step, lack)
            before = step
        return best[1], best[0]

    @staticmethod
    def _between(short: float, enough: float, lack: Callable[[float], float]) -> tuple[float, float]:
        left = lack(enough)
        for _ in range(HALVINGS if short != enough else 0):
            middle = 0.5 * (short + enough)
            found = lack(middle)
            if found <= 0.0:
                enough, left = middle, found
            else:
                short = middle
        return enough, left

    def alone(self) -> Remedy:
        """No slow-down: the stop cuts the drive at once."""
        base = self.base
        found = stop_alone(ladder_on(base), base.flow, base.closed, base.tolerances)
        value, left = quantiles(found.stop[1:], 0.05)[0], quantiles(found.missing[1:], 0.95)[0]
        return _remedy("stop_alone", value, 0.0, left, HARD)

    def cushion(self) -> Remedy:
        """Gas on the line, as much as it has at the stop set point."""
        room = float(self.base.line_volume[0])

        def lack(gas: float) -> float:
            return self.lack(self.base._replace(closed=self.base.closed._replace(gas=gas)))

        value, left = self._least(list(np.geomspace(1e-5, MOST_CUSHION, STEPS)), lack)
        return _remedy("cushion", value, 0.0, left, value / room)

    def ramp(self) -> Remedy:
        """A faster ramp of the drive."""
        tol, before = self.base.tolerances, float(self.base.tolerances.ramp_time[0])

        def lack(factor: float) -> float:
            faster = tol._replace(ramp_time=np.full_like(tol.ramp_time, factor * before))
            return self.lack(self.base._replace(tolerances=faster))

        factor, left = self._least(list(np.geomspace(1.0, 0.02, STEPS)), lack)
        return _remedy("ramp", factor * before, before, left, 1.0 - factor)

    def hose(self) -> Remedy:
        """More of the same hose, its friction counted."""
        before = float(self.sample["line.own_hose"][0])
        value, left = self._least(
            list(np.geomspace(0.25, MOST_HOSE, STEPS)), lambda x: self.lack(self.at(hose=x))
        )
        return _remedy("hose", before + value, before, left, value / max(before, 1.0))

    def flow(self) -> Remedy:
        """Less flow."""
        before = float(self.wanted[0])
        factor, left = self._least(list(np.linspace(1.0, 0.1, STEPS)), lambda x: self.lack(self.at(flow=x)))
        return _remedy("flow", factor * before, before, left, 1.0 - factor)

    def bore(self) -> Remedy | None:
        """The next wider bore of pipe and hose that is enough; a step, so nothing between is looked for."""
        before = float(np.ravel(self.base_bore())[0])
        wider = [bore for bore in bores() if bore > 1.001 * before]
        if not wider or self.problem.inputs.choices["line.existing"]:
            return None
        tried = []
        for bore in wider:
            tried.append((bore, self.lack(self.at(bore=bore))))
            if tried[-1][1] <= 0.0:
                break
        value, left = min(tried, key=lambda pair: pair[1])
        return _remedy("bore", value, before, left, value / before - 1.0)

    def base_bore(self) -> Any:
        """Bore of the line as it is [m]."""
        return route_of(self.sample, self.choice, self.pieces).bore

    def stronger(self) -> Remedy:
        """Every part of the line, hose, pump and destination rated for more."""
        before = quantiles(self.base.top.weakest[1:], 0.05)[0]

        def lack(factor: float) -> float:
            top = self.base.top._replace(weakest=np.maximum(self.base.top.weakest, factor * before))
            return self.lack(self.base._replace(top=top))

        factor, left = self._least(list(np.geomspace(1.0, 20.0, STEPS)), lack)
        return _remedy("class", factor * before, before, left, factor - 1.0)


def _remedy(name: str, value: float, before: float, left: float, change: float) -> Remedy:
    slots: dict[str, float] = {"value": value}
    if name == "stop_alone" and left > 0.0:
        return Remedy(name, value, before, left, change, phrase("CTL-remedy.stop_alone_short", missing=left))
    if name not in ("cushion", "stop_alone"):
        slots["before"] = before
    if left <= 0.0:
        return Remedy(name, value, before, left, change, phrase(f"CTL-remedy.{name}", **slots))
    text = phrase(f"CTL-remedy.{name}_short", **slots, missing=left)
    return Remedy(name, value, before, left, change, text)
