"""Squeeze force, end gap and its levers against quadrature, closed limits and physics book 1.4, 2.4, 3."""

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from drumwright.flow.disc_gap import plate_force, yield_plate_force
from drumwright.flow.slot import wall_stress
from drumwright.machine.plate import end_gap, squeeze
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

RADIUS, PORT, AREA = 0.28575, 0.04, 0.25652


def test_squeeze_force_over_random_gaps_equals_quadrature() -> None:
    random = np.random.default_rng(1)
    for _ in range(40):
        speed, gap = 10 ** random.uniform(-5, -2), 10 ** random.uniform(-3.3, -1.5)
        law = (
            random.choice([0.0, 1.0]) * 10 ** random.uniform(0, 3),
            10 ** random.uniform(-1, 3),
            random.uniform(0.15, 1.0),
        )

        def at(r: float, v: float = speed, h: float = gap, by: tuple[float, ...] = law) -> float:
            return 2.0 / h * float(wall_stress(0.5 * v * r, h, *by)) * math.pi * r * r

        second = quad(at, 0.0, RADIUS, epsabs=0, epsrel=1e-9, limit=300)[0]
        ours = float(squeeze.squeeze_force(speed, gap, RADIUS, *law))
        assert ours == pytest.approx(second, rel=2e-4)
        assert float(squeeze.squeeze_gap(ours, speed, RADIUS, *law)) == pytest.approx(gap, rel=1e-6)


def test_closed_limits_of_the_squeeze_force() -> None:
    """Stefan 3 pi mu v R^4/(2 h^3); Covey and Stanmore 2 pi tau_y R^3/(3 h)."""
    ours = float(squeeze.squeeze_force(1e-3, 2e-3, RADIUS, 0.0, 50.0, 1.0))
    assert ours == pytest.approx(1.5 * math.pi * 50.0 * 1e-3 * RADIUS**4 / 2e-3**3, rel=1e-12)
    still = float(squeeze.squeeze_force(0.0, 2e-3, RADIUS, 150.0, 60.0, 0.35))
    assert still == pytest.approx(2 * math.pi / 3 * 150.0 * RADIUS**3 / 2e-3, rel=1e-12)


def test_adhesion_of_the_book() -> None:
    """Physics book 3, 14.2 A6: 5 mm/s at 3 mm: 12.0, 28.3, 291 kN; yield part 2.4 and 9.8 kN at rest."""
    source = "squeeze law at 3 mm, 5 mm/s"
    for law, theirs, tolerance in ((TOMATO, 12.0, 0.01), (GREASE, 28.3, 0.01), (SYRUP, 291.0, 0.01)):
        ours = float(
            squeeze.squeeze_force(5e-3, 3e-3, RADIUS, law.yield_stress, law.consistency, law.exponent)
        )
        assert record(
            "physics 3", source, "adhesion", theirs, 1e-3 * ours, "kN", tolerance, "recomputed"
        ).agrees
    for law, theirs in ((TOMATO, 2.4), (GREASE, 9.8)):
        ours = float(
            squeeze.squeeze_force(0.0, 3e-3, RADIUS, law.yield_stress, law.consistency, law.exponent)
        )
        assert 1e-3 * ours == pytest.approx(theirs, abs=0.06)


def test_time_to_thin_a_layer() -> None:
    """FLM-05: 86.9 s; second route: the plate's way integrated in time."""
    ours = float(squeeze.newtonian_time(2000.0, 50.0, 0.28, 0.01, 0.002))

    def sink(_t: float, h: np.ndarray) -> np.ndarray:
        return np.array([-1e-3 * 2000.0 / float(squeeze.squeeze_force(1e-3, h[0], 0.28, 0.0, 50.0, 1.0))])

    def arrived(_t: float, h: np.ndarray) -> float:
        return float(h[0] - 0.002)

    arrived.terminal = True  # type: ignore[attr-defined]
    second = solve_ivp(sink, (0, 200), [0.01], events=arrived, rtol=1e-9, atol=1e-12).t_events[0][0]
    assert ours == pytest.approx(second, rel=1e-6)
    source = "50 Pa s, 0.28 m, 2 kN, 10 to 2 mm; integrated in time"
    assert record("FLM-05", source, "time", 86.894945, ours, "s", 1e-4, "recomputed").agrees


def test_time_with_a_port_and_suction() -> None:
    """Physics book 1.4, 14.3: (c) with 3 kN to 5/2/1 mm 51.8/324/1294 s; with suction 8.3/52/208 s."""
    shape = squeeze.port_shape(RADIUS, PORT)
    with_suction = float(end_gap.available_force(3000.0, AREA, 101e3, 40e3))
    assert with_suction == pytest.approx(18.6e3, rel=0.005)
    for force, times in ((3000.0, (51.8, 324.0, 1294.0)), (with_suction, (8.3, 52.0, 208.0))):
        for gap, theirs in zip((5e-3, 2e-3, 1e-3), times, strict=True):
            ours = float(squeeze.newtonian_time(force, 50.0, RADIUS, 1.0, gap, shape))
            assert ours == pytest.approx(theirs, rel=0.006)


