"""Holman, Heat Transfer (SI units), Examples 4-1, 4-9 and 4-10, read as transcribed example calculations.

The book reads its answers from charts; the chart values are recorded with the width of a chart reading, and
the exact series next to them.
"""

import math

import numpy as np

from drumwright.flow.conduction import Cylinder, heat_share, remaining_at
from drumwright.flow.lumped import lumped_time
from validation_registry import record

ALUMINIUM = Cylinder(0.025, 0.10, 215.0, 215.0 / 8.4e-5, 525.0, 525.0, 525.0)


def test_lumped_cooling_example_4_1() -> None:
    """THM-05: steel ball of 50 mm, 450 to 150 C in air of 100 C at 10 W/m2K: 5818 s."""
    heat = 7800.0 * 460.0 * math.pi / 6.0 * 0.05**3
    ours = float(lumped_time(heat, 10.0 * math.pi * 0.05**2, (150.0 - 100.0) / (450.0 - 100.0)))
    assert record("THM-05", "Holman, Example 4-1", "time", 5818.0, ours, "s", 0.001, "published").agrees


def test_finite_cylinder_off_centre_example_4_9() -> None:
    """THM-03: chart 104.5 C; 12.5 mm from the axis and 6.25 mm from one end after 60 s."""
    share = float(remaining_at(ALUMINIUM, 60.0, 0.0125, 0.00625))
    ours, source = 70.0 + 130.0 * share, "Holman, Example 4-9"
    assert record(
        "THM-03", source, "temperature (chart)", 104.5, ours, "C", 4.0, "published", absolute=True
    ).agrees
    exact = 70.0 + 130.0 * fine_cells(0.0125, 0.00625)
    assert record(
        "THM-03", source, "temperature, fine cells", exact, ours, "C", 0.05, "recomputed", absolute=True
    ).agrees
    assert abs(ours - 108.19092) < 0.001  # the series of the check list


def test_heat_of_a_finite_cylinder_example_4_10() -> None:
    """THM-04: 40.2 kJ by charts (Langston); the exact series give 43.4 kJ."""
    whole = 2707.0 * 896.0 * math.pi * 0.025**2 * 0.10 * 130.0
    ours, source = float(heat_share(ALUMINIUM, 60.0)) * whole / 1e3, "Holman, Example 4-10"
    assert record("THM-04", source, "heat (chart)", 40.2, ours, "kJ", 0.1, "published").agrees
    assert record("THM-04", source, "heat, series", 43.385014, ours, "kJ", 1e-6, "recomputed").agrees


def fine_cells(r: float, x: float) -> float:
    """Share left by backward differences on a line across and a line along, which the product joins."""
    return line(0.025, 1, 400, r) * line(0.05, 0, 400, 0.05 - x)


def line(reach: float, curved: int, cells: int, at: float, steps: int = 2000) -> float:
    """Cells from the axis (or middle) to the surface, implicit in time; value at a distance."""
    edges = np.linspace(0.0, reach, cells + 1)
    d = reach / cells
    volumes = np.diff(edges ** (1 + curved)) / (1 + curved)
    path = edges[1:-1] ** curved / d
    alpha, h, k = 8.4e-5, 525.0, 215.0
    out = reach**curved / (k / h + 0.5 * d)
    matrix = np.zeros((cells, cells))
    inner = np.arange(cells - 1)
    matrix[inner, inner] -= path
    matrix[inner + 1, inner + 1] -= path
    matrix[inner, inner + 1] += path
    matrix[inner + 1, inner] += path
    matrix[-1, -1] -= out
    step = np.eye(cells) - alpha * 60.0 / steps * matrix / volumes[:, None]
    theta = np.linalg.matrix_power(np.linalg.inv(step), steps) @ np.ones(cells)
    return float(np.interp(at, 0.5 * (edges[1:] + edges[:-1]), theta))
