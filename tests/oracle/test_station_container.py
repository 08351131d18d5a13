"""Containers of the station against other routes: shapes, seals, strength, warming."""

import math
from typing import Any

import numpy as np
import pytest

from drumwright.flow.numbers import GRAVITY
from drumwright.machine.container import warm_up as container
from drumwright.machine.container.kinds import kinds
from drumwright.machine.container.strength import collapse_pressure
from drumwright.machine.pump.stock import find
from drumwright.station.arrangement import Choice
from drumwright.station.by_kind import defaults, defaults_of, kind_keys
from drumwright.station.casefile import case_from_dict
from drumwright.station.emptied import residue_of
from drumwright.station.frozen import dimensions_of
from drumwright.station.inputs import Inputs, draw, resolve
from drumwright.station.plate_feed import plate_feed, push_of, rim_at_end
from drumwright.station.strength import strength_of
from drumwright.station.vessel import filled_height, likely_shape_of, shape_of, tolerance_of, way_out
from drumwright.station.warm_up import core_after, night, warming
from station_kit import PASTE, TOMATO, changed, prepare, settled

CHOICE = Choice(find("cavity-M-4"), 0.080)
INFLATED = Choice(find("cavity-M-4"), 0.080, seal="inflatable_seal")


def inputs_of(**values: Any) -> Inputs:
    case = case_from_dict(changed(PASTE, **values), "test", {})
    return resolve(case, case.product[0], case.container[0])


def test_a_cone_without_taper_is_the_straight_drum() -> None:
    """Physics book section 10: cone alpha -> 0 equals straight, in force, feed and residue."""
    straight = prepare(PASTE, 128)
    cone = prepare(
        changed(PASTE, container__diameter_top="571.5 mm", container__diameter_bottom="571.5 mm"), 128
    )
    for choice in (CHOICE, INFLATED):
        one, other = (settled(each, choice) for each in (straight, cone))
        assert other.force == pytest.approx(one.force, rel=1e-12)
        assert other.inlet_absolute == pytest.approx(one.inlet_absolute, rel=1e-12)
        left = [residue_of(each.sample, state, choice, "clean", False).places for each, state in
                ((straight, one), (cone, other))]  # fmt: skip
        for place, volume in left[0].items():
            assert left[1][place] == pytest.approx(volume, rel=1e-9), place


def test_force_of_an_inflated_seal_on_a_cone() -> None:
    """Physics book 2.5: friction mu p b U and wedge p b U tan(alpha) at the widest place."""
    setting = prepare(
        changed(PASTE, container__kind="conical_drum", container__diameter_top="575 mm",
                container__diameter_bottom="525 mm", container__inside_height="850 mm"), 8
    )  # fmt: skip
    feed = plate_feed(setting.sample, TOMATO, INFLATED)
    around = math.pi * 0.575
    pressure = float(feed.inflation[0])
    assert pressure == pytest.approx(min(0.6e5, 0.5 * float(feed.push[0]) / (0.3 * 0.040 * around)), rel=1e-9)
    normal = pressure * 0.040 * around
    tangent = 0.025 / 0.85
    assert float(feed.friction[0]) == pytest.approx(normal * (0.3 + tangent), rel=1e-9)
    assert np.all(feed.friction <= 0.5 * feed.push * (1.0 + tangent / 0.2) + 1e-9)


def test_a_second_lip_doubles_the_friction_and_a_hard_plate_has_none() -> None:
    setting = prepare(PASTE, 16)
    one, two, none = (
        plate_feed(setting.sample, TOMATO, Choice(find("cavity-M-4"), 0.08, seal=seal)).friction
        for seal in ("lip_seal", "double_lip_seal", "hard_plate")
    )
    assert two == pytest.approx(2.0 * one) and np.all(none == 0.0)
    assert np.all(push_of(setting.sample, CHOICE.stand) > setting.sample["machine.plate_mass"] * GRAVITY)


