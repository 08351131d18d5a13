"""What the stand must carry: figures, the check of a free base, conditions for the structural engineer."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import phrase
from drumwright.flow.numbers import GRAVITY
from drumwright.machine.stand.height import PALLET_HEIGHT
from drumwright.machine.stand.tipping import push_that_tips, slope_that_tips
from drumwright.station.arrangement import Choice, stand_row
from drumwright.station.balance import Balance
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.plate_feed import push_of
from drumwright.station.stand_state import StandState, stand_of
from drumwright.study.check import Check, judge
from drumwright.study.result import Finding

if TYPE_CHECKING:  # these modules use the check below
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
STAND_KEYS = (
    "stand.reach", "stand.stroke", "stand.moment", "stand.corner_load", "stand.anchor_tension",
    "stand.free_force", "stand.free_mass", "stand.lift_available", "stand.air", "stand.drop_energy",
    "stand.holding_pressure",
)  # fmt: skip


def free_base(inputs: Inputs) -> bool:
    """Whether nobody may anchor the stand: the floor may not be drilled, or it is wanted on wheels."""
    return inputs.choices["site.anchoring"] is False or bool(inputs.choices["enquiry.wheels"])


def free_base_check(
    inputs: Inputs, sample: Sample, state: Balance, choice: Choice, season: str
) -> list[Check]:
    """Whether a stand that nobody anchors carries the plate force and the load that hangs on it when raising.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    state : Balance
    choice : Choice
        With a plate.
    season : str
    """
    if not free_base(inputs):
        return []
    push = push_of(sample, choice.stand, choice.ram)
    found = stand_of(inputs, sample, choice, push, np.zeros_like(push))
    ram = push - GRAVITY * sample["machine.plate_mass"]
    gate, rows = "container_plate", []
    if not found.closed:
        rows.append(("stand.free_base", ram, found.free_force, "stand.free_force"))
    if np.isfinite(found.free_raised).all():
        rows.append(("stand.free_raise", found.raised, found.free_raised, ""))
    return [judge(season, key, gate, value, limit, "force", True, name) for key, value, limit, name in rows]


def stand_values(problem: Problem, choice: Choice, pull: Array) -> dict[str, Array]:
    """Values of `STAND_KEYS` that exist for an arrangement, arrays over samples.

    Parameters
    ----------
    problem : Problem
    choice : Choice
        With a plate.
    pull : ndarray, shape (n,)
        Force that raises the plate [N].
    """
    found = stand_of(
        problem.inputs, problem.sample, choice, push_of(problem.sample, choice.stand, choice.ram), pull
    )
    values = {
        "stand.reach": np.full_like(found.moment, found.reach.longest),
        "stand.stroke": found.stroke,
        "stand.moment": found.moment,
        "stand.corner_load": found.corner_load,
        "stand.anchor_tension": found.anchor_tension,
        "stand.lift_available": found.lift_available,
        "stand.air": found.air,
        "stand.drop_energy": found.drop_energy,
        "stand.holding_pressure": found.holding_pressure,
    }
    if not found.closed:
        values |= {"stand.free_force": found.free_force, "stand.free_mass": found.free_mass}
    return values


def stand_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """What the stand needs of floor and people: anchors, deck of the pallet, hold of the raised plate.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With a plate.
    """
    inputs, sample = problem.inputs, problem.sample
    push = push_of(sample, found.choice.stand, found.choice.ram)
    loads = stand_of(inputs, sample, found.choice, push, np.zeros_like(push))
    listed = []
    ram = float(push[0] - GRAVITY * sample["machine.plate_mass"][0])
    if not loads.closed and not inputs.choices["site.anchoring"]:
        slots = {
            "force": ram,
            "value": float(loads.moment[0]),
            "limit": float(loads.free_force[0]),
            "mass": float(loads.free_mass[0]),
        }
        text = phrase("FND-stand.unanchored", **slots)
        listed.append(
            Finding("stand.unanchored", "condition", "container_plate", text, "stand.moment",
                    float(loads.moment[0]), 0.0, "torque")
        )  # fmt: skip
    if found.choice.stand == "moving_arm":
        load = float(loads.corner_load[0])
        text = phrase("FND-stand.deck", value=load)
        listed.append(
            Finding(
                "stand.deck", "condition", "container_plate", text, "stand.corner_load", load, None, "force"
            )
        )
    if float(loads.anchor_tension[0]) > 0.0 and loads.closed and not inputs.choices["site.anchoring"]:
        hung, limit = float(loads.raised[0]), float(loads.free_raised[0])
        text = phrase("FND-stand.unanchored_raise", value=hung, limit=limit)
        listed.append(
            Finding("stand.unanchored", "condition", "container_plate", text, "stand.anchor_tension",
                    hung, limit, "force")
        )  # fmt: skip
    if inputs.choices["enquiry.wheels"]:
        listed.append(_wheels(sample, found.choice, loads))
    return listed


def _wheels(sample: Sample, choice: Choice, loads: StandState) -> Finding:
    """What tips a stand on wheels while its plate is up; its own centre taken half as high as the plate."""
    row = stand_row(choice.stand)
    track, raised = float(row["base"]), float(loads.stroke[0]) + PALLET_HEIGHT
    carried = float(loads.riding[0])
    mass = float(row["mass"]) + carried
    centre = (0.5 * raised * float(row["mass"]) + raised * carried) / mass
    push, slope = float(push_that_tips(mass, track, raised)), float(slope_that_tips(track, centre))
    text = phrase("FND-stand.wheels", value=push, height=raised, track=track, slope=slope)
    return Finding("stand.wheels", "condition", "container_plate", text, "", push, None, "force")
