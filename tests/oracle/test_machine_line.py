"""The line against the scenarios' figures, the closed limits and itself cut in pieces."""

from pathlib import Path

import numpy as np
import pytest

from drumwright.machine.line.route import (
    Route,
    line_loss,
    restart,
    shear_rate_at_wall,
    velocity,
    volume,
    yield_only,
)
from drumwright.product.law import FlowLaw
from drumwright.station.casefile import load
from drumwright.station.rheology import evidence, law_in_season
from station_kit import GREASE, SYRUP, TOMATO, prepare_case

CASES = Path(__file__).parents[1] / "whole"
BAR, HOUR = 1.0e5, 3600.0


def route(bore: float, length: float, hose: float = 0.0, rise: float = 0.0, fittings: float = 0.0) -> Route:
    """A line with a hose of the same bore."""
    return Route(bore, length, bore, hose, rise, fittings)


def law_of(name: str, celsius: float) -> tuple[FlowLaw, float, float]:
    """Law of a scenario's product at a temperature, its density and the flow wanted."""
    setting = prepare_case(load(CASES / f"{name}.toml"))
    known = evidence(setting.case.product[0], 293.15)
    law, beyond = law_in_season(known, np.array([celsius + 273.15]), setting.sample)
    assert beyond[0] == 0.0
    return law, float(setting.sample["product.density"][0]), float(setting.sample["enquiry.flow"][0])


@pytest.mark.parametrize(("name", "celsius", "bore", "length", "bars", "tolerance"), [
    ("S01", 22, 0.065, 6, 2.65, 0.08), ("S01", 10, 0.065, 6, 3.58, 0.10), ("S01", 22, 0.080, 6, 1.87, 0.08),
    ("S01", 22, 0.065, 9, 3.97, 0.08), ("S01", 10, 0.065, 9, 5.4, 0.10), ("S01", 10, 0.080, 9, 3.8, 0.10),
    ("S02", 6, 0.050, 5, 0.78, 0.10), ("S02", 6, 0.080, 5, 0.33, 0.10),
    ("S03", 20, 0.025, 18, 34.1, 0.08), ("S03", 5, 0.025, 18, 76.8, 0.08),
    ("S03", -5, 0.025, 18, 158.8, 0.08),
    ("S03", 20, 0.050, 18, 10.4, 0.08), ("S03", 20, 0.050, 6, 3.5, 0.08), ("S03", -5, 0.080, 6, 7.1, 0.08),
    ("S09", 23, 0.025, 6, 43.7, 0.08), ("S09", 23, 0.050, 6, 10.0, 0.08), ("S09", 23, 0.050, 3, 5.0, 0.08),
    ("S09", 10, 0.050, 6, 20.0, 0.08), ("S09", 23, 0.050, 9, 15, 0.08), ("S09", 10, 0.080, 9, 12, 0.08),
])  # fmt: skip
def test_friction_of_the_scenarios(
    name: str, celsius: float, bore: float, length: float, bars: float, tolerance: float
) -> None:
    """Friction of the scenario files, within the tolerance they state; beyond 6 m the rest is own hose."""
    law, density, flow = law_of(name, celsius)
    pipe = min(length, 6.0) if length != 18 else 18.0
    loss = line_loss(route(bore, pipe, length - pipe), flow, density, law)
    assert float(loss.pipe[0]) / BAR == pytest.approx(bars, rel=tolerance)
    assert float(loss.hose[0]) == pytest.approx(float(loss.pipe[0]) * (length - pipe) / length, rel=1e-12)
    assert float(np.max(loss.fittings)) == 0.0 == float(loss.static)


@pytest.mark.parametrize(("name", "celsius", "bore", "length", "bars", "tolerance"), [
    ("S01", 22, 0.065, 6, 0.55, 0.25), ("S03", -5, 0.025, 18, 25.9, 0.05), ("S09", 23, 0.050, 6, 1.9, 0.05),
])  # fmt: skip
def test_yield_only_pressure_of_the_scenarios(
    name: str, celsius: float, bore: float, length: float, bars: float, tolerance: float
) -> None:
    law, _, _ = law_of(name, celsius)
    assert float(yield_only(route(bore, length), law)[0]) / BAR == pytest.approx(bars, rel=tolerance)


def test_other_figures_of_the_scenarios() -> None:
    """S01 volume 19.9 L, S02 volume 25 L, head 0.16 bar, velocity 0.083 m/s, 14.5 1/s at the wall."""
    assert float(volume(route(0.065, 6.0))) * 1e3 == pytest.approx(19.9, rel=0.03)
    assert float(volume(route(0.080, 5.0))) * 1e3 == pytest.approx(25.0, rel=0.03)
    law, density, flow = law_of("S02", 6)
    head = float(line_loss(route(0.080, 5.0, rise=1.5), flow, density, law).static)
    assert head == pytest.approx(1080 * 9.80665 * 1.5)
    assert head / BAR == pytest.approx(0.16, rel=0.05)
    assert float(velocity(flow, 0.080)) == pytest.approx(0.083, rel=0.05)
    assert float(shear_rate_at_wall(flow, 0.080, law)[0]) == pytest.approx(14.5, rel=0.15)