def test_rim_pressure_at_the_end_is_that_of_the_book() -> None:
    """Physics book 14.1 C5: k = 1.63 for R = 285.75 mm, r0 = 40 mm; 57 kPa(g) at 3 kN and 40 kPa(a)."""
    setting = prepare(changed(PASTE, machine__ram_force="3 kN", machine__plate_mass="0 kg"), 4)
    feed = plate_feed(setting.sample, TOMATO, Choice(find("cavity-M-4"), 0.080, seal="hard_plate"))
    rim = rim_at_end(feed, CHOICE, feed.atmosphere - feed.atmosphere + 40.0e3)
    second = (
        40.0e3
        - feed.atmosphere[0]
        + 1.63 * (3000.0 / (0.25 * math.pi * 0.5715**2) - 40.0e3 + feed.atmosphere[0])
    )
    assert float(rim[0]) == pytest.approx(float(second), rel=0.01)
    assert float(rim[0]) == pytest.approx(57.0e3, rel=0.03)


def test_a_bin_is_a_disc_of_equal_area_to_the_port() -> None:
    bin_case = changed(
        PASTE, container__kind="folding_bin", container__length="1.1 m", container__width="0.9 m",
        container__usable_volume="900 L",
    )  # fmt: skip
    del bin_case["container"][0]["inside_diameter"]
    setting = prepare(bin_case, 8)
    shape = shape_of(setting.sample)
    corners = (4.0 - np.pi) * 0.02**2  # a square less its quarter circle, four times, of the usual 20 mm
    assert float(np.ravel(shape.mean_area)[0]) == pytest.approx(0.99 - corners)
    assert float(filled_height(setting.sample, shape)[0]) == pytest.approx(0.9 / (0.99 - corners))


@pytest.mark.parametrize("name", sorted(kinds()))
def test_every_kind_has_a_way_a_shape_and_its_assumptions(name: str) -> None:
    assert way_out(name) in ("plate", "outlet", "opening")
    rows = defaults_of(name)
    assert set(rows) <= set(defaults()) | kind_keys()
    case = changed(PASTE, container__kind=name)
    for field in ("inside_diameter", "usable_volume"):
        del case["container"][0][field]
    inputs = resolve(*(lambda c: (c, c.product[0], c.container[0]))(case_from_dict(case, "test", {})))
    shape = likely_shape_of(inputs)
    assert 0.5 < inputs.likely("container.usable_volume") / float(shape.volume) <= 1.05
    assert tolerance_of(inputs) > 0.0


def test_collapse_counts_dents_and_free_length_between_hoops() -> None:
    inputs = inputs_of(container__wall="0.9 mm", container__hoop_spacing="280 mm")
    sample = draw(inputs, 8, 1)
    limits = strength_of(inputs, sample, shape_of(sample))
    assert limits.collapse is not None
    perfect = float(collapse_pressure(205.0e9, 0.3, 0.9e-3, 0.5715, 0.28))
    assert float(limits.collapse[0]) == pytest.approx(0.7 * perfect, rel=1e-9)
    assert float(limits.lift_off[0]) == pytest.approx(20.0 * GRAVITY / (0.25 * math.pi * 0.5715**2), rel=1e-9)


def test_a_stated_strength_goes_before_the_computed_one_and_fibre_is_not_computed() -> None:
    said = inputs_of(container__allowed_suction="0.2 bar", container__allowed_pressure="0.3 bar(g)")
    sample = draw(said, 8, 1)
    limits = strength_of(said, sample, shape_of(sample))
    assert limits.collapse is not None and limits.inner is not None
    assert np.all(limits.collapse == 2.0e4) and np.all(limits.inner == 3.0e4)
    fibre = inputs_of(container__kind="fibre_drum")
    sample = draw(fibre, 8, 1)
    limits = strength_of(fibre, sample, shape_of(sample))
    assert limits.collapse is None and limits.inner is None
    assert np.all(limits.assist <= 1.0e4)


def law_at(temperature: np.ndarray) -> Any:
    return TOMATO


