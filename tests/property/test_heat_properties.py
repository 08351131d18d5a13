"""What must hold for every drum that is warmed, cooled or thawed."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.flow.conduction import PLACES, Cylinder, Place, remaining, time_to
from drumwright.flow.heat_content import freezing
from drumwright.flow.phase_change import Surfaces, follow
from drumwright.flow.surroundings import constant
from drumwright.machine.container.band_heater import BandHeater
from drumwright.machine.container.band_warm_up import core_after_bands, warm_up_by_bands
from drumwright.machine.container.warm_up import HeatCard, Store, warm_up

few = settings(max_examples=60, derandomize=True, deadline=None)
fewer = settings(max_examples=15, derandomize=True, deadline=None)

HOUR = 3600.0
coefficients = st.one_of(st.just(0.0), st.floats(0.1, 1e4))
bodies = st.builds(
    Cylinder,
    st.floats(0.05, 0.6),
    st.floats(0.1, 1.5),
    st.floats(0.1, 0.7),
    st.floats(1.2e6, 4.5e6),
    st.floats(0.5, 1e4),
    coefficients,
    coefficients,
)
places = st.sampled_from(PLACES)
hours = st.floats(0.0, 2000.0)


@few
@given(bodies, places, hours, st.floats(1.01, 5.0))
def test_the_remaining_share_falls_from_one_to_zero(
    body: Cylinder, place: Place, after: float, factor: float
) -> None:
    first = float(remaining(body, after * HOUR, place))
    later = float(remaining(body, after * factor * HOUR, place))
    assert -1e-9 <= later <= first + 1e-9 <= 1.0 + 1e-6


@few
@given(bodies, hours)
def test_the_core_follows_last_and_the_edge_first(body: Cylinder, after: float) -> None:
    core, wall, edge, mean = (
        float(remaining(body, after * HOUR, place)) for place in ("core", "wall", "edge", "mean")
    )
    assert core >= wall - 2e-3 and wall >= edge - 2e-3
    assert core >= mean - 2e-3 and mean >= edge - 2e-3


@few
@given(bodies, places, st.floats(0.001, 0.999))
def test_time_and_share_are_inverse(body: Cylinder, place: Place, share: float) -> None:
    time = float(time_to(body, share, place))
    assert time >= 0.0
    assert float(remaining(body, time, place)) == pytest.approx(share, rel=1e-6)


@few
@given(bodies, st.floats(0.05, 0.9), st.floats(1.05, 3.0))
def test_better_surfaces_and_smaller_drums_are_faster(body: Cylinder, share: float, factor: float) -> None:
    """By the mean: the place called core moves with the coefficients of the ends."""
    base = float(time_to(body, share, "mean"))
    values = (body.conductivity, body.heat_per_volume)
    faces = (body.side, body.bottom, body.top)
    better = Cylinder(body.radius, body.height, *values, *(float(h) * factor for h in faces))
    wider = Cylinder(float(body.radius) * factor, float(body.height) * factor, *values, *faces)
    assert float(time_to(better, share, "mean")) <= base * (1.0 + 1e-6)
    assert float(time_to(wider, share, "mean")) >= base * (1.0 - 1e-6)


@few
@given(bodies, st.floats(0.05, 0.9), st.floats(0.5, 2.0))
def test_time_scales_with_heat_held(body: Cylinder, share: float, factor: float) -> None:
    heavier = Cylinder(
        body.radius,
        body.height,
        body.conductivity,
        float(body.heat_per_volume) * factor,
        body.side,
        body.bottom,
        body.top,
    )
    assert float(time_to(heavier, share)) == pytest.approx(float(time_to(body, share)) * factor, rel=1e-6)


@few
@given(st.lists(st.floats(0.1, 0.7), min_size=2, max_size=5), st.floats(2.0, 50.0), st.floats(0.0, 20.0))
def test_samples_give_what_each_gives_alone(conductivities: list[float], h: float, tau_y: float) -> None:
    def ask(k: np.ndarray | float) -> np.ndarray:
        card = HeatCard(k, 2700.0, 1200.0, 4e-4, tau_y)
        return np.asarray(warm_up(0.57, 0.78, card, Store(300.0, h), 275.0, 290.0).core_time)

    together = ask(np.array(conductivities))
    np.testing.assert_allclose(together, [float(ask(k)) for k in conductivities], rtol=1e-6)


@fewer
@given(
    st.floats(0.0, 3e5),
    st.floats(0.5, 8.0),
    st.floats(255.0, 295.0),
    st.floats(255.0, 295.0),
    st.floats(1.0, 600.0),
)
def test_freezing_keeps_heat_and_stays_in_bounds(
    latent: float, width: float, start: float, air: float, h: float
) -> None:
    content = freezing(3.9e6, 0.5, 1050.0 * latent, 272.0, width, 2.2e6, 1.6)
    history = follow(content, 0.28, 0.78, start, constant(air), Surfaces(h, 0.0, h), 60 * HOUR, cells=(8, 8))
    low, high = min(start, air) - 1e-6, max(start, air) + 1e-6
    assert history.coldest.min() >= low and history.warmest.max() <= high
    gap = history.heat_in - (history.heat_held - history.heat_held[0])
    assert np.abs(gap).max() <= 1e-6 * np.abs(history.heat_in).max() + 1.0


@fewer
@given(st.floats(0.0, 2.5e5), st.floats(1e4, 5e4))
def test_more_latent_heat_takes_longer(latent: float, more: float) -> None:
    def ready(value: float) -> float:
        content = freezing(3.9e6, 0.5, 1050.0 * value, 272.0, 3.0)
        faces = Surfaces(9.0, 9.0, 9.0)
        return follow(
            content, 0.28, 0.78, 258.0, constant(295.0), faces, 500 * HOUR, stop_above=275.0, cells=(8, 8)
        ).above_after(275.0)

    assert ready(latent + more) > ready(latent)


@few
@given(
    st.floats(0.1, 0.6), st.floats(50.0, 4000.0), st.floats(0.1, 1.0), st.floats(30.0, 90.0),
    st.floats(6.0, 12.0), st.floats(1.01, 3.0),
)  # fmt: skip
def test_bands_keep_to_their_power_and_stronger_ones_are_hardly_slower(
    conductivity: float, power: float, height: float, limit: float, loss: float, factor: float
) -> None:
    """Started as cold as the hall, so that all heat comes from the bands; the core after the time is warm.

    A known error of the model, named in docs/limits.md: power and limit are joined by equal mean heat, so the
    core at the joint is up to 6 % late and more power or a hotter limit can come out slower by that.
    """
    card, start, target = HeatCard(conductivity, 2500.0, 1100.0, 4e-4, 300.0), 283.15, 298.15

    def found(heater: BandHeater) -> tuple[float, float]:
        answer = warm_up_by_bands(0.57, 0.8, card, heater, start, target)
        return float(answer.core_time), float(answer.energy)

    one = BandHeater(power, height, 273.15 + limit, start, loss)
    time, energy = found(one)
    assert time >= 0.999 * energy / power
    assert found(BandHeater(power * factor, height, 273.15 + limit, start, loss))[0] <= time * 1.07
    assert found(BandHeater(power, height, 273.15 + limit * factor, start, loss))[0] <= time * 1.07
    if np.isfinite(time):
        reached = core_after_bands(0.57, 0.8, card, one, start, time * 1.0001)
        assert float(reached) >= target - 1e-3
