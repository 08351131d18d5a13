"""Cells of a standing cylinder: volumes, paths between neighbours and surfaces."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from drumwright.flow.numbers import Array


@dataclass(frozen=True, slots=True)
class CylinderGrid:
    """Equal steps over radius and height; arrays have the shape (cells over radius, cells over height).

    Parameters
    ----------
    radial_step, axial_step : float
        Size of a cell [m].
    volumes : ndarray
        [m3].
    radial_paths : ndarray
        Area over distance between neighbours across [m], shape (n - 1, 1).
    axial_paths : ndarray
        Area over distance between neighbours along [m], shape (n, 1).
    side_area : float
        Of one cell on the side [m2].
    end_areas : ndarray
        Of the cells on the bottom, and on the top [m2], shape (n,).
    """

    radial_step: float
    axial_step: float
    volumes: Array
    radial_paths: Array
    axial_paths: Array
    side_area: float
    end_areas: Array

    @property
    def path_sums(self) -> Array:
        """Sum of the paths of each cell to its neighbours over its volume [1/m2]."""
        total = np.zeros_like(self.volumes)
        total[:-1] += self.radial_paths
        total[1:] += self.radial_paths
        total[:, :-1] += self.axial_paths
        total[:, 1:] += self.axial_paths
        return np.asarray(total / self.volumes)

    def on_axis(self, field: Array) -> float:
        """Value on the axis at half height, by parabolas through the nearest cells.

        Parameters
        ----------
        field : ndarray
            Values in the cells [any unit].
        """
        axis = field[0] - (field[1] - field[0]) / 8.0
        middle = len(axis) // 2
        if len(axis) % 2:
            return float(axis[middle])
        near, far = axis[middle - 1] + axis[middle], axis[middle - 2] + axis[middle + 1]
        return float((9.0 * near - far) / 16.0)


def cylinder_grid(radius: float, height: float, across: int, along: int) -> CylinderGrid:
    """Cut a cylinder into rings.

    Parameters
    ----------
    radius, height : float
        [m].
    across, along : int
        Cells over the radius (2 or more) and over the height (4 or more).
    """
    dr, dz = radius / across, height / along
    edges = np.linspace(0.0, radius, across + 1)
    ends = math.pi * np.diff(edges**2)
    volumes = np.repeat(ends[:, None] * dz, along, axis=1)
    radial = (2.0 * math.pi * edges[1:-1] * dz / dr)[:, None]
    return CylinderGrid(dr, dz, volumes, radial, (ends / dz)[:, None], 2.0 * math.pi * radius * dz, ends)
