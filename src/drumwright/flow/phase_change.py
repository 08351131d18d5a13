"""Heat in a container whose product may freeze or melt: heat content on a grid, followed over time."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.cylinder_grid import CylinderGrid, cylinder_grid
from drumwright.flow.heat_content import HeatContent
from drumwright.flow.numbers import Array
from drumwright.flow.surroundings import Surroundings

SAFE_STEP = 0.9  # share of the longest step in which no cell can overshoot its neighbours
LOOK = 25  # steps after which the longest step is judged anew
LONGEST_STEP = 1800.0  # [s], so that a day is followed
CELLS = (16, 24)
FIRST_STEP, GROWTH, RAMP = 0.02, 1.1, 60  # share of the longest step to start with, how it grows, how long


@dataclass(frozen=True, slots=True)
class Surfaces:
    """Surface coefficients [W/(m2 K)] of side, bottom and top of the container, zero (insulated) or more."""

    side: float
    bottom: float
    top: float


@dataclass(frozen=True, slots=True)
class History:
    """What happened; the first point is the start.

    Parameters
    ----------
    times : ndarray
        [s], shape (m,).
    core, coldest, warmest, mean, wall : ndarray
        Temperatures [K] over time: on the axis at half height, of the coldest and the warmest cell, of all,
        and of the surface of the side at half height; each of shape (m,).
    frozen_share : ndarray
        Share of the latent heat that is still missing [-], shape (m,).
    heat_in : ndarray
        Heat passed in through the surfaces since the start [J], shape (m,).
    heat_held : ndarray
        Heat held [J] from any zero, shape (m,).
    field : ndarray
        Temperatures of the cells at the end [K], shape (cells over radius, cells over height).
    """

    times: Array
    core: Array
    coldest: Array
    warmest: Array
    mean: Array
    wall: Array
    frozen_share: Array
    heat_in: Array
    heat_held: Array
    field: Array

    def above_after(self, temperature: float) -> float:
        """Return the time [s] from which every cell is at a temperature [K] or above; infinite if never."""
        return _last_crossing(self.times, self.coldest, temperature)

    def below_after(self, temperature: float) -> float:
        """Return the time [s] from which every cell is at a temperature [K] or below; infinite if never."""
        return _last_crossing(self.times, -self.warmest, -temperature)

    def core_above_after(self, temperature: float) -> float:
        """Return the time [s] from which the core is at a temperature [K] or above; infinite if never."""
        return _last_crossing(self.times, self.core, temperature)


def _last_crossing(times: Array, values: Array, level: float) -> float:
    """Time from which values stay at a level or above, by straight lines between the points."""
    under = np.flatnonzero(values < level)
    if not under.size:
        return float(times[0])
    last = int(under[-1])
    if last == len(times) - 1:
        return float("inf")
    part = (level - values[last]) / (values[last + 1] - values[last])
    return float(times[last] + part * (times[last + 1] - times[last]))


POINT = tuple(each.name for each in fields(History) if each.name != "field")


class _Cells:
    """The grid in motion: heat of each cell and heat passed in so far."""

    def __init__(self, content: HeatContent, grid: CylinderGrid, surfaces: Surfaces, heat: Array) -> None:
        self.content, self.grid, self.heat = content, grid, heat
        self.surfaces, self.passed, self.time = surfaces, 0.0, 0.0
        middles = 0.5 * (content.heats[1:] + content.heats[:-1])
        self.knots, self.conductivities = middles, content.conductivities()
        self.path_sums = float(grid.path_sums.max())

    def surface_paths(self, heat: Array, coefficient: float, step: float) -> Array | float:
        """Coefficient [W/(m2 K)] from the middle of outer cells to the surroundings."""
        if coefficient <= 0.0:
            return 0.0
        conductivity = np.interp(heat, self.knots, self.conductivities)
        return np.asarray(1.0 / (1.0 / coefficient + 0.5 * step / conductivity))

    def longest_step(self, air: float) -> float:
        """Longest step [s] in which no cell passes the mean of its neighbours and the surroundings."""
        outside = float(self.content.heat(air))
        low, high = min(float(self.heat.min()), outside), max(float(self.heat.max()), outside)
        first = int(np.searchsorted(self.content.heats, low, side="right")) - 1
        last = int(np.searchsorted(self.content.heats, high, side="left"))
        spread, warm = self.content.slopes()
        kept = slice(max(first, 0), max(last, first + 1))
        grid, faces, k = self.grid, self.surfaces, float(self.conductivities[kept].max())
        rate = self.path_sums * float(spread[kept].max())
        for h, step in ((faces.side, grid.radial_step), (max(faces.bottom, faces.top), grid.axial_step)):
            if h > 0.0:
                rate += float(warm[kept].max()) / (1.0 / h + 0.5 * step / k) / step
        return min(SAFE_STEP / rate, LONGEST_STEP)

    def advance(self, step: float, air: float) -> None:
        """Pass heat between the cells and through the surfaces for a step [s]."""
        grid, faces, heat = self.grid, self.surfaces, self.heat
        potential, temperature = self.content.potential(heat), self.content.temperature(heat)
        gain = np.zeros_like(heat)
        across = grid.radial_paths * (potential[1:] - potential[:-1])
        gain[:-1] += across
        gain[1:] -= across
        along = grid.axial_paths * (potential[:, 1:] - potential[:, :-1])
        gain[:, :-1] += along
        gain[:, 1:] -= along
        side = self.surface_paths(heat[-1], faces.side, grid.radial_step) * (air - temperature[-1])
        bottom = self.surface_paths(heat[:, 0], faces.bottom, grid.axial_step) * (air - temperature[:, 0])
        top = self.surface_paths(heat[:, -1], faces.top, grid.axial_step) * (air - temperature[:, -1])
        gain[-1] += grid.side_area * side
        gain[:, 0] += grid.end_areas * bottom
        gain[:, -1] += grid.end_areas * top
        inflow = grid.side_area * side.sum() + float(grid.end_areas @ (bottom + top))
        self.heat = heat + step / grid.volumes * gain
        self.passed += step * inflow
        self.time += step

    def point(self, air: float) -> tuple[float, ...]:
        """One point of the history, in the order of its fields."""
        temperature, volumes = self.content.temperature(self.heat), self.grid.volumes
        whole = volumes.sum()
        frozen = self.content.frozen_share(self.heat)
        middle = temperature.shape[1] // 2
        inner = temperature[-1, middle]
        path = self.surface_paths(self.heat[-1, middle], self.surfaces.side, self.grid.radial_step)
        wall = air - float(path) * (air - inner) / self.surfaces.side if self.surfaces.side > 0.0 else inner
        return (
            self.time,
            self.grid.on_axis(temperature),
            float(temperature.min()),
            float(temperature.max()),
            float((temperature * volumes).sum() / whole),
            float(wall),
            float((frozen * volumes).sum() / whole),
            self.passed,
            float((self.heat * volumes).sum()),
        )


def follow(
    content: HeatContent,
    radius: float,
    height: float,
    start: ArrayLike,
    surroundings: Surroundings,
    surfaces: Surfaces,
    duration: float,
    every: float = 3600.0,
    stop_above: float | None = None,
    cells: tuple[int, int] = CELLS,
) -> History:
    """Follow temperature and ice in a cylinder of product.

    Parameters
    ----------
    content : HeatContent
        Heat held and passed at each temperature.
    radius, height : float
        Of the product [m].
    start : array_like
        Temperature at the start [K]: one, or one per cell.
    surroundings : callable
        Temperature [K] of the air or bath at a time [s].
    surfaces : Surfaces
        Surface coefficients.
    duration : float
        Longest time to follow [s], above zero.
    every : float
        Between the points of the history [s].
    stop_above : float or None
        End as soon as every cell is above this temperature [K].
    cells : (int, int)
        Over radius and height, at least 2 and 4.

    Raises
    ------
    FlowOutOfRange
        If a size, time or count is out of its range.

    Notes
    -----
    dH/dt = div grad Phi, Phi the integral of the conductivity (Kirchhoff), on equal cells of r and z, by
    explicit steps short enough that no cell passes its neighbours, shorter still at the start. What leaves
    one cell enters the next, so heat is kept to rounding. Latent heat is part of H; no front is followed.
    """
    if min(radius, height, duration, every) <= 0.0 or cells[0] < 2 or cells[1] < 4:
        raise FlowOutOfRange(
            "radius, height, duration and interval must be above zero; cells at least 2 by 4"
        )
    grid = cylinder_grid(radius, height, *cells)
    heat = np.array(np.broadcast_to(content.heat(np.asarray(start, np.float64)), grid.volumes.shape))
    state = _Cells(content, grid, surfaces, heat)
    points = [state.point(surroundings(0.0))]
    count = 0
    for index in range(1, int(np.ceil(duration / every - 1e-9)) + 1):
        end = min(index * every, duration)
        while state.time < end * (1.0 - 1e-12):
            if count % LOOK == 0:
                longest = state.longest_step(surroundings(state.time))
            step = min(longest * min(FIRST_STEP * GROWTH ** min(count, RAMP), 1.0), end - state.time)
            state.advance(step, surroundings(state.time + 0.5 * step))
            count += 1
        points.append(state.point(surroundings(state.time)))
        if stop_above is not None and points[-1][2] > stop_above:
            break
    columns = dict(zip(POINT, np.array(points).T, strict=True))
    return History(**columns, field=content.temperature(state.heat))
