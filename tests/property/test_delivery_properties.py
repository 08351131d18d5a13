"""Peaks, cushions and creeping over random plants: bounds, order, and what cannot make an answer better."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from drumwright.machine.delivery import gas_cushion, stop_overshoot
from drumwright.machine.delivery.creeping import creeping
from drumwright.machine.delivery.dead_head import (
    ClosedLine,
    compliance,
    effective_modulus,
    pressure_after,
    taken_up,
    time_to_pressure,
)
from drumwright.machine.delivery.stop_overshoot import Cushion
from drumwright.product.law import FlowLaw

lines = st.builds(
    ClosedLine,
    st.floats(1e-4, 0.2),
    st.floats(4e-10, 6e-8),
    st.floats(0.0, 0.08),
    st.just(101325.0),
)
pressures = st.floats(1.2e5, 3e6)
volumes = st.floats(0.0, 2e-3)
exponents = st.floats(1.0, 1.4)


@given(lines, pressures, volumes)
def test_the_volume_pumped_is_all_in_the_line(line: ClosedLine, start: float, more: float) -> None:
    """Volume balance: what was pumped after the stop is taken up between stop and peak."""
    peak = pressure_after(line, start, more)
    assert float(peak) >= start * (1.0 - 1e-12)
    # the digits of a tiny volume are lost in the difference of two pressures
    noise = 1e-13 * float(compliance(line, start)) * float(peak) * 10.0
    assert abs(float(taken_up(line, start, peak)) - more) <= 1e-9 * more + noise


@given(lines, pressures, volumes, st.floats(1e-5, 0.02), st.floats(1.1e5, 3e6), exponents)
def test_a_cushion_never_raises_the_peak_and_the_balance_closes(
    line: ClosedLine, start: float, more: float, gas: float, precharge: float, exponent: float
) -> None:
    cushion = Cushion(gas, precharge, exponent)
    with_it = float(stop_overshoot.peak_after_stop(line, start, more, cushion))
    assert start * (1.0 - 1e-9) <= with_it <= float(pressure_after(line, start, more)) * (1.0 + 1e-9)
    left, begins, _ = cushion.at(start)
    held = float(taken_up(line, start, with_it) + gas_cushion.stored(left, begins, with_it, exponent))
    slope = float(compliance(line, start) + gas_cushion.compliance(left, begins, begins, exponent))
    assert abs(held - more) <= 1e-6 * more + 1e-9 * slope * with_it


@given(lines, pressures, st.floats(1e-6, 1e-3), st.floats(0.0, 1.0), st.floats(0.0, 3.0))
def test_more_lag_ramp_or_flow_and_less_air_or_give_raise_the_peak(
    line: ClosedLine, start: float, flow: float, lag: float, ramp: float
) -> None:
    def peak(taken: ClosedLine, q: float, late: float, down: float) -> float:
        return float(
            stop_overshoot.peak_after_stop(taken, start, stop_overshoot.pumped_after_stop(q, late, down))
        )

    base = peak(line, flow, lag, ramp)
    slack = 1.0 - 1e-12
    assert peak(line, 1.1 * flow, lag, ramp) >= base * slack
    assert peak(line, flow, lag + 0.05, ramp) >= base * slack
    assert peak(line, flow, lag, ramp + 0.2) >= base * slack
    assert peak(line._replace(growth=0.5 * float(line.growth)), flow, lag, ramp) >= base * slack  # type: ignore[arg-type]
    assert peak(line._replace(air_share=0.5 * float(line.air_share)), flow, lag, ramp) >= base * slack  # type: ignore[arg-type]


@given(
    lines, pressures, st.floats(1.05, 5.0), st.floats(1e-6, 1e-3), st.floats(0.0, 1.0), st.floats(0.0, 3.0)
)
def test_a_band_never_promises_less_than_its_upper_end_nor_more_than_a_stop_there(
    line: ClosedLine, low: float, ratio: float, flow: float, lag: float, ramp: float
) -> None:
    found = stop_overshoot.slow_down(line, low, ratio * low, flow, lag, ramp)
    pure = stop_overshoot.peak_after_stop(
        line, ratio * low, stop_overshoot.pumped_after_stop(flow, lag, ramp)
    )
    assert ratio * low * (1.0 - 1e-12) <= float(found.peak) <= float(pure) * (1.0 + 1e-12)


@given(volumes.filter(lambda v: v > 1e-7), pressures, st.floats(1.05, 4.0), st.floats(0.2, 1.0), exponents)
def test_the_sized_cushion_holds_what_it_was_sized_for(
    moved: float, low: float, ratio: float, share: float, exponent: float
) -> None:
    before = max(share * low, 1e4)
    size = gas_cushion.storage_volume(moved, before, low, ratio * low, exponent)
    held = gas_cushion.stored(size, before, [low, ratio * low], exponent)
    assert np.isclose(held[1] - held[0], moved, rtol=1e-8)
    settled = gas_cushion.storage_volume(moved, before, low, ratio * low, exponent, gas_cushion.ISOTHERMAL)
    assert float(settled) >= float(size) * (1.0 - 1e-12)
    guard = gas_cushion.protection_volume(moved, before, low, ratio * low, exponent)
    assert np.isclose(guard, settled)


@given(st.floats(1e-5, 0.1), pressures, pressures)
def test_precharge_above_the_least_pressure_leaves_nothing(gas: float, before: float, low: float) -> None:
    found = gas_cushion.judge_precharge(gas, before, low)
    assert bool(found.gives) is (before <= low)
    assert 0.0 <= float(found.stale) < gas
    if before > low:
        assert float(found.stale) == 0.0
        assert np.isnan(gas_cushion.storage_volume(1e-3, before * (1 + 1e-9), low, 2.0 * before))


@given(lines, pressures, st.floats(1.01, 5.0), st.floats(1e-6, 1e-3))
def test_the_time_to_a_pressure_leads_to_that_pressure(
    line: ClosedLine, start: float, ratio: float, flow: float
) -> None:
    time = time_to_pressure(line, flow, start, ratio * start)
    assert np.isclose(pressure_after(line, start, flow * time), ratio * start, rtol=1e-9)


@given(st.floats(1e9, 3e9), st.floats(0.0, 0.1), pressures, exponents)
def test_the_mixture_lies_between_air_and_product(modulus: float, air: float, p: float, n: float) -> None:
    found = float(effective_modulus(modulus, air, p, n))
    assert min(n * p, modulus) * (1.0 - 1e-12) <= found <= modulus * (1.0 + 1e-12)
    assert float(effective_modulus(modulus, air, 1.1 * p, n)) >= found * (1.0 - 1e-12)


@given(st.floats(0.0, 3e5), st.floats(-5e4, 3e5), st.floats(0.0, 500.0))
def test_nothing_creeps_without_pressure_and_more_pressure_never_less(
    inlet: float, end: float, yields: float
) -> None:
    law = FlowLaw(yields, 60.0, 0.5)
    found = creeping([inlet, inlet + 1e4], end, 5.0, 0.05, law)
    assert 0.0 <= found.flow[0] <= found.flow[1]
    if inlet <= end:
        assert found.flow[0] == 0.0
