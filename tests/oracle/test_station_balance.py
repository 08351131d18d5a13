"""The balance of plate, pump and line against a bracketed root of every sample; what it conserves."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq

from drumwright.flow.entry import entry_loss
from drumwright.flow.pipe import pressure_drop
from drumwright.flow.sink import port_loss
from drumwright.machine.line.route import line_loss
from drumwright.machine.pump.operate import operate
from drumwright.machine.pump.stock import Pump, find, pumps
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance, feed_of, route_of
from drumwright.station.emptied import residue_of
from drumwright.station.rheology import evidence, law_in_season
from station_kit import GREASE, PASTE, SYRUP, TOMATO, Array, Setting, changed, one_model, prepare, settled

STIFF, SEALANT, THIN = FlowLaw(900.0, 900.0, 0.35), FlowLaw(800.0, 1800.0, 0.45), FlowLaw(300.0, 5.0, 0.2)
FIGURES = (
    "wanted_flow", "flow", "force", "under_plate_gauge", "inlet_absolute", "inlet_required", "feed_margin",
    "outlet_gauge", "running_gauge", "yield_only", "restart_gauge", "pressure_added", "emptying_time",
    "plate_speed", "velocity", "wall_shear_rate",
)  # fmt: skip


def alone(setting: Setting, index: int) -> Setting:
    """One sample of a setting on its own."""

    def pick(value: Array | float) -> Array:
        return np.atleast_1d(np.broadcast_to(value, setting.temperature.shape)[index])

    law = setting.law
    single = FlowLaw(pick(law.yield_stress), pick(law.consistency), pick(law.exponent))
    sample = {key: value[index : index + 1] for key, value in setting.sample.items()}
    return Setting(setting.case, setting.inputs, sample, single, setting.temperature[index : index + 1])


def excess_at(setting: Setting, choice: Choice, flow: float) -> float:
    """Excess of the pump over the line at a flow, put together here from plate, line and pump."""
    sample, law, q = setting.sample, setting.law, np.array([flow])
    feed = feed_of(sample, law, choice)
    loss = line_loss(route_of(sample, choice), q, sample["product.density"], law)
    inlet = feed.atmosphere + feed.inlet_gauge(q)
    outlet = feed.atmosphere + sample["destination.pressure"] + loss.total
    state = operate(
        choice.pump, "clean", q, inlet, outlet, feed.atmosphere, sample["product.density"], law, sample
    )
    return float(state.excess[0])


@pytest.mark.parametrize("pump", ["cavity-S-2", "cavity-M-4", "cavity-XL-4", "air-25", "air-50", "air-80"])
@pytest.mark.parametrize("law", [TOMATO, GREASE, SYRUP, STIFF, SEALANT, THIN])
def test_settled_flow_is_the_root_of_every_sample(pump: str, law: FlowLaw) -> None:
    """Where the pump cannot carry the wanted flow: Brent's root, to 1e-8 of the wanted flow."""
    choice = Choice(find(pump), 0.080)
    for flow in ("0.3 m3/h", "2 m3/h", "8 m3/h"):
        setting = prepare(changed(PASTE, model=one_model(law), enquiry__flow=flow), 64)
        state = settled(setting, choice)
        for index in range(0, 64, 13):
            one, wanted, ours = (
                alone(setting, index),
                float(state.wanted_flow[index]),
                float(state.flow[index]),
            )
            if excess_at(one, choice, wanted) >= 0.0:
                root = wanted
            elif excess_at(one, choice, 1e-9 * wanted) <= 0.0:
                root = 0.0
            else:
                root = brentq(
                    lambda q, each=one: excess_at(each, choice, q),
                    1e-9 * wanted,
                    wanted,
                    xtol=1e-18,
                    rtol=1e-13,
                )
            assert abs(ours - root) <= 1e-8 * wanted


