"""A line of segments against quadrature, hand sums, closed limits and today's aggregate route."""

import numpy as np
import pytest
from scipy.integrate import quad

from drumwright.flow.cone import cone_pressure, cone_yield_pressure, log_mean_bore
from drumwright.flow.fittings import bend_constants, two_k
from drumwright.flow.pipe import pressure_drop, wall_stress
from drumwright.machine.line import segments as piece
from drumwright.machine.line.build import Item, bore_jumps, build, close_jumps, lacking
from drumwright.machine.line.losses import losses, restart_pressure, volume, yield_pressure
from drumwright.machine.line.profile import margin_of_segments, profile
from drumwright.machine.line.route import Route, line_loss, restart
from drumwright.machine.line.route import volume as aggregate_volume
from drumwright.product.law import FlowLaw
from station_kit import GREASE, SYRUP, TOMATO
from validation_registry import record

HOUR, BAR, INCH = 3600.0, 1e5, 0.0254
LAWS = [(TOMATO, 1130.0), (GREASE, 900.0), (SYRUP, 1400.0)]


def three(law: FlowLaw) -> tuple[float, float, float]:
    """Parameters of a law."""
    return float(law.yield_stress), float(law.consistency), float(law.exponent)


def whole_line() -> list[piece.Segment]:
    """A line with one of most kinds."""
    return [
        piece.hose(0.050, 3.0, -0.3),
        piece.fitting("ball_valve", 0.050, 0.1),
        piece.reducer(0.050, 0.065, 0.12),
        piece.pipe(0.065, 4.0),
        piece.bend(0.065, np.pi / 2, 1.5, 0.1),
        piece.pipe(0.065, 2.0, 2.0),
        piece.bend(0.065, np.pi / 4, 6.0),
        piece.stated_loss("filter", 0.065, 0.4 * BAR, 0.3),
        piece.pipe(0.065, 1.0, -0.5),
    ]


@pytest.mark.parametrize(("law", "density"), LAWS)
@pytest.mark.parametrize(("first", "last"), [(0.08, 0.05), (0.032, 0.1), (0.05, 0.0501), (0.15, 0.025)])
def test_cone_equals_quadrature_over_its_length(
    law: FlowLaw, density: float, first: float, last: float
) -> None:
    """Physics book 5.3: HB pipe integrated over the cone; adaptive quadrature in the length."""
    flow, long = 1.0 / HOUR, 0.2

    def gradient(x: float) -> float:
        bore = first + (last - first) * x / long
        return 4.0 * float(wall_stress(flow, bore, *three(law))) / bore

    slices = quad(gradient, 0.0, long, epsabs=0, epsrel=1e-11)[0]
    small, large = min(first, last), max(first, last)
    turning = 0.5 * 3 * np.pi / 16 * small * (1 - (small / large) ** 3)
    entry = float(pressure_drop(flow, small, turning, *three(law)))
    assert cone_pressure(flow, first, last, long, *three(law)) == pytest.approx(slices + entry, rel=2e-6)


def test_newtonian_cone_closed_form() -> None:
    """128 mu Q L/(3 pi) (D1^-3 - D2^-3)/(D2 - D1) for a Newtonian cone, entry taken off."""
    flow, first, last, long = 2e-4, 0.08, 0.05, 0.15
    closed = 128 * 50.0 * flow * long / (3 * np.pi) * (last**-3 - first**-3) / (first - last)
    entry = pressure_drop(flow, last, 0.5 * 3 * np.pi / 16 * last * (1 - (last / first) ** 3), *three(SYRUP))
    ours = cone_pressure(flow, first, last, long, *three(SYRUP)) - entry
    assert ours == pytest.approx(closed, rel=1e-8)


def test_cone_at_rest_holds_its_yield_and_equal_bores_are_a_pipe() -> None:
    assert cone_pressure(0.0, 0.08, 0.05, 0.2, *three(GREASE)) == pytest.approx(
        cone_yield_pressure(600.0, 0.08, 0.05, 0.2), rel=1e-12
    )
    pipe_alone = pressure_drop(1e-4, 0.05, 0.2, *three(GREASE))
    assert cone_pressure(1e-4, 0.05, 0.05, 0.2, *three(GREASE)) == pytest.approx(pipe_alone, rel=1e-12)
    assert cone_pressure(1e-4, 0.05, 0.05 * (1 + 1e-7), 0.2, *three(GREASE)) == pytest.approx(
        pipe_alone, rel=1e-5
    )
    assert log_mean_bore(0.05, 0.1) == pytest.approx(0.05 / np.log(2.0), rel=1e-12)


