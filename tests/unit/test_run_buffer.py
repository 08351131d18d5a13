"""A buffer counts in a run only where it was stated whole; a product that cures waits for no filler."""

from __future__ import annotations

from pathlib import Path

import pytest

from drumwright.station.casefile import load
from drumwright.study.running import buffer_left_out, buffer_of, machine_of

S07 = Path(__file__).resolve().parents[1] / "whole" / "S07.toml"
S09 = Path(__file__).resolve().parents[1] / "whole" / "S09.toml"
SPRING = {"buffer.kind": "spring", "buffer.volume": "5 L", "buffer.precharge": "1 bar(g)"}
GAS = {"buffer.kind": "gas_cushion", "buffer.volume": "5 L", "buffer.precharge": "1 bar(g)"}


@pytest.mark.parametrize(
    ("stated", "last"),
    [
        (SPRING, {"buffer.full_pressure": "5 bar(g)"}),
        (GAS, {"buffer.neck_bore": "40 mm", "buffer.neck_length": "100 mm"}),
    ],
)
def test_what_was_not_said_of_a_buffer_helps_nobody(stated: dict[str, str], last: dict[str, str]) -> None:
    part, whole = (machine_of(load(S07, each), samples=256) for each in (stated, stated | last))
    assert buffer_of(part.problem) is None and buffer_left_out(part.problem)
    assert part.plant()["buffer_kind"] == 0.0
    found = buffer_of(whole.problem)
    assert found is not None and not buffer_left_out(whole.problem)
    assert whole.plant()["buffer_volume"] == pytest.approx(5e-3)
    assert whole.plant()["buffer_precharge"] == pytest.approx(1e5)


def test_without_a_buffer_nothing_is_left_out() -> None:
    assert not buffer_left_out(machine_of(load(S07), samples=256).problem)


def test_a_product_that_cures_stands_a_quarter_of_an_hour_at_most() -> None:
    """Trade book 1.1; S09 cures with moisture, and its destination may stop longer."""
    stop = {"destination.longest_stop": "40 min"}
    cures, dull = stop | {"product.cures_with": "moisture"}, stop | {"product.cures_with": "nothing"}
    kept = [machine_of(load(S07, each), samples=256).points.longest_stop for each in (cures, dull)]
    assert kept == [900.0, 2400.0]
    said = machine_of(load(S07, cures | {"product.longest_stop": "5 min"}), samples=256)
    assert said.points.longest_stop == 300.0
    assert machine_of(load(S09), samples=256).points.longest_stop <= 900.0


def test_a_machine_that_is_stopped_at_its_start_says_so_and_nothing_else() -> None:
    """Set points squeezed under what the line asks: no fault may look like a protection that held."""
    from drumwright.study.faults import play

    made = machine_of(load(S07, {"destination.inlet_pressure_high": "2 bar(g)"}), samples=256)
    for name in ("normal", "plate_jam", "hose_burst"):
        found = play(made, name)
        assert found.caught_by == "start", name
        assert found.closed_form_peak is None
    assert play(machine_of(load(S07), samples=256), "plate_jam").caught_by == "suction_lost"
