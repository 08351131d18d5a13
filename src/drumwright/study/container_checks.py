"""Checks of the container gate: whether a plate enters, seals over the whole way, and does no harm."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.kept import Kept
from drumwright.machine.container.kinds import kind
from drumwright.machine.container.shape import frustum, rectangular_bin
from drumwright.machine.plate.gap_leak import gap_stress
from drumwright.machine.plate.rim import rim_factor
from drumwright.machine.plate.seal_choice import SealFit, fit_seal
from drumwright.machine.plate.seals import RESERVE, Seal, inflation_range, seals
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance
from drumwright.station.emptied import clearance_of
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.left_without_plate import drained
from drumwright.station.plate_feed import rim_at_end
from drumwright.station.strength import wall_limit
from drumwright.station.vessel import likely_shape_of, tolerance_of, way_out
from drumwright.study.check import Check, flat, judge

Array = NDArray[np.float64]
_NO_LOAD, _ANY_PUSH, _NO_FLOW = 0.0, 1e12, 1e12  # fit by dimensions alone
_ACROSS = ("container.inside_diameter", "container.diameter_top", "container.diameter_bottom")
_SIZES = (*_ACROSS, "container.length", "container.width")
MOST_HEEL = 0.05  # of a full bin: beyond it emptying without a plate is refused (physics book 1.5)
_PREFERENCE = ("lip_seal", "double_lip_seal", "inflatable_seal")


def entry_checks(inputs: Inputs, choice: Choice) -> list[Check]:
    """Checks that need no balance: entry of the plate and fit of its seal.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    way = way_out(inputs.kind)
    if way == "outlet" and not choice.plated:
        return []
    checks = [_flag("container.entry", way == "plate" and choice.plated)]
    if way != "plate" or not choice.plated:
        return checks
    fit = seal_fit(inputs, choice.seal)
    checks += [fit_check(inputs, choice.seal)]
    opening = inputs.estimates.get("container.opening") or kind(inputs.kind).known("opening")
    if opening is not None:
        need = follower_width(inputs, fit) + 2.0 * least_reach(choice.seal)
        stated = "container.opening" in inputs.estimates
        passes = (opening.likely if stated else opening.high) >= need
        waits_for = () if passes or stated else ("container.opening",)
        checks.append(
            flat("container.opening", "container_plate", passes, opening.likely, need, "diameter", waits_for)
        )
    return checks


def follower_width(inputs: Inputs, fit: SealFit) -> float:
    """What must pass the opening [m]: the disc, or the shorter side of a square follower."""
    shape = likely_shape_of(inputs)
    if shape.section == "round":
        return fit.disc_diameter
    beside = float(shape.diameter(0.0)) - fit.disc_diameter
    return float(min(shape.length, shape.width)) - beside


def least_reach(seal: str) -> float:
    """Least gap between disc and wall that a seal folds into [m]; 0 for a plate without one."""
    row = seals()[seal]
    return row.likely("reach_least") if row.lips else 0.0


def _flag(key: str, ok: bool) -> Check:
    return flat(key, "container_plate", ok, 0.0, 0.0, "")


def seal_fit(inputs: Inputs, seal: str, tolerance: float = 0.0) -> SealFit:
    """Fit of one seal in the container at the likely dimensions, pressures left out.

    Parameters
    ----------
    inputs : Inputs
    seal : str
    tolerance : float
        By how much a diameter may differ, both ways [m].
    """
    shape = likely_shape_of(inputs)
    sizes = (shape.top, shape.bottom, shape.length, shape.width, shape.height, shape.corner_radius)
    return _fitted(seal, tolerance, shape.section, *(float(size) for size in sizes))


@lru_cache(maxsize=256)
def _fitted(
    seal: str, tolerance: float, section: str, top: float, bottom: float, length: float, width: float,
    height: float, rounding: float,
) -> SealFit:  # fmt: skip
    if section == "rectangular":
        shape = rectangular_bin(length, width, height, rounding)
    else:
        shape = frustum(top, bottom, height)
    return fit_seal(seals()[seal], shape, _NO_LOAD, _ANY_PUSH, _NO_FLOW, tolerance)


def fit_check(inputs: Inputs, seal: str) -> Check:
    """Whether a seal fits over the whole way of the plate.

    Notes
    -----
    With half of the spread of the stated diameters on either side; where it fits the likely diameters only,
    the check is not decided: the containers must be measured.
    """
    nominal, spread = seal_fit(inputs, seal), stated_spread(inputs)
    wide = seal_fit(inputs, seal, spread)
    if nominal.fits and not wide.fits:
        reach = nominal.offered_reach - nominal.needed_reach
        return flat("container.spread", "container_plate", False, spread, reach, "diameter", _SIZES)
    if wide.fits:
        return flat("plate.sealed_share", "container_plate", True, nominal.sealed_share, 1.0, "fraction")
    first = nominal.rejections[0]
    unit = "fraction" if first.criterion in ("sealed_share", "strain") else "diameter"
    rounding = "container.corner_radius"
    asked = (rounding,) if first.criterion == "bend" and rounding in inputs.defaulted else ()
    return flat(f"plate.{first.criterion}", "container_plate", False, first.value, first.limit, unit, asked)


def stated_spread(inputs: Inputs) -> float:
    """Half of the spread of the diameters as they are known [m]."""
    ends = [inputs.estimates.get(name) for name in _ACROSS]
    return max((0.5 * (end.high - end.low) for end in ends if end is not None), default=0.0)


