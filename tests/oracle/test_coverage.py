"""Planted truths in synthetic enquiries: the 90 % band of the answer holds them as often as it says.

Each enquiry is made from a truth: a product with a law of its own, measured with scatter, and everything that
nobody told drawn from what the assumptions say of it. The truth is computed with every input pinned. A band
that is too narrow promises too much, one too wide says nothing.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from drumwright.basis.estimate import Estimate
from drumwright.station.casefile import case_from_dict
from drumwright.station.inputs import CONDITIONS, draw, resolve
from drumwright.station.records import Case
from drumwright.station.rheology import evidence
from drumwright.station.vessel import way_out
from drumwright.study.evaluation import Problem, evaluate
from drumwright.study.search import as_asked

ENQUIRIES = 200
SAMPLES = 512
RATE = np.geomspace(0.1, 100.0, 10)
SCATTER = 0.05  # of a measured stress


class Truth:
    """One product and place as they are."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        log = self.random.uniform
        self.law = (np.exp(log(3.0, 5.5)), np.exp(log(2.5, 4.8)), log(0.25, 0.6))
        self.length, self.rise = log(3.0, 12.0), log(0.0, 3.0)
        self.bore = float(self.random.choice([0.05, 0.065, 0.08]))
        self.flow = log(0.4, 1.6)

    def told(self) -> Case:
        """What the customer says of it."""
        tau_y, k, n = self.law
        stress = (tau_y + k * RATE**n) * np.exp(SCATTER * self.random.standard_normal(RATE.size))
        curve = {"temperature": "20 C", "shear_rate": RATE.tolist(), "stress": stress.tolist()}
        return self._case({"flow_curve": [curve]})

    def planted(self) -> Case:
        """The same with its law as it is."""
        tau_y, k, n = self.law
        model = {
            "temperature": "20 C", "yield_stress": f"{tau_y} Pa", "consistency": f"{k} Pa s^n", "exponent": n,
        }  # fmt: skip
        return self._case({"model": [model]})

    def _case(self, known: dict[str, object]) -> Case:
        product = {
            "name": "paste", "density": "1050 kg/m3", "abrasive": False, "flammable": False,
            "temperature": {"low": "20 C", "norm": "20 C", "high": "20 C"}, **known,
        }  # fmt: skip
        return case_from_dict(
            {
                "enquiry": {"flow": f"{self.flow} m3/h"},
                "product": [product],
                "container": [{"kind": "straight_drum", "inside_diameter": "571 mm", "liner": "none"}],
                "destination": {"kind": "open_tank"},
                "line": {"bore": f"{self.bore} m", "length": f"{self.length} m", "rise": f"{self.rise} m"},
            }
        )


def problem_of(case: Case, seed: int, samples: int) -> Problem:
    inputs = resolve(case, case.product[0], case.container[0])
    known = evidence(case.product[0], inputs.likely("product.temperature.norm"))
    return Problem(inputs, draw(inputs, samples, seed), known, ("norm",), way_out(inputs.kind))


def pinned(problem: Problem, random: np.random.Generator) -> Problem:
    """The problem with every uncertain input at one value drawn from what is assumed of it."""
    inputs = problem.inputs
    for key, estimate in inputs.estimates.items():
        if estimate.has_spread and not key.startswith(CONDITIONS):
            value = float(estimate.sample(np.array([random.uniform()]))[0])
            inputs = inputs.with_estimate(key, Estimate(value, value, value, estimate.basis))
    return replace(problem, inputs=inputs, sample=draw(inputs, 1, 1))


@pytest.fixture(scope="module")
def ranks() -> dict[str, np.ndarray]:
    """Where each truth lies among the samples of its own enquiry, by figure."""
    found: dict[str, list[float]] = {"pressure": [], "inlet": [], "torque": []}
    for seed in range(ENQUIRIES):
        truth = Truth(seed)
        problem = problem_of(truth.told(), seed, SAMPLES)
        asked = as_asked(problem)
        assert asked is not None
        true = evaluate(pinned(problem_of(truth.planted(), seed, 1), truth.random), asked.choice)
        ours, theirs = asked.balances["norm"], true.balances["norm"]
        pairs = {
            "pressure": (ours.running_gauge, theirs.running_gauge),
            "inlet": (ours.inlet_absolute, theirs.inlet_absolute),
            "torque": (ours.load.torque, theirs.load.torque),
        }
        for name, (band, point) in pairs.items():
            found[name].append(float(np.mean(np.ravel(band)[1:] < float(np.ravel(point)[0]))))
    return {name: np.array(values) for name, values in found.items()}


@pytest.mark.parametrize("name", ["pressure", "inlet", "torque"])
def test_truth_lies_in_the_band_as_often_as_it_says(ranks: dict[str, np.ndarray], name: str) -> None:
    """Inside P5 to P95 in 85 to 95 % of the enquiries."""
    inside = float(np.mean((ranks[name] >= 0.05) & (ranks[name] <= 0.95)))
    assert 0.85 <= inside <= 0.95, inside


@pytest.mark.parametrize("name", ["pressure", "inlet", "torque"])
def test_the_band_leans_to_no_side(ranks: dict[str, np.ndarray], name: str) -> None:
    """The truth is above the middle about as often as below."""
    above = float(np.mean(ranks[name] > 0.5))
    assert abs(above - 0.5) < 3.0 * 0.5 / np.sqrt(ENQUIRIES)
