"""What must hold for every product and pipe: order, round trips, agreement of arrays and floats."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.flow import casson, disc_gap, pipe, sink, slot

few = settings(max_examples=80, derandomize=True, deadline=None)

flows = st.floats(1e-8, 1e-2)
bores = st.floats(0.01, 0.2)
yields = st.one_of(st.just(0.0), st.floats(1e-3, 2e3))
consistencies = st.floats(1e-2, 1e3)
exponents = st.floats(0.1, 2.0)
factors = st.floats(1.01, 5.0)
laws = st.tuples(yields, consistencies, exponents)


@few
@given(flows, bores, laws, factors)
def test_pressure_rises_with_flow_and_falls_with_bore(
    flow: float, bore: float, law: tuple[float, float, float], factor: float
) -> None:
    base = pipe.pressure_drop(flow, bore, 3.0, *law)
    assert pipe.pressure_drop(flow * factor, bore, 3.0, *law) > base
    assert pipe.pressure_drop(flow, bore * factor, 3.0, *law) < base
    assert pipe.pressure_drop(flow, bore, 3.0 * factor, *law) == pytest.approx(base * factor)


@few
@given(flows, bores, laws, factors)
def test_pressure_rises_with_yield_stress_and_scales_with_stress(
    flow: float, bore: float, law: tuple[float, float, float], factor: float
) -> None:
    tau_y, k, n = law
    base = pipe.wall_stress(flow, bore, *law)
    assert pipe.wall_stress(flow, bore, tau_y * factor + 1.0, k, n) > base
    assert pipe.wall_stress(flow, bore, tau_y * factor, k * factor, n) == pytest.approx(
        base * factor, rel=1e-12
    )
    assert pipe.wall_stress(0.0, bore, *law) <= base


@few
@given(flows, bores, laws)
def test_round_trips(flow: float, bore: float, law: tuple[float, float, float]) -> None:
    """Flow comes back as well as rounding of the stress lets it: dlnQ/dlntau times a rounding error."""
    stress = float(pipe.wall_stress(flow, bore, *law))
    slope = max(float(pipe.flow_slope(stress, bore, *law)) * stress / flow, 1.0)
    back = pipe.flow_from_wall_stress(stress, bore, *law)
    assert back == pytest.approx(flow, rel=1e-14 * slope * 10 + 1e-12)
    again = pipe.pressure_drop(pipe.flow_rate(4.0 * stress * 3.0 / bore, bore, 3.0, *law), bore, 3.0, *law)
    assert again == pytest.approx(4.0 * stress * 3.0 / bore, rel=1e-12)


@few
@given(flows, st.floats(1e-3, 0.05), laws, factors)
def test_slot_order_and_round_trip(
    per_width: float, gap: float, law: tuple[float, float, float], factor: float
) -> None:
    stress = slot.wall_stress(per_width, gap, *law)
    assert slot.wall_stress(per_width * factor, gap, *law) > stress
    again = slot.wall_stress(slot.flow_per_width(stress, gap, *law), gap, *law)
    assert again == pytest.approx(stress, rel=1e-12)


@few
@given(flows, bores, yields, consistencies, factors)
def test_casson_order_and_round_trip(
    flow: float, bore: float, tau_c: float, viscosity: float, factor: float
) -> None:
    stress = casson.wall_stress(flow, bore, tau_c, viscosity)
    assert casson.wall_stress(flow * factor, bore, tau_c, viscosity) > stress
    assert casson.wall_stress(flow, bore, tau_c + 1.0, viscosity) > stress
    again = casson.wall_stress(
        casson.flow_from_wall_stress(stress, bore, tau_c, viscosity), bore, tau_c, viscosity
    )
    assert again == pytest.approx(stress, rel=1e-11)


gap_laws = st.tuples(yields, consistencies, st.floats(0.15, 1.0))


@few
@given(flows, st.floats(30.0, 3e4), gap_laws, factors)
def test_heel_gap_falls_with_force_and_rises_with_flow_and_yield(
    flow: float, force: float, law: tuple[float, float, float], factor: float
) -> None:
    place = (0.28, 0.04)
    gap = float(disc_gap.smallest_gap(flow, force, *place, *law))
    assert disc_gap.plate_force(flow, gap, *place, *law) == pytest.approx(force, rel=1e-6)
    assert disc_gap.smallest_gap(flow, force * factor, *place, *law) < gap
    assert disc_gap.smallest_gap(flow * factor, force, *place, *law) > gap * (1 - 1e-7)
    assert disc_gap.smallest_gap(flow, force, *place, law[0] * factor + 1.0, *law[1:]) > gap
    assert disc_gap.smallest_gap(0.0, force, *place, *law) <= gap * (1 + 1e-4)


@few
@given(flows, gap_laws, factors)
def test_port_loss_rises_with_flow_and_falls_with_port(
    flow: float, law: tuple[float, float, float], factor: float
) -> None:
    base = sink.port_loss(flow, 0.02, 0.28, *law)
    assert sink.port_loss(flow * factor, 0.02, 0.28, *law) >= base
    assert sink.port_loss(flow, min(0.02 * factor, 0.2), 0.28, *law) <= base
    assert sink.port_loss(0.0, 0.02, 0.28, *law) <= base


@few
@given(st.lists(st.tuples(flows, bores, laws), min_size=1, max_size=8))
def test_arrays_give_what_floats_give(rows: list[tuple[float, float, tuple[float, float, float]]]) -> None:
    flow, bore = np.array([row[0] for row in rows]), np.array([row[1] for row in rows])
    tau_y, k, n = (np.array([row[2][i] for row in rows]) for i in range(3))
    together = pipe.wall_stress(flow, bore, tau_y, k, n)
    alone = [pipe.wall_stress(row[0], row[1], *row[2]) for row in rows]
    assert all(isinstance(value, float) for value in alone)
    np.testing.assert_allclose(together, alone, rtol=1e-13)