def test_warming_is_that_of_the_container_and_conduction_holds_for_a_paste() -> None:
    inputs = inputs_of(site__hall_temperature="30 C")
    sample = draw(inputs, 16, 1)
    start = np.full(17, 283.15)
    found = warming(inputs, sample, law_at, start, 298.15)
    assert found.how == "hall_air" and set(found.result.mode) == {"conduction"}
    diameter, height = dimensions_of(sample)
    body = container.Cylinder(
        0.5 * diameter, height, sample["product.conductivity"],
        sample["product.density"] * sample["product.heat_capacity"],
        *(3 * [sample["model.surface_coefficient"]]),
    )  # fmt: skip
    again = 303.15 - 20.0 * np.asarray(container.remaining(body, found.result.core_time, "core"))
    assert again == pytest.approx(np.full(17, 298.15), abs=0.01)
    back = core_after(inputs, sample, law_at, start, np.asarray(found.result.core_time))
    assert back == pytest.approx(np.full(17, 298.15), abs=0.01)


def test_warmer_than_the_hall_asks_for_a_hot_room_within_what_the_product_bears() -> None:
    inputs = inputs_of(site__hall_temperature="20 C", product__maximum_temperature="35 C")
    sample = draw(inputs, 4, 1)
    found = warming(inputs, sample, law_at, np.full(5, 283.15), 303.15)
    assert found.how == "hot_room" and np.all(found.around == 308.15)


def test_a_night_cools_the_skin_and_not_the_core() -> None:
    """Trade book 2.6: about half a kelvin in the core, more than 13 K at the wall (h = 9, concentrate)."""
    inputs = inputs_of(
        product__food=True, product__conductivity="0.5 W/mK", product__heat_capacity="3500 J/kgK"
    )
    sample = draw(inputs, 1, 1)
    found = night(inputs, sample, 293.15, 275.15, 14 * 3600.0)
    assert 292.2 < found.core < 293.1
    assert found.wall < 283.0 and found.frozen == 0.0


def test_latent_heat_holds_the_wall_of_a_night_in_the_frost() -> None:
    """Without it the wall follows the series far below the freezing band; with it, it stays near the band."""
    frost = {
        "product__food": True,
        "product__conductivity": "0.5 W/mK",
        "product__heat_capacity": "3500 J/kgK",
    }
    inputs = inputs_of(**frost, product__freezes_at="-2 C", product__latent_heat="250 kJ/kg")
    dry = inputs_of(**frost)
    found = night(inputs, draw(inputs, 1, 1), 278.15, 248.15, 14 * 3600.0)
    bare = night(dry, draw(dry, 1, 1), 278.15, 248.15, 14 * 3600.0)
    assert bare.wall < 262.0 and bare.frozen == 0.0
    assert bare.wall + 3.0 < found.wall < 271.15
    assert 0.02 < found.frozen < 0.35 and found.left < found.frozen and found.week > 0.9 * 5 * found.frozen
    warmer = night(inputs, draw(inputs, 1, 1), 278.15, 272.15, 14 * 3600.0)
    assert warmer.frozen == 0.0


def test_water_and_conductivity_widen_the_time_to_thaw() -> None:
    """Latent heat of 0 to 310 kJ/kg where nobody said how much of it is water: no narrow band of days."""
    cold = {"product__freezes_at": "-2 C", "site__heating": "hot_room", "site__heating_temperature": "30 C"}

    def spread(**more: Any) -> tuple[float, float, float]:
        inputs = inputs_of(**cold, **more)
        found = warming(inputs, draw(inputs, 256, 1), law_at, np.full(257, 255.15), 283.15)
        time = np.asarray(found.result.core_time)
        assert set(found.result.mode) == {"phase_change"} and time.shape == (257,)
        low, high = np.quantile(time[1:], (0.05, 0.95))
        return float(low), float(time[0]), float(high)

    known = spread(product__latent_heat="200 kJ/kg", product__conductivity="0.45 W/mK")
    unknown = spread()
    assert known[0] < known[1] < known[2] and unknown[0] < unknown[1] < unknown[2]
    assert unknown[2] / unknown[0] > 1.5 * known[2] / known[0]


