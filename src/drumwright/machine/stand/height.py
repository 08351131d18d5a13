"""Height of a stand over a container on its pallet."""

from __future__ import annotations

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
