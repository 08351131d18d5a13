"""The pump families against quadrature, closed limits and the numbers of physics book 4 with section 14."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from drumwright.machine.pump import air_diaphragm, compressed_air, dry_run, piston, rotor_pair
from drumwright.machine.pump import progressing_cavity as cavity
from drumwright.machine.pump.base import PULL_OUT
from drumwright.machine.pump.diaphragm_family import diaphragm_of
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.limits import assumed
from drumwright.machine.pump.operate import Duty, behaviour, operate
from drumwright.machine.pump.piston_family import piston_of
from drumwright.machine.pump.rotor_family import RotorFamily, rotors_of
from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.machine.pump.wear import EXPONENTS, growth
from drumwright.product.law import FlowLaw
from station_kit import ATMOSPHERE, GREASE, SYRUP, TOMATO, likely_model

BAR, HOUR, RPM = 1.0e5, 3600.0, 1.0 / 60.0
ROTORS = [pump for pump in pumps() if pump.family in ("lobe", "external_gear")]
every_pair = pytest.mark.parametrize("pump", ROTORS, ids=lambda pump: pump.identifier)


def duty_of(pump: Pump, law: FlowLaw, flow: float, added: float, count: int = 1, **values: object) -> Duty:
    """A duty with the inlet at the atmosphere."""
    one = np.ones(count)
    made = Duty(
        "abrasive", flow * one, ATMOSPHERE * one, (ATMOSPHERE + added) * one, ATMOSPHERE * one, added * one,
        1130.0 * one, law, likely_model(count),
    )  # fmt: skip
    return made._replace(**values)  # type: ignore[arg-type]


@every_pair
def test_displacement_of_two_rotors_by_the_torque_of_the_pressure(pump: Pump) -> None:
    """Pressure from pitch circle to tip of both rotors, its torque by quadrature; V = 2 pi T/dp."""
    own = rotors_of(pump)
    one_rotor = quad(lambda r: r * own.width, 0.5 * own.centre_distance, 0.5 * own.rotor_diameter)[0]
    assert pump.displacement == pytest.approx(2.0 * math.pi * 2.0 * one_rotor, rel=1e-12)
    closed = pump.displacement / (2 * own.pockets)
    assert rotor_pair.from_closed_volume(closed, own.pockets) == pytest.approx(pump.displacement)
    # a pocket holds less than the ring that lies between its tips outside the root circle
    root = own.centre_distance - 0.5 * own.rotor_diameter
    ring = math.pi * ((0.5 * own.rotor_diameter) ** 2 - root**2) / own.pockets * own.width
    assert 0.25 * ring < closed < ring


@every_pair
def test_newtonian_slip_of_two_rotors(pump: Pump) -> None:
    """Physics book 4.10: S = sum of c^3 dp b/(12 mu L) over tips, mesh and ends."""
    own, c, dp, mu = rotors_of(pump), 1e-4, 3 * BAR, 50.0
    tips = max(1.0, own.pockets / 2)
    limit = c**3 * dp / (12 * mu) * (
        2 * own.width / (own.tip_land * tips) + own.width / own.tip_land
        + 2 * own.rotor_diameter / (0.5 * own.centre_distance)
    )  # fmt: skip
    ours = float(rotor_pair.slip_sum(dp, c, own, 1100.0, SYRUP, 1e-9))
    assert ours == pytest.approx(limit, rel=1e-12)


@every_pair
def test_wide_clearance_from_one_pascal_second_and_slower_from_there(pump: Pump) -> None:
    """Physics book 4.10: c(mu) wide above 1 Pa s; n goes with mu^-0.5."""
    family, own = family_of(pump), rotors_of(pump)
    assert isinstance(family, RotorFamily)
    model = likely_model() | {
        "model.rotor_clearance_factor": np.ones(1), "model.derate_viscosity": np.ones(1)
    }  # fmt: skip
    for mu, gap in ((0.99, own.clearance), (1.01, own.wide_clearance)):
        assert family.clearance(pump, FlowLaw(0.0, mu, 1.0), model) == pytest.approx(gap)
    for mu, share in ((0.5, 1.0), (4.0, 0.5), (100.0, 0.1)):
        cap = family.further_caps(pump, FlowLaw(0.0, mu, 1.0), model)["viscosity"]
        assert cap == pytest.approx(share * pump.maximum_speed)


@every_pair
def test_filling_of_a_pocket_in_the_newtonian_limit(pump: Pump) -> None:
    """4.4 with the pocket: dp = 32 mu v L/d^2, v = pi D n, L = pi D/z, d = 2 b h/(b + h)."""
    own, family, model = rotors_of(pump), family_of(pump), likely_model()
    model |= {"model.filling_factor": np.ones(1)}
    n, mu, d = 1.0, 50.0, own.rotor_diameter
    depth = d - own.centre_distance
    channel = 2 * own.width * depth / (own.width + depth)
    loss = 32 * mu * (math.pi * d * n) * (math.pi * d / own.pockets) / channel**2
    state = operate(
        pump, "clean", np.array([pump.displacement * n]), np.array([ATMOSPHERE]), np.array([ATMOSPHERE]),
        np.array([ATMOSPHERE]), np.array([1100.0]), SYRUP, model,
    )  # fmt: skip
    base = model["product.vapour_pressure"] + model["model.feed_margin"]
    assert state.inlet_required == pytest.approx(base + loss, rel=1e-9)
    assert family.rated_pressure(pump, "clean") == pump.maximum_pressure


@every_pair
def test_a_product_with_yield_stress_must_be_pressed_in(pump: Pump) -> None:
    """4.10, 4.11: gears take none by suction, lobes up to 100 Pa; losses then count from the atmosphere."""
    one = np.ones(1)
    for stress in (0.0, 50.0, 150.0):
        law = FlowLaw(stress, 10.0, 0.5)
        state = operate(
            pump,
            "clean",
            one * 1e-6,
            one * 1.5e5,
            one * 2e5,
            one * ATMOSPHERE,
            one * 1e3,
            law,
            likely_model(),
        )
        pressed = bool(state.inlet_required[0] > ATMOSPHERE)
        assert pressed == (stress > (100.0 if pump.family == "lobe" else 0.0))


def test_dry_run_of_the_book() -> None:
    """4.6: 60 K after 157/22/3.5 s at 3/8/20 kW/m2; A9: 4.6 N m at 90 rpm are 0.96 kW/m2, x = 3/8/21."""
    for flux, theirs, digit in ((3e3, 157.0, 0.5), (8e3, 22.0, 0.5), (20e3, 3.5, 0.05)):
        ours = float(dry_run.time_to_warm(flux))
        assert ours == pytest.approx(theirs, abs=digit)
    for rpm, theirs in ((90.0, 0.96e3), (300.0, 3.2e3)):
        ours = float(dry_run.heat_flux(4.6, rpm * RPM, 0.040, 0.36, 1.0))
        assert ours == pytest.approx(theirs, rel=0.01)
    assert float(dry_run.heat_flux(4.6, 1.5, 0.040, 0.36, 21.0)) == pytest.approx(20e3, rel=0.02)
    assert float(dry_run.time_to_warm(0.0)) == math.inf


def test_dry_run_against_cells_of_rubber() -> None:
    """Half space with a steady flux into its face, explicit cells: 60 K when the closed form says so."""
    flux, k, heat = 8e3, 0.25, 2e6
    time = float(dry_run.time_to_warm(flux))
    cell = math.sqrt(k / heat * time) / 50.0
    step = 0.4 * cell**2 * heat / k
    warm = np.zeros(400)
    for _ in range(round(time / step)):
        through = np.concatenate([[flux], -k * np.diff(warm) / cell, [0.0]])
        warm -= step * np.diff(through) / (heat * cell)
    face = warm[0] + 0.5 * flux * cell / k
    assert face == pytest.approx(60.0, rel=0.005)


def test_a_ball_that_does_not_sink() -> None:
    """4.8: a ball of 50 mm sinks below 23.8 Pa (PTFE) and 158 Pa (steel): (rho_b - rho) g R = 10.5 tau_y."""
    for density, theirs, digit in ((2150.0, 23.8, 0.1), (7890.0, 158.0, 0.5)):
        ours = float(air_diaphragm.seating_yield_stress(0.050, density, 1130.0))
        assert ours == pytest.approx(theirs, abs=digit)
        assert (density - 1130.0) * 9.80665 * 0.025 / ours == pytest.approx(10.49, abs=0.005)
    assert float(air_diaphragm.seating_yield_stress(0.050, 1000.0, 1130.0)) == 0.0
    pump = find("air-50")
    unsaid = {key: value for key, value in likely_model().items() if not key.startswith("model.ball_back")}
    syrup, tomato = (behaviour(pump, duty_of(pump, law, 1e-5, 1e5, model=unsaid)) for law in (SYRUP, TOMATO))
    # by the careful ends of what is assumed: 5 % flow back past a ball that seats, 30 % past one that floats
    for said, back in ((syrup, 0.05), (tomato, 0.30)):
        assert said.speeds.needed[0] == pytest.approx(1e-5 / (pump.displacement * (1.0 - back)), rel=1e-12)


def test_compressed_air_of_the_book() -> None:
    """4.8 with A11: 7.12 m3/m3 at 5 bar(g) (7.2 at 1.0 bar), 0.80 kWh/m3, 12.5 % at 3.6 bar, at most 17.4."""
    for atmosphere, theirs, digit in ((1.013e5, 7.12, 0.005), (1.0e5, 7.2, 1e-9)):
        assert float(compressed_air.free_air(5 * BAR, atmosphere, 1.0, 0.2, 0.0)) == pytest.approx(
            theirs, abs=digit
        )
    one = np.ones(1)
    use = compressed_air.air_use(
        one * 1e-4, one * 3.6 * BAR, one * 5 * BAR, one * 1.013e5, 1.0, one * 0.2, one * 0.0, {}
    )
    kilowatt_hours = float(use.energy[0]) / 3.6e6
    assert kilowatt_hours == pytest.approx(0.80, abs=0.02)
    # the book rounds to 0.80 kWh/m3 before it divides
    assert float(use.efficiency[0]) * kilowatt_hours / 0.80 == pytest.approx(0.125, abs=0.0005)
    most = 5 * BAR / 3.6e6 / 0.80
    assert most == pytest.approx(0.174, abs=0.0005)
    assert float(use.free_air_flow[0]) == pytest.approx(7.12e-4, rel=1e-3)


@pytest.mark.parametrize(
    "pump",
    [each for each in pumps() if each.family == "follower_piston"][:3],
    ids=lambda pump: pump.identifier,
)
def test_free_air_of_a_piston_pump_by_its_volumes(pump: Pump) -> None:
    """A double stroke fills the air cylinder twice, above and below its piston, and loads the product once.

    Independent route: swept volumes of both cylinders, air brought to the atmosphere by Boyle, dead volume,
    and product that flows back on top.
    """
    own = piston_of(pump)
    said = behaviour(pump, duty_of(pump, SYRUP, 1e-5, 1e5))
    product = 0.25 * np.pi * own.bore**2 * own.stroke
    air = 2.0 * own.ratio * 0.25 * np.pi * own.bore**2 * own.stroke
    pressure = min(float(likely_model()["site.air_pressure"][0]), own.maximum_air_pressure)
    dead = float(assumed(likely_model(), "model.air_dead_share").flat[0])
    back = float(said.operation.slip[0]) / (1e-5 + float(said.operation.slip[0]))
    per_stroke = air * (1.0 + dead) * (pressure + ATMOSPHERE) / ATMOSPHERE
    assert said.air is not None
    assert float(said.air.free_air[0]) == pytest.approx(per_stroke / (product * (1.0 - back)), rel=1e-9)


def test_icing_follows_pressure_and_dew_point() -> None:
    """Expansion from 20 C without heat: 5 bar(g) ends far below freezing; dry air ices later."""
    end = float(compressed_air.exhaust_temperature(5 * BAR, 1.013e5, 293.15))
    assert end == pytest.approx(293.15 * (1.013 / 6.013) ** (0.4 / 1.4), rel=1e-3)
    one = np.ones(1)

    def ices(pressure: float, **known: np.ndarray) -> bool:
        model = {f"site.{key}": value for key, value in known.items()}
        return bool(
            compressed_air.air_use(one, one, one * pressure, one * 1e5, 1.0, one * 0, one * 0, model).icing[0]
        )

    assert ices(5 * BAR) and not ices(0.2 * BAR)
    assert not ices(1 * BAR, air_dew_point=one * 213.15)
    assert ices(5 * BAR, air_dew_point=one * 213.15)


@pytest.mark.parametrize(("name", "low", "high", "digit"), [
    ("air-50", 0.22, 0.48, 0.005), ("air-80", 1.2, 2.6, 0.05),
])  # fmt: skip
def test_suction_interval_of_a_diaphragm_pump(name: str, low: float, high: float, digit: float) -> None:
    """A10: tomato at a net 0.75/0.85 bar: 0.22/0.48 m3/h through DN50, 1.2/2.6 through DN80."""
    pump = find(name)
    own = diaphragm_of(pump)
    for net, theirs in ((0.75, low), (0.85, high)):
        ours = float(
            air_diaphragm.suction_flow(
                net * BAR, pump.port, own.suction_length, own.suction_diameters, TOMATO
            )
        )
        assert ours * HOUR == pytest.approx(theirs, abs=max(digit, 0.05 * theirs))
    model = likely_model() | {"model.suction_net": np.array([0.80 * BAR])}
    duty = duty_of(pump, TOMATO, 1e-5, 1e5, model=model)
    least, most = behaviour(pump, duty).speeds.feed_flow
    assert float(least[0]) * HOUR == pytest.approx(low, abs=max(digit, 0.05 * low))
    assert float(most[0]) * HOUR == pytest.approx(high, abs=max(digit, 0.05 * high))


def test_pull_out_of_the_book() -> None:
    """A8: direct on line 2.5 times rated torque stalls 0.75/1.5 kW at 87 rpm at 66/133 bar."""
    volume = cavity.displacement(0.010, 0.040, 0.120)
    friction = float(cavity.interference_torque(volume, 6 * BAR, 0.25))
    for power, theirs in ((750.0, 66.0), (1500.0, 133.0)):
        torque = PULL_OUT * power / (2 * math.pi * 87 * RPM)
        assert float(cavity.stall_pressure(torque, friction, volume)) / BAR == pytest.approx(theirs, abs=0.5)
    pump = find("cavity-M-2")
    said = behaviour(pump, duty_of(pump, TOMATO, 1e-4, 6e5, motor_power=1500.0))
    speed = float(said.speeds.needed[0])
    for ours, factor in ((said.stall.overload, 1.5), (said.stall.pull_out, 2.5)):
        power = factor * 1500.0 - 0.25 * pump.displacement * 12 * BAR * speed
        assert float(ours[0]) == pytest.approx(power / (pump.displacement * speed), rel=1e-9)


def test_pulsation_dip() -> None:
    """4.8: dip = Q t_sw / C with 0.05 to 0.2 s."""
    pump = find("air-50")
    low, high = behaviour(pump, duty_of(pump, TOMATO, 2e-4, 1e5)).pressure_dip(1e-9)
    assert (float(low[0]), float(high[0])) == pytest.approx((2e-4 * 0.05 / 1e-9, 2e-4 * 0.2 / 1e-9))


def test_stall_and_shovel_of_a_piston() -> None:
    """4.9: stall r p_air; the shovel gives F/A_cyl, and what is left of the rod near stall."""
    for pump in (each for each in pumps() if each.family == "follower_piston"):
        own = piston_of(pump)
        area = 0.25 * math.pi * own.bore**2
        assert float(piston.stall_pressure(own.ratio, 5 * BAR)) == pytest.approx(own.ratio * 5 * BAR)
        assert float(piston.shovel_pressure(own, 5 * BAR, 1 * BAR)) == pytest.approx(own.shovel_force / area)
        near = own.ratio * 5 * BAR - 0.1 * own.shovel_force / area
        assert float(piston.shovel_pressure(own, 5 * BAR, near)) == pytest.approx(
            0.1 * own.shovel_force / area
        )
        assert float(piston.shovel_pressure(own, 5 * BAR, own.ratio * 5 * BAR)) == 0.0


def test_a_piston_loads_grease_that_a_diaphragm_pump_does_not_draw() -> None:
    """4.8, 4.9: (b) 0 m3/h through DN50 and DN80; a shovel above 4 tau_y L/D loads it."""
    pump = find("piston-15-10")
    own = piston_of(pump)
    held = 4 * 600.0 * own.loading_length / own.bore
    assert own.shovel_force / (0.25 * math.pi * own.bore**2) > held
    for force, loads in ((1.01, True), (0.99, False)):
        weak = replace(pump, geometry=replace(own, shovel_force=force * held * 0.25 * math.pi * own.bore**2))
        model = likely_model()
        base = model["product.vapour_pressure"] + model["model.feed_margin"]
        duty = duty_of(weak, GREASE, 1e-9, 1e5, model=model, inlet_absolute=base * 1.0)
        said = behaviour(weak, duty)
        assert bool(said.speeds.caps["filling"][0] > 0.0) == loads
        assert bool(said.operation.suction_yield[0] == 0.0) == loads
    assert np.all(
        behaviour(find("air-80"), duty_of(find("air-80"), GREASE, 1e-6, 1e5)).speeds.feed_flow[1] == 0
    )


def test_filling_strokes_of_a_piston_by_a_root() -> None:
    """The cap is where 4 tau_y L/D + dp(K, n) at twice the displaced flow meets shovel and inlet pressure."""
    pump, model = find("piston-06-10"), likely_model()
    own = piston_of(pump)
    for law in (TOMATO, GREASE, SYRUP):
        said = behaviour(pump, duty_of(pump, law, 1e-6, 3e5, model=model))
        base = float((model["product.vapour_pressure"] + model["model.feed_margin"])[0])
        have = ATMOSPHERE - base + own.shovel_force / (0.25 * math.pi * own.bore**2)
        theirs = brentq(
            lambda n, law=law, have=have: float(piston.loading_loss(n * pump.displacement, own, law)) - have,
            0.0, 1e7, xtol=1e-13,
        )  # fmt: skip
        assert float(said.speeds.caps["filling"][0]) == pytest.approx(theirs, rel=1e-8)


def test_growth_of_a_clearance() -> None:
    """4.7: dc/dt = k_w v^m p; both exponents agree at 1 m/s."""
    assert [float(growth(1.0, 2 * BAR, 1e-11, m)) for m in EXPONENTS] == pytest.approx([2e-11, 2e-11])
    assert float(growth(0.5, BAR, 1e-11, 2.0)) == pytest.approx(0.25e-11)
    assert float(growth(0.5, -BAR, 1e-11, 2.0)) == 0.0


def test_life_of_a_newtonian_pump_in_closed_form() -> None:
    """4.7 and 4.3: worn out at S = 0.2 V n; c^3 dp L/(12 mu b_s) solved for c, over the rate of wear."""
    pump, mu, added = find("cavity-M-2"), 1.0, 4e5
    law = FlowLaw(0.0, mu, 1.0)
    duty = duty_of(pump, law, 2e-4, added)
    said, model = behaviour(pump, duty), duty.model
    line, seal = cavity.seal_line_per_stage(0.010, 0.040, 0.120), float(model["model.seal_line_length"][0])
    n = float(said.speeds.needed[0])
    # 4 bar over two stages, and the stage limit of an abrasive product is 2 bar: both the same here
    theirs = (0.2 * pump.displacement * n * 12 * mu * seal / (line * 2e5)) ** (1 / 3)
    assert said.wear.end_clearance == pytest.approx((theirs, theirs), rel=1e-9)
    start, v = float(model["model.clearance"][0]), math.pi * 0.060 * n
    rates = [w * v**m * 2.0 for w in (2e-11, 2e-9) for m in (1, 2)]
    lives = (theirs - start) / max(rates), (theirs - start) / min(rates)
    assert said.wear.life == pytest.approx(lives, rel=1e-9)
    assert said.wear.containers == pytest.approx(tuple(each * 2e-4 / 0.2 for each in lives), rel=1e-9)


@pytest.mark.parametrize("name", ["cavity-M-4", "piston-06-10", "lobe-06", "gear-008"])
def test_end_of_life_by_a_bracketed_root(name: str) -> None:
    """S(c) = 0.2 V n solved for c by another method, where slot, floor and orifice meet."""
    pump = find(name)
    family = family_of(pump)
    for law in (TOMATO, GREASE, SYRUP, FlowLaw(0.0, 0.5, 1.0)):
        duty = duty_of(pump, law, 0.1 * pump.displacement * pump.maximum_speed, 3e5, abrasion="mild")
        said = behaviour(pump, duty)
        target = 0.2 * pump.displacement * float(said.speeds.needed[0])

        def beyond(c: float, law: FlowLaw = law, duty: Duty = duty, target: float = target) -> float:
            leak = family.leak(pump, np.array([3e5]), np.array([c]), duty.density, law, duty.model)  # type: ignore[attr-defined]
            return float(leak[0]) - target

        if beyond(5e-3) < 0.0:
            assert said.wear.end_clearance[1] == 5e-3
            continue
        theirs = brentq(beyond, 1e-7, 5e-3, xtol=1e-16)
        start = family.clearance(pump, law, duty.model) if pump in ROTORS else np.zeros(1)  # type: ignore[attr-defined]
        assert said.wear.end_clearance[1] == pytest.approx(max(theirs, float(start.flat[0])), rel=1e-6)
        assert (said.wear.life[1] == 0.0) == (theirs <= float(start.flat[0]))


def test_worn_shear_thinning_slip_grows_faster_than_newtonian() -> None:
    """4.3: one step of rotor size (0.25 mm) costs a shear-thinning product more than a Newtonian one."""
    pump, grew = find("cavity-M-4"), {}
    for name, law in (("thinning", FlowLaw(0.0, 60.0, 0.35)), ("newtonian", SYRUP)):
        said = behaviour(pump, duty_of(pump, law, 2e-4, 4e5))
        grew[name] = float(said.worn.slip[0] / said.operation.slip[0])
    assert grew["newtonian"] == pytest.approx((0.175 / 0.05) ** 3, rel=1e-9)
    assert grew["thinning"] > grew["newtonian"]


def test_shear_of_a_cavity_pump_lies_where_the_book_has_it() -> None:
    """0.1: 10-30 1/s in the cavity, 2 500-6 000 in the seal lines at 1 m3/h with size M.

    The book's cavity rate is v_s/(2 e); ours is that of a pipe, 8 v/d_h, three times as high.
    """
    pump = find("cavity-M-4")
    said = behaviour(pump, duty_of(pump, TOMATO, 1 / HOUR, 4e5, abrasion="clean"))
    n = float(said.speeds.needed[0])
    assert 10.0 <= math.pi * 0.060 * n / 0.020 <= 30.0
    assert float(said.shear.mean[0]) == pytest.approx(8 * 0.120 * n / 0.0310, rel=0.01)
    assert float(said.shear.mean[0]) < 50.0
    assert 2500.0 <= float(said.shear.peak[0]) <= 6000.0
    assert float(said.shear.peak_share[0]) < 0.15