def test_the_cases_above_hold_all_three_outcomes() -> None:
    """Kept, throttled and stuck flows all occur, so that the comparison above is not empty."""
    outcomes = set()
    for law in (TOMATO, STIFF):
        for pump in ("cavity-XL-4", "air-50"):
            setting = prepare(changed(PASTE, model=one_model(law), enquiry__flow="2 m3/h"), 64)
            state = settled(setting, Choice(find(pump), 0.080))
            share = state.flow / state.wanted_flow
            outcomes |= {"kept"} if np.any(share == 1.0) else set()
            outcomes |= {"stuck"} if np.any(share == 0.0) else set()
            outcomes |= {"throttled"} if np.any((share > 0.0) & (share < 1.0)) else set()
    assert outcomes == {"kept", "throttled", "stuck"}


@pytest.mark.parametrize("pump", pumps(), ids=lambda pump: pump.identifier)
def test_conservation(pump: Pump) -> None:
    setting = prepare(PASTE, 256)
    state = settled(setting, Choice(pump, 0.080))
    volume = setting.sample["container.usable_volume"]
    moving = state.flow > 0.0
    assert state.flow[moving] * state.emptying_time[moving] == pytest.approx(volume[moving], rel=1e-12)
    assert np.all(np.isinf(state.emptying_time[~moving]))
    area = 0.25 * np.pi * setting.sample["container.inside_diameter"] ** 2
    assert state.plate_speed * area == pytest.approx(state.flow, rel=1e-12)
    assert state.wanted_flow == pytest.approx(
        state.velocity * 0.25 * np.pi * np.square(state.route.bore), rel=1e-12
    )
    if state.pump.speed.any():
        delivered = pump.displacement * state.pump.speed
        assert delivered == pytest.approx(state.flow + state.pump.slip, rel=1e-12)
    assert np.all(state.flow <= state.wanted_flow)
    assert np.all(
        state.flow[state.pump_wanted.excess >= 0.0] == state.wanted_flow[state.pump_wanted.excess >= 0.0]
    )
    assert np.all(
        state.flow[state.pump_wanted.excess < 0.0] < state.wanted_flow[state.pump_wanted.excess < 0.0]
    )


def test_pressures_add_up() -> None:
    setting = prepare(PASTE, 256)
    state = settled(setting)
    assert state.running_gauge == pytest.approx(setting.sample["destination.pressure"] + state.loss.total)
    inlet_gauge = state.inlet_absolute - state.atmosphere
    assert state.pressure_added == pytest.approx(state.running_gauge - inlet_gauge, rel=1e-12)
    assert state.feed_margin == pytest.approx(state.inlet_absolute - state.inlet_required, rel=1e-12)
    assert np.all(inlet_gauge < state.under_plate_gauge)
    assert np.all(state.outlet_gauge <= state.running_gauge * (1.0 + 1e-12))


def test_inlet_pressure_is_made_of_force_sink_entry_and_throat() -> None:
    """Physics book 1.1-1.3: p = p_atm + F/A - sink - sharp entry - 250 mm of throat, each computed here."""
    for law in (TOMATO, SYRUP):
        setting = prepare(changed(PASTE, model=one_model(law), site__altitude="500 m"), 32)
        sample, used, port = setting.sample, setting.law, 0.080
        state = settled(setting, Choice(find("cavity-M-4"), port))
        area = 0.25 * np.pi * sample["container.inside_diameter"] ** 2
        cylinders = 2 * 0.25 * np.pi * 0.100**2 * sample["model.cylinder_efficiency"]
        lip = sample["model.seal_friction"] * sample["model.seal_contact"] * sample["model.seal_width"]
        force = sample["machine.plate_mass"] * 9.80665 + sample["site.air_pressure"] * cylinders
        force = force - lip * np.pi * sample["container.inside_diameter"]
        assert state.force == pytest.approx(force, rel=1e-12)
        parameters = (used.yield_stress, used.consistency, used.exponent)
        flow = sample["enquiry.flow"]
        sink = port_loss(flow, 0.5 * port, 0.5 * sample["container.inside_diameter"], *parameters)
        entry = entry_loss(flow, port, *parameters)
        throat = pressure_drop(flow, port, 0.25, *parameters)
        theirs = 95461.0 + force / area - sink - entry - throat  # standard atmosphere at 500 m, from memory
        assert state.inlet_absolute == pytest.approx(theirs, abs=10.0)
        assert np.all(np.asarray(sink) > 100.0)


