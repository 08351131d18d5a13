"""What the places add up to: total, share recovered, chance of a wished figure, and which place drives it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml

Array = NDArray[np.float64]


@cache
def assumed(quantity: str, case: str) -> Estimate:
    """Return a row of `data/residue.toml`, its source as note.

    Parameters
    ----------
    quantity : str
        Such as "hoop_retained".
    case : str
        Such as "yielding".

    Raises
    ------
    KeyError
        If there is no such row.
    """
    row = read_toml("residue.toml")[quantity][case]
    return Estimate(row["low"], row["likely"], row["high"], row["basis"], note=row["source"])


def total(places: Mapping[str, ArrayLike], filled: ArrayLike = np.inf) -> Array:
    """Volume left [m3], the sum of the places, never more than was filled in.

    Parameters
    ----------
    places : mapping of array_like
        Volume left by place [m3]; shapes that broadcast.
    filled : array_like
        Volume filled in [m3].
    """
    added = np.zeros(())
    for volume in places.values():
        added = added + np.asarray(volume, float)
    return np.asarray(np.minimum(added, np.asarray(filled, float)))


def recovered(left: ArrayLike, filled: ArrayLike) -> Array:
    """Share of the filled volume that came out [-]: one less the share left.

    Parameters
    ----------
    left, filled : array_like
        Volume left and filled in [m3].
    """
    return np.asarray(1.0 - np.asarray(left, float) / np.asarray(filled))


def shares(places: Mapping[str, ArrayLike]) -> dict[str, float]:
    """Share of the variance of the sum that each place brings [-]; they add up to 1.

    Parameters
    ----------
    places : mapping of array_like
        Volume left by place over the same samples [m3], single numbers for what has no spread.

    Returns
    -------
    dict
        cov(place, sum)/var(sum): the first-order share where the places vary independently; negative where
        a place moves against the sum. All 0 where nothing varies.
    """
    added = total(places)
    around = added - added.mean()
    variance = float(np.mean(around * around))
    if variance <= 0.0:
        return dict.fromkeys(places, 0.0)
    return {
        name: float(np.mean(around * np.broadcast_to(np.asarray(volume, float), added.shape))) / variance
        for name, volume in places.items()
    }


def chance(left: ArrayLike, wished: ArrayLike) -> float:
    """Share of the samples in which no more is left than wished [-].

    Parameters
    ----------
    left : array_like
        Volume left over the samples [m3].
    wished : array_like
        Greatest volume that may be left [m3].

    Notes
    -----
    Not exact to the second digit where the median lies near the wish: 0.1 mm of end gap moves it by 0.1
    (physics book 14.3).
    """
    return float(np.mean(np.asarray(left, float) <= np.asarray(wished)))


def hold_up(
    port_and_plate: ArrayLike,
    cavities: ArrayLike,
    suction_chamber: ArrayLike,
    line_bore: ArrayLike,
    line_length: ArrayLike,
) -> dict[str, Array]:
    """Volume [m3] by place that is lost only when the product changes (physics book 2.2).

    Parameters
    ----------
    port_and_plate, cavities, suction_chamber : array_like
        Held at the plate, in the cavities and in the suction chamber of the pump [m3].
    line_bore, line_length : array_like
        Of the line to the destination [m].
    """
    line = 0.25 * np.pi * np.square(line_bore) * np.asarray(line_length)
    found = (port_and_plate, cavities, suction_chamber, line)
    names = ("port_and_plate", "cavities", "suction_chamber", "line")
    return {name: np.asarray(volume, float) for name, volume in zip(names, found, strict=True)}
