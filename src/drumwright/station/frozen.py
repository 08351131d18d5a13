"""Containers that freeze or are frozen: thawing, the core after a time in the warm, a night in the cold."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.conduction import remaining
from drumwright.flow.phase_change import History
from drumwright.flow.surroundings import DAY, constant, places
from drumwright.machine.container.band_heater import BandHeater, core_lag, heating_time
from drumwright.machine.container.thaw import drum_history, front_time, heat_to, thaw
from drumwright.machine.container.warm_up import HeatCard, Store, WarmUp, cylinder, freezes
from drumwright.station.inputs import Sample
from drumwright.station.vessel import filled_height, shape_of

Array = NDArray[np.float64]
Size = tuple[Array, Array]
WALL_HELD = 1.0e4  # [W/(m2 K)] a surface that is held at its temperature
LEAST_FREE = 0.01  # [m] of product beyond a heater, below which none is counted
LONGER = 3.0  # times the time asked a history is followed at most, for samples that warm sooner
HOUR = DAY / 24.0
WEEK = 7.0 * DAY
LEVEL_STEP = 0.5  # [K] between two levels at which the fronts of the samples are compared


@dataclass(frozen=True, slots=True)
class Night:
    """What a cold night makes of one container; a share frozen is one of its latent heat."""

    core: float  # [K]
    wall: float  # [K]
    frozen: float  # in the morning [-]
    left: float  # after the day in the hall that follows [-]
    week: float  # after a week in the cold [-]


def dimensions_of(sample: Sample) -> Size:
    """Diameter of equal mean area and height of the product [m].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    """
    shape = shape_of(sample)
    return np.sqrt(4.0 / np.pi * shape.mean_area), filled_height(sample, shape)


def single(record: Any) -> Any:
    """Return the same record with single numbers in place of arrays, those of the first sample.

    Parameters
    ----------
    record : HeatCard, Store or BandHeater
    """
    changed = {
        item.name: float(np.ravel(value)[0])
        for item in fields(record)
        if isinstance(value := getattr(record, item.name), np.ndarray)
    }
    return replace(record, **changed)


def thawed(
    size: Size, card: HeatCard, store: Store, heater: BandHeater | None, start: Array, target: float
) -> WarmUp:
    """Thaw a frozen container: one run at likely inputs, the other samples by the ratio of their fronts.

    Parameters
    ----------
    size : (ndarray, ndarray)
        Diameter and height of the product over the samples [m].
    card : HeatCard
        What conducts and melts.
    store : Store
        Where it stands; of a band heater the wall it holds.
    heater : BandHeater or None
        Bounds the time by its power, and by the product it does not cover.
    start : ndarray, shape (n,)
        [K]
    target : float
        Least temperature wanted everywhere [K].
    """
    diameter, height = (float(each[0]) for each in size)
    one, there, first = single(card), single(store), float(start[0])
    under = height if heater is None else min(height, float(np.ravel(heater.height)[0]))
    run = thaw(diameter, under, one, there, first, target)
    slower, behind = run, 0.0
    if height - under > LEAST_FREE:
        far = thaw(diameter, height - under, one, _through_the_end(there), first, target)
        lag = float(core_lag(diameter, one))
        if far.ready_time + lag > run.ready_time:
            slower, behind = far, lag
    levels, reached = _reached(slower.history, behind, size, card, store, start)
    never = np.broadcast_to(np.asarray(store.ambient, float) <= target, start.shape)
    volume = 0.25 * np.pi * size[0] ** 2 * size[1]
    heat = heat_to(card, start, target) * volume
    energy = heat * run.energy * height / (under * float(heat[0]))
    least = 0.0 if heater is None else np.asarray(heating_time(energy, heater, size[0], target))
    times = [
        np.where(never, np.inf, np.maximum(_time_of(levels, reached, level), least))
        for level in (target, min(target, float(card.freezes_at or target)))
    ]
    return WarmUp(
        mode=np.full(start.shape, "phase_change"),
        core_time=times[0],
        mean_time=times[1],
        conduction_time=times[0],
        convection_time=np.full(start.shape, np.inf),
        mean_at_end=np.full(start.shape, target),
        energy=energy,
        expansion_volume=np.zeros(start.shape),
    )


def _through_the_end(store: Store) -> Store:
    """Surfaces of product that is warmed through one end, its side and other end lagged."""
    return Store(store.ambient, 0.0, 1.0, WALL_HELD, 0.0)


def after_melting(
    size: Size, card: HeatCard, store: Store, heater: BandHeater | None, start: Array, time: Array
) -> Array:
    """Coldest place of a container that freezes or melts after a time [K], in the air or under a heater.

    Parameters
    ----------
    size : (ndarray, ndarray)
        Diameter and height of the product over the samples [m].
    card : HeatCard
        With `freezes_at`.
    store : Store
        Where it stands; of a band heater the wall it holds.
    heater : BandHeater or None
        Bounds what melts by its power, and by the product it does not cover.
    start, time : ndarray, shape (n,)
        [K], [s].

    Notes
    -----
    One history at likely inputs; each sample comes to each of its temperatures sooner or later by the ratio
    of the fronts up to there. Where it cools, likely inputs stand for all samples. The power of a heater
    bounds the melting; warming beyond it is bounded by conduction alone.
    """
    diameter, height = (float(each[0]) for each in size)
    under = height if heater is None else min(height, float(np.ravel(heater.height)[0]))
    there, tall, behind = single(store), under, 0.0
    if height - under > LEAST_FREE:
        there, tall = _through_the_end(there), height - under
        behind = float(core_lag(diameter, single(card)))
    longest = _longer(size, card, store, start) * float(time[0]) + HOUR  # the hour of the target to its end
    history = drum_history(diameter, tall, single(card), there, float(start[0]), longest)
    if not float(np.ravel(store.ambient)[0]) > float(start[0]):
        asked = np.maximum(time - behind, 0.0)
        return np.asarray(np.interp(asked, history.times, history.coldest))
    coldest = _read(*_reached(history, behind, size, card, store, start), time)
    melts = float(card.freezes_at or 0.0)
    if heater is None:
        return np.asarray(coldest)
    volume = 0.25 * np.pi * size[0] ** 2 * size[1]
    energy = np.maximum(heat_to(card, start, melts), 0.0) * volume
    given = np.asarray(heating_time(energy, heater, size[0], melts)) <= time
    return np.asarray(np.where(given, coldest, np.minimum(coldest, melts)))


def _longer(size: Size, card: HeatCard, store: Store, start: Array) -> float:
    """How many times the time asked a history is followed, for the samples that melt sooner."""
    melts, around = float(card.freezes_at or 0.0), float(np.ravel(store.ambient)[0])
    if not around > melts > float(start[0]):
        return 1.0
    levels = (melts + np.array([0.0, 0.5, 0.9]) * (around - melts))[:, None]
    times = np.broadcast_to(front_time(*size, card, store, start, levels), (3, start.size))
    return float(np.clip((times[:, :1] / np.maximum(times, 1e-9)).max(), 1.0, LONGER))


def _read(levels: Array, times: Array, time: Array) -> Array:
    """Coldest place of each sample after a time [K], from the times at which it comes to each level."""
    after = np.clip((times <= time).sum(axis=0), 1, len(levels) - 1)
    here = np.arange(time.size)
    begin, end = times[after - 1, here], times[after, here]
    part = np.clip((time - begin) / np.maximum(end - begin, 1e-9), 0.0, 1.0)
    return np.asarray(levels[after - 1] * (1.0 - part) + levels[after] * part)


def _time_of(levels: Array, times: Array, level: float) -> Array:
    """Time at which each sample comes to a level [s]; infinite if the history ends before."""
    if level > levels[-1]:
        return np.full(times.shape[1], np.inf)
    after = max(int(np.searchsorted(levels, level)), 1)
    low, high = levels[after - 1], levels[after]
    part = 1.0 if high <= low else min(max((level - low) / (high - low), 0.0), 1.0)
    return np.asarray(times[after - 1] * (1.0 - part) + times[after] * part)


def _reached(
    history: History, behind: float, size: Size, card: HeatCard, store: Store, start: Array
) -> tuple[Array, Array]:
    """Levels of the coldest place [K] and the time at which each sample is there [s], one column each.

    By the ratio of the fronts up to a level. The coldest place waits for what melts around it: below the
    melting point the ratio up there holds; and no sample passes a stretch faster than at half its own pace.
    """
    melts = float(card.freezes_at or 0.0)
    hours, levels = _finely(history.times + behind, np.maximum.accumulate(history.coldest), melts)
    above = np.maximum(levels, melts)[:, None]
    fronts = np.broadcast_to(front_time(*size, card, store, start, above), (levels.size, start.size))
    first = fronts[:, :1]
    ratio = np.where(first > 0.0, fronts / np.where(first > 0.0, first, 1.0), 1.0)
    pace = 0.5 * ratio[0] * hours[:, None]
    return levels, np.maximum.accumulate(hours[:, None] * ratio - pace, axis=0) + pace


def _finely(times: Array, levels: Array, melts: float) -> tuple[Array, Array]:
    """Times and levels with more points on the straight line where a step is a large one, and at the melting.

    Within an hour the last ice can go and the core warm by 20 K.
    """
    parts = np.maximum(np.ceil(np.diff(levels) / LEVEL_STEP), 1.0).astype(int)
    index = np.arange(levels.size)
    within = [k + np.arange(count) / count for k, count in enumerate(parts)]
    where = np.unique(np.concatenate([*within, [index[-1], np.interp(melts, levels, index)]]))
    return np.interp(where, index, times), np.interp(where, index, levels)


def after_a_night(size: Size, card: HeatCard, store: Store, start: float, hall: float, time: float) -> Night:
    """Core and wall temperature after a cold night, and what is frozen by then, after a day, after a week.

    Parameters
    ----------
    size : (ndarray, ndarray)
        Diameter and height of the product at likely inputs, one value each [m].
    card : HeatCard
        With `freezes_at` and latent heat where it freezes.
    store : Store
        Where it stands at night, in air colder than the product.
    start, hall : float
        Temperature of the product at the start, and of the hall in which it stands by day [K].
    time : float
        Of the night [s].
    """
    if freezes(card, store, start):
        return _freezing(size, card, store, start, hall, time)
    outside = np.asarray(store.ambient, float)
    body = cylinder(*size, card, store)
    core, wall = (
        float((outside + (start - outside) * np.asarray(remaining(body, time, place))).flat[0])
        for place in ("core", "wall")
    )
    return Night(core, wall, 0.0, 0.0, 0.0)


def _freezing(size: Size, card: HeatCard, store: Store, start: float, hall: float, time: float) -> Night:
    """Night in the cold, day in the hall, and beside it a week in the cold, with the latent heat."""
    one, there = single(card), single(store)
    outside = constant(float(there.ambient))
    air = places([(time + 1.0, outside), (DAY - time, constant(hall))])  # the morning itself is still cold

    def follow(duration: float, around: Any) -> History:
        diameter, height = (float(each[0]) for each in size)
        return drum_history(diameter, height, one, there, start, duration, around)

    day, week = follow(DAY, air), follow(WEEK, outside)
    core, wall, frozen = (
        float(np.interp(time, day.times, each)) for each in (day.core, day.wall, day.frozen_share)
    )
    return Night(core, wall, frozen, float(day.frozen_share[-1]), float(week.frozen_share[-1]))
