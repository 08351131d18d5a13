"""Pieces of evidence made from a known law give that law back inside their band; what clashes is named."""

import math

import numpy as np
import pytest

from drumwright.flow.pipe import pressure_drop
from drumwright.product import evidence_pieces as pieces
from drumwright.product import viscometry
from drumwright.product.combine import FREEDOM, PARTICLES, Prior, combine
from drumwright.product.law import FlowLaw
from drumwright.product.library import library, prior_of

ENERGY = (8e3, 15e3, 60e3)
TRUTH = FlowLaw(150.0, 60.0, 0.35)
FLOW = 2.0 / 3600.0


def spindle() -> pieces.Piece:
    rate = float(viscometry.disc_shear_rate(6, 1.0 / 6.0, TRUTH.exponent))
    reading = float(TRUTH.stress(rate)) / float(viscometry.disc_stress(6, 1.0))
    return pieces.disc_spindle(6, 1.0 / 6.0, None, reading)


def line() -> pieces.Piece:
    friction = float(pressure_drop(FLOW, 0.05, 8.0 + 20.0 * 0.05, 150.0, 60.0, 0.35))
    pressure = friction + 1100.0 * viscometry.GRAVITY * 2.0
    found = pieces.todays_line((0.9 * FLOW, FLOW, 1.1 * FLOW), pressure, 0.05, 8.0, 2.0, 20.0, 1100.0)
    assert found is not None and found.observed == pytest.approx(friction)
    return found


def vane() -> pieces.Piece:
    stress = pieces.STATIC_OVER_FLOWING * 150.0
    torque = stress * 0.5 * math.pi * 0.04**3 * (2.0 + 1.0 / 3.0)
    return pieces.vane(torque, 0.04, 0.08)


def tube() -> list[pieces.Piece]:
    flows = [1e-5, 3e-5, 1e-4]
    drops = [float(pressure_drop(q, 0.02, 1.0, 150.0, 60.0, 0.35)) for q in flows]
    return pieces.tube_viscometer(flows, drops, 0.02, 1.0)


SPREAD_RADIUS = (225.0 * 1100.0 * 9.80665 * 1e-6 / (128.0 * math.pi**2 * 150.0)) ** 0.2
EXTRUSION = float(pressure_drop(1e-6, 0.004, 0.034, 150.0, 60.0, 0.35))
TRUE = {
    "spindle": [spindle()],
    "vane": [vane()],
    "line": [line()],
    "tube": tube(),
    "spread": [pieces.spread(1e-3, 2.0 * SPREAD_RADIUS, 1100.0)],
    "trough": [pieces.bostwick(float(viscometry.trough_reading(150.0 / pieces.NOT_AT_REST, 1100.0)), 1100.0)],
    "flow pressure": [pieces.flow_pressure(1.4 * 150.0 * 4.0 * 0.05 / 0.002, 0.002, 0.05)],
    "extrusion": [pieces.extrusion_rate(1e-6, EXTRUSION, 0.004, 0.03)],
    "two": [spindle(), vane()],
    "three": [spindle(), vane(), line()],
}  # fmt: skip


@pytest.mark.parametrize("given", TRUE.values(), ids=TRUE)
def test_the_truth_lies_inside_the_band(given: list[pieces.Piece]) -> None:
    for piece in given:
        assert float(piece.predict(TRUTH)) == pytest.approx(piece.observed, rel=1e-6)
    band = combine(given, 293.15, ENERGY)
    assert band.contradictions == () and band.effective > 30.0
    for rate in (0.01, 10.0, 60.0):
        low, _, high = band.band([rate])[:, 0]
        assert low < float(TRUTH.stress(rate)) < high


def test_more_evidence_makes_a_narrower_band() -> None:
    rates = [1.0, 60.0]
    one, two, three = (
        combine(TRUE[name], 293.15, ENERGY).band(rates) for name in ("spindle", "two", "three")
    )
    widths = [np.log(band[2] / band[0]) for band in (one, two, three)]
    assert (widths[1] < widths[0])[0] and (widths[2] < widths[1]).all()


def test_the_band_is_that_of_plain_weights() -> None:
    """One spindle: quantiles by a fine grid over (level, exponent, share), written apart from ours."""
    piece = pieces.viscosity_at(30.0, 10.0)
    band = combine([piece], 293.15, ENERGY).band([10.0, 60.0])
    level, n, u = np.meshgrid(
        np.linspace(math.log(20.0), math.log(500.0), 121), np.linspace(0.1, 1.2, 111),
        (np.arange(80) + 0.5) / 80.0, indexing="ij",
    )  # fmt: skip
    share = 0.85 * np.maximum(0.0, (u - 0.15) / 0.85)
    weight = np.where((n >= 0.2) & (n <= 0.6), 1.0, 0.05)

    def stress(rate: float) -> np.ndarray:
        return np.exp(level) * (share + (1.0 - share) * rate**n)

    z = np.log(stress(10.0) / 300.0) / piece.sigma
    weight = (weight * (1.0 + z**2 / FREEDOM) ** (-0.5 * (FREEDOM + 1.0))).ravel()
    for place, rate in enumerate((10.0, 60.0)):
        values = stress(rate).ravel()
        order = np.argsort(values)
        cumulative = np.cumsum(weight[order]) / weight.sum()
        route = np.interp([0.05, 0.5, 0.95], cumulative, values[order])
        np.testing.assert_allclose(band[:, place], route, rtol=0.06)