def test_reversed_cone_loses_the_same() -> None:
    for law, _ in LAWS:
        there = cone_pressure(3e-4, 0.1, 0.04, 0.3, *three(law))
        assert there == pytest.approx(cone_pressure(3e-4, 0.04, 0.1, 0.3, *three(law)), rel=1e-12)


def test_diameters_of_the_book() -> None:
    """Physics book 5.3: bend 12.5 D, 45 degrees 7.8, tee 2.3, full bore 4.7, weir 15.6, globe 23, lift 31."""
    ours = {
        "bend 90": piece.bend(0.05, np.pi / 2, 1.0).diameters,
        "bend 45": piece.bend(0.05, np.pi / 4, 1.0).diameters,
        **{key: piece.fitting(key, 0.05).diameters for key in piece.FITTINGS},
    }
    theirs = {"bend 90": 12.5, "bend 45": 7.8, "tee_run": 2.34, "ball_valve": 4.7, "gate_valve": 4.7,
              "butterfly_valve": 12.5, "diaphragm_valve": 15.6, "globe_valve": 23.4, "swing_check": 23.4,
              "lift_check": 31.3}  # fmt: skip
    for key, value in theirs.items():
        assert float(ours[key]) == pytest.approx(value, rel=0.012), key


def test_bend_by_angle() -> None:
    """Tabled at 45, 90, 180; lines between; straight above R/D 5; never below the arc's friction."""
    assert [float(bend_constants(np.radians(a), 1.0)[0]) for a in (0, 45, 90, 180, 360)] == [
        0, 500, 800, 1000, 2000,
    ]  # fmt: skip
    assert float(bend_constants(np.radians(67.5), 1.0)[0]) == pytest.approx(650.0)
    assert (
        float(bend_constants(np.radians(90), 1.5)[1]) == 0.2 < float(bend_constants(np.radians(90), 1.0)[1])
    )
    long = piece.bend(0.05, np.pi / 2, 6.0)
    assert long.straight
    assert float(long.length) == pytest.approx(np.pi / 2 * 6.0 * 0.05)
    assert float(long.diameters) == 0.0
    assert float(piece.bend(0.05, np.pi / 2, 4.9).diameters) == 12.5
    wide = piece.bend(0.05, np.pi, 5.0)
    assert float(wide.diameters) == pytest.approx(5.0 * np.pi)


@pytest.mark.parametrize(("law", "density"), LAWS)
def test_the_aggregate_route_is_the_same_line(law: FlowLaw, density: float) -> None:
    """Hose, pipe, a bend and a valve through both; K_infinity, left out there, by hand."""
    flow = 1.0 / HOUR
    line = [
        piece.hose(0.06, 3.0),
        piece.pipe(0.05, 5.0, 1.0),
        piece.bend(0.05, np.pi / 2, 1.0),
        piece.fitting("ball_valve", 0.05),
    ]
    whole = Route(0.05, 5.0, 0.06, 3.0, 1.0, (800 + 300) / 64 * 1.2)
    ours, theirs = losses(line, flow, density, law, 1.2), line_loss(whole, flow, density, law)
    assert float(ours.straight) == pytest.approx(float(theirs.pipe), rel=1e-12)
    assert float(ours.hose) == pytest.approx(float(theirs.hose), rel=1e-12)
    head = 0.5 * density * (flow / (np.pi / 4 * 0.05**2)) ** 2
    left_out = 1.2 * (0.25 + 0.1) * (1 + INCH / 0.05) * head
    assert float(ours.fittings) == pytest.approx(float(theirs.fittings) + left_out, rel=1e-12)
    assert left_out < 1e-3 * float(theirs.fittings)
    assert float(ours.static) == pytest.approx(float(theirs.static), rel=1e-12)
    rested = 1.5 * float(law.yield_stress)
    assert float(restart_pressure(line, rested, density, 1.2)) == pytest.approx(
        float(restart(whole, law, 1.5, density)), rel=1e-12
    )
    assert float(volume(line)) - float(volume(line[2:3])) == pytest.approx(
        float(aggregate_volume(whole)), rel=1e-12
    )


