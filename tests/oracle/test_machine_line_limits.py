"""Longest lines and smallest bores against the forward calculation and the numbers of the book."""

import numpy as np
import pytest
from scipy.optimize import brentq

from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line import segments as piece
from drumwright.machine.line.limits import length_bore_map, longest_held, longest_running, smallest_bore
from drumwright.machine.line.losses import losses, restart_pressure
from drumwright.product.law import FlowLaw
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

HOUR, BAR = 3600.0, 1e5


@pytest.mark.parametrize(
    ("law", "rested", "run", "start"),
    [(TOMATO, 300.0, 26.3, 33.0), (GREASE, 900.0, 11.35, 11.1), (SYRUP, 0.0, 8.84, np.inf)],
)
def test_longest_lines_of_the_book(law: FlowLaw, rested: float, run: float, start: float) -> None:
    """Physics book 14.3: 8 bar, 1 m3/h, DN50: run 26.3/11.35/8.84 m, restart 33/11.1/- m."""
    made = length_bore_map([0.05], [8 * BAR], 1 / HOUR, 1000.0, law, rested, 0.0, 0.0)
    ours = float(made.running[0, 0, 0])
    assert record("book 5.7", "physics book 14.3", f"longest run, K {law.consistency:g}", run, ours, "m",
                  0.005, "recomputed").agrees  # fmt: skip
    if np.isfinite(start):
        ours = float(made.restart[0, 0, 0])
        assert record("book 5.7", "physics book 14.3", f"longest restart, {rested:g} Pa", start, ours, "m",
                      0.012, "recomputed").agrees  # fmt: skip
    else:
        assert np.isinf(made.restart[0, 0, 0])
    assert bool(made.restart_governs[0, 0, 0]) == (law is GREASE)


def test_longest_line_is_where_the_forward_route_meets_the_pressure() -> None:
    """A root search over the length of a whole route: hose, bends, rise and a filter with it."""
    allowed, flow, density = 12 * BAR, 0.8 / HOUR, 950.0

    def line(length: float) -> list[piece.Segment]:
        fixed = [piece.hose(0.05, 3.0), piece.bend(0.065, np.pi / 2, 1.0), piece.pipe(0.065, 2.0, 1.5),
                 piece.stated_loss("filter", 0.065, 0.5 * BAR)]  # fmt: skip
        return [*fixed, piece.pipe(0.065, length)]

    def excess(length: float) -> float:
        return float(losses(line(length), flow, density, GREASE).total) - allowed

    gradient = pressure_drop(flow, 0.065, 1.0, 600.0, 25.0, 0.6)
    ours = longest_running(allowed, losses(line(0.0), flow, density, GREASE).total, gradient)
    assert float(ours) == pytest.approx(brentq(excess, 0.0, 200.0, xtol=1e-10), rel=1e-9)
    other = restart_pressure(line(0.0), 900.0, density)
    ours = longest_held(allowed, other, 900.0, 0.065)
    root = brentq(
        lambda x: float(restart_pressure(line(x), 900.0, density)) - allowed, 0.0, 200.0, xtol=1e-10
    )
    assert float(ours) == pytest.approx(root, rel=1e-9)


def test_a_line_that_has_no_pressure_left_has_no_length() -> None:
    assert float(longest_running(5 * BAR, 6 * BAR, 1e4)) == 0.0
    assert float(longest_held(5 * BAR, 6 * BAR, 0.0, 0.05)) == 0.0
    assert float(longest_held(5 * BAR, 6 * BAR, 100.0, 0.05)) == 0.0


def test_map_has_a_line_for_each_class_and_rises_with_both() -> None:
    random = np.random.default_rng(2)
    law = FlowLaw(random.uniform(0, 900, 200), random.uniform(1, 400, 200), random.uniform(0.2, 1, 200))
    bores, classes = np.array([0.025, 0.04, 0.05, 0.08]), np.array([6, 10, 16]) * BAR
    made = length_bore_map(bores, classes, 2e-4, 1100.0, law, 1.5 * np.asarray(law.yield_stress), BAR, BAR)
    assert made.running.shape == made.restart.shape == made.yield_only.shape == (3, 4, 200)
    for table in (made.running, made.restart, made.yield_only, made.longest):
        assert np.all(np.diff(table, axis=0) > 0.0)
        assert np.all(np.diff(table, axis=1) > 0.0)
    assert np.all(made.running <= made.yield_only)


def test_smallest_bore_passes_all_three_and_names_what_held_the_next_one_back() -> None:
    bores = (0.032, 0.040, 0.050, 0.065)
    running = np.array([9.0, 7.0, 5.0, 3.0]) * BAR
    restart = np.array([8.0, 9.0, 7.9, 4.0]) * BAR
    cycle = np.array([12.0, 8.5, 6.0, 9.0]) * BAR
    made = smallest_bore(bores, running, restart, cycle, 8 * BAR)
    assert (made.chosen, made.binding) == (2, "restart")
    assert smallest_bore(bores, running, restart, cycle, 3 * BAR).chosen is None
    assert smallest_bore(bores, running, restart, cycle, 20 * BAR)[2:] == (0, None)


def test_an_unknown_cycle_passes_nowhere() -> None:
    bores = (0.05, 0.065)
    made = smallest_bore(bores, [1.0, 1.0], [1.0, 1.0], [np.nan, np.nan], 10.0)
    assert (made.chosen, made.binding) == (None, "cycle")


def test_share_counts_samples_that_pass_everything_at_once() -> None:
    """Two checks fail in different samples: each passes 95 %, both together only 90 %."""
    ones = np.full((1, 100), 1.0)
    running, restart = ones.copy(), ones.copy()
    running[0, :5], restart[0, 5:10] = 9.0, 9.0
    assert smallest_bore((0.05,), running, restart, ones, 2.0, share=0.95).chosen is None
    assert smallest_bore((0.05,), running, restart, ones, 2.0, share=0.90).chosen == 0
    with pytest.raises(ValueError, match="must rise"):
        smallest_bore((0.05, 0.05), ones, ones, ones, 2.0)
