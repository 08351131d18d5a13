"""The relief path: what the pump outlet sees while the valve blows, and what no formula can size."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import require_not_negative, require_positive
from drumwright.flow.relief_orifice import viscous_orifice
from drumwright.machine.line.losses import losses, yield_pressure
from drumwright.machine.line.segments import Segment
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]

# What a test of a relief valve with the product must state; keys for the document, sentences live elsewhere.
TEST_ITEMS = (
    "product_and_batch",
    "coldest_temperature",
    "rest_time_before_lift",
    "pump_full_flow",
    "back_line_as_built",
    "opening_pressure_after_rest",
    "greatest_pressure_at_full_flow",
    "closing_pressure",
    "repeat_after_drying",
)


class ReliefPath(NamedTuple):
    """Pressures at the pump outlet [Pa(g)]; arrays over samples."""

    branch: Array  # friction of branch and back line at full flow [Pa]
    branch_at_rest: Array  # what their rested product holds before the valve sees anything [Pa]
    peak: Array  # greatest pressure at the pump outlet while it relieves
    opening: Array  # pressure at which it begins to open with rested product in the branch
    margin: Array  # weakest part less peak [Pa]; negative is unsafe


def relief_path(
    set_gauge: ArrayLike,
    overpressure: ArrayLike,
    branch: Sequence[Segment],
    back_line: Sequence[Segment],
    full_flow: ArrayLike,
    density: ArrayLike,
    law: FlowLaw,
    rested_yield_stress: ArrayLike,
    weakest: ArrayLike,
    fittings_factor: ArrayLike = 1.0,
    back_gauge: ArrayLike = 0.0,
) -> ReliefPath:
    """Pressures of a relief path with the product in it.

    Parameters
    ----------
    set_gauge : array_like
        Set pressure of the valve [Pa(g)].
    overpressure : array_like
        Share above the set pressure at which it passes the full flow [-], e.g. 0.1.
    branch : sequence of Segment
        From the pump outlet to the valve; empty where it stands flush.
    back_line : sequence of Segment
        From the valve to where it blows; its loss lifts the set pressure of a valve that is not balanced.
    full_flow : array_like
        Greatest flow the pump can give at this pressure, not the wanted one [m3/s].
    density : array_like
        [kg/m3]
    law : FlowLaw
        Product at the coldest temperature of the branch.
    rested_yield_stress : array_like
        After the longest stop [Pa].
    weakest : array_like
        Allowed pressure of the weakest part [Pa(g)].
    fittings_factor : array_like
        Model factor on the loss of fittings [-].
    back_gauge : array_like
        Pressure where it blows [Pa(g)].

    Raises
    ------
    FlowOutOfRange
        If set pressure or full flow is not positive, or the overpressure negative.

    Notes
    -----
    Peak = p_set (1 + overpressure) + loss of branch and back line at full flow; opening = p_set + what branch
    and back line hold at rest (physics book 6.3). The branch may dry: a test, not this sum, is the proof.
    """
    opens, over = np.asarray(set_gauge, float), np.asarray(overpressure, float)
    require_positive("set pressure", opens)
    require_not_negative("overpressure", over)
    require_positive("full flow", np.asarray(full_flow, float))
    lost: Array = np.zeros(())
    held: Array = np.zeros(())
    for part in (branch, back_line):
        if part:
            lost = lost + losses(part, full_flow, density, law, fittings_factor).at_pump
            held = held + yield_pressure(part, rested_yield_stress, fittings_factor)
    back = np.asarray(back_gauge, float)
    peak = opens * (1.0 + over) + lost + back
    return ReliefPath(
        np.asarray(lost), np.asarray(held), np.asarray(peak), np.asarray(opens + held + back),
        np.asarray(np.asarray(weakest, float) - peak),
    )  # fmt: skip


class ReliefSize(NamedTuple):
    """Area of the orifice, or the word that no formula serves."""

    basis: Literal["formula", "test_required"]
    area: Array  # [m2]; not-a-number where a test is required
    test: tuple[str, ...]  # `TEST_ITEMS` where a test is required


def relief_size(
    full_flow: ArrayLike, density: ArrayLike, law: FlowLaw, pressure_difference: ArrayLike
) -> ReliefSize:
    """Size of a relief valve, where the standard's liquid formula holds; else a test is required.

    Parameters
    ----------
    full_flow, density : array_like
        [m3/s], [kg/m3]
    law : FlowLaw
        Product at its coldest.
    pressure_difference : array_like
        Relieving less back pressure at the valve [Pa], above zero.

    Notes
    -----
    The viscosity correction of API 520-1 is for Newtonian liquids above a Reynolds number of 80. A product
    with yield stress or another exponent than 1, or one sample below 80, is never sized here.
    """
    yields, exponent = np.asarray(law.yield_stress, float), np.asarray(law.exponent, float)
    if not np.any(yields > 0.0) and np.all(exponent == 1.0):
        area = np.asarray(viscous_orifice(full_flow, density, law.consistency, pressure_difference))
        if not np.any(np.isnan(area)):
            return ReliefSize("formula", area, ())
    return ReliefSize("test_required", np.asarray(np.nan), TEST_ITEMS)
