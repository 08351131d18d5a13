"""Queues at steady state: numbers of textbooks on operations."""

from __future__ import annotations

import pytest

from drumwright.study.shift_queue import machine_repair, many_servers, one_server
from validation_registry import record

HOUR = 3600.0


def test_two_servers_render_stair_hanna_example_14_3() -> None:
    """Render, Stair and Hanna, Quantitative Analysis for Management, alternative example 14.3."""
    found = many_servers(20.0 / HOUR, 30.0 / HOUR, 2)
    source = "Render, Stair & Hanna, Quantitative Analysis for Management, alternative example 14.3"
    rows = (
        ("chance that nobody waits or is served", 0.5, found.idle, "-"),
        ("number in the system", 0.75, found.in_system, "-"),
        ("time in the system", 0.0375, found.time_in_system / HOUR, "h"),
    )
    for name, theirs, ours, unit in rows:
        assert record("OPS-01", source, name, theirs, ours, unit, 1e-6, "published").agrees


def test_constant_service_time_saylor_section_4_5() -> None:
    """Saylor Academy text, section 4.5: a constant service time halves the queue of an exponential one."""
    found, other = (one_server(2.0 / HOUR, HOUR / 3.0, spread) for spread in (0.0, 1.0))
    source = "Saylor Academy text, section 4.5 (M/D/1)"
    rows = (
        ("number waiting", 0.66666667, found.in_queue, "-"),
        ("number in the system", 1.3333333, found.in_system, "-"),
        ("waiting time", 0.33333333, found.time_in_queue / HOUR, "h"),
        ("queue over that of an exponential service", 0.5, found.in_queue / other.in_queue, "-"),
    )
    for name, theirs, ours, unit in rows:
        assert record("OPS-03", source, name, theirs, ours, unit, 1e-6, "published").agrees
    assert other.in_queue == pytest.approx(many_servers(2.0 / HOUR, 3.0 / HOUR, 1).in_queue, rel=1e-12)


def test_machine_repair_anderson_sweeney_williams_page_477() -> None:
    """Six machines, 20 h between failures, 2 h repair: data opened, results remembered."""
    found = machine_repair(6, 0.05 / HOUR, 0.5 / HOUR, 1)
    source = "Anderson, Sweeney, Williams, An Introduction to Management Science, p. 477"
    rows = (
        ("chance that all run", 0.4845, found.idle, "-", 0.001),
        ("machines waiting", 0.3297, found.in_queue, "-", 0.002),
        ("machines that do not run", 0.8451, found.in_system, "-", 0.001),
        ("waiting time", 1.279, found.time_in_queue / HOUR, "h", 0.002),
        ("time down", 3.279, found.time_in_system / HOUR, "h", 0.002),
    )
    for name, theirs, ours, unit, tolerance in rows:
        assert record("OPS-04", source, name, theirs, ours, unit, tolerance, "from memory").agrees