def test_the_table_of_the_book() -> None:
    """Physics book 5.1: bar a metre at 1 m3/h in DN32, DN50, DN80 for the three products."""
    table = {
        "a": (TOMATO, 1130, 0.63, 0.30, 0.15),
        "b": (GREASE, 900, 1.41, 0.70, 0.38),
        "c": (SYRUP, 1400, 5.4, 0.91, 0.14),
    }
    for law, density, *theirs in table.values():
        for bore, bars in zip((0.032, 0.050, 0.080), theirs, strict=True):
            ours = float(line_loss(route(bore, 1.0), 1.0 / HOUR, density, law).total) / BAR
            assert ours == pytest.approx(bars, abs=0.055 if bars > 2 else 0.0055)


def test_hose_and_pipe_add_up() -> None:
    """A line cut in two, a hose of another bore, and the sum of its parts."""
    flow, density = 1.0 / HOUR, 1100.0
    whole = line_loss(route(0.05, 9.0, rise=2.0, fittings=30.0), flow, density, TOMATO)
    cut = line_loss(route(0.05, 6.0, 3.0, rise=2.0, fittings=30.0), flow, density, TOMATO)
    assert float(cut.total) == pytest.approx(float(whole.total), rel=1e-13)
    mixed = line_loss(Route(0.05, 6.0, 0.08, 3.0, 2.0, 30.0), flow, density, TOMATO)
    hose = float(line_loss(route(0.08, 3.0), flow, density, TOMATO).total)
    pipe = float(line_loss(route(0.05, 6.0), flow, density, TOMATO).total)
    assert float(mixed.hose) == pytest.approx(hose, rel=1e-13)
    assert float(mixed.pipe) == pytest.approx(hose + pipe, rel=1e-13)
    assert float(mixed.total) < float(cut.total)
    assert float(volume(Route(0.05, 6.0, 0.08, 3.0, 2.0, 30.0))) == pytest.approx(
        float(volume(route(0.05, 6.0))) + float(volume(route(0.08, 3.0))), rel=1e-13
    )


def test_fittings_count_as_diameters_of_the_pipe() -> None:
    """Physics book 5.3: 30 diameters of grease at rest are 72 kPa in any bore."""
    for bore in (0.025, 0.050, 0.125):
        loss = line_loss(Route(bore, 0.0, 0.065, 0.0, 0.0, 30.0), 0.0, 900.0, GREASE)
        assert float(loss.fittings) == pytest.approx(72e3, rel=1e-12)
        flowing = line_loss(Route(bore, 5.0, 0.065, 0.0, 0.0, 30.0), 1e-4, 900.0, GREASE)
        assert float(flowing.fittings) == pytest.approx(float(flowing.pipe) * 30.0 * bore / 5.0, rel=1e-12)


def test_an_equal_hose_bore_in_another_array_changes_nothing() -> None:
    random = np.random.default_rng(5)
    bore = random.uniform(0.025, 0.125, 300)
    flow, density = random.uniform(1e-6, 1e-3, 300), random.uniform(900.0, 1600.0, 300)
    law = FlowLaw(random.uniform(0, 900, 300), random.uniform(0.01, 900, 300), random.uniform(0.2, 1, 300))
    same = line_loss(Route(bore, 5.0, bore, 3.0, 1.0, 17.2), flow, density, law)
    other = line_loss(Route(bore, 5.0, bore.copy(), 3.0, 1.0, 17.2), flow, density, law)
    for one, two in zip(same, other, strict=True):
        assert np.array_equal(one, two)


def test_restart_needs_at_least_the_yield_stress() -> None:
    """5.7: 5 m DN50 at a static yield of 300 and 900 Pa: 1.2 and 3.6 bar; never below yield-only."""
    for law, factor, theirs in ((TOMATO, 2.0, 1.2), (GREASE, 1.5, 3.6)):
        assert float(restart(route(0.05, 5.0), law, factor, 0.0)) / BAR == pytest.approx(theirs, rel=1e-9)
    for factor in (1.0, 1.5, 2.0):
        line = Route(0.05, 5.0, 0.08, 3.0, 1.0, 17.2)
        assert float(restart(line, TOMATO, factor, 1100.0)) >= float(yield_only(line, TOMATO))
    bare = route(0.05, 5.0, 3.0)
    assert float(restart(bare, TOMATO, 1.0, 1100.0)) == pytest.approx(
        float(yield_only(bare, TOMATO)), rel=1e-13
    )
    assert float(restart(bare, SYRUP, 2.0, 1100.0)) == 0.0


def test_loss_at_rest_is_yield_only() -> None:
    line = Route(0.05, 5.0, 0.08, 3.0, 0.0, 0.0)
    assert float(line_loss(line, 0.0, 1100.0, TOMATO).total) == pytest.approx(float(yield_only(line, TOMATO)))
