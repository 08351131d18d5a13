"""Freezing and thawing on a grid against series, the similarity solution of a front, and energy."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erfc

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.conduction import Cylinder, Place, remaining
from drumwright.flow.heat_content import HeatContent, freezing, sensible
from drumwright.flow.phase_change import Surfaces, follow
from drumwright.flow.surroundings import constant, places, yard

HOUR, DAY = 3600.0, 86400.0
RADIUS, HEIGHT = 0.28575, 0.78
PUREE = freezing(1050 * 3700.0, 0.5, 1050 * 270e3, 272.15, 4.0, 1050 * 2100.0, 1.6)


@pytest.mark.parametrize("law", [(0.50, 1130 * 3500.0), (0.14, 900 * 1900.0)])
@pytest.mark.parametrize("h", [10.0, 500.0])
def test_equals_the_series_without_latent_heat(law: tuple[float, float], h: float) -> None:
    """Within 0.5 % of the step from the sixth hour on: core, mean and wall."""
    history = follow(
        sensible(law[1], law[0]), RADIUS, HEIGHT, 273.0, constant(283.0), Surfaces(h, h, h), 150 * HOUR
    )
    body = Cylinder(RADIUS, HEIGHT, *law, h, h, h)
    where: tuple[tuple[Place, np.ndarray], ...] = (
        ("core", history.core),
        ("mean", history.mean),
        ("wall", history.wall),
    )
    for place, values in where:
        gap = np.abs((283.0 - values) / 10.0 - remaining(body, history.times, place))
        assert gap[6:].max() < 0.005, place


def test_order_of_the_grid() -> None:
    """Twice the cells, a quarter of the error at the core."""
    body = Cylinder(RADIUS, HEIGHT, 0.5, 4e6, 10.0, 10.0, 10.0)
    exact = float(remaining(body, 60 * HOUR, "mean"))
    errors = []
    for cells in ((8, 12), (16, 24)):
        history = follow(
            sensible(4e6, 0.5),
            RADIUS,
            HEIGHT,
            1.0 + 273.0,
            constant(273.0),
            Surfaces(10, 10, 10),
            60 * HOUR,
            cells=cells,
        )
        errors.append(abs(history.mean[-1] - 273.0 - exact))
    assert errors[0] / errors[1] > 3.0


def front_constant(
    cold: float, warm: float, melts: float, k: tuple[float, float], heat: tuple[float, float], latent: float
) -> float:
    """Neumann's equation for lambda of a front s = 2 lambda sqrt(alpha_solid t); frozen from a cold wall."""
    alpha = k[0] / heat[0], k[1] / heat[1]
    ratio = math.sqrt(alpha[0] / alpha[1])

    def miss(lam: float) -> float:
        solid = k[0] * (melts - cold) / math.sqrt(math.pi * alpha[0]) * math.exp(-(lam**2)) / math.erf(lam)
        liquid = k[1] * (warm - melts) / math.sqrt(math.pi * alpha[1])
        liquid *= math.exp(-((lam * ratio) ** 2)) / float(erfc(lam * ratio))
        return solid - liquid - latent * lam * math.sqrt(alpha[0])

    return float(brentq(miss, 1e-6, 3.0, xtol=1e-14))


@pytest.mark.parametrize("warm", [273.15, 283.15])
def test_front_of_neumann(warm: float) -> None:
    """One-dimensional freezing from a wall held at -20 C (Stefan, Neumann): place of the front and heat."""
    melts, cold, latent = 273.15, 253.15, 2.8e8
    k, heat = (1.6, 0.5), (2.2e6, 3.9e6)
    content = freezing(heat[1], k[1], latent, melts, 0.02, heat[0], k[0])
    depth = 0.30
    history = follow(
        content,
        0.1,
        depth,
        warm,
        constant(cold),
        Surfaces(0.0, 1e9, 0.0),
        12 * HOUR,
        every=HOUR,
        cells=(2, 120),
    )
    lam = front_constant(cold, warm, melts, k, heat, latent)
    alpha = k[0] / heat[0]
    front = 2.0 * lam * np.sqrt(alpha * history.times)
    passed = 2.0 * k[0] * (melts - cold) * np.sqrt(history.times / (math.pi * alpha)) / math.erf(lam)
    assert 0.03 < front[-1] < 0.6 * depth
    np.testing.assert_allclose(history.frozen_share[4:] * depth, front[4:], rtol=0.01)
    np.testing.assert_allclose(-history.heat_in[4:] / (math.pi * 0.1**2), passed[4:], rtol=0.01)


