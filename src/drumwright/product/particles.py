"""Smallest free passage that particles need."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, finish

Hardness = Literal["soft", "firm", "hard"]

# common practice, no source
PASSAGE_FACTORS: dict[Hardness, float] = {"soft": 3.0, "firm": 2.0, "hard": 2.0}
STATED_SIZE_FACTOR = 1.5


def passage_required(size: ArrayLike, hardness: Hardness) -> Number:
    """Smallest free passage for a particle size.

    Parameters
    ----------
    size : float or ndarray
        Largest particle [m].
    hardness : str
        "soft" (must not be crushed), "firm" or "hard".

    Returns
    -------
    float or ndarray
        Passage [m].

    Raises
    ------
    KeyError
        If the hardness is none of the three.

    Notes
    -----
    Three times the size for soft, twice for firm and hard particles: common practice, no source.
    """
    return finish(PASSAGE_FACTORS[hardness] * np.asarray(size, dtype=np.float64))


def largest_likely_size(stated_size: ArrayLike) -> Number:
    """Size to design for where only the "largest size" was stated.

    Parameters
    ----------
    stated_size : float or ndarray
        Largest particle as stated [m].

    Returns
    -------
    float or ndarray
        Stated size times 1.5 [m]: common practice, no source.
    """
    return finish(STATED_SIZE_FACTOR * np.asarray(stated_size, dtype=np.float64))
