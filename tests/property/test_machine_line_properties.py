"""What must hold for every line: order in length, bore, flow and stress, and sums of its segments."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.flow.cone import cone_pressure
from drumwright.flow.displacement import newtonian_left, static_layer
from drumwright.flow.line_cooling import standing_time_constant, stood_temperature
from drumwright.flow.wall_slip import slipping_wall_stress
from drumwright.machine.line import segments as piece
from drumwright.machine.line.blocked_in import blocked_in_rise
from drumwright.machine.line.losses import losses, restart_pressure, volume, yield_pressure
from drumwright.machine.line.pressure_equipment import screen
from drumwright.machine.line.profile import profile
from drumwright.machine.line.relief import relief_path
from drumwright.machine.line.segments import FITTINGS, Segment
from drumwright.product.law import FlowLaw

few = settings(max_examples=60, derandomize=True, deadline=None)

bores = st.floats(0.015, 0.15)
laws = st.builds(
    FlowLaw, st.one_of(st.just(0.0), st.floats(1e-2, 1.5e3)), st.floats(0.5, 800.0), st.floats(0.2, 1.2)
)
flows = st.floats(1e-7, 2e-3)
factors = st.floats(1.05, 3.0)


@st.composite
def lines(draw: st.DrawFn) -> list[Segment]:
    """A line of up to eight segments of all kinds."""
    makers = (
        lambda: piece.pipe(
            draw(bores), long := draw(st.floats(0.1, 20.0)), draw(st.floats(-1.0, 1.0)) * long
        ),
        lambda: piece.hose(draw(bores), draw(st.floats(0.1, 5.0))),
        lambda: piece.bend(draw(bores), draw(st.floats(0.1, np.pi)), draw(st.floats(0.6, 9.0))),
        lambda: piece.fitting(draw(st.sampled_from(sorted(FITTINGS))), draw(bores), 0.2),
        lambda: piece.reducer(draw(bores), draw(bores), draw(st.floats(0.02, 0.4))),
        lambda: piece.stated_loss("filter", draw(bores), draw(st.floats(0.0, 2e5)), 0.3),
    )
    return [draw(st.sampled_from(makers))() for _ in range(draw(st.integers(1, 8)))]


@few
@given(lines(), flows, laws, factors, st.floats(0.5, 1.5))
def test_more_of_anything_is_more_pressure(
    line: list[Segment], flow: float, law: FlowLaw, factor: float, model: float
) -> None:
    base = losses(line, flow, 1100.0, law, model)
    assert float(losses(line, flow * factor, 1100.0, law, model).total) >= float(base.total)
    assert float(losses(line, flow, 1100.0, law.scaled(factor), model).at_pump) >= float(base.at_pump)
    longer = losses([*line, piece.pipe(0.05, 1.0)], flow, 1100.0, law, model)
    assert float(longer.total) > float(base.total)
    assert float(losses(line, flow, 1100.0, law, model * factor).total) >= float(base.total)
    assert float(base.at_pump) >= float(base.total) - 1e-6 * abs(float(base.total))


@few
@given(lines(), flows, laws)
def test_the_whole_is_the_sum_of_its_segments(line: list[Segment], flow: float, law: FlowLaw) -> None:
    loss = losses(line, flow, 1100.0, law)
    alone = [losses([each], flow, 1100.0, law) for each in line]
    scale = float(np.sum(np.abs(loss.friction))) + abs(float(loss.highest)) + 1.0
    for name in ("straight", "fittings", "stated", "static", "guide", "hose"):
        total = sum(float(getattr(each, name)) for each in alone)
        assert float(getattr(loss, name)) == pytest.approx(total, rel=1e-9, abs=1e-9 * scale), name
    assert float(volume(line)) == pytest.approx(sum(float(volume([each])) for each in line), rel=1e-12)
    way = profile(line, loss, 1100.0, 1e5)
    assert float(way.gauge[0]) == pytest.approx(1e5 + float(loss.total), rel=1e-9, abs=1e-9 * scale)
    assert np.all(np.diff(way.distance) >= 0.0)


@few
@given(lines(), laws, factors)
def test_a_line_at_rest_holds_its_yield(line: list[Segment], law: FlowLaw, factor: float) -> None:
    loss = losses(line, 0.0, 1100.0, law)
    held = float(loss.straight + loss.fittings)
    assert held == pytest.approx(float(yield_pressure(line, law.yield_stress)), rel=1e-9, abs=1e-9)
    start = float(restart_pressure(line, law.yield_stress, 1100.0))
    assert start == pytest.approx(float(loss.at_pump), rel=1e-9, abs=1e-6)
    assert float(restart_pressure(line, factor * float(law.yield_stress), 1100.0)) >= start


@few
@given(bores, bores, st.floats(0.02, 1.0), flows, laws)
def test_a_cone_lies_between_pipes_of_its_two_bores(
    first: float, last: float, length: float, flow: float, law: FlowLaw
) -> None:
    parameters = (law.yield_stress, law.consistency, law.exponent)
    wide = cone_pressure(flow, max(first, last), max(first, last), length, *parameters)
    small = min(first, last)
    narrow = cone_pressure(flow, small, small, length + 0.3 * small, *parameters)
    ours = cone_pressure(flow, first, last, length, *parameters)
    assert float(wide) * (1 - 1e-5) <= float(ours) <= float(narrow) * (1 + 1e-5)


@few
@given(bores, factors, flows, laws)
def test_a_wider_line_takes_less(bore: float, factor: float, flow: float, law: FlowLaw) -> None:
    def line(size: float) -> list[Segment]:
        return [piece.hose(size, 3.0), piece.pipe(size, 5.0), piece.bend(size, 1.0, 1.5),
                piece.fitting("ball_valve", size)]  # fmt: skip

    narrow, wide = (losses(line(size), flow, 1100.0, law) for size in (bore, bore * factor))
    assert float(wide.total) < float(narrow.total)
    assert float(volume(line(bore * factor))) > float(volume(line(bore)))


@few
@given(flows, bores, laws, st.floats(0.0, 1e-5), st.floats(1e-3, 0.1))
def test_slip_only_lowers_the_stress(flow: float, bore: float, law: FlowLaw, film: float, mu: float) -> None:
    parameters = (law.yield_stress, law.consistency, law.exponent)
    without = float(slipping_wall_stress(flow, bore, *parameters, 0.0, mu))
    some, more = (float(slipping_wall_stress(flow, bore, *parameters, x, mu)) for x in (film, 2 * film))
    assert 0.0 < more <= some * (1 + 1e-12) <= without * (1 + 1e-9)


@few
@given(st.floats(0.0, 1e6), st.floats(250.0, 370.0), st.floats(250.0, 370.0), bores, st.floats(1.0, 50.0))
def test_a_standing_line_stays_between_start_and_surroundings(
    time: float, start: float, air: float, bore: float, u: float
) -> None:
    constant = standing_time_constant(bore, u, 1000.0, 2500.0, 0.3)
    made = stood_temperature(time, start, air, constant, u * bore / 2 / 0.3)
    for value in made:
        assert min(start, air) - 1e-9 <= float(value) <= max(start, air) + 1e-9
    away = [abs(float(value) - air) for value in (made.wall, made.mean, made.core)]
    assert away[0] <= away[1] + 1e-9
    assert away[1] <= away[2] + 1e-9


@few
@given(st.floats(1e-7, 1e-2), bores, st.floats(0.1, 1e3), factors)
def test_a_static_layer_thins_with_flow_and_thickens_with_yield(
    flow: float, bore: float, tau: float, factor: float
) -> None:
    base = float(static_layer(flow, bore, tau, 1000.0, 1e-3))
    assert 0.0 <= float(static_layer(flow * factor, bore, tau, 1000.0, 1e-3)) <= base <= 1.0
    assert float(static_layer(flow, bore, tau * factor, 1000.0, 1e-3)) >= base
    assert 0.0 <= float(newtonian_left(flow * 1e3)) <= 0.60


@few
@given(st.floats(0.025, 0.1), flows, laws, factors)
def test_a_relief_branch_only_adds(bore: float, flow: float, law: FlowLaw, factor: float) -> None:
    tau = law.yield_stress
    flush = relief_path(9e5, 0.1, [], [], flow, 1000.0, law, tau, 16e5)
    short = relief_path(9e5, 0.1, [piece.pipe(bore, 0.3)], [], flow, 1000.0, law, tau, 16e5)
    long = relief_path(9e5, 0.1, [piece.pipe(bore, 0.3 * factor)], [], flow, 1000.0, law, tau, 16e5)
    assert float(flush.peak) <= float(short.peak) <= float(long.peak)
    assert float(flush.opening) <= float(short.opening) <= float(long.opening)
    assert float(long.margin) <= float(short.margin)


@few
@given(st.floats(0.6e5, 50e5), st.floats(1e-3, 5.0), factors)
def test_screening_never_falls_with_pressure_or_size_and_group_1_is_stricter(
    gauge: float, size: float, factor: float
) -> None:
    order = ("none", "sep", "ask", "beyond", "I", "II", "III", "IV")
    for item in ("vessel", "gas_cushion"):

        def rank(pressure: float, volume_: float, group: int, kind: str = item) -> int:
            return order.index(screen(kind, pressure, volume_, group).category)  # type: ignore[arg-type]

        base = rank(gauge, size, 2)
        assert rank(gauge * factor, size, 2) >= base
        assert rank(gauge, size * factor, 2) >= base
        assert rank(gauge, size, 1) >= base


@few
@given(st.floats(0.0, 60.0), st.floats(1e-4, 1e-3), st.floats(1e9, 3e9), st.floats(0.0, 5e-8), factors)
def test_blocked_in_rises_with_warming_and_falls_with_give(
    warming: float, beta: float, modulus: float, kappa: float, factor: float
) -> None:
    base = float(blocked_in_rise(warming, beta, modulus, kappa, 3.6e-5).worst)
    assert float(blocked_in_rise(warming * factor, beta, modulus, kappa, 3.6e-5).worst) >= base
    assert float(blocked_in_rise(warming, beta, modulus, kappa * factor, 3.6e-5).worst) <= base
    assert float(blocked_in_rise(warming, beta, modulus, kappa, 3.6e-5).rise) <= base