def test_end_gaps_of_the_book() -> None:
    """Physics book 1.4, 14.3: gaps at 3 kN, port 40 kPa abs, 1 m3/h; yield floor without vacuum."""
    for law, theirs, floor in ((TOMATO, 2.76, 3.9), (GREASE, 4.80, 15.5), (SYRUP, 7.67, None)):
        by = (law.yield_stress, law.consistency, law.exponent)
        force = end_gap.available_force(3000.0, AREA, 101e3, 40e3)
        gap, held = end_gap.end_gap(force, 1.0 / 3600.0, RADIUS, PORT, *by)
        assert 1e3 * float(gap) == pytest.approx(theirs, abs=0.02)
        assert not bool(held)
        gaps = np.array([0.5, 1.0, 2.0]) * float(gap)
        curve = np.asarray(plate_force(1.0 / 3600.0, gaps, RADIUS, PORT, *by))
        assert curve[1] == pytest.approx(float(force), rel=1e-6)
        assert curve[0] > curve[1] > curve[2]
        if floor is not None:
            assert 1e3 * float(end_gap.end_gap(3000.0, 0.0, RADIUS, PORT, *by)[0]) == pytest.approx(
                floor, abs=0.05
            )
    wide, held = end_gap.end_gap(600.0, 0.0, RADIUS, PORT, 600.0, 25.0, 0.6)
    assert bool(held)  # 77 mm is outside the thin-gap law: a fifth of the radius is 57 mm
    assert float(wide) == pytest.approx(0.2 * RADIUS)


def test_force_of_a_small_port_is_four_thirds_pi() -> None:
    """Physics book 10: F_y(r0 -> 0) = 4 pi tau_y R^3/(3 h), by the array law and the closed one."""
    limit = 4.0 * math.pi / 3.0 * 150.0 * RADIUS**3 / 3e-3
    apart = []
    for port in (1e-2, 1e-3, 1e-4, 1e-5):
        closed = float(yield_plate_force(3e-3, RADIUS, port, 150.0))
        assert closed / limit == pytest.approx(1.0, abs=2.0 * port / RADIUS)
        apart.append(1.0 - closed / limit)
    assert all(after < 0.2 * before for before, after in pairwise(apart))
    # six nodes in sqrt(ln(R/r)) are made for real ports; at R/r0 = 286 they keep 3e-3
    assert float(plate_force(0.0, 3e-3, RADIUS, 1e-3, 150.0, 60.0, 0.35)) == pytest.approx(limit, rel=8e-3)


def test_levers_of_the_book() -> None:
    """2.4 with C6: force +10 % -> -9 % (yield), -3 % (viscous); ring at the rim 0.63 and 0.59."""
    stiff = end_gap.levers(18.6e3, 1e-20, RADIUS, PORT, 150.0, 60.0, 0.35)
    assert stiff["more_force"] / stiff["as_is"] == pytest.approx(1.0 / 1.1, rel=1e-3)
    thick = end_gap.levers(18.6e3, 1.0 / 3600.0, RADIUS, PORT, 0.0, 50.0, 1.0)
    assert thick["more_force"] / thick["as_is"] == pytest.approx(1.1 ** (-1.0 / 3.0), rel=1e-6)
    assert thick["slower"] / thick["as_is"] == pytest.approx(0.1 ** (1.0 / 3.0), rel=1e-6)
    paste = end_gap.levers(18.6e3, 1.0 / 3600.0, RADIUS, PORT, 150.0, 60.0, 0.35)
    assert 1e3 * (paste["as_is"] - paste["slower"]) == pytest.approx(2.76 - 1.91, abs=0.02)  # 1.4: below 1 mm
    source = "ring at the rim over central port 40 mm"
    ours = stiff["port_at_rim"] / stiff["as_is"]
    assert record("physics 2.4", source, "gap ratio, yield", 0.63, ours, "-", 0.01, "recomputed").agrees
    ours = thick["port_at_rim"] / thick["as_is"]
    assert record("physics 2.4", source, "gap ratio, Newtonian", 0.59, ours, "-", 0.01, "recomputed").agrees
    central = float(yield_plate_force(3e-3, RADIUS, PORT, 150.0))
    outward = float(squeeze.squeeze_force(0.0, 3e-3, RADIUS, 150.0, 60.0, 0.35))
    assert outward / central == pytest.approx(0.63, abs=0.005)
    assert central / outward == pytest.approx(1.58, abs=0.01)
    assert 0.25 / float(squeeze.port_shape(RADIUS, PORT)) == pytest.approx(0.20, abs=0.005)
    assert stiff["channels"] / stiff["as_is"] == pytest.approx(math.pi / 8, rel=1e-3)
    none = end_gap.levers(18.6e3, 1e-20, RADIUS, PORT, 150.0, 60.0, 0.35, channels=3)
    assert none["channels"] == none["as_is"]
    assert float(end_gap.channel_volume(8, 0.01, 0.01, RADIUS)) == pytest.approx(8e-4 * RADIUS)