@pytest.mark.parametrize(("law", "density"), LAWS)
def test_segments_add_up_and_the_profile_closes(law: FlowLaw, density: float) -> None:
    flow, line = 0.8 / HOUR, whole_line()
    loss = losses(line, flow, density, law, 1.3)
    assert float(np.sum(loss.friction)) == pytest.approx(
        float(loss.straight + loss.fittings + loss.stated), rel=1e-12
    )
    alone = sum(float(losses([each], flow, density, law, 1.3).total) for each in line)
    assert float(loss.total) == pytest.approx(alone, rel=1e-12)
    way = profile(line, loss, density, 0.5 * BAR)
    assert float(way.gauge[0]) == pytest.approx(0.5 * BAR + float(loss.total), rel=1e-12)
    assert float(way.gauge[-1]) == 0.5 * BAR
    for index, each in enumerate(line):
        step = float(losses([each], flow, density, law, 1.3).total)
        assert float(way.gauge[index] - way.gauge[index + 1]) == pytest.approx(step, rel=1e-9, abs=1e-6)
    assert float(way.height[-1]) == pytest.approx(1.3)
    margins = margin_of_segments(way.gauge, np.full(len(line), 10.0 * BAR))
    assert float(margins[0]) == pytest.approx(10.0 * BAR - float(way.gauge[0]), rel=1e-12)


def test_two_k_in_full_for_a_thin_product() -> None:
    """Water at Re 5e4: the fitting is the two-K coefficient times the velocity head; pipe is turbulent."""
    law, flow, bore = FlowLaw(0.0, 1e-3, 1.0), 2e-3, 0.05
    head = 0.5 * 998.0 * (flow / (np.pi / 4 * bore**2)) ** 2
    reynolds = 4 * 998.0 * flow / (np.pi * bore * 1e-3)
    loss = losses([piece.fitting("globe_valve", bore), piece.pipe(bore, 1.0)], flow, 998.0, law)
    assert float(loss.fittings) == pytest.approx(float(two_k(reynolds, bore, 1500.0, 4.0)) * head, rel=1e-9)
    assert float(loss.straight) > 5 * float(pressure_drop(flow, bore, 1.0, 0.0, 1e-3, 1.0))
    assert float(loss.least_reynolds) == pytest.approx(reynolds, rel=1e-9)
    assert not loss.extrapolated
    assert float(loss.guide) == pytest.approx(4.0 * (1 + INCH / bore) * head, rel=1e-12)


def test_low_reynolds_number_is_flagged_with_the_number_reached() -> None:
    """Physics book 5.3, 14.1 C10: thick products run at 3e-4 to 7: always extrapolated."""
    for law, density in LAWS:
        loss = losses(whole_line(), 1.0 / HOUR, density, law)
        speed = 1.0 / HOUR / (np.pi / 4 * 0.05**2)
        stress = float(wall_stress(1.0 / HOUR, 0.05, *three(law)))
        assert float(loss.most_reynolds) == pytest.approx(8 * density * speed**2 / stress, rel=1e-9)
        assert loss.extrapolated
    bare = losses([piece.pipe(0.05, 1.0)], 1e-4, 1000.0, TOMATO)
    assert not bare.extrapolated
    assert float(bare.most_reynolds) == 0.0


def test_guide_continued_below_its_range() -> None:
    """k_f = 500 k_t/N, so 500 k_t tau_w/16; for a 2 inch bend k_t = 0.25 (1 + 1/2) by the two-K table."""
    bore = 2 * INCH
    loss = losses([piece.bend(bore, np.pi / 2, 1.0)], 1.0 / HOUR, 900.0, GREASE)
    stress = float(wall_stress(1.0 / HOUR, bore, *three(GREASE)))
    assert float(loss.guide) == pytest.approx(500 * 0.375 * stress / 16, rel=1e-9)
    assert float(loss.spread) == pytest.approx(float(loss.guide) - float(loss.fittings))


