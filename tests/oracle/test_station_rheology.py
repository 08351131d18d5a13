"""The flow law of a season from curves, parameters or one number."""

from __future__ import annotations

import copy
import math
from typing import Any

import numpy as np
import pytest

from drumwright.station.casefile import case_from_dict
from drumwright.station.rheology import Evidence, evidence, law_in_season, season_temperature
from station_kit import PASTE, TOMATO, changed, one_model, prepare

CURVE = {
    "temperature": "20 C",
    "shear_rate": [0.1, 0.3, 1, 3, 10, 30, 100],
    "stress": [150.0 + 60.0 * g**0.35 for g in (0.1, 0.3, 1, 3, 10, 30, 100)],
}


def evidence_of(**product: Any) -> Evidence:
    """Evidence of a product with these entries and nothing else."""
    case = case_from_dict({"product": [{"name": "x", **product}]}, "test")
    return evidence(case.product[0], 293.15)


def test_curves_come_before_parameters_before_one_number() -> None:
    model, number = one_model(TOMATO), "100 Pa.s"
    assert evidence_of(flow_curve=[CURVE], model=model, viscosity=number).kind == "curves"
    assert evidence_of(model=model, viscosity=number).kind == "models"
    assert evidence_of(viscosity=number).kind == "one_point"
    assert evidence_of().kind == "none"


def test_a_curve_without_noise_gives_its_law_back() -> None:
    ((temperature, law),) = evidence_of(flow_curve=[CURVE]).points
    assert temperature == pytest.approx(293.15)
    assert float(law.yield_stress) == pytest.approx(150.0, rel=0.02)
    assert float(law.consistency) == pytest.approx(60.0, rel=0.05)
    assert float(law.exponent) == pytest.approx(0.35, abs=0.01)


def test_laws_are_sorted_and_the_range_is_theirs() -> None:
    known = evidence(prepare(PASTE).case.product[0], 293.15)
    assert [t for t, _ in known.points] == pytest.approx([278.15, 293.15])
    assert known.measured_range == pytest.approx((278.15, 293.15))
    assert evidence_of(viscosity="100 Pa.s").measured_range is None


def test_yield_is_seen_and_never_excluded_by_one_number() -> None:
    syrup = [{"temperature": "20 C", "consistency": "50 Pa.s^n", "exponent": 1}]
    assert evidence_of(model=one_model(TOMATO)).yields
    assert not evidence_of(model=syrup).yields
    assert evidence_of(viscosity="100 Pa.s").yields


def test_a_batch_factor_multiplies_every_stress() -> None:
    plain, stiff = prepare(PASTE), prepare(changed(PASTE, product__batch_factor="1.1"))
    rates = np.array([0.0, 0.1, 1.0, 10.0, 1000.0])
    assert stiff.law.stress(rates) == pytest.approx(1.1 * np.asarray(plain.law.stress(rates)), rel=1e-12)


def test_a_measured_temperature_gives_its_law() -> None:
    setting = prepare(PASTE)
    known = evidence(setting.case.product[0], 293.15)
    for celsius, stress, consistency in ((20.0, 150.0, 60.0), (5.0, 250.0, 110.0)):
        law, beyond = law_in_season(known, np.array([celsius + 273.15]), setting.sample)
        assert (law.yield_stress[0], law.consistency[0]) == pytest.approx((stress, consistency))  # type: ignore[index]
        assert beyond[0] == 0.0


def test_one_number_follows_the_activation_energy() -> None:
    """Physics book 0.1: K(T) = K0 exp[(Ea/R)(1/T - 1/T0)] from the temperature of the reading."""
    data = copy.deepcopy(PASTE)
    product = data["product"][0]
    del product["model"]
    product |= {"viscosity": "100 Pa.s", "viscosity_shear_rate": "10 1/s", "viscosity_temperature": "25 C",
                "activation_energy": "30 kJ/mol"}  # fmt: skip
    setting = prepare(data)
    known = evidence(setting.case.product[0], season_temperature(setting.inputs, "norm"))
    at_reading, beyond = law_in_season(known, np.array([298.15]), setting.sample)
    assert np.asarray(at_reading.stress(10.0))[0] == pytest.approx(1000.0, rel=1e-12)
    assert beyond[0] == 0.0
    cold, beyond = law_in_season(known, np.array([278.15]), setting.sample)
    ratio = math.exp(30e3 / 8.314462618 * (1 / 278.15 - 1 / 298.15))
    assert np.asarray(cold.stress(10.0))[0] == pytest.approx(1000.0 * ratio, rel=1e-9)
    assert beyond[0] == pytest.approx(20.0)


def test_no_evidence_is_refused() -> None:
    with pytest.raises(ValueError, match="no evidence"):
        law_in_season(evidence_of(), np.array([293.15]), prepare(PASTE).sample)


def test_seasons_are_the_three_temperatures() -> None:
    inputs = prepare(PASTE).inputs
    found = [season_temperature(inputs, season) - 273.15 for season in ("winter", "norm", "summer")]
    assert found == pytest.approx([10.0, 20.0, 30.0])