@pytest.mark.parametrize("height", [None, "0.4 m", "0.9 m"])
def test_a_thawed_core_has_its_target_after_its_own_time(height: str | None) -> None:
    """Each sample, after the time it was given, is as warm as wanted: in a room, and under bands."""
    room = {"site__heating": "hot_room", "site__heating_temperature": "30 C"}
    bands = {"site__heating": "band_heater", "site__heating_temperature": "60 C",
             "site__heater_power": "2 kW", "site__heater_height": height,
             "site__hall_temperature": "15 C"}  # fmt: skip
    inputs = inputs_of(product__freezes_at="-2 C", **(bands if height else room))
    sample, start = draw(inputs, 64, 1), np.full(65, 255.15)
    time = np.asarray(warming(inputs, sample, law_at, start, 283.15).result.core_time)
    reached = core_after(inputs, sample, law_at, start, time)
    assert reached[0] == pytest.approx(283.15, abs=0.05)
    assert reached == pytest.approx(np.full(65, 283.15), abs=0.3)
    half = core_after(inputs, sample, law_at, start, 0.5 * time)
    assert np.all(half < 283.15)


def test_a_hall_below_freezing_cools_what_stands_in_it() -> None:
    inputs = inputs_of(product__freezes_at="-2 C", site__hall_temperature="-10 C")
    sample, start = draw(inputs, 8, 1), np.full(9, 283.15)
    day, week = (core_after(inputs, sample, law_at, start, np.full(9, hours * 3600.0)) for hours in (24, 168))
    assert np.all(week < day) and np.all(day < start) and np.all(week > 263.15)


def test_bands_of_more_power_and_height_warm_sooner_and_never_sooner_than_their_power() -> None:
    target = 303.15

    def hours(**more: Any) -> float:
        inputs = inputs_of(site__heating="band_heater", site__heating_temperature="60 C",
                           site__hall_temperature="15 C", **more)  # fmt: skip
        sample = draw(inputs, 1, 1)
        found = warming(inputs, sample, law_at, np.full(2, 283.15), target)
        time = np.asarray(found.result.core_time)
        back = core_after(inputs, sample, law_at, np.full(2, 283.15), time)
        assert back[0] == pytest.approx(target, abs=0.02)
        power = sample["site.heater_power"][0]
        assert (
            time[0] * power
            > 1.2
            * sample["container.usable_volume"][0]
            * 20.0
            * (sample["product.density"][0] * sample["product.heat_capacity"][0])
            or power > 600.0
        )
        assert found.bands is not None and found.hottest[0] <= 333.15 + 1e-9
        return float(time[0]) / 3600.0

    whole = {"site__heater_height": "0.9 m"}
    strong, weak = (hours(**whole, site__heater_power=power) for power in ("2 kW", "500 W"))
    assert 1.3 * strong < weak
    assert hours(site__heater_height="0.3 m", site__heater_power="2 kW") > 3.0 * strong
    frozen = {"product__freezes_at": "11 C", "product__latent_heat": "200 kJ/kg", **whole}
    assert hours_frozen(**frozen, site__heater_power="300 W") > 1.5 * hours_frozen(
        **frozen, site__heater_power="2 kW"
    )


def hours_frozen(**more: Any) -> float:
    """Hours until a set product under bands is warm; the power times the time covers its heat."""
    inputs = inputs_of(site__heating="band_heater", site__heating_temperature="60 C",
                       site__hall_temperature="15 C", **more)  # fmt: skip
    sample = draw(inputs, 1, 1)
    found = warming(inputs, sample, law_at, np.full(2, 278.15), 293.15)
    time = np.asarray(found.result.core_time)
    assert np.all(time * sample["site.heater_power"] >= np.asarray(found.result.energy))
    return float(time[0]) / 3600.0