def fitting_seals(inputs: Inputs, wanted: str) -> list[str]:
    """Seals that fit by their dimensions, the wanted one first, then the plainest.

    Parameters
    ----------
    inputs : Inputs
    wanted : str
    """
    if way_out(inputs.kind) != "plate":
        return ["none"]
    order = [wanted, *(name for name in _PREFERENCE if name != wanted)]
    checks = {name: fit_check(inputs, name) for name in order if name in seals()}
    found = [name for name, check in checks.items() if bool(check.ok[0])]
    found = found or [name for name, check in checks.items() if not check.decided]
    return found or [wanted if wanted in seals() else _PREFERENCE[0]]


def reserve_for_tolerance(inputs: Inputs, choice: Choice) -> tuple[float, float] | None:
    """Reach needed with the usual tolerance and reach offered [m], where only measuring decides."""
    wide = seal_fit(inputs, choice.seal, tolerance_of(inputs))
    if wide.fits or not seal_fit(inputs, choice.seal).fits:
        return None
    return wide.needed_reach, wide.offered_reach


def plate_checks(inputs: Inputs, sample: Sample, state: Balance, choice: Choice, season: str) -> list[Check]:
    """Checks of one season: seal and wall of the container against the pressure at the rim of the plate.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    state : Balance
    choice : Choice
        With a plate.
    season : str

    Notes
    -----
    The gate asks whether any lip holds: the stiffest of the table, pressed on by the product, and never more
    than is believed of a lip without a trial; and whether an inflated seal can hold the rim with half of the
    push left. Whether a plain lip holds is a condition (`conditions`), since the lip is ours to choose.
    """
    seal = seals()[choice.seal]
    rim = rim_at_end(state.feed, choice, state.inlet_required)
    checks = _bulge(inputs, sample, state, season)
    if not seal.lips:
        return [*checks, _leak(sample, state, seal, rim, season)]
    if not seal.follows:
        stiffest = seal.numbers["contact_pressure"].high
        pressed_on = stiffest / (RESERVE - seal.numbers["energised_share"].high)
        held = np.full_like(rim, min(pressed_on, seal.likely("most_rim")))
        lip = judge(season, "plate.rim", "container_plate", rim, held, "pressure_gauge", True, "plate.rim")
        return [*checks, lip]
    least, most = inflation_of(sample, state, rim, choice.port)
    air = judge(
        season, "plate.inflation", "container_plate", least, most, "pressure_gauge", True, "plate.rim"
    )
    return [*checks, air]


def _leak(sample: Sample, state: Balance, seal: Seal, rim: Array, season: str) -> Check:
    """A plate without a lip: the stress in its gap against what holds the product still."""
    gap = clearance_of(sample, seal)
    stress = gap_stress(rim, gap, seal.likely("contact_width"))
    tau_y = np.broadcast_to(np.asarray(state.law.yield_stress, float), stress.shape)
    return judge(season, "plate.leak_stress", "container_plate", stress, tau_y, "stress", True, "plate.rim")


def outlet_checks(sample: Sample, state: Balance, season: str, kept: Kept | None = None) -> list[Check]:
    """What a bin without a plate keeps when air is drawn, against the share that is acceptable.

    Acceptable is the share the customer named where it is the greater: a smaller one is a matter of draining.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
        Without a plate.
    season : str
    kept : Kept, optional
        Store of this sample and law.
    """
    share = drained(sample, state, kept).total / sample["container.usable_volume"]
    wanted = sample.get("enquiry.residue_wanted", np.full_like(share, MOST_HEEL))
    limit = np.maximum(wanted, MOST_HEEL)
    return [
        judge(season, "container.heel", "container_plate", share, limit, "fraction", True, "residue.share")
    ]


def _bulge(inputs: Inputs, sample: Sample, state: Balance, season: str) -> list[Check]:
    """The wall against the mean pressure under the plate, where its strength is known."""
    limit = wall_limit(inputs, sample, state.feed.shape)
    if limit is None:
        return []
    under = state.under_plate_gauge
    return [
        judge(
            season, "container.bulge", "container_plate", under, limit, "pressure_gauge", True,
            "plate.under_pressure",
        )
    ]  # fmt: skip


def inflation_of(sample: Sample, state: Balance, rim: Array, port: float) -> tuple[Array, Array]:
    """Least inflation that holds the rim pressure and the most that the rule allows [Pa(g)].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
    rim : ndarray, shape (n,)
        Gauge pressure at the rim at the end [Pa(g)], with the inflation of the feed.
    port : float
        Bore of the throat [m].

    Notes
    -----
    More air in the seal rubs more, so less of the push reaches the rim: both are solved together, with
    d(rim)/d(force) = k/area of the bottom and the friction of the feed, which grows with the inflation.
    """
    feed = state.feed
    perimeter = feed.shape.perimeter(feed.shape.height)
    friction, width = sample["model.inflatable_friction"], sample["model.inflatable_width"]
    least, most = inflation_range(rim, feed.push, friction, width, perimeter)
    bottom = feed.shape.bottom_area
    rubs = np.divide(feed.friction, feed.inflation, out=np.zeros_like(rim), where=feed.inflation > 0.0)
    eased = RESERVE * rim_factor(np.sqrt(bottom / np.pi), 0.5 * port) * rubs / bottom
    return np.maximum((least + eased * feed.inflation) / (1.0 + eased), 0.0), most
