"""Generic pumps of the stock, as records with their derived geometry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

from drumwright.basis.tables import read_toml
from drumwright.machine.pump import progressing_cavity

Family = Literal["progressing_cavity", "air_diaphragm"]
Abrasion = Literal["clean", "sensitive", "mild", "abrasive"]
FAMILIES: tuple[Family, ...] = ("progressing_cavity", "air_diaphragm")


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump of the stock; SI units. Fields of the other family are 0."""

    identifier: str
    family: Family
    displacement: float  # [m3 a revolution]
    passage: float  # smallest free passage [m]
    maximum_pressure: float  # casing or air limit [Pa(g)]
    height: float  # above the plate when it rides on it [m]
    mass: float
    eccentricity: float = 0.0
    rotor_diameter: float = 0.0
    stator_pitch: float = 0.0
    stages: int = 0
    maximum_speed: float = 0.0  # [1/s]
    preferred_speed: float = 0.0
    port: float = 0.0
    suction_length: float = 0.0
    suction_diameters: float = 0.0
    discharge_diameters: float = 0.0
    free_flow: float = 0.0


@cache
def pumps() -> tuple[Pump, ...]:
    """All generic pumps, smallest first in each family."""
    data = read_toml("stock/pumps.toml")
    return tuple(_cavity_pumps(data)) + tuple(_diaphragm_pumps(data))


def find(identifier: str) -> Pump:
    """Return the pump with this identifier.

    Raises
    ------
    KeyError
        If the stock has no such pump.
    """
    for pump in pumps():
        if pump.identifier == identifier:
            return pump
    raise KeyError(identifier)


def stage_limit(abrasion: Abrasion) -> float:
    """Pressure a stage of a progressing cavity pump may build with this abrasion class [Pa]."""
    return float(read_toml("stock/pumps.toml")["stage_limit"][abrasion])


def sliding_limit(abrasion: Abrasion) -> float:
    """Sliding speed in the seal lines allowed for this abrasion class [m/s]."""
    return float(read_toml("stock/pumps.toml")["sliding_limit"][abrasion])


def rated_pressure(pump: Pump, abrasion: Abrasion) -> float:
    """Pressure the pump may build with this abrasion class [Pa].

    Parameters
    ----------
    pump : Pump
    abrasion : str
        clean, sensitive, mild or abrasive.
    """
    if pump.family == "air_diaphragm":
        return pump.maximum_pressure
    return min(pump.maximum_pressure, pump.stages * stage_limit(abrasion))


def _cavity_pumps(data: dict[str, Any]) -> list[Pump]:
    found = []
    for row in data["progressing_cavity"]:
        e, d, pitch = row["eccentricity"], row["rotor_diameter"], row["stator_pitch"]
        for stage in data["stages"]:
            found.append(
                Pump(
                    identifier=f"cavity-{row['size']}-{stage['count']}",
                    family="progressing_cavity",
                    displacement=progressing_cavity.displacement(e, d, pitch),
                    passage=progressing_cavity.free_passage(e, d),
                    maximum_pressure=stage["casing_pressure"],
                    height=row["height"] + 0.05 * stage["count"],
                    mass=row["mass"],
                    eccentricity=e,
                    rotor_diameter=d,
                    stator_pitch=pitch,
                    stages=stage["count"],
                    maximum_speed=row["maximum_speed"],
                    preferred_speed=row["preferred_speed"],
                )
            )
    return found


def _diaphragm_pumps(data: dict[str, Any]) -> list[Pump]:
    return [
        Pump(
            identifier=f"air-{row['size']}",
            family="air_diaphragm",
            displacement=0.0,
            passage=row["port"] / 4.0,
            maximum_pressure=row["maximum_pressure"],
            height=row["height"],
            mass=row["mass"],
            port=row["port"],
            suction_length=row["suction_length"],
            suction_diameters=row["suction_diameters"],
            discharge_diameters=row["discharge_diameters"],
            free_flow=row["free_flow"],
        )
        for row in data["air_diaphragm"]
    ]
