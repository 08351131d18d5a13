"""Height of a stand over a drum on its pallet, and its reach."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

PALLET_HEIGHT = 0.150  # [m] common practice, no source
CLEARANCE = 0.100  # [m] trade book 1.4
BESIDE_HEIGHT = 0.40  # [m] plate outlet and hose bend when the pump stands beside the mast; assumed


def needed_height(drum_height: ArrayLike, plate_height: float, above_plate: float) -> NDArray[np.float64]:
    """Height [m] needed under the lowest beam at the top of the stroke.

    Parameters
    ----------
    drum_height : array_like
        Outside height of the drum [m].
    plate_height : float
        Height of the plate [m].
    above_plate : float
        Height of everything rigid that rides on the plate [m].

    Notes
    -----
    H = pallet + drum outside height + 100 mm + plate + everything rigid above it (trade book 1.4).
    """
    return PALLET_HEIGHT + np.asarray(drum_height) + CLEARANCE + plate_height + above_plate


def arm_reach(
    drum_diameter: float, pallet_side: float = 1.2, mast_clearance: float = 0.30
) -> tuple[float, float]:
    """Radius [m] from the mast to the near and far drums of a two-by-two pallet.

    Parameters
    ----------
    drum_diameter : float
        Outside diameter over the hoops [m].
    pallet_side : float
        Side of the square pallet [m].
    mast_clearance : float
        Mast centre outside the edge of the pallet [m], on its middle line.

    Notes
    -----
    Drums stand in the middle of the four quarters of the pallet, or touch where they are wider than a
    quarter. Trade book 1.2: 0.67 m and 1.24 m for 585 mm drums on a 1200 mm pallet, mast 300 mm outside.
    """
    half = 0.5 * max(drum_diameter, 0.5 * pallet_side)
    middle = mast_clearance + 0.5 * pallet_side
    return math.hypot(middle - half, half), math.hypot(middle + half, half)