def test_particles_are_sorted_and_deterministic() -> None:
    one, two = (combine(TRUE["two"], 293.15, ENERGY) for _ in range(2))
    np.testing.assert_array_equal(one.law.yield_stress, two.law.yield_stress)
    stress = np.asarray(one.law.stress(30.0))
    rising = np.diff(stress) >= 0.0
    assert rising.mean() > 0.99  # but for the three that stand for thin, likely and thick
    assert stress.size == PARTICLES
    thin, likely, thick = one.at(np.array([0.02, 0.5, 0.98])).stress(30.0)  # type: ignore[misc]
    assert thin < likely < thick


APART = [pieces.flow_pressure(403.0 * 4.0 * 0.05 / 0.002, 0.002, 0.05), spindle()]  # twice and more apart


@pytest.mark.parametrize(
    "given",
    [*TRUE.values(), [vane(), line()], [TRUE["spread"][0], line()], [TRUE["trough"][0], line()], APART],
    ids=[*TRUE, "vane and line", "spread and line", "trough and line", "apart"],
)
def test_the_likely_law_runs_inside_its_band_at_every_rate(given: list[pieces.Piece]) -> None:
    """Where it is sorted and elsewhere: from rest to the slit of a seal, by more than the edge."""
    band = combine(given, 293.15, ENERGY)
    rates = np.concatenate([[0.0], np.geomspace(0.03, 3000.0, 40)])
    likely = np.asarray(band.at(np.array([0.5])).stress(rates))
    low, middle, high = band.band(rates)
    side = np.where(likely > middle, high - middle, middle - low)
    assert np.all(np.abs(likely - middle) <= 0.6 * side)


def test_contradictions_are_named_and_the_band_holds_both() -> None:
    """A spindle that allows 150 Pa at most against a vane of 1500 Pa."""
    stiff = pieces.static_yield(10.0 * 1.4 * 150.0)
    band = combine([spindle(), stiff], 293.15, ENERGY)
    assert [(c.first, c.second) for c in band.contradictions] == [(0, 1)]
    assert band.contradictions[0].factor > 2.0
    low, _, high = band.band([0.01])[:, 0]
    assert low < 150.0 and high > 1500.0 * 0.7


def test_temperature_widens_and_shifts() -> None:
    """A reading at 313 K for a band at 293 K: likely stress up by exp(E/R (1/293 - 1/313)), and wider."""
    plain = combine([vane()], 293.15, ENERGY).band([0.01])[:, 0]
    warm = combine([vane().at(313.15)], 293.15, ENERGY).band([0.01])[:, 0]
    shift = math.exp(15e3 / 8.314462618 * (1.0 / 293.15 - 1.0 / 313.15))
    assert warm[1] / plain[1] == pytest.approx(shift, rel=0.05)
    assert warm[2] / warm[0] > plain[2] / plain[0]


def test_a_line_that_only_lifts_says_nothing() -> None:
    assert pieces.todays_line((FLOW, FLOW, FLOW), 1100.0 * 9.81 * 2.0, 0.05, 8.0, 2.0, 0.0, 1100.0) is None


@pytest.mark.parametrize("entry", library(), ids=lambda entry: entry.name)
def test_every_row_of_the_library_is_a_prior_around_itself(entry: object) -> None:
    found = prior_of(entry.name.upper())  # type: ignore[attr-defined]
    assert found is not None
    prior, _ = found
    band = combine([], 293.15, ENERGY, prior)
    low, _, high = band.band([1.0])[:, 0]
    middle = math.sqrt(prior.level_low * prior.level_high)
    assert low < middle < high and high / low > 3.0
    assert band.prior == entry.name  # type: ignore[attr-defined]


def test_nothing_known_is_refused() -> None:
    with pytest.raises(ValueError, match="no piece"):
        combine([], 293.15, ENERGY)
    assert prior_of("no such product") is None
    assert Prior().name == ""


def test_cylinder_in_a_cup_reads_the_law_at_its_bob() -> None:
    """Torque by integration: the stress at the bob that turns it at the speed, from r dOmega/dr."""
    from scipy.integrate import quad
    from scipy.optimize import brentq

    bob, cup, speed = 0.0125, 0.0150, 20.0 / 60.0

    def turned(stress: float) -> float:
        def rate(r: float) -> float:
            tau = stress * (bob / r) ** 2
            return max((tau - 150.0) / 60.0, 0.0) ** (1.0 / 0.35) / r

        return quad(rate, bob, cup, limit=400)[0] / (2.0 * math.pi)

    exact = brentq(lambda stress: turned(stress) - speed, 151.0, 2000.0)
    piece = pieces.cylinder_spindle(1.0, 2.0 * bob, 0.04, speed, 2.0 * cup)
    assert float(piece.predict(TRUTH)) == pytest.approx(exact, rel=0.05)