def test_destination_pressure_counts_running_and_restarting() -> None:
    open_, closed = (
        settled(prepare(changed(PASTE, destination__pressure=text))) for text in ("0 bar(g)", "2 bar(g)")
    )
    assert closed.running_gauge - open_.running_gauge == pytest.approx(2e5)
    assert closed.restart_gauge - open_.restart_gauge == pytest.approx(2e5)
    assert closed.load.torque[0] > open_.load.torque[0]
    assert closed.load.start_torque[0] > open_.load.start_torque[0]


def ram(kilonewtons: float) -> Balance:
    """The stiff product with a hard ram, an air pump asked for too much."""
    data = changed(
        PASTE, model=one_model(TOMATO), enquiry__flow="4 m3/h", machine__ram_force=f"{kilonewtons} kN"
    )
    return settled(prepare(data, 128), Choice(find("air-80"), 0.080))


def test_more_ram_never_gives_less() -> None:
    states = [ram(force) for force in (0.0, 1.0, 3.0, 6.0, 12.0)]
    for weaker, stronger in pairwise(states):
        assert np.all(stronger.flow >= weaker.flow * (1.0 - 1e-9))
        assert np.all(stronger.feed_margin > weaker.feed_margin)
    assert float(states[-1].flow[0]) > float(states[0].flow[0]) > 0.0


def test_a_longer_line_never_gives_more() -> None:
    states = []
    for length in (2, 5, 15, 40):
        data = changed(PASTE, enquiry__flow="4 m3/h", line__length=f"{length} m")
        states.append(settled(prepare(data, 128), Choice(find("air-80"), 0.080)))
    for shorter, longer in pairwise(states):
        assert np.all(longer.flow <= shorter.flow * (1.0 + 1e-9))
        assert np.all(longer.running_gauge > shorter.running_gauge)
        assert np.all(longer.yield_only > shorter.yield_only)
    assert float(states[-1].flow[0]) < float(states[0].flow[0])


def test_warmer_product_never_resists_more() -> None:
    setting = prepare(PASTE, 128)
    known = evidence(setting.case.product[0], 293.15)
    last = None
    for celsius in (-15.0, -5.0, 5.0, 12.0, 20.0, 28.0, 45.0):
        temperature = np.full_like(setting.temperature, celsius + 273.15)
        law, beyond = law_in_season(known, temperature, setting.sample)
        assert beyond[0] == pytest.approx(max(5.0 - celsius, celsius - 20.0, 0.0), abs=1e-9)
        state = settled(setting._replace(law=law, temperature=temperature), Choice(find("air-80"), 0.080))
        if last is not None:
            assert np.all(state.running_gauge < last.running_gauge)
            assert np.all(state.yield_only < last.yield_only)
            assert np.all(state.flow >= last.flow * (1.0 - 1e-9))
        last = state


def test_an_inlet_that_no_suction_can_feed_is_seen() -> None:
    """Sink and throat above the atmosphere: inlet pressure and margin are negative, the flow is less."""
    dough = FlowLaw(1500.0, 4000.0, 0.4)
    setting = prepare(changed(PASTE, model=one_model(dough), enquiry__flow="4 m3/h"), 64)
    state = settled(setting, Choice(find("cavity-XXL-4"), 0.080))
    beyond = state.inlet_absolute < 0.0
    assert beyond[0]
    assert np.all(state.feed_margin[beyond] < 0.0)
    assert np.all(state.flow[beyond] < state.wanted_flow[beyond])
    for name in FIGURES:
        assert np.all(np.isfinite(getattr(state, name)) | (name == "emptying_time"))
    slower = {**setting.sample, "enquiry.flow": np.maximum(state.flow, 1e-9)}
    reached = settled(setting._replace(sample=slower), Choice(find("cavity-XXL-4"), 0.080))
    moving = state.flow > 0.0
    assert moving.any()
    assert np.all(reached.inlet_absolute[moving] > 0.0)


def test_the_point_of_likely_values_does_not_depend_on_the_sample() -> None:
    """Element 0 is the same for any sample size and seed, and every sample stands on its own."""
    states = [settled(prepare(PASTE, count, seed=seed)) for count, seed in ((1, 1), (64, 1), (256, 9))]
    for name in FIGURES:
        first = [np.atleast_1d(getattr(state, name))[0] for state in states]
        assert first[0] == first[1] == first[2], name
    setting = prepare(PASTE, 64)
    whole, part = settled(setting), settled(alone(setting, 40))
    for name in FIGURES:
        assert np.broadcast_to(getattr(whole, name), (65,))[40] == pytest.approx(
            float(np.atleast_1d(getattr(part, name))[0]), rel=1e-12
        ), name


