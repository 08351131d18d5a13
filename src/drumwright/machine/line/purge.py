"""What a changeover gives back: pushed out with air or water, or with a pig."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.displacement import MOST_LEFT, newtonian_left, static_layer
from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.machine.line.losses import RouteLoss, volume
from drumwright.machine.line.segments import FULL_BORE, Segment

Array = NDArray[np.float64]
Obstacle: TypeAlias = Literal["not_full_bore", "bore_changes", "tight_bend"]

PIG_RECOVERY = (0.98, 0.99, 0.995)  # low, likely, high share; assumed (physics book 5.9: 98-99.5 %)
BORE_TOLERANCE = 0.03  # change of bore a pig still seals over; assumed
LEAST_BEND = 1.5  # radius over bore a pig passes; from memory, ask the maker of the pig
SHARPEST = LEAST_BEND * (1.0 - 1e-9)  # rounding of the units apart


class Pushed(NamedTuple):
    """Shares of the line's volume [-] a push gives back; arrays over samples."""

    at_breakthrough: Array  # when the pushing fluid arrives; what comes later is mixed
    left: Array  # that stays, however long the push goes on


def push_newtonian(capillary: ArrayLike) -> Pushed:
    """Recovery of a Newtonian product by a thin fluid.

    Parameters
    ----------
    capillary : array_like
        `flow.displacement.capillary_number` of the push [-]; infinite for water into a product it mixes with.

    Notes
    -----
    The film that is left drains or dissolves with time; that is washing, not recovery, and not counted.
    """
    left = np.asarray(newtonian_left(capillary))
    return Pushed(np.asarray(1.0 - left), left)


def push_yield(
    flow: ArrayLike, bore: ArrayLike, yield_stress: ArrayLike, density: ArrayLike, viscosity: ArrayLike
) -> Pushed:
    """Recovery of a product with yield stress by a thin liquid or gas.

    Parameters
    ----------
    flow, bore : array_like
        Of the pushing fluid [m3/s], and of the widest pipe of the line [m].
    yield_stress : array_like
        Of the product at its coldest [Pa]; where it is zero no washing is credited, see `push_newtonian`.
    density, viscosity : array_like
        Of the pushing fluid [kg/m3], [Pa s].

    Notes
    -----
    At breakthrough the careful limit of physics book 5.9, 0.60 left, "roughly half" recovered: no film law of
    a yield product is known to us that would allow less. A long push can wash the layer down to the static
    one where that is thinner (`static_layer`), never beyond it.
    """
    static = np.asarray(static_layer(flow, bore, yield_stress, density, viscosity))
    arrived = np.full(static.shape, 1.0 - MOST_LEFT)
    washed = np.where(np.asarray(yield_stress, float) > 0.0, np.minimum(static, MOST_LEFT), MOST_LEFT)
    return Pushed(arrived, np.asarray(washed))


class Pig(NamedTuple):
    """Pressure behind a pig [Pa(g)] and what it gives back; arrays over samples."""

    running: Array
    starting: Array
    obstacles: tuple[tuple[int, Obstacle], ...]  # place in the route and what stops the pig there


def pig_obstacles(segments: Sequence[Segment]) -> tuple[tuple[int, Obstacle], ...]:
    """Segments that stop a pig or let product by it, with the reason.

    Parameters
    ----------
    segments : sequence of Segment
        From the launcher to the catcher.

    Notes
    -----
    Full bore all the way: pipes, hoses, bends of 1.5 bores or more, tees straight through, full-bore valves;
    one bore within 3 %. A ball valve counts as full bore only if it is one: `reduced_ball_valve` is none.
    """
    found: list[tuple[int, Obstacle]] = []
    bore = np.asarray(segments[0].bore, float) if segments else np.zeros(())
    for index, each in enumerate(segments):
        changed = np.any(np.abs(np.asarray(each.bore, float) / bore - 1.0) > BORE_TOLERANCE)
        if each.outlet_bore is not None or changed:
            found.append((index, "bore_changes"))
        elif each.kind not in FULL_BORE:
            found.append((index, "not_full_bore"))
        elif each.turn_radius is not None and np.any(np.asarray(each.turn_radius) < SHARPEST):
            found.append((index, "tight_bend"))
    return tuple(found)


def pig_push(
    segments: Sequence[Segment],
    loss: RouteLoss,
    restart_gauge: ArrayLike,
    friction_force: ArrayLike,
    destination_gauge: ArrayLike,
) -> Pig:
    """Pressure that drives a pig through the full line.

    Parameters
    ----------
    segments : sequence of Segment
        From the launcher to the catcher.
    loss : RouteLoss
        Of the product at the flow of the pig.
    restart_gauge : array_like
        Pressure that starts the rested line, destination not counted [Pa].
    friction_force : array_like
        Of the pig in the pipe, at its start [N]; ask its maker.
    destination_gauge : array_like
        [Pa(g)]

    Raises
    ------
    FlowOutOfRange
        If the force is negative.

    Notes
    -----
    dp = dp_line + F/A (physics book 5.9), greatest at the launcher with the line full before it.
    """
    force, end = arrays(friction_force, destination_gauge)
    require_not_negative("friction force", force)
    area = 0.25 * np.pi * np.square(np.asarray(segments[0].bore, float))
    require_positive("area", area)
    own = force / area
    starting = np.maximum(np.asarray(restart_gauge, float), loss.at_pump) + own + end
    return Pig(np.asarray(loss.at_pump + own + end), np.asarray(starting), pig_obstacles(segments))


def lost_at_changeover(segments: Sequence[Segment], recovered: ArrayLike, dead_volume: ArrayLike) -> Array:
    """Product lost at one changeover [m3].

    Parameters
    ----------
    segments : sequence of Segment
    recovered : array_like
        Share of the line's volume that comes back as good product [-]; 0 where it is not pushed out.
    dead_volume : array_like
        Pump, plate underside, dead legs [m3].

    Raises
    ------
    FlowOutOfRange
        If the share is below 0 or above 1, or the volume negative.
    """
    share, dead = arrays(recovered, dead_volume)
    require_not_negative("recovered share", share)
    require_not_negative("share left", 1.0 - share)
    require_not_negative("dead volume", dead)
    return np.asarray(volume(segments) * (1.0 - share) + dead)
