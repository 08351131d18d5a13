"""How long the station's own hose is counted: as stated, and never shorter than the stand needs it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.line.hose import greatest_reach, own_hose
from drumwright.machine.line.hose_kinds import hose_layout
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.stand_state import reach_of

Array = NDArray[np.float64]
OVER_RIM = 0.1  # [m] the plate is raised over the rim; assumed


def hose_needed(inputs: Inputs, sample: Sample, choice: Choice) -> Array:
    """Length the own hose needs beside the stand of an arrangement [m]; none without a plate.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    choice : Choice
    """
    if not choice.plated:
        return np.zeros_like(sample["container.outside_height"])
    reach, layout = reach_of(inputs, choice), hose_layout()
    legs, ends = layout["leg_distance"].likely, layout["ends"].likely
    far = float(greatest_reach(reach.longest, reach.swing, 0.0)) if reach.swing else 0.5 * reach.longest
    stroke = sample["container.outside_height"] + OVER_RIM
    return own_hose(stroke, far, legs, 0.5 * legs, ends).length


def hose_counted(inputs: Inputs, sample: Sample, choice: Choice) -> Array:
    """Length of the own hose that every pressure counts [m].

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    choice : Choice

    Notes
    -----
    At least what the stand needs. A stated length of zero is the override for comparisons and stays zero
    (design decision 3.10); `line_findings` says so with the length that is missing.
    """
    own = sample["line.own_hose"]
    if own[0] <= 0.0:
        return own
    return np.asarray(np.maximum(own, hose_needed(inputs, sample, choice)))
