"""The pump families by name; a family that is not here is not judged."""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from drumwright.machine.pump.base import Family
from drumwright.machine.pump.cavity_family import CavityFamily
from drumwright.machine.pump.diaphragm_family import DiaphragmFamily
from drumwright.machine.pump.piston_family import PistonFamily
from drumwright.machine.pump.records import FamilyName, Pump
from drumwright.machine.pump.rotor_family import GearFamily, LobeFamily

__all__ = ["Family", "families", "family_of"]


@cache
def families() -> MappingProxyType[FamilyName, Family]:
    """Every family by its name."""
    known: tuple[Family, ...] = (
        CavityFamily(),
        DiaphragmFamily(),
        PistonFamily(),
        LobeFamily(),
        GearFamily(),
    )
    return MappingProxyType({family.name: family for family in known})


def family_of(pump: Pump) -> Family:
    """Return the family of a pump.

    Raises
    ------
    KeyError
        If the family is not judged.
    """
    return families()[pump.family]
