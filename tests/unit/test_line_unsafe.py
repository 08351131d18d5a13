"""What nobody said of the line never helps: hose, passage, hall, pump at the restart, filter, fluid group."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from test_line_answers import DEMO, PIECES, _case, _figure

import drumwright
from drumwright.basis.errors import InputError
from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import render
from drumwright.flow.fittings import INCH
from drumwright.machine.line import segments as piece
from drumwright.machine.line.losses import GUIDE_AT, losses, restart_pressure, widened
from drumwright.product.law import FlowLaw

PASTE = FlowLaw(150.0, 60.0, 0.4)


def _assess(settings: dict[str, str] | None = None, case: Path = DEMO) -> drumwright.Result:
    return drumwright.assess(drumwright.load(case, settings or {}), samples=256)


def _said(result: drumwright.Result, key: str) -> str:
    return next(render(item.text) for item in (*result.conditions, *result.findings) if item.key == key)


def _keys(result: drumwright.Result) -> set[str]:
    return {item.key for item in result.conditions}


def test_a_hose_stated_too_short_counts_as_long_as_the_stand_needs() -> None:
    """One metre does not reach beside the stand: pressures are those of the least that does."""
    short = _assess({"line.own_hose": "1 m"})
    needed = _figure(short, "line.hose_needed")
    enough = _assess({"line.own_hose": f"{needed} m"})
    assert _figure(short, "line.total") == pytest.approx(_figure(enough, "line.total"), rel=1e-6)
    assert "line.hose_short" in _keys(short)
    assert "line.hose_short" not in _keys(enough)
    assert "1.00 m" in _said(short, "line.hose_short")
    parts = {part.role: part for part in short.recommended.parts} if short.recommended else {}
    assert not parts or parts["hose"].size == pytest.approx(needed)


def test_a_hose_left_out_for_a_comparison_stays_out_and_is_said() -> None:
    """Zero is the documented override: pressures are without a hose, and a condition names the length."""
    none = _assess({"line.own_hose": "0 m"})
    assert _figure(none, "line.hose_friction") == 0.0
    assert "line.hose_left_out" in _keys(none)
    assert "left out" in _said(none, "line.hose_left_out")


@pytest.mark.parametrize(
    ("part", "field"),
    [
        ('kind = "pipe"\nlength = "2 m"\nrise = "3 m"\n', "rise"),
        ('kind = "hose"\nlength = "2 m"\nrise = "-3 m"\n', "rise"),
        ('kind = "bend"\nangle = "90 deg"\nbend_radius = "20 mm"\n', "bend_radius"),
    ],
)
def test_a_piece_that_cannot_be_is_refused_by_its_field(tmp_path: Path, part: str, field: str) -> None:
    with pytest.raises(InputError) as caught:
        drumwright.load(_case(tmp_path, PIECES + f"[[line.part]]\n{part}"))
    found = caught.value.problems[0]
    assert found.field == f"line.part[4].{field}"
    assert found.line > 0


def _with_lumps(folder: Path, part: str) -> drumwright.Result:
    settings = {"product.particles.size": "6 mm", "product.particles.hardness": "soft"}
    return _assess(settings, _case(folder, PIECES + part))


def test_fittings_and_filters_shorten_the_line_that_can_be_started(tmp_path: Path) -> None:
    """What they hold at the start is not there for the pipe."""
    plain = _assess(case=_case(tmp_path, PIECES))
    bends = PIECES + '[[line.part]]\nkind = "globe_valve"\ncount = 5\n'
    many = _assess(case=_case(tmp_path, bends))
    assert _figure(many, "line.longest_restart") < 0.97 * _figure(plain, "line.longest_restart")


def test_the_far_end_of_a_reducer_is_a_passage(tmp_path: Path) -> None:
    part = '[[line.part]]\nkind = "reducer"\noutlet_bore = "10 mm"\nlength = "0.1 m"\n'
    result = _with_lumps(tmp_path, part)
    assert any(i.key == "feed.passage" and i.value == pytest.approx(0.01) for i in _obstacles(result))


def _obstacles(result: drumwright.Result) -> list[drumwright.Finding]:
    return [item for item in result.findings if item.role in ("fail", "undecided")]


def test_a_strainer_passes_what_its_maker_says_and_is_asked_where_nobody_said(tmp_path: Path) -> None:
    part = '[[line.part]]\nkind = "strainer"\nloss = "0.1 bar"\n'
    unknown = _with_lumps(tmp_path, part)
    assert "line.passage_unknown" in _keys(unknown)
    assert "strainer" in _said(unknown, "line.passage_unknown")
    stated = _with_lumps(tmp_path, part + 'passage = "2 mm"\n')
    assert "line.passage_unknown" not in _keys(stated)
    assert any(i.key == "feed.passage" and i.value == pytest.approx(0.002) for i in _obstacles(stated))


def test_the_own_hose_is_as_wide_as_the_line_not_as_its_narrowest_piece(tmp_path: Path) -> None:
    narrow = '[[line.part]]\nkind = "pipe"\nbore = "32 mm"\nlength = "0.5 m"\n'
    plain = _assess(case=_case(tmp_path, PIECES))
    friction = _figure(plain, "line.hose_friction")
    tight = _assess(case=_case(tmp_path, PIECES + narrow))
    assert _figure(tight, "line.hose_friction") == pytest.approx(friction, rel=1e-9)


def test_a_hall_nobody_named_warms_no_line() -> None:
    """A product colder than the usual hall does not start easier after a night than at once."""
    cold = _assess({"product.temperature.low": "6 C", "product.temperature.norm": "8 C"})
    assert _figure(cold, "line.temperature_night") == pytest.approx(279.15, abs=0.01)
    assert _figure(cold, "line.restart_night") >= _figure(cold, "line.restart") * (1.0 - 1e-9)
    warm = _assess({"product.temperature.low": "6 C", "site.hall_temperature": "30 C"})
    assert _figure(warm, "line.restart_night") >= _figure(warm, "line.restart") * (1.0 - 1e-9)


def test_a_line_that_cools_on_its_way_is_said() -> None:
    """Warm product, long thin flow, cold hall: the law is that of the beginning, and a note says so."""
    settings = {
        "product.temperature.low": "40 C",
        "product.temperature.norm": "42 C",
        "product.temperature.high": "44 C",
        "line.length": "40 m",
    }
    cold = _assess(settings | {"site.hall_temperature": "0 C"})
    assert "cools from 40" in _said(cold, "line.cools")
    assert not any(item.key == "line.cools" for item in _assess().findings)


def test_the_pump_that_cannot_start_after_a_night_is_named() -> None:
    """A line that bears the start does not help a pump or drive that cannot give it."""
    settings = {
        "product.temperature.low": "24 C",
        "product.temperature.norm": "26 C",
        "site.hall_temperature": "2 C",
        "product.restart_factor": "4",
        "line.pressure_class": "160 bar(g)",
    }
    said = _said(_assess(settings), "line.stop_night")
    assert "what the pump is rated for" in said or "torque limit of the drive" in said


def test_the_band_of_a_fitting_holds_the_greater_method() -> None:
    """Likely stays two-K; the band holds the guide, running and at the start."""
    assert float(widened(1.0, 3.0)) == 1.0
    assert float(widened(0.5, 3.0)) == 0.5
    assert float(widened(GUIDE_AT, 3.0)) == pytest.approx(3.0)
    assert float(widened(1.5, 0.2)) == pytest.approx(1.5)
    factors = Estimate(0.5, 1.0, 1.5, "assumed").sample((np.arange(10_000) + 0.5) / 10_000)
    assert float(np.quantile(factors, 0.95)) == pytest.approx(GUIDE_AT, abs=1e-3)
    line = [piece.pipe(0.05, 1.0), piece.fitting("lift_check", 0.05)]
    flow, density = 5.0e-4, 1100.0
    likely, high = (losses(line, flow, density, PASTE, factor) for factor in (1.0, GUIDE_AT))
    assert float(likely.guide) > 2.0 * float(likely.fittings)
    assert float(high.fittings) == pytest.approx(float(likely.guide))
    valve = line[1]
    guide = 500.0 * float(valve.turbulent) * (1.0 + INCH / 0.05) / 16.0 * 150.0
    held = [float(restart_pressure(line, 150.0, density, factor)) for factor in (0.0, GUIDE_AT)]
    assert held[1] - held[0] >= guide * (1.0 - 1e-9)


def test_a_stated_loss_grows_with_the_product_and_with_its_rest() -> None:
    """Twice the stress, twice the loss; three times the yield stress at rest, three times at the start."""
    filter_ = replace(piece.stated_loss("filter", 0.05, 0.4e5), norm_law=PASTE)
    line = [piece.pipe(0.05, 1.0), filter_]
    twice = PASTE.scaled(2.0)
    assert float(losses(line, 5e-4, 1100.0, PASTE).stated) == pytest.approx(0.4e5)
    assert float(losses(line, 5e-4, 1100.0, twice).stated) == pytest.approx(0.8e5, rel=1e-6)
    plain = float(restart_pressure(line[:1], 450.0, 1100.0))
    assert float(restart_pressure(line, 450.0, 1100.0)) - plain == pytest.approx(1.2e5)
    assert float(restart_pressure(line, 50.0, 1100.0)) > 0.4e5  # never less than stated


@pytest.mark.parametrize(
    ("settings", "group"),
    [
        ({"product.flammable": "false", "product.safety_sheet_seen": "false"}, 1),
        ({"product.flammable": "false", "product.safety_sheet_seen": "true"}, 2),
        (
            {
                "product.flammable": "false",
                "product.safety_sheet_seen": "true",
                "product.isocyanate_share": "1 %",
            },
            1,
        ),
    ],
)
def test_a_safety_sheet_nobody_read_screens_as_dangerous(settings: dict[str, str], group: int) -> None:
    assert f"liquid of group {group}" in _said(_assess(settings), "line.screening")


def test_a_wish_for_less_pressure_screens_no_lower() -> None:
    """The class of the pipe is what it may see, whatever pressure the customer would rather not pass."""
    wish = _said(
        _assess({"line.pressure_class": "40 bar(g)", "enquiry.pressure_limit": "12 bar(g)"}), "line.screening"
    )
    assert "40.0 bar" in wish


def test_the_rise_of_closed_in_product_is_its_high_end() -> None:
    result = _assess({"product.expansion": "{low = '2e-4 1/K', likely = '4e-4 1/K', high = '8e-4 1/K'}"})
    note = next(item for item in result.findings if item.key == "line.blocked_in")
    slots = dict(note.text.slots)
    assert slots["value"] > 1.2 * _figure(result, "line.blocked_in")


def test_what_a_push_and_a_pig_give_back_is_said(tmp_path: Path) -> None:
    plain = _assess({"product.price": "2 per kg"}, _case(tmp_path, PIECES))
    assert "a pig gives back" in _said(plain, "line.pushed")
    assert "currency of your price" in _said(plain, "line.economy")
    valve = PIECES + '[[line.part]]\nkind = "butterfly_valve"\n'
    assert "does not pass" in _said(_assess(case=_case(tmp_path, valve)), "line.pushed")
    assert "line.stop_night" not in _said(plain, "line.pushed")


def test_a_stated_longest_stop_is_used_and_not_called_unused() -> None:
    long = _assess({"destination.longest_stop": "6 h", "product.restart_time": "3 h"})
    assert _figure(long, "line.restart_filler") > _figure(
        _assess({"product.restart_time": "3 h"}), "line.restart_filler"
    )
    unused = [render(item.text) for item in long.findings if item.key == "not_judged.fields"]
    assert not any("longest stop of the destination" in text for text in unused)
    assert np.isfinite(_figure(long, "line.restart_filler"))
