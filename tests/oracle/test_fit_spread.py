"""The scatter of a flow curve goes through the case: refits at the samples, the fit at the likely point."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from drumwright.flow.pipe import pressure_drop
from drumwright.product.fit import fit_curve
from drumwright.product.resample import law_spread, resample
from drumwright.station.casefile import case_from_dict, load
from drumwright.station.inputs import REFIT, draw, resolve
from drumwright.station.records import Case
from drumwright.station.rheology import Evidence, evidence, law_in_season

S01 = Path(__file__).resolve().parents[1] / "whole" / "S01.toml"
RATE = np.geomspace(0.1, 100.0, 9)
NORM = 293.15


def noisy(scatter: float, seed: int) -> tuple[float, ...]:
    """Stresses of 120 + 60 g^0.4 Pa with so much scatter."""
    random = np.random.default_rng(seed)
    return tuple((120.0 + 60.0 * RATE**0.4) * np.exp(scatter * random.standard_normal(RATE.size)))


def case(scatter: float, seed: int = 1, temperatures: tuple[str, ...] = ("20 C",)) -> Case:
    curves = [
        {"temperature": each, "shear_rate": RATE.tolist(), "stress": list(noisy(scatter, seed + k))}
        for k, each in enumerate(temperatures)
    ]
    product = {"name": "paste", "density": "1100 kg/m3", "flow_curve": curves}
    return case_from_dict({"product": [product], "container": [{"kind": "straight_drum"}]})


def stress_at_ten(made: Case, samples: int = 1024) -> np.ndarray:
    """Stress at 10 1/s of the product at 20 C over the samples, the batch left out."""
    inputs = resolve(made, made.product[0], made.container[0])
    sample = draw(inputs, samples, 1) | {"product.batch_factor": np.ones(samples + 1)}
    law, _ = law_in_season(evidence(made.product[0], NORM), np.full(samples + 1, NORM), sample)
    return np.asarray(law.yield_stress + law.consistency * 10.0**law.exponent)


def test_likely_point_is_the_fit_itself() -> None:
    made = case(0.1)
    fit = fit_curve(RATE, np.array(noisy(0.1, 1)))
    exact = fit.law.yield_stress + fit.law.consistency * 10.0**fit.law.exponent
    assert stress_at_ten(made)[0] == pytest.approx(float(exact), rel=1e-12)


@pytest.mark.parametrize("scatter", [0.02, 0.1])
def test_band_is_that_of_the_resamples(scatter: float) -> None:
    """P5 and P95 of the stress over the samples against those of the refits themselves, drawn apart."""
    rate, stress = RATE, np.array(noisy(scatter, 1))
    fit = fit_curve(rate, stress)
    made = resample(rate, stress, np.ones(rate.size), fit, 77, 4000)
    assert made is not None
    theirs = made.band(np.array([10.0]))[:, 0]
    ours = np.quantile(stress_at_ten(case(scatter))[1:], (0.05, 0.95))
    width = theirs[2] - theirs[0]
    assert abs(ours[0] - theirs[0]) < 0.15 * width and abs(ours[1] - theirs[2]) < 0.15 * width


def test_more_scatter_is_a_wider_band_and_none_is_none() -> None:
    widths = [
        float(np.ptp(np.quantile(stress_at_ten(case(scatter))[1:], (0.05, 0.95))))
        for scatter in (0.0, 0.02, 0.1)
    ]
    assert widths[0] < 1e-6 * stress_at_ten(case(0.0))[0]
    assert 3.0 * widths[1] < widths[2]


def test_curves_of_two_temperatures_are_refitted_apart() -> None:
    """What one curve draws says nothing of what the other draws."""
    made = case(0.1, temperatures=("10 C", "30 C"))
    inputs = resolve(made, made.product[0], made.container[0])
    sample = draw(inputs, 2048, 1) | {"product.batch_factor": np.ones(2049)}
    known = evidence(made.product[0], NORM)

    def consistency(kelvin: float) -> np.ndarray:
        law, _ = law_in_season(known, np.full(2049, kelvin), sample)
        return np.asarray(law.consistency)[1:]

    cold, warm = consistency(283.15), consistency(303.15)
    assert abs(np.corrcoef(cold, warm)[0, 1]) < 0.08


def test_planted_law_lies_in_its_band_as_often_as_it_says() -> None:
    """Pressure of a pipe from 200 noisy curves: the true one is inside P5 to P95 in 80 to 97 % of them.

    A 90 % band over nine points; residual bootstraps of so few are a little narrow.
    """
    true = float(pressure_drop(3e-4, 0.06, 10.0, 120.0, 60.0, 0.4))
    inside = 0
    for seed in range(200):
        stress = np.array(noisy(0.06, 10 * seed))
        fit = fit_curve(RATE, stress)
        spread = law_spread(RATE, stress, np.ones(RATE.size), fit, seed, 256)
        assert spread is not None
        parts = (spread.yield_stress, spread.consistency, spread.exponent)
        band = np.quantile(np.asarray(pressure_drop(3e-4, 0.06, 10.0, *parts)), (0.05, 0.95))
        inside += bool(band[0] <= true <= band[1])
    assert 160 <= inside <= 194


def test_a_curve_without_spare_points_has_no_spread() -> None:
    made = load(S01)
    few = (
        made.product[0].flow_curve[0].model_copy(update={"shear_rate": (1.0, 10.0), "stress": (200.0, 300.0)})
    )
    known = evidence(made.product[0].model_copy(update={"flow_curve": (few,)}), NORM)
    assert known.spread == (None,)
    sample = {"product.batch_factor": np.ones(5), "product.activation_energy": np.full(5, 2e4)}
    law, _ = law_in_season(known, np.full(5, NORM), sample | {REFIT: np.array([-1.0, 0.1, 0.4, 0.6, 0.9])})
    assert np.ptp(np.asarray(law.consistency)) == 0.0


def test_samples_without_a_share_take_the_fits() -> None:
    """A sample that somebody else made has no share of refits: nothing is invented for it."""
    made = case(0.1)
    known: Evidence = evidence(made.product[0], NORM)
    assert known.spread[0] is not None
    sample = {"product.batch_factor": np.ones(3), "product.activation_energy": np.full(3, 2e4)}
    law, _ = law_in_season(known, np.full(3, NORM), sample)
    assert np.ptp(np.asarray(law.consistency)) == 0.0
    without, _ = law_in_season(replace(known, spread=()), np.full(3, NORM), sample)
    assert np.array_equal(without.consistency, law.consistency)


def test_a_mistyped_point_never_throws_the_band_beside_the_fit() -> None:
    """One stress a hundred times too large: the likely value lies in its own band, and the band is wide."""
    stress = np.array(noisy(0.02, 5))
    stress[0] *= 100.0
    curve = {"temperature": "20 C", "shear_rate": RATE.tolist(), "stress": stress.tolist()}
    product = {"name": "paste", "density": "1100 kg/m3", "flow_curve": [curve]}
    values = stress_at_ten(case_from_dict({"product": [product], "container": [{"kind": "straight_drum"}]}))
    low, high = np.quantile(values[1:], (0.05, 0.95))
    assert low <= values[0] <= high
    clean = np.quantile(stress_at_ten(case(0.02, 5))[1:], (0.05, 0.95))
    assert high - low > clean[1] - clean[0]
