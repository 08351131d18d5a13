"""What people lift by hand, by the revised lifting equation: screening that asks for an aid, no approval."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import phrase
from drumwright.basis.tables import read_csv, read_toml
from drumwright.station.inputs import Inputs
from drumwright.study.result import Finding
from drumwright.study.shift_times import BINS

if TYPE_CHECKING:
    from drumwright.station.arrangement import Choice

Coupling = Literal["good", "fair", "poor"]
LOAD_CONSTANT = 23.0  # [kg]
RARE = 0.2 / 60.0  # [1/s] below it the hands rest long enough; from memory
KNUCKLES = 0.75  # [m]
HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Lift:
    """One manual lift with its index.

    Parameters
    ----------
    name : str
        Row of `data/shift.toml`.
    load : Estimate
        Mass [kg].
    limit : float
        Recommended weight limit [kg].
    """

    name: str
    load: Estimate
    limit: float

    @property
    def mass(self) -> float:
        """Heaviest load that is to be reckoned with [kg]."""
        return self.load.high

    @property
    def index(self) -> float:
        """Heaviest load over limit [-]; above 1 an aid is asked for."""
        return self.mass / self.limit if self.limit > 0.0 else float("inf")


def weight_limit(
    hand_distance: float,
    height: float,
    travel: float,
    angle: float,
    frequency: float,
    lifting_time: float,
    coupling: Coupling,
) -> float:
    """Recommended weight limit of one lift [kg].

    Parameters
    ----------
    hand_distance : float
        Ankles to hands, level [m].
    height : float
        Height of the hands above the floor [m].
    travel : float
        Way of the load up or down [m].
    angle : float
        Turn of the body [degree].
    frequency : float
        Lifts in time [1/s].
    lifting_time : float
        Time of continuous lifting [s].
    coupling : str
        How the load can be gripped.

    Notes
    -----
    RWL = 23 HM VM DM AM FM CM with HM = 25/H, VM = 1 - 0.003 |V - 75|, DM = 0.82 + 4.5/D, AM = 1 - 0.0032 A
    (H, V, D in cm): form and load constant from an opened summary of the method, the multipliers from memory
    (trade book 4.1). The form in inches and pounds has rounder constants and allows about 2 % more. Out of
    reach (H above 63 cm, V above 175 cm) the limit is 0.
    """
    reach, level, way = 100.0 * hand_distance, 100.0 * height, 100.0 * travel
    if reach > 63.0 or not 0.0 <= level <= 175.0 or angle > 135.0:
        return 0.0
    horizontal = 25.0 / max(reach, 25.0)
    vertical = 1.0 - 0.003 * abs(level - 75.0)
    distance = 0.82 + 4.5 / max(way, 25.0)
    turned = 1.0 - 0.0032 * angle
    grip = {"good": 1.0, "fair": 1.0 if height >= KNUCKLES else 0.95, "poor": 0.9}[coupling]
    often = frequency_factor(frequency, lifting_time)
    return LOAD_CONSTANT * horizontal * vertical * distance * turned * often * grip


def frequency_factor(frequency: float, lifting_time: float) -> float:
    """Multiplier for how often and how long is lifted [-].

    Parameters
    ----------
    frequency : float
        Lifts in time [1/s].
    lifting_time : float
        Time of continuous lifting [s].

    Notes
    -----
    Table from memory, next row up in between; a lift less than once in five minutes counts as up to one hour.
    """
    hours = lifting_time / HOUR
    column = "up_to_1h" if frequency < RARE or hours <= 1.0 else "1_to_2h" if hours <= 2.0 else "2_to_8h"
    for row in read_csv("niosh_frequency.csv"):
        if 60.0 * frequency <= float(row["lifts_per_min"]) + 1e-9:
            return float(row[column])
    return 0.0


def manual_lifts(inputs: Inputs, choice: Choice) -> list[Lift]:
    """Lifts of an arrangement that nobody said an aid is there for, worst first.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice

    Notes
    -----
    The whole shift counts as time of lifting. An unknown number of containers counts as one in five minutes.
    """
    if inputs.choices["shift.lifting_aid"] or inputs.kind in BINS:
        return []
    shift = inputs.likely("enquiry.shift")
    drums = inputs.estimates.get("enquiry.drums_per_shift")
    often = drums.high / shift if drums is not None else RARE
    rows = read_toml("shift.toml")["lift"]
    tare = inputs.estimates["container.tare"]
    loads = {}
    if inputs.kind == "pail":
        full = inputs.likely("container.usable_volume") * inputs.likely("product.density")
        ends = (full + tare.low, full + tare.likely, full + tare.high)
        loads["pail"] = Estimate(*ends, tare.basis)
    else:
        loads |= {"empty_drum": tare, "lid": _assumed(rows["lid"])}
    if choice.plated and inputs.likely("enquiry.recipes_per_shift") > 1.0:
        loads["plate"] = _assumed(rows["plate"])
    found = [_lift(name, load, rows[name], often, shift) for name, load in loads.items() if load.high > 0.0]
    return sorted(found, key=lambda lift: -lift.index)


def _assumed(row: dict[str, Any]) -> Estimate:
    """Mass of a row [kg]."""
    mass = row["mass"]
    return Estimate(mass["low"], mass["likely"], mass["high"], mass["basis"])


def _lift(name: str, load: Estimate, row: dict[str, Any], often: float, shift: float) -> Lift:
    """The worse end of one lift."""
    way = abs(row["to"] - row["from"])
    often = RARE if name == "plate" else often
    limits = [
        weight_limit(row["hand_distance"], row[end], way, row["angle"], often, shift, row["coupling"])
        for end in ("from", "to")
    ]
    return Lift(name, load, min(limits))


def lifting_conditions(inputs: Inputs, choice: Choice) -> list[Finding]:
    """A lifting aid for what is too heavy to lift by hand.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
    """
    heavy = [lift for lift in manual_lifts(inputs, choice) if lift.index > 1.0]
    if not heavy:
        return []
    worst = heavy[0]
    names = [phrase(f"LIFT-{lift.name}") for lift in heavy]
    text = phrase("FND-people.lifting", names=names, value=worst.index, mass=worst.mass, limit=worst.limit)
    return [
        Finding(
            "people.lifting", "condition", "people", text, "people.lifting_index", worst.index, 1.0, "ratio"
        )
    ]