def test_quick_balance_says_the_same_at_the_wanted_flow() -> None:
    setting = prepare(changed(PASTE, enquiry__flow="8 m3/h"), 64)
    choice = Choice(find("air-50"), 0.080)
    full, quick = settled(setting, choice), settled(setting, choice, settle=False)
    for name in ("inlet_absolute", "inlet_required", "running_gauge", "restart_gauge", "velocity"):
        assert np.array_equal(getattr(full, name), getattr(quick, name))
    failed = full.pump_wanted.excess < 0.0
    assert failed.any()
    assert np.all(quick.flow[failed] == 0.0)
    assert np.all(quick.flow[~failed] == full.flow[~failed])


def test_a_chosen_bore_holds_for_the_hose_too() -> None:
    setting = prepare(changed(PASTE, line__own_hose_bore="DN80"), 8)
    own = route_of(setting.sample, Choice(find("cavity-M-4"), 0.1))
    assert np.all(own.hose_bore == 0.080) and np.all(own.bore == 0.050)
    chosen = route_of(setting.sample, Choice(find("cavity-M-4"), 0.1, bore=0.065))
    assert np.all(chosen.hose_bore == 0.065) and np.all(chosen.bore == 0.065)


def test_a_flow_factor_scales_the_wanted_flow() -> None:
    setting = prepare(PASTE, 8)
    choices = [Choice(find("cavity-L-4"), 0.1, flow_factor=by) for by in (1.0, 0.5)]
    one, half = (settled(setting, choice) for choice in choices)
    assert half.wanted_flow == pytest.approx(0.5 * one.wanted_flow)


@pytest.mark.parametrize("law", [TOMATO, GREASE, SYRUP, STIFF])
@pytest.mark.parametrize("bag", [False, True])
def test_residue_is_the_sum_of_its_places_and_never_more_than_the_drum(law: FlowLaw, bag: bool) -> None:
    setting = prepare(changed(PASTE, model=one_model(law)), 256)
    choice = Choice(find("cavity-M-4"), 0.080)
    left = residue_of(setting.sample, settled(setting, choice), choice, "clean", bag)
    volume = setting.sample["container.usable_volume"]
    places = sum(left.places.values(), np.zeros_like(volume))
    assert left.total == pytest.approx(np.minimum(places, volume), rel=1e-12)
    assert np.all((left.total > 0.0) & (left.total <= volume))
    recovered = volume - left.total
    assert (recovered + left.total) / volume == pytest.approx(1.0, rel=1e-15)
    assert ("liner" in left.places) == bag
    assert all(np.all(value >= 0.0) for value in left.places.values())


def test_the_last_rate_is_never_above_the_flow_reached() -> None:
    """A pump that reaches 0.03 m3/h cannot finish at 0.3: asking for more than it reaches changes nothing."""
    choice = Choice(find("cavity-M-4"), 0.080)
    data = changed(PASTE, model=one_model(SEALANT), enquiry__flow="0.12 m3/h")
    setting = prepare(data)
    state = settled(setting, choice)
    assert 0.0 < state.flow[0] < state.wanted_flow[0] < setting.sample["machine.last_rate"][0]
    reached = setting._replace(sample={**setting.sample, "machine.last_rate": state.flow})
    same = [residue_of(each.sample, state, choice, "clean", False).flow_gap[0] for each in (setting, reached)]
    assert same[0] == same[1]


def test_a_slower_finish_leaves_no_more() -> None:
    choice = Choice(find("cavity-M-4"), 0.080)
    gaps = []
    for rate in (0.1, 0.3, 0.5):
        setting = prepare(changed(PASTE, machine__last_rate=f"{rate} m3/h"), 64)
        gaps.append(residue_of(setting.sample, settled(setting, choice), choice, "clean", False).flow_gap)
    assert np.all(gaps[0] < gaps[1]) and np.all(gaps[1] < gaps[2])
