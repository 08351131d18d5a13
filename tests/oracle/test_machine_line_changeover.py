"""Wall slip, purge, pig and the year's economy of a line."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from drumwright.flow.displacement import capillary_number, newtonian_left, static_layer
from drumwright.flow.pipe import pressure_drop, wall_stress
from drumwright.flow.turbulent import newtonian_friction_factor
from drumwright.flow.wall_slip import slipping_wall_stress
from drumwright.machine.line import segments as piece
from drumwright.machine.line.economy import priced, year_of_line
from drumwright.machine.line.losses import losses, restart_pressure, volume
from drumwright.machine.line.purge import (
    PIG_RECOVERY,
    lost_at_changeover,
    pig_obstacles,
    pig_push,
    push_newtonian,
    push_yield,
)
from drumwright.machine.line.wall_slip import SLIP_FACTORS, slip_band, with_slip
from drumwright.product.law import FlowLaw
from station_kit import GREASE, TOMATO
from validation_registry import record

HOUR, BAR = 3600.0, 1e5


@pytest.mark.parametrize(
    ("law", "film", "theirs"),
    [(TOMATO, 0.0, 380.0), (TOMATO, 1e-6, 337.0), (TOMATO, 5e-6, 141.0),
     (GREASE, 0.0, 881.0), (GREASE, 1e-6, 676.0), (GREASE, 5e-6, 141.0)],
)  # fmt: skip
def test_slip_of_the_book(law: FlowLaw, film: float, theirs: float) -> None:
    """Physics book 5.2 and 14.3: DN50, 1 m3/h, serum of 5 mPa s in a film of 0, 1, 5 micrometres."""
    parameters = (law.yield_stress, law.consistency, law.exponent)
    ours = float(slipping_wall_stress(1 / HOUR, 0.05, *parameters, film, 5e-3))
    name = f"wall stress, yield {law.yield_stress:g} Pa, film {film * 1e6:g} um"
    assert record("book 5.2", "physics book 14.3", name, theirs, ours, "Pa", 0.004, "recomputed").agrees


def test_slipping_flow_by_quadrature() -> None:
    """Velocity profile with a slip speed at the wall, integrated over the section, gives the flow back."""
    flow, bore, law, film, mu = 3e-4, 0.05, (150.0, 60.0, 0.35), 1e-6, 5e-3
    tau_w = float(slipping_wall_stress(flow, bore, *law, film, mu))
    radius, slip = bore / 2, film * tau_w / mu

    def speed(r: float) -> float:
        def rate(x: float) -> float:
            return (max(tau_w * x / radius - law[0], 0.0) / law[1]) ** (1 / law[2])

        return slip + quad(rate, r, radius, epsabs=0, epsrel=1e-10, points=[radius * law[0] / tau_w])[0]

    whole = quad(lambda r: 2 * np.pi * r * speed(r), 0, radius, epsabs=0, epsrel=1e-8, limit=200)[0]
    assert whole == pytest.approx(flow, rel=1e-6)


def test_slip_below_yield_is_a_plug_on_its_film() -> None:
    flow, bore = 1e-5, 0.05
    ours = float(slipping_wall_stress(flow, bore, 600.0, 25.0, 0.6, 5e-6, 5e-3))
    assert ours == pytest.approx(flow * 5e-3 / (5e-6 * np.pi / 4 * bore**2), rel=1e-12)
    assert ours < 600.0


def test_slip_never_sizes_a_part() -> None:
    friction, static = np.array([1.0, 5.0]) * BAR, 0.5 * BAR
    for use in ("sizing", "restart"):
        assert np.array_equal(with_slip(friction, static, use), friction + static)  # type: ignore[arg-type]
    band = slip_band(friction, static)
    assert np.array_equal(band.high, with_slip(friction, static, "sizing"))
    assert np.array_equal(band.low, with_slip(friction, static, "low_threshold"))
    assert np.allclose(band.low, 0.35 * friction + static)
    assert sorted(SLIP_FACTORS) == list(SLIP_FACTORS)
    with pytest.raises(ValueError, match="no such use"):
        with_slip(friction, static, "offer")  # type: ignore[arg-type]


def test_a_thick_newtonian_product_leaves_the_limit_and_a_slow_push_less() -> None:
    """Physics book 5.9: up to 0.60 at a high capillary number; thin films by 1.34 Ca^(2/3) at a low one."""
    thick = capillary_number(50.0, 0.14, 0.05)
    assert float(newtonian_left(thick)) == 0.60 == float(newtonian_left(np.inf))
    ours = float(newtonian_left(1e-6))
    assert ours == pytest.approx(2 * 1.34 * 1e-4, rel=1e-3)
    left = np.asarray(newtonian_left(np.logspace(-7, 4, 200)))
    assert np.all(np.diff(left) >= 0.0)
    pushed = push_newtonian(thick)
    assert float(pushed.at_breakthrough) == pytest.approx(0.40)


@pytest.mark.parametrize("flow", [1e-6, 1e-3, 5e-3])
def test_static_layer_is_where_the_gradient_just_reaches_the_yield_stress(flow: float) -> None:
    """Root of G(d) D/4 = tau_y with the friction factor of the library; the channel within 1.5 %."""
    bore, tau, rho, mu = 0.05, 20.0, 1000.0, 1e-3

    def miss(d: float) -> float:
        reynolds = 4 * rho * flow / (np.pi * d * mu)
        speed = flow / (np.pi / 4 * d**2)
        gradient = 2 * float(newtonian_friction_factor(reynolds)) * rho * speed**2 / d
        return gradient * bore / 4 - tau

    channel = min(brentq(miss, 1e-4, 0.5, xtol=1e-12), bore)
    ours = float(static_layer(flow, bore, tau, rho, mu))
    assert np.sqrt(1 - ours) * bore == pytest.approx(channel, rel=0.015)


def test_yield_products_give_back_less_than_half_at_breakthrough() -> None:
    made = push_yield(1e-3, 0.05, np.array([0.0, 1e-3, 150.0, 600.0]), 1000.0, 1e-3)
    assert np.all(made.at_breakthrough == pytest.approx(0.40))
    assert made.left[0] == made.left[2] == made.left[3] == 0.60
    assert made.left[1] < 0.05
    air = push_yield(1e-3, 0.05, 150.0, 1.2, 1.8e-5)
    assert float(air.left) == 0.60


def test_pig_pressure_and_its_way() -> None:
    line = [piece.hose(0.05, 3.0), piece.pipe(0.05, 5.0, 2.0), piece.bend(0.05, np.pi / 2, 1.5)]
    loss = losses(line, 1e-4, 900.0, GREASE)
    start = restart_pressure(line, 900.0, 900.0)
    made = pig_push(line, loss, start, 200.0, 0.5 * BAR)
    own = 200.0 / (np.pi / 4 * 0.05**2)
    assert float(made.running) == pytest.approx(float(loss.total) + own + 0.5 * BAR, rel=1e-12)
    assert float(start) > float(loss.at_pump)
    assert float(made.starting) == pytest.approx(float(start) + own + 0.5 * BAR, rel=1e-12)
    assert float(pig_push(line, loss, 0.0, 200.0, 0.0).starting) == pytest.approx(float(loss.at_pump) + own)
    assert made.obstacles == ()
    bad = [*line, piece.bend(0.05, 1.0, 1.0), piece.fitting("butterfly_valve", 0.05),
           piece.fitting("reduced_ball_valve", 0.05), piece.reducer(0.05, 0.065, 0.1), piece.pipe(0.065, 1.0),
           piece.fitting("ball_valve", 0.0505), piece.stated_loss("filter", 0.05, 0.0)]  # fmt: skip
    assert pig_obstacles(bad) == (
        (3, "tight_bend"), (4, "not_full_bore"), (5, "not_full_bore"), (6, "bore_changes"),
        (7, "bore_changes"), (9, "not_full_bore"),
    )  # fmt: skip
    assert list(PIG_RECOVERY) == sorted(PIG_RECOVERY)


def test_hold_up_beats_energy_as_in_the_book() -> None:
    """Physics book 5.8 without its prices: energy DN32/DN50 67/32, hold-up 1363/3328 = (32/50)^2."""
    flow, hours = 0.8 / HOUR, 2000 * HOUR
    years = []
    for bore in (0.032, 0.050):
        lost = lost_at_changeover([piece.pipe(bore, 5.0)], 0.0, 0.0)
        drop = pressure_drop(flow, bore, 5.0, 150.0, 60.0, 0.35)
        years.append(year_of_line(drop, flow, hours, 0.4, lost, 250, 1130.0))
    ratio = float(years[0].energy / years[1].energy)
    assert record("book 5.8", "physics book 5.8", "energy DN32 over DN50", 67 / 32, ratio, "-", 0.025,
                  "recomputed").agrees  # fmt: skip
    assert float(years[0].lost_volume / years[1].lost_volume) == pytest.approx(1363 / 3328, rel=1e-3)
    money = [priced(year, 0.2 / 3.6e6, 1.2) for year in years]
    assert float(money[0].energy) == pytest.approx(67, rel=0.02)
    assert float(money[0].lost_product) == pytest.approx(1363, rel=0.01)
    assert float(money[0].total) < float(money[1].total)
    assert float(years[0].energy) / 3.6e6 == pytest.approx(333, rel=0.03)


def test_lost_volume_counts_dead_legs_and_what_comes_back() -> None:
    line = [piece.pipe(0.05, 5.0), piece.reducer(0.05, 0.08, 0.2)]
    room = np.pi / 4 * 0.05**2 * 5 + quad(lambda x: np.pi / 4 * (0.05 + 0.03 * x / 0.2) ** 2, 0, 0.2)[0]
    assert float(volume(line)) == pytest.approx(room, rel=1e-12)
    assert float(lost_at_changeover(line, 0.98, 1e-3)) == pytest.approx(0.02 * room + 1e-3, rel=1e-9)
    with pytest.raises(ValueError, match="share left"):
        lost_at_changeover(line, 1.1, 0.0)


def test_film_of_nothing_changes_nothing() -> None:
    ours = slipping_wall_stress(2e-4, 0.04, 150.0, 60.0, 0.35, 0.0, 1.0)
    assert ours == pytest.approx(wall_stress(2e-4, 0.04, 150.0, 60.0, 0.35), rel=1e-14)
