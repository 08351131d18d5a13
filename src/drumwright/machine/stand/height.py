"""Height of a stand over a drum on its pallet, and its reach."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

PALLET_HEIGHT = 0.150  # [m] common practice, no source
CLEARANCE = 0.100  # [m] trade book 1.4
BESIDE_HEIGHT = 0.40  # [m] plate outlet and hose bend when the pump stands beside the mast; assumed
BESIDE_SUCTION = 1.5  # [m] suction hose from plate to a pump beside the mast; assumed


def needed_height(drum_height: ArrayLike, plate_height: float, above_plate: float) -> NDArray[np.float64]:
    """Height [m] needed under the lowest beam at the top of the stroke.

    Notes
    -----
    H = pallet + drum outside height + 100 mm + plate + everything rigid above it (trade book 1.4).
    """
    return PALLET_HEIGHT + np.asarray(drum_height) + CLEARANCE + plate_height + above_plate


def arm_reach(drum_diameter: float, mast_clearance: float = 0.30) -> tuple[float, float]:
    """Radius [m] from the mast to the near and far drum of a two-by-two pallet.

    Parameters
    ----------
    drum_diameter : float
        Outside diameter over the hoops [m].
    mast_clearance : float
        Mast centre outside the edge of the pattern [m], on its middle line.
    """
    half = 0.5 * drum_diameter
    near = math.hypot(mast_clearance + half, half)
    far = math.hypot(mast_clearance + 3.0 * half, half)
    return near, far
