"""The kinds of quantity of this job: what each is called and how it is shown in metric and US units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity.

    Parameters
    ----------
    name : str
        Key in `KINDS`.
    title : str
        Name for people, with article.
    si : str
        SI unit of the floats inside, "" without dimension.
    metric, us : str
        Display units; both can be read back.
    example : str
        A typical value as people write it, in both systems.
    bare : bool
        Whether a number without unit is a complete answer.
    zero : bool
        Whether "0" without unit means one thing only.
    """

    name: str
    title: str
    si: str
    metric: str
    us: str
    example: str
    bare: bool = False
    zero: bool = True


_LENGTHS = '"6 m", "1500 mm", "20 ft"'
_TABLE: tuple[Kind, ...] = (
    Kind("length", "a length", "m", "m", "ft", _LENGTHS),
    Kind("diameter", "a length", "m", "mm", "in", '"65 mm", "2.5 in"'),
    Kind("film", "a thin length", "m", "um", "mil", '"300 um", "0.3 mm", "12 mil"'),
    Kind("area", "an area", "m2", "m2", "ft2", '"0.256 m2", "2.76 ft2"'),
    Kind("volume", "a volume", "m3", "L", "US gal", '"205 L", "55 US gal"'),
    Kind("mass", "a mass", "kg", "kg", "lb", '"20 kg", "44 lb"'),
    Kind("density", "a density", "kg/m3", "kg/m3", "lb/ft3", '"1130 kg/m3", "1.13 g/cm3", "70.5 lb/ft3"'),
    Kind("duration", "a duration", "s", "min", "min", '"480 min", "8 h"'),
    Kind("short_time", "a duration", "s", "s", "s", '"1 s", "200 ms"'),
    Kind("long_time", "a duration", "s", "h", "h", '"8 h", "2 d"'),
    Kind("flow", "a volume flow", "m3/s", "m3/h", "US gpm", '"2.4 m3/h", "40 L/min", "10.6 US gpm"'),
    Kind("displacement", "a volume per turn", "m3", "L/rev", "US gal/rev", '"0.6 L/rev", "0.16 US gal/rev"'),
    Kind("plate_speed", "a speed", "m/s", "mm/s", "in/s", '"2.6 mm/s", "0.1 in/s"'),
    Kind("velocity", "a speed", "m/s", "m/s", "ft/s", '"0.2 m/s", "0.66 ft/s"'),
    Kind("rotation", "a speed of rotation", "1/s", "1/min", "rpm", '"60 1/min", "60 rpm"'),
    Kind("frequency", "a frequency", "Hz", "Hz", "Hz", '"50 Hz"'),
    Kind("pressure_gauge", "a gauge pressure", "Pa", "bar(g)", "psi(g)", '"6 bar(g)", "87 psi(g)"'),
    Kind(
        "pressure_absolute",
        "an absolute pressure",
        "Pa",
        "bar(a)",
        "psi(a)",
        '"1.01 bar(a)", "14.7 psi(a)"',
        zero=False,
    ),
    Kind("pressure_difference", "a pressure difference", "Pa", "bar", "psi", '"0.5 bar", "7 psi"'),
    Kind("pressure_rate", "a rise of pressure", "Pa/s", "bar/s", "psi/s", '"20 bar/s", "290 psi/s"'),
    Kind("pressure_volume", "a pressure times a volume", "J", "bar.L", "bar.L", '"360 bar.L"'),
    Kind("small_pressure", "a pressure difference", "Pa", "mbar", "psi", '"8 mbar", "0.1 psi"'),
    Kind("stress", "a stress", "Pa", "Pa", "Pa", '"150 Pa", "0.15 kPa"'),
    Kind("viscosity", "a viscosity", "Pa.s", "Pa.s", "cP", '"180 Pa.s", "180 000 cP"'),
    Kind("consistency", "a consistency", "Pa.s^n", "Pa.s^n", "Pa.s^n", '"180 Pa.s^n"'),
    Kind("exponent", "a plain number", "", "", "", "0.3", bare=True),
    Kind("ratio", "a plain number", "", "", "", "1.5", bare=True),
    Kind("count", "a number of things", "", "", "", "10", bare=True),
    Kind("shear_rate", "a shear rate", "1/s", "1/s", "1/s", '"1.5 1/s"'),
    Kind("temperature", "a temperature", "K", "°C", "°F", '"22 °C", "72 °F", "295 K"', zero=False),
    Kind("temperature_difference", "a temperature difference", "K", "K", "°F", '"5 K", "9 °F"'),
    Kind("force", "a force", "N", "kN", "lbf", '"9.4 kN", "2100 lbf"'),
    Kind("torque", "a torque", "N.m", "N.m", "lbf.ft", '"150 N.m", "110 lbf.ft"'),
    Kind("power", "a power", "W", "kW", "hp", '"2.2 kW", "3 hp"'),
    Kind("fraction", "a share", "", "%", "%", '"1 %" or 0.01', bare=True),
    Kind("energy_per_mole", "an energy per mole", "J/mol", "kJ/mol", "kJ/mol", '"30 kJ/mol"'),
    Kind("angle", "an angle", "rad", "deg", "deg", '"15 deg"'),
    Kind("conductivity", "a thermal conductivity", "W/(m.K)", "W/mK", "W/mK", '"0.5 W/mK"'),
    Kind("heat_capacity", "a heat capacity", "J/(kg.K)", "J/kgK", "J/kgK", '"3500 J/kgK"'),
    Kind("surface_coefficient", "a heat transfer coefficient", "W/(m2.K)", "W/m2K", "W/m2K", '"9 W/m2K"'),
    Kind("latent_heat", "a heat per mass", "J/kg", "kJ/kg", "kJ/kg", '"200 kJ/kg"'),
    Kind("expansion", "a thermal expansion", "1/K", "1/K", "1/K", '"4e-4 1/K"'),
    Kind("small_energy", "an energy", "J", "kJ", "kJ", '"2 kJ"'),
    Kind("energy", "an energy", "J", "kWh", "kWh", '"5.5 kWh"'),
    Kind("price", "a price per mass", "per kg", "per kg", "per lb", '"2.1 per kg", "0.95 per lb"', bare=True),
    Kind("money", "an amount of money", "", "", "", '"60 000"', bare=True),
)
KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _TABLE})