def test_heat_is_kept() -> None:
    """Freezing in a yard, then thawing in a hall: what is held changed by what came in, to 1e-6."""
    air = places([(6 * DAY, yard(263.0, 8.0)), (20 * DAY, constant(293.0))])
    history = follow(PUREE, RADIUS, HEIGHT, 285.0, air, Surfaces(5.0, 9.0, 9.0), 20 * DAY)
    gap = history.heat_in - (history.heat_held - history.heat_held[0])
    assert np.abs(gap).max() < 1e-6 * np.abs(history.heat_in).max()
    assert 0.2 < history.frozen_share.max() < 1.0


def test_bounds() -> None:
    """No cell leaves the range of start and air, whatever the phase; the frozen share falls in the warm."""
    history = follow(PUREE, RADIUS, HEIGHT, 255.0, constant(293.0), Surfaces(500.0, 9.0, 500.0), 12 * DAY)
    assert history.coldest.min() >= 255.0 - 1e-9 and history.warmest.max() <= 293.0 + 1e-9
    assert np.all(np.diff(history.frozen_share) <= 1e-12)
    assert np.all(np.diff(history.coldest) >= -1e-9)
    assert history.above_after(290.0) > history.above_after(275.0) > 0.0
    assert history.below_after(300.0) == 0.0 and math.isinf(history.below_after(280.0))
    assert history.core_above_after(275.0) <= history.above_after(275.0) + HOUR


def test_latent_heat_takes_its_share_of_the_time() -> None:
    """Quasi-steady shell of a long cylinder in a bath, from memory: t = L R^2/(4 k dT) as St goes to 0."""
    latent, width = 3.0e8, 0.02
    content = freezing(3e5, 0.5, latent, 273.15, width)  # little sensible heat: Stefan number 0.02
    air, faces = constant(293.15), Surfaces(1e9, 0.0, 0.0)
    history = follow(content, 0.1, 1.0, 273.15 - width, air, faces, 1.2 * DAY, every=300.0, cells=(20, 4))
    exact = latent * 0.1**2 / (4.0 * 0.5 * 20.0)
    ours = history.above_after(273.15)
    assert exact < ours < exact * 1.03


def test_refused() -> None:
    with pytest.raises(FlowOutOfRange):
        freezing(4e6, 0.5, 3e8, 273.0, 0.0)
    with pytest.raises(FlowOutOfRange):
        follow(PUREE, RADIUS, HEIGHT, 280.0, constant(290.0), Surfaces(5, 5, 5), 0.0)
    with pytest.raises(FlowOutOfRange):
        places([])


def test_heat_content_and_back() -> None:
    temperatures = np.linspace(230.0, 330.0, 401)
    content: HeatContent = PUREE
    heats = content.heat(temperatures)
    np.testing.assert_allclose(content.temperature(heats), temperatures, rtol=1e-12)
    assert float(content.heat(272.15) - content.heat(268.15)) == pytest.approx(
        1050 * (270e3 + 4.0 * 0.5 * (3700 + 2100))
    )
    assert (
        content.frozen_share(content.heat(268.0)) == 1.0 and content.frozen_share(content.heat(273.0)) == 0.0
    )


def test_surroundings() -> None:
    day = yard(280.0, 5.0)
    assert day(15 * HOUR) == 285.0 and day(3 * HOUR) == pytest.approx(275.0)
    stay = places([(10.0, constant(1.0)), (5.0, constant(2.0)), (1.0, constant(3.0))])
    assert [stay(t) for t in (0.0, 9.9, 10.0, 14.9, 15.0, 99.0)] == [1.0, 1.0, 2.0, 2.0, 3.0, 3.0]
