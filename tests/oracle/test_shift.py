"""A simulated shift against closed forms, limits and conservation; the filler scenario of the trade book."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from drumwright.machine.delivery.hopper import (
    bridge_volume,
    control_volume,
    cushion_volume,
    least_pump_flow,
    lost_share,
)
from drumwright.station.casefile import load
from drumwright.study.shift import ShiftStudy, shift
from drumwright.study.shift_formula import formula, shortage
from drumwright.study.shift_plan import Plan, Stop
from drumwright.study.shift_simulation import simulate
from drumwright.study.shift_times import (
    Spread,
    change_spread,
    drawn,
    elements_of,
    hands_time,
    names,
)
from validation_registry import record

WHOLE = Path(__file__).parent.parent / "whole"
LITRE, MINUTE = 1e-3, 60.0
PER_MINUTE = LITRE / MINUTE
TRADE = "trade book 2.2"
# One station, a drum of 198 L, a filler of 12 L/min, change 4.5 min with a spread of 25 %.
STOPS = (Stop(600.0, 45.0, 0.5), Stop(5400.0, 240.0, 0.5), Stop(7200.0, 1500.0, 0.5))
FED = Plan(
    28800.0, "fixed_mast", 1, False, 198.0 * LITRE, 19.0 * PER_MINUTE, 12.0 * PER_MINUTE, 60.0 * LITRE,
    54.0 * LITRE, (), Spread(270.0, 0.25),
)  # fmt: skip


def share(plan: Plan, shifts: int, seed: int = 1) -> float:
    """Demand not met over all shifts."""
    runs = list(simulate(plan, shifts, seed))
    return sum(run.short for run in runs) / sum(run.demanded for run in runs)


@pytest.mark.parametrize(("mean", "variation"), [(270.0, 0.25), (60.0, 1.0), (500.0, 0.05)])
def test_spread_against_scipy(mean: float, variation: float) -> None:
    """Quantile and partial expectation of a lognormal against SciPy, the second by quadrature."""
    sigma = math.sqrt(math.log(1.0 + variation**2))
    law = stats.lognorm(sigma, scale=mean * math.exp(-0.5 * sigma**2))
    found = Spread(mean, variation)
    assert found.quantile(0.95) == pytest.approx(law.ppf(0.95), rel=1e-12)
    for limit in (0.5 * mean, mean, 1.6 * mean):
        start = math.log(limit)
        end = start + 20.0 * sigma
        exact = integrate.quad(lambda u: law.sf(math.exp(u)) * math.exp(u), start, end, limit=400)[0]
        assert found.beyond(limit) == pytest.approx(exact, rel=1e-6, abs=1e-9 * mean)
    values = [found.draw(stream) for stream in [np.random.default_rng(3)] for _ in range(20000)]
    assert np.mean(values) == pytest.approx(mean, rel=4.0 * variation / math.sqrt(20000))


def test_numbers_of_the_trade_book() -> None:
    """Change P95, bridge volume, least pump flow, lost share, cushion rise as printed in trade book 2.2."""
    p95 = FED.change.quantile(0.95) if FED.change else 0.0
    draw, volume = FED.draw, FED.volume
    rise = 4.013e5 / (1.0 - 0.2 / 3.0) - 4.013e5
    rows = (
        ("P95 of a change", 6.5, p95 / MINUTE, "min", 0.05),
        ("bridge volume", 79.0, float(bridge_volume(draw, p95)) / LITRE, "L", 0.07),
        ("least pump flow", 16.5, float(least_pump_flow(volume, draw, 270.0)) / PER_MINUTE, "L/min", 0.06),
        ("time a drum lasts", 16.5, formula(FED, 0.85).lasts / MINUTE, "min", 0.03),
        ("time without flow, nothing bridges", 0.21, float(lost_share(volume, draw, 270.0)), "-", 0.05),
        ("rise of a cushion of 3 L by 0.2 L", 0.29, rise / 1e5, "bar", 0.02),
    )
    for name, theirs, ours, unit, tolerance in rows:
        assert record("S07", TRADE, name, theirs, ours, unit, tolerance, "recomputed").agrees
    needed = cushion_volume(0.2 * LITRE, 4.013e5, 4.013e5 + rise)
    assert float(needed) == pytest.approx(3.0 * LITRE, rel=1e-9)
    assert float(control_volume(1e-3, 0.1, 0.4)) == pytest.approx(3e-4)


@pytest.mark.parametrize(
    ("buffer", "low", "high"), [("40 L", 4.0, 7.0), ("60 L", 0.5, 2.0), ("90 L", 0.0, 0.2)]
)
def test_shortage_of_the_filler_scenario(buffer: str, low: float, high: float) -> None:
    """Shortage by hopper, in per cent of the demand; the scenario counts changes and no outages."""
    case = load(WHOLE / "S07.toml", {"shift.availability": "100 %"})
    found = 100.0 * shift(case, buffer=buffer).row("shortage").mean
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    kept = record(
        "S07", "scenario of the trade book, simulated", f"shortage at {buffer}", middle, found, "%", half,
        "recomputed", absolute=True,
    )  # fmt: skip
    assert kept.agrees


def test_shortage_without_a_hopper_is_the_lost_share() -> None:
    plan = replace(FED, hopper=0.0, start_level=0.0, pump_flow=FED.draw)
    runs = list(simulate(plan, 200, 5))
    values = np.array([run.shortage for run in runs])
    error = values.std(ddof=1) / math.sqrt(values.size)
    assert values.mean() == pytest.approx(formula(plan, 0.85).lost, abs=3.0 * error + 0.002)


@pytest.mark.parametrize("litres", [40.0, 60.0, 75.0])
def test_shortage_against_the_partial_expectation(litres: float) -> None:
    """Steady draw, hopper kept full by a narrow band and a fast pump, against the closed form."""
    plan = replace(FED, hopper=litres * LITRE, start_level=0.95 * litres * LITRE, pump_flow=40.0 * PER_MINUTE)
    runs = list(simulate(plan, 200, 7))
    values = np.array([run.shortage for run in runs])
    error = values.std(ddof=1) / math.sqrt(values.size)
    assert plan.change is not None
    exact = shortage(plan, plan.change, 0.0)
    low, high = exact, shortage(replace(plan, hopper=plan.start_level), plan.change, 0.0)
    assert low - 4.0 * error <= values.mean() <= high + 4.0 * error


def test_without_any_spread_the_formula_is_exact() -> None:
    """Constant times, nobody shared: drums = floor((T + V/Q)/C) when the first change is at the start."""
    change = Spread(300.0, 0.0)
    plan = Plan(28800.0, "fixed_mast", 1, False, 0.2, 1e-3, change=change)
    run = next(simulate(plan, 1, 1))
    assert run.drums == math.floor(28800.0 / 500.0) == int(formula(plan, 1.0).drums)
    assert run.operator_use == pytest.approx(formula(plan, 1.0).operator_use, rel=0.02)


def test_one_person_for_many_stations_is_the_bottleneck() -> None:
    """Eight stations, hands of 300 s, one person: a drum every 300 s, whatever the pumps do."""
    change = Spread(300.0, 0.0)
    plan = Plan(28800.0, "fixed_mast", 8, False, 0.2, 1e-3, change=change)
    run = next(simulate(plan, 1, 1))
    assert run.drums == pytest.approx((28800.0 - 200.0) / 300.0, abs=1.0)
    assert run.operator_use == pytest.approx(1.0, abs=1e-9)
    assert run.waiting > 0.6


def test_tandem_goes_on_while_hands_are_faster_than_the_other_drum() -> None:
    """Two stations on one line: no break where the change is shorter than a drum, else that of the change."""
    plan = replace(FED, stations=2, shared_line=True, hopper=0.0, start_level=0.0, pump_flow=FED.draw)
    assert share(plan, 20) < 1e-9
    slow = replace(plan, change=Spread(1500.0, 0.0), operators=2)
    exact = 1.0 - 2.0 * 990.0 / (1500.0 + 990.0)
    assert share(slow, 20) == pytest.approx(exact, abs=0.06)


def test_outages_take_their_share() -> None:
    plan = Plan(
        28800.0, "fixed_mast", 1, False, 0.2, 1e-4, change=Spread(1.0, 0.0), availability=0.8, outage=300.0
    )
    runs = list(simulate(plan, 300, 2))
    values = np.array([run.outage for run in runs])
    error = values.std(ddof=1) / math.sqrt(values.size)
    assert values.mean() == pytest.approx(0.2, abs=3.0 * error + 0.003)


def test_own_stops_leave_the_share_the_formula_says() -> None:
    plan = replace(FED, stops=STOPS, hopper=300.0 * LITRE, start_level=270.0 * LITRE)
    runs = list(simulate(plan, 200, 3))
    values = np.array([run.demanded / (plan.draw * plan.duration) for run in runs])
    error = values.std(ddof=1) / math.sqrt(values.size)
    runs_share = 1.0 / (1.0 + 45.0 / 600.0 + 240.0 / 5400.0 + 1500.0 / 7200.0)
    # the shift begins running, not in the middle of a stop: a little more than in the long run
    assert runs_share - 3.0 * error <= values.mean() <= runs_share + 0.03


def test_a_shift_depends_on_its_number_and_the_seed_only() -> None:
    """The third shift alone equals the third of a row; the same seed gives the same shift."""
    plan = replace(FED, stops=STOPS, availability=0.85, outage=300.0)
    row = list(simulate(plan, 4, 9))
    assert next(simulate(plan, 1, 9, first=2)) == row[2]
    assert next(simulate(plan, 1, 10, first=2)) != row[2]


def test_options_meet_the_same_demand() -> None:
    """Common random numbers: another hopper, the same stops of the destination to the last second."""
    plan = replace(FED, stops=STOPS)
    other = replace(plan, hopper=90.0 * LITRE, start_level=80.0 * LITRE)
    for one, two in zip(simulate(plan, 10, 4), simulate(other, 10, 4), strict=True):
        assert one.demanded == pytest.approx(two.demanded, rel=1e-12)
        assert two.short <= one.short + 1e-12


def test_elements_have_the_moments_of_their_triangles() -> None:
    """10,000 drawn changes against the sums of means and variances, exchange of the pallet once in four."""
    for layout in ("fixed_mast", "moving_arm"):
        found = elements_of(layout, {}, True)  # type: ignore[arg-type]
        stream, whole = np.random.default_rng(8), []
        for number in range(10000):
            whole.append(
                sum(
                    drawn(item, stream)
                    for item in found
                    if item.stage != "ahead" and (not item.pallet or number % 4 == 0)
                )
            )
        told = change_spread(found, 4)
        assert np.mean(whole) == pytest.approx(told.mean, rel=0.02)
        assert np.std(whole) / np.mean(whole) == pytest.approx(told.variation, rel=0.04)
    assert len(names()) == 16


def test_typical_changes_lie_where_the_trade_book_says() -> None:
    """Trade book 2.1: fixed 5 to 9 min, moving arm 2.5 to 4.5 min without its pallet, by likely values."""

    def likely(layout: str, pallet: bool) -> float:
        found = elements_of(layout, {}, True)  # type: ignore[arg-type]
        return sum(i.time.likely for i in found if i.stage != "ahead" and i.pallet is pallet) / MINUTE

    assert 5.0 <= likely("fixed_mast", False) <= 9.0
    assert 2.5 <= likely("moving_arm", False) <= 4.5
    tandem = elements_of("tandem", {}, True)
    hands = sum(item.time.likely for item in tandem if item.hands == "yes") / MINUTE
    assert 4.0 <= hands <= 6.0
    assert hands_time(tandem, 4) > hands * MINUTE


def study_of(name: str, **settings: str) -> ShiftStudy:
    """Twenty shifts of a case."""
    return shift(
        load(WHOLE / f"{name}.toml", {k.replace("__", "."): v for k, v in settings.items()}), shifts=20
    )


def test_two_stations_one_person_formula_overstates() -> None:
    """Trade book 0.7: averages overstate what two stations with one person can do."""
    found = study_of("S01", enquiry__stations="2", enquiry__change_time="8 min", shift__change_spread="0.5")
    row = found.row("drums")
    assert row.formula is not None
    assert found.row("waiting").mean > 0.02
    assert any(item.key == "SHF-why_people" for item in found.sentences)