def test_fittings_at_rest_do_not_fall_with_the_bore() -> None:
    """Physics book 5.3: two bends and a ball valve are 30 D, 72 kPa for grease at any bore."""
    for bore in (0.025, 0.05, 0.1):
        line = [piece.bend(bore, np.pi / 2, 1.0)] * 2 + [piece.fitting("ball_valve", bore)]
        ours = float(yield_pressure(line, 600.0))
        assert record(
            "book 5.3", "physics book 5.3", f"two bends, one valve, bore {bore:g} m", 72e3, ours, "Pa", 0.02,
            "recomputed",
        ).agrees  # fmt: skip


def test_falling_legs_give_no_help() -> None:
    """Up 4 m and down 3 m: the full line needs 1 m, restart and the pump's own figure need the 4 m."""
    line = [piece.pipe(0.05, 4.0, 4.0), piece.pipe(0.05, 3.0, -3.0)]
    water = FlowLaw(0.0, 1e-3, 1.0)
    loss = losses(line, 0.0, 1000.0, water)
    assert float(loss.total) == pytest.approx(1000 * 9.80665 * 1.0)
    assert float(loss.at_pump) == pytest.approx(1000 * 9.80665 * 4.0)
    assert float(restart_pressure(line, 0.0, 1000.0)) == pytest.approx(1000 * 9.80665 * 4.0)
    assert float(profile(line, loss, 1000.0, 0.0).least_gauge) == pytest.approx(-1000 * 9.80665 * 3.0)
    down = [piece.pipe(0.05, 3.0, -3.0)]
    assert float(losses(down, 0.0, 1000.0, water).at_pump) == 0.0
    assert float(restart_pressure(down, 0.0, 1000.0)) == 0.0


def test_what_is_not_known_is_refused() -> None:
    for wrong in (float("nan"), -1.0):
        with pytest.raises(ValueError, match="loss of a filter"):
            piece.stated_loss("filter", 0.05, wrong)
    with pytest.raises(ValueError, match="K1 of a meter"):
        piece.rated_by_coefficient("meter", 0.05, 0.0, 2.0)
    with pytest.raises(KeyError):
        piece.fitting("plug", 0.05)
    with pytest.raises(ValueError, match="more than its length"):
        piece.pipe(0.05, 1.0, 1.1)
    with pytest.raises(ValueError, match="not as both"):
        piece.bend(0.05, 1.0, np.array([4.0, 6.0]))


def test_samples_and_floats_agree() -> None:
    random = np.random.default_rng(3)
    n = 50
    law = FlowLaw(random.uniform(0, 900, n), random.uniform(1, 900, n), random.uniform(0.2, 1, n))
    flow, density, factor = (
        random.uniform(1e-6, 1e-3, n),
        random.uniform(900, 1600, n),
        random.uniform(0.5, 1.5, n),
    )
    bore = random.uniform(0.03, 0.1, n)
    line = [piece.hose(bore, 3.0), piece.reducer(bore, 0.05, 0.1), piece.bend(0.05, np.pi / 2, 1.0)]
    many = losses(line, flow, density, law, factor)
    assert many.friction.shape == (3, n)
    for i in (0, 17, 49):
        one = [piece.hose(bore[i], 3.0), piece.reducer(bore[i], 0.05, 0.1), piece.bend(0.05, np.pi / 2, 1.0)]
        alone = losses(one, flow[i], density[i],
                       FlowLaw(law.yield_stress[i], law.consistency[i], law.exponent[i]), factor[i])  # type: ignore[index]  # fmt: skip
        for ours, theirs in zip(many[1:], alone[1:], strict=True):
            assert float(ours[i]) == pytest.approx(float(theirs), rel=1e-12)


def test_a_line_of_totals_is_the_aggregate_route() -> None:
    line = piece.of_totals(0.05, 5.0, 0.06, 3.0, 1.0, 17.2)
    whole = Route(0.05, 5.0, 0.06, 3.0, 1.0, 17.2 * 1.3)
    ours, theirs = losses(line, 2e-4, 900.0, GREASE, 1.3), line_loss(whole, 2e-4, 900.0, GREASE)
    for mine, other in (
        (ours.straight, theirs.pipe),
        (ours.fittings, theirs.fittings),
        (ours.total, theirs.total),
    ):
        assert float(mine) == pytest.approx(float(other), rel=1e-12)
    assert float(ours.guide) == pytest.approx(float(ours.fittings) / 1.3, rel=1e-12)
    assert float(volume(line)) == pytest.approx(float(aggregate_volume(whole)), rel=1e-12)


