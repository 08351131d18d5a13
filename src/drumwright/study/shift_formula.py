"""A shift by formulas, shown beside the simulation, and when they are not enough (trade book 2.2, 2.3)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.delivery.hopper import bridge_volume, least_pump_flow, lost_share
from drumwright.station.inputs import Inputs
from drumwright.study.shift_buffer import bridges
from drumwright.study.shift_plan import Plan
from drumwright.study.shift_queue import machine_repair, many_servers, one_server
from drumwright.study.shift_times import Spread, change_spread, hands_time

BUSY_HANDS = 0.7  # hands over emptying, from which a formula is not enough (trade book 2.3)
NEAR_BRIDGE = 0.3  # share of the bridge volume within which a buffer is simulated (trade book 2.3)
P95 = 0.95


def supplies(inputs: Inputs) -> bool:
    """Whether a destination must not starve while containers are changed, as far as it was said."""
    said = ("shift.draw", "destination.hopper_volume")
    named = any(key in inputs.estimates for key in said)
    return bool(inputs.choices["enquiry.uninterrupted"]) or named or bridges(inputs)


@dataclass(frozen=True, slots=True)
class Formula:
    """A shift by averages.

    Parameters
    ----------
    change : Spread
        Time from end of flow to start of flow.
    change_p95 : float
        Time that 95 % of the changes do not exceed [s]; with the exchange of a pallet where there is one.
    emptying : float
        Time a drum takes the pump [s].
    lasts : float
        Time a drum lasts the destination [s]; that of emptying where nothing draws.
    cycle : float
        Time one drum takes a station, or in tandem the line [s].
    factor : float
        Availability times planned utilisation in one factor [-].
    drums : float
        Drums a shift can empty; where a destination draws, no more than it takes and is not short of.
    stations_needed : int
        Stations for the drums asked for; 0 where none were named.
    hands : float
        Hands on one drum [s].
    operator_use : float
        Share of the people's shift bound to drums and cleaning [-].
    stations_per_person : float
        Stations one person serves without a queue [-].
    queue : float
        Mean wait of a station for hands, exponential times [s].
    truck_queue : float
        Mean wait for a truck that is busy with another pallet [s].
    least_flow : float
        Least flow of the pump of one station that keeps up the draw [m3/s]; infinite where none does.
    bridge : float
        Volume that bridges the change at its P95 [m3], without heel and band of the switches.
    lost : float
        Share of the time without flow where nothing bridges the change [-].
    shortage : float
        Expected share of the demand not met with the hopper full at each change and no other stops [-].
    """

    change: Spread
    change_p95: float
    emptying: float
    lasts: float
    cycle: float
    factor: float
    drums: float
    stations_needed: int
    hands: float
    operator_use: float
    stations_per_person: float
    queue: float
    truck_queue: float
    least_flow: float
    bridge: float
    lost: float
    shortage: float


def formula(plan: Plan, factor: float) -> Formula:
    """Compute a shift by averages.

    Parameters
    ----------
    plan : Plan
    factor : float
        Availability times planned utilisation, multiplied once and shown [-].

    Notes
    -----
    C = t_change + V/Q (tandem: the longer of V/Q and the change); N = (T a - cleaning) n / C; stations n =
    D C / (T a); m <= (t_auto + t_hands)/(t_hands + t_walk) (trade book 2.2). Waits: birth and death with
    finite source, and the truck as a queue of calls at random.
    """
    change = change_of(plan)
    emptying = plan.volume / plan.pump_flow
    lasts = plan.volume / plan.draw if plan.supplies else emptying
    away = plan.react_time + plan.walk_time
    gap = change.mean + away
    cycle = max(gap, emptying) if plan.shared_line else gap + emptying
    time = plan.duration * factor - plan.cleans * plan.cleaning_time
    drums = max(time, 0.0) * (1 if plan.shared_line else plan.stations) / cycle
    if plan.supplies:
        drawn = (plan.duration - plan.cleans * plan.cleaning_time) * runs_share(plan) / lasts
        drums = min(drums, drawn * (1.0 - shortage(plan, change, away)))
    hands = hands_of(plan)
    p95 = change_p95(plan)
    bridge = float(bridge_volume(plan.draw, p95, away)) if plan.supplies else 0.0
    busy = drums * (hands + away) + plan.cleans * plan.cleaning_time * plan.stations
    return Formula(
        change, p95, emptying, lasts, cycle, factor, drums,
        math.ceil(plan.drums * cycle / max(plan.duration * factor, 1.0) - 1e-9),
        hands, busy / (plan.duration * plan.operators),
        (emptying + gap) / max(hands + plan.walk_time, 1e-9), _queue(plan, hands + away),
        _truck_queue(plan, drums),
        float(least_pump_flow(plan.volume, plan.draw, gap)) if plan.supplies else 0.0, bridge,
        float(lost_share(plan.volume, plan.draw, gap)) if plan.supplies else 0.0,
        shortage(plan, change, away),
    )  # fmt: skip


def change_of(plan: Plan) -> Spread:
    """Mean and spread of a change: as stated, else by its elements."""
    return plan.change or change_spread(plan.elements, plan.drums_per_pallet)


def change_p95(plan: Plan) -> float:
    """Time that 95 % of the changes do not exceed [s].

    Notes
    -----
    A pallet is exchanged at one change in four, oftener than one in twenty: the exchange is in it.
    """
    return (plan.change or change_spread(plan.elements, 1)).quantile(P95)


def hands_of(plan: Plan) -> float:
    """Mean time of hands on one drum [s]."""
    if plan.change is not None:
        return plan.hands_share * plan.change.mean
    return hands_time(plan.elements, plan.drums_per_pallet)


def runs_share(plan: Plan) -> float:
    """Share of the time in which the destination runs by its own stops [-]."""
    return 1.0 / (1.0 + sum(stop.lasts / stop.every_run for stop in plan.stops))


def shortage(plan: Plan, change: Spread, away: float) -> float:
    """Expected share of the demand not met, the hopper full at each change: m / (V_drum/q + m).

    Parameters
    ----------
    plan : Plan
    change : Spread
    away : float
        Time until somebody is there [s].

    Notes
    -----
    m = E[(t - V_hopper/q)+], the partial expectation of the time of a change; a drum meets V_drum of the
    demand and the destination wants V_drum + q m meanwhile. A pump that falls behind meets V_drum in a cycle
    of V_drum/Q + t only. Destination without stops of its own.
    """
    if not plan.supplies or (plan.shared_line and plan.stations > 1):
        return 0.0
    missing = change.beyond(plan.hopper / plan.draw - away)
    lasts = plan.volume / plan.draw
    behind = 1.0 - lasts / (plan.volume / plan.pump_flow + change.mean + away)
    return max(missing / (lasts + missing), behind, 0.0)


def _queue(plan: Plan, hands: float) -> float:
    """Mean wait of a station for a person [s]: machines that call for hands."""
    automatic = plan.volume / plan.pump_flow
    if plan.stations <= plan.operators or hands <= 0.0:
        return 0.0
    return machine_repair(plan.stations, 1.0 / automatic, 1.0 / hands, plan.operators).time_in_queue


def _truck_queue(plan: Plan, drums: float) -> float:
    """Mean wait for a truck that is at another pallet [s]."""
    moves = [item for item in plan.elements if item.truck] if plan.change is None else []
    if not moves or drums <= 0.0:
        return 0.0
    item = moves[0]
    rate = drums / plan.duration / (plan.drums_per_pallet if item.pallet else 1)
    if plan.trucks > 1:
        return many_servers(rate, 1.0 / item.mean, plan.trucks).time_in_queue
    return one_server(rate, item.mean, math.sqrt(item.variance) / item.mean).time_in_queue


def reasons(plan: Plan, found: Formula, products: int, promised: bool) -> tuple[Phrase, ...]:
    """Why formulas are not enough here, each with the number that decides; the last word where they are.

    Parameters
    ----------
    plan : Plan
    found : Formula
    products : int
        Products in the shift.
    promised : bool
        Whether flow without a break was asked for.
    """
    share, listed = found.hands / found.emptying, []
    if share > BUSY_HANDS:
        listed.append(phrase("SHF-why_hands", value=share, limit=BUSY_HANDS))
    if plan.stations > plan.operators or plan.elsewhere > 0.0:
        listed.append(phrase("SHF-why_people", stations=plan.stations, count=plan.operators))
    if plan.stops:
        often = min(stop.every_run for stop in plan.stops)
        if often < 3.0 * found.lasts:
            listed.append(phrase("SHF-why_stops", value=often, limit=found.lasts))
    if products > 1:
        listed.append(phrase("SHF-why_products", count=products))
    near = found.bridge > 0.0 and abs(plan.hopper / found.bridge - 1.0) <= NEAR_BRIDGE
    if near:
        listed.append(phrase("SHF-why_buffer", value=plan.hopper, limit=found.bridge))
    if promised:
        listed.append(phrase("SHF-why_promise"))
    return tuple(listed) or (phrase("SHF-enough", value=share, limit=BUSY_HANDS),)
