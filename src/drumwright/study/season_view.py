"""Parts of a balance that some checks look at, where there is no whole one."""

from __future__ import annotations

from typing import Any, NamedTuple, cast

import numpy as np
from numpy.typing import NDArray

from drumwright.station.balance import Balance
from drumwright.station.inputs import Sample

Array = NDArray[np.float64]


class Emptying(NamedTuple):
    """What the checks of a shift look at of a balance."""

    wanted_flow: Array
    flow: Array
    emptying_time: Array

    @staticmethod
    def at(sample: Sample, factor: float) -> Balance:
        """A container emptied at the wanted flow all the way, in the place of a balance.

        Parameters
        ----------
        sample : mapping of ndarray, shape (n,)
        factor : float
            Wanted flow over the flow asked [-].
        """
        wanted = sample["enquiry.flow"] * factor
        time = sample["container.usable_volume"] / np.maximum(wanted, 1e-12)
        return cast(Any, Emptying(wanted, wanted, time))  # type: ignore[no-any-return]