def test_a_line_built_from_words() -> None:
    """Each kind once, equal to the segment made by hand; a filter that says nothing is refused by name."""
    items = [
        Item("hose", 0.05, 3.0), Item("ball_valve", 0.05), Item("reducer", 0.05, 0.1, outlet_bore=0.065),
        Item("pipe", 0.065, 4.0, 4.0), Item("bend", 0.065, angle=np.pi / 2, radius_over_bore=1.5),
        Item("filter", 0.065, 0.3, loss=0.4 * BAR), Item("meter", 0.065, laminar=300.0, turbulent=0.2),
    ]  # fmt: skip
    line = build(items)
    hand = [
        piece.hose(0.05, 3.0), piece.fitting("ball_valve", 0.05), piece.reducer(0.05, 0.065, 0.1),
        piece.pipe(0.065, 4.0, 4.0), piece.bend(0.065, np.pi / 2, 1.5),
        piece.stated_loss("filter", 0.065, 0.4 * BAR, 0.3),
        piece.rated_by_coefficient("meter", 0.065, 300.0, 0.2),
    ]  # fmt: skip
    assert [each.kind for each in line] == [
        "hose",
        "ball_valve",
        "expander",
        "riser",
        "bend",
        "filter",
        "meter",
    ]
    ours, theirs = losses(line, 1e-4, 900.0, GREASE), losses(hand, 1e-4, 900.0, GREASE)
    assert np.array_equal(ours.friction, theirs.friction)
    assert bore_jumps(line) == ()
    assert bore_jumps([line[0], line[3], line[4]]) == (1,)
    bad = [Item("pipe", 0.05), Item("filter", 0.05), Item("bend", 0.05, angle=1.0)]
    assert lacking(bad) == ((0, "length"), (1, "loss"), (2, "radius_over_bore"))
    with pytest.raises(ValueError, match=r"filter \(2\): loss"):
        build(bad)
    (up,) = build([Item("riser", 0.05, 3.0)])
    assert (up.kind, up.rise) == ("riser", 3.0)
    with pytest.raises(ValueError, match="no piece of a line called tube"):
        build([Item("tube", 0.05, 1.0)])


def test_a_jump_of_the_bore_is_counted_as_its_entry() -> None:
    """Hose of 50 mm on a pipe of 32 mm: the sharp entry of the narrow side, not nothing."""
    line = build([Item("hose", 0.05, 3.0), Item("pipe", 0.032, 4.0, wall=1.6e-3, material="stainless steel")])
    assert [each.kind for each in line] == ["hose", "jump", "pipe"]
    assert line[2].material == "stainless steel"
    loss = losses(line, 1e-4, 900.0, GREASE)
    turning = 0.5 * 3 * np.pi / 16 * 0.032 * (1 - (0.032 / 0.05) ** 3)
    creeping = float(pressure_drop(1e-4, 0.032, turning, *three(GREASE)))
    head = 0.5 * 900.0 * (1e-4 / (np.pi / 4 * 0.032**2)) ** 2 * 0.5 * (1 - (0.032 / 0.05) ** 2)
    assert float(loss.friction[1]) == pytest.approx(creeping + head, rel=1e-12)
    assert close_jumps(line) == line


def test_two_models_of_the_fittings_differ_by_more_than_half() -> None:
    """A limit to state: in DN50 the guide asks 2.0 times two-K for a globe valve and 3.8 for a lift check,
    beyond the factor 1.5, and a quarter for butterfly and ball valve. The careful figure takes the most."""
    theirs = {"globe_valve": 2.0, "lift_check": 3.77, "diaphragm_valve": 1.51, "swing_check": 0.754,
              "tee_branch": 0.754, "butterfly_valve": 0.236, "ball_valve": 0.251}  # fmt: skip
    for kind, ratio in theirs.items():
        loss = losses([piece.fitting(kind, 0.05)], 1 / HOUR, 900.0, GREASE)
        assert float(loss.guide / loss.fittings) == pytest.approx(ratio, rel=0.01), kind
        assert float(loss.careful) == pytest.approx(max(float(loss.guide), float(loss.fittings)), rel=1e-12)
