"""Evaluate one arrangement: balances of all seasons, checks, and gates with their probability."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.kept import Kept
from drumwright.machine.line.segments import Segment
from drumwright.machine.pump.family import families
from drumwright.machine.pump.records import FamilyName, Pump
from drumwright.machine.pump.stock import Abrasion
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance, balance
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.rheology import Evidence, law_in_season, season_temperature
from drumwright.station.vessel import Way
from drumwright.station.warm_up import NEWTONIAN, core_after
from drumwright.study.check import Check
from drumwright.study.checks import (
    abrasion_class,
    air_allowed,
    flammable,
    season_checks,
    static_checks,
)
from drumwright.study.material_checks import material_checks
from drumwright.study.own_hose import hose_counted
from drumwright.study.pump_rules import points, rules_of
from drumwright.study.result import GATES, SEASONS, Status

Array = NDArray[np.float64]
TESTED_SEED = 4  # of the draws from test points: fixed, a part is the same in every case
PASSES, FAILS = 0.95, 0.05  # design decision 3.5


@dataclass(frozen=True, slots=True)
class GateScore:
    """How one gate came out: status, probability in the worst season, and the check that decides."""

    gate: str
    status: Status
    probability: float | None
    deciding: Check | None


@dataclass(frozen=True, slots=True)
class Evaluation:
    """One arrangement with everything computed for it."""

    choice: Choice
    balances: Mapping[str, Balance]
    beyond: Mapping[str, float]  # kelvin outside the evidence, by season
    checks: tuple[Check, ...]
    gates: tuple[GateScore, ...]

    @property
    def passes(self) -> bool:
        """Whether every gate that was judged passes."""
        return all(gate.status in ("pass", "not_judged") for gate in self.gates)

    @property
    def first_obstacle(self) -> GateScore | None:
        """The first gate that fails or cannot be decided, in the order of the gates."""
        return next((gate for gate in self.gates if gate.status in ("fail", "undecided")), None)

    @property
    def probability(self) -> float:
        """Lowest probability of any judged gate."""
        known = [gate.probability for gate in self.gates if gate.probability is not None]
        return min(known, default=0.0)


@dataclass(frozen=True, slots=True)
class Problem:
    """A case prepared for evaluation: inputs, one drawn sample, evidence of the flow curve.

    What many arrangements share is computed once and kept with the problem; a changed problem begins anew.
    """

    inputs: Inputs
    sample: Sample
    known: Evidence
    seasons: tuple[str, ...] = SEASONS
    way: Way = "plate"  # how the container is emptied
    kept: Kept = field(default_factory=Kept, init=False, repr=False, compare=False)

    @property
    def enters(self) -> bool:
        """Whether a machine can be set to the container: under a plate, or at its own outlet."""
        return self.way != "opening"

    @property
    def computable(self) -> bool:
        """Whether a balance can be computed at all."""
        return self.enters and not self.inputs.missing and self.known.kind != "none"

    @property
    def size_withheld(self) -> bool:
        """Whether no pump or motor size may be named: one viscosity number of unknown shear rate."""
        return self.known.kind == "one_point" and "one_point.shear_rate" in self.inputs.defaulted

    @property
    def only_a_prior(self) -> bool:
        """Whether nothing of this product was measured: a published starting value stands for it."""
        return self.known.kind == "combined" and not self.inputs.product.evidence

    @property
    def abrasion(self) -> Abrasion:
        """Abrasion class of the product."""
        return abrasion_class(self.inputs)

    @property
    def pump_rules(self) -> tuple[str, ...]:
        """Rules of the trade for the pump family that apply."""
        return self.kept.once("pump_rules", self._pump_rules)

    def _pump_rules(self) -> tuple[str, ...]:
        if self.known.kind == "none":
            return rules_of(self.inputs, 0.0, 0.0)
        law, _, _ = self.law("norm", None)
        yield_stress, consistency, exponent = (
            float(np.asarray(part).flat[0]) for part in (law.yield_stress, law.consistency, law.exponent)
        )
        newtonian = yield_stress <= 0.0 and exponent > NEWTONIAN
        return rules_of(self.inputs, yield_stress, consistency if newtonian else 0.0)

    @property
    def family_points(self) -> dict[FamilyName, int]:
        """Rank of the pump families by the rules that apply, lowest first."""
        return {family: points(self.pump_rules, family) for family in families()}

    @property
    def coldest(self) -> float:
        """Coldest core when a container is emptied, no warming of ours counted [K]."""
        return float(self._core("winter")[0])

    def law(self, season: str, warm_to: float | None) -> tuple[FlowLaw, Array, float]:
        """Flow law, temperature [K] and kelvin beyond the evidence in a season."""
        return self.kept.once(("law", season, warm_to), lambda: self._law(season, warm_to))

    def kept_for(self, season: str, warm_to: float | None) -> Kept:
        """What is kept for arrangements that meet the product in one season at one warming."""
        return self.kept.once(("kept", season, warm_to), Kept)

    def _law(self, season: str, warm_to: float | None) -> tuple[FlowLaw, Array, float]:
        temperature = self._core(season)
        wished, timed = self.inputs.estimates.get("site.warm_to"), "site.conditioning_time" in self.sample
        if warm_to is not None and not (timed and wished is not None and wished.likely == warm_to):
            temperature = np.maximum(temperature, warm_to)
        law, beyond = law_in_season(self.known, temperature, self.sample)
        stated = self.inputs.product.viscosity_temperature is not None
        outside = float(np.max(beyond)) if self.known.kind != "one_point" or stated else 0.0
        return law, temperature, outside

    def sample_for(self, pump: Pump) -> Sample:
        """The sample with what test points say of a pump laid over it; the sample itself without points.

        Parameters
        ----------
        pump : Pump
            Of the stock of the case.
        """
        stock, count = self.inputs.stock, self.sample["product.density"].size
        if pump.identifier not in stock.fits:
            return self.sample
        tested = ("tested", pump.identifier)
        return self.kept.once(
            tested, lambda: {**self.sample, **stock.model_values(pump.identifier, count, TESTED_SEED)}
        )

    def sample_of(self, choice: Choice) -> Sample:
        """The sample of an arrangement: test points of its pump, air that pump and line bear, its hose.

        Parameters
        ----------
        choice : Choice
        """
        air = None if choice.pump.turns else choice.pressure_class
        key = ("sample", choice.pump.identifier, choice.pump.turns, air, choice.stand, choice.plated)
        return self.kept.once(key, lambda: self._sample_of(choice))

    def _sample_of(self, choice: Choice) -> Sample:
        sample = self.sample_for(choice.pump) if choice.pump.turns else self._with_air(choice)
        hose = self.kept.once(
            ("hose", choice.stand, choice.plated), lambda: hose_counted(self.inputs, self.sample, choice)
        )
        if np.array_equal(hose, sample["line.own_hose"]):
            return sample
        return {**sample, "line.own_hose": hose}

    @property
    def pieces(self) -> tuple[Segment, ...]:
        """Pieces of the route; a stated loss with the product it was stated for, that of the norm season."""
        return self.kept.once("pieces", self._pieces)

    def _pieces(self) -> tuple[Segment, ...]:
        pieces = self.inputs.pieces
        if self.known.kind == "none" or not any(np.any(each.stated) for each in pieces):
            return pieces
        law, _, _ = self.law("norm", None)
        values = (law.yield_stress, law.consistency, law.exponent)
        likely = FlowLaw(*(float(np.asarray(value).flat[0]) for value in values))
        return tuple(replace(each, norm_law=likely) if np.any(each.stated) else each for each in pieces)

    def _with_air(self, choice: Choice) -> Sample:
        sample = self.sample_for(choice.pump)
        held, own = air_allowed(self.inputs, sample, choice)
        held = np.minimum(held, own)
        return {**sample, "pump.air_pressure": np.minimum(sample["site.air_pressure"], held)}

    def _core(self, season: str) -> Array:
        """Core temperature when a container is emptied, no warming of ours counted [K]."""
        return self.kept.once(("core", season), lambda: self._conditioned(self._temperature(season), season))

    def _conditioned(self, start: Array, season: str) -> Array:
        """Core temperature after the stated time in the warm, where one was stated [K].

        In winter a container comes out of a store that is colder than the product was said to be.
        """
        used = self.sample
        if "site.conditioning_time" not in used:
            return start
        if season == "winter" and "site.store_temperature" in used:
            start = np.minimum(start, used["site.store_temperature"])

        def law(temperature: Array) -> FlowLaw:
            return law_in_season(self.known, temperature, used)[0]

        return core_after(self.inputs, used, law, start, used["site.conditioning_time"])

    def _temperature(self, season: str) -> Array:
        name = {"winter": "low", "norm": "norm", "summer": "high"}.get(season)
        if name is None:
            return np.full_like(self.sample["product.density"], season_temperature(self.inputs, "norm"))
        return self.sample[f"product.temperature.{name}"]


def evaluate(problem: Problem, choice: Choice, quick: bool = False) -> Evaluation:
    """Judge one arrangement over all samples and seasons of a problem.

    Parameters
    ----------
    problem : Problem
    choice : Choice
    quick : bool
        For a search: stop after the first season that does not pass, and do not settle lower flows.
    """
    checks = static_checks(problem.inputs, choice, problem.coldest)
    pump = choice.pump
    parts = ("materials", pump.family, pump.temperature_limits, choice.plated, choice.warm_to)
    checks += problem.kept.once(parts, lambda: material_checks(problem.inputs, choice))
    sample = problem.sample_of(choice)
    balances: dict[str, Balance] = {}
    beyond: dict[str, float] = {}
    if problem.computable:
        for season in problem.seasons:
            law, temperature, outside = problem.law(season, choice.warm_to)
            kept = problem.kept_for(season, choice.warm_to)
            state = balance(
                sample, law, temperature, choice, problem.abrasion, not quick, kept, problem.pieces
            )
            balances[season], beyond[season] = state, outside
            own = season_checks(problem.inputs, sample, state, choice, problem.abrasion, season, kept)
            checks += own
            if quick and any(check.probability < PASSES for check in own):
                break
    gates = tuple(_score(gate, checks, problem) for gate in GATES)
    return Evaluation(choice, balances, beyond, tuple(checks), gates)


def _score(gate: str, checks: list[Check], problem: Problem) -> GateScore:
    """Status of one gate: the joint probability of its checks in the worst season."""
    own = [check for check in checks if check.gate == gate]
    undecided = next((check for check in own if not check.decided), None)
    if undecided is not None:
        return GateScore(gate, "undecided", None, undecided)
    failed = next((check for check in own if check.ok.size == 1 and not check.ok[0]), None)
    if failed is not None:
        return GateScore(gate, "fail", 0.0, failed)
    if gate == "money":
        return GateScore(gate, "not_judged", None, None)
    if gate == "hygiene_zone":
        return GateScore(gate, _hygiene(problem), None, None)
    if not problem.computable and gate != "container_plate":
        # behind a container no plate enters nothing more is judged; with answers missing it cannot be decided
        return GateScore(gate, "undecided" if problem.enters else "not_judged", None, None)
    return _numbers(gate, [check for check in own if check.ok.size > 1] or own)


def _hygiene(problem: Problem) -> Status:
    """Undecided for a flammable product without a zone drawing; cleaning has no model yet."""
    zone = problem.inputs.choices["site.zone"]
    return "undecided" if flammable(problem.inputs) and zone in (None, "none", "unknown") else "not_judged"


def _numbers(gate: str, checks: list[Check]) -> GateScore:
    if not checks:
        return GateScore(gate, "not_judged", None, None)
    joint: dict[str, NDArray[np.bool_]] = {}
    for check in checks:
        joint[check.season] = joint.get(check.season, np.array(True)) & check.ok
    chances = {season: float((ok[1:] if ok.size > 1 else ok).mean()) for season, ok in joint.items()}
    worst = min(chances, key=lambda season: chances[season])
    deciding = min(
        (check for check in checks if check.season == worst),
        key=lambda check: (check.probability, relative_margin(check)),
    )
    chance = chances[worst]
    status: Status = "pass" if chance >= PASSES else "fail" if chance <= FAILS else "undecided"
    return GateScore(gate, status, chance, deciding)


def relative_margin(check: Check) -> float:
    """Point margin over the limit, negative where it fails: orders checks of equal probability."""
    value, limit = float(check.value[0]), float(check.limit[0])
    scale = max(abs(limit), abs(value), 1e-12)
    distance = abs(limit - value) / scale
    return distance if bool(check.ok[0]) else -distance
