"""What a pump is and what it does, as records; SI units, arrays over samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.product.law import FlowLaw
from drumwright.product.particles import Hardness

Array = NDArray[np.float64]
FamilyName = Literal["progressing_cavity", "air_diaphragm", "follower_piston", "lobe", "external_gear"]
TURNING: tuple[FamilyName, ...] = ("progressing_cavity", "lobe", "external_gear")
Abrasion = Literal["clean", "sensitive", "mild", "abrasive"]
Status = Literal["active", "old", "held_back"]  # held back: in the stock, not offered by the search
Cleaning = Literal["strip", "flush", "cip", "cip_bypass"]
ClosedOutlet = Literal["stalls", "dangerous"]
DryRun = Literal["none", "fair", "good"]


@dataclass(frozen=True, slots=True)
class Cavity:
    """Progressing cavity pump: rotor in a rubber stator."""

    eccentricity: float  # of the rotor axis [m]
    rotor_diameter: float  # [m]
    stator_pitch: float  # [m]
    stages: int


@dataclass(frozen=True, slots=True)
class Diaphragm:
    """Air-operated double-diaphragm pump, ratio 1:1."""

    suction_length: float  # inlet flange to chamber, straight [m]
    suction_diameters: float  # its bends and ball, in port bores [-]
    discharge_diameters: float  # outlet side, in port bores [-]
    free_flow: float  # against no pressure [m3/s]
    ball_diameter: float  # of the valves [m]
    ball_density: float  # [kg/m3]


@dataclass(frozen=True, slots=True)
class Piston:
    """Follower-fed piston pump with a shovel plate on its rod."""

    ratio: float  # area of the air piston over that of the product cylinder [-]
    bore: float  # product cylinder [m]
    stroke: float  # [m]
    loading_length: float  # intake to cylinder, as a pipe of the bore [m]
    shovel_force: float  # greatest force of the shovel plate on the product [N]
    check_gap: float  # lift of the check, pieces above are crushed [m]
    outlet_diameters: float  # checks and outlet, in port bores [-]
    packing_length: float  # [m]
    maximum_air_pressure: float  # [Pa(g)]


@dataclass(frozen=True, slots=True)
class Rotors:
    """Two rotors that mesh in a casing: lobes or gears."""

    rotor_diameter: float  # over the tips [m]
    centre_distance: float  # of the two shafts [m]
    width: float  # of a rotor along its shaft [m]
    pockets: int  # lobes or teeth of one rotor
    tip_land: float  # length of a tip in flow direction [m]
    clearance: float  # standard, at tip, flank and end [m]
    wide_clearance: float  # for thick product [m]


Geometry = Cavity | Diaphragm | Piston | Rotors


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump of the stock: what every family has, and the geometry of its own."""

    identifier: str
    name: str  # in words, with "placeholder, not for order" where the size is invented
    family: FamilyName
    displacement: float  # [m3 a revolution]; of a stroke up and down for piston and diaphragm
    passage: float  # a soft piece of a third, a firm one of half of it goes through [m]
    port: float  # inside diameter of inlet and outlet [m]
    maximum_pressure: float  # casing or air limit [Pa(g)]
    maximum_speed: float  # [1/s], double strokes for piston and diaphragm
    preferred_speed: float  # [1/s]
    height: float  # above the plate when it rides on it [m]
    mass: float  # [kg]
    geometry: Geometry
    temperature_limits: tuple[tuple[str, float], ...] = ()  # elastomer and its limit [K]
    status: Status = "active"

    @property
    def turns(self) -> bool:
        """Whether a motor turns it; the others are driven by air."""
        return self.family in TURNING

    @property
    def stages(self) -> int:
        """Stages of a progressing cavity pump, 0 for the others."""
        return self.geometry.stages if isinstance(self.geometry, Cavity) else 0


class Operation(NamedTuple):
    """A pump at one flow; arrays over samples, SI units."""

    excess: Array  # >= 0 where the pump can carry this flow; falls with flow
    inlet_required: Array  # absolute pressure that filling needs [Pa]
    speed: Array  # that the flow needs [1/s]; 0 for an air pump
    speed_limit: Array  # lowest of filling, sliding and maximum speed [1/s]
    slip: Array  # [m3/s]
    suction_yield: Array  # yield-only loss before the valves [Pa]; 0 for a cavity pump


class Load(NamedTuple):
    """Torques and power of a pump."""

    torque: Array  # [N m]
    start_torque: Array
    shaft_power: Array  # [W]
    motor_required: Array  # rated power needed [W]; 0 for an air pump
    sliding_speed: Array  # [m/s]
    seal_shear_rate: Array  # [1/s]


class Duty(NamedTuple):
    """What a pump is asked to do; arrays of shape (n,), SI units."""

    abrasion: Abrasion
    flow: Array  # [m3/s]
    inlet_absolute: Array  # [Pa]
    outlet_absolute: Array  # [Pa]
    atmosphere: Array  # [Pa]
    restart_pressure: Array  # to start the rested line [Pa]
    density: Array  # [kg/m3]
    law: FlowLaw
    model: Mapping[str, Array]  # sampled quantities ("model.*", "product.vapour_pressure", "site.*")
    container_volume: float = 0.2  # that a life in drums counts [m3]
    motor_power: float | None = None  # rated [W]; None: the smallest that every sample passes

    def core(self) -> tuple[Abrasion, Array, Array, Array, Array, Array, FlowLaw, Mapping[str, Array]]:
        """Return the arguments of `Family.operate` behind the pump."""
        pressures = (self.inlet_absolute, self.outlet_absolute, self.atmosphere)
        return (self.abrasion, self.flow, *pressures, self.density, self.law, self.model)


class Wear(NamedTuple):
    """Growth of a clearance and the life it leaves, each as (low, high)."""

    growth: tuple[float, float]  # [m/s]
    life: tuple[float, float]  # running time until the slip is a fifth of the displaced flow [s]
    containers: tuple[float, float]  # emptied in that time [-]
    end_clearance: tuple[float, float]  # [m]


class AirUse(NamedTuple):
    """Compressed air of an air-driven pump."""

    free_air: Array  # free air per product volume [m3/m3]
    free_air_flow: Array  # [m3/s]
    energy: Array  # compressor energy per product volume [J/m3]
    efficiency: Array  # outlet gauge pressure over that energy [-]; falls with the outlet pressure
    icing: NDArray[np.bool_]  # the exhaust can fall below the freezing point or dew point of the air


class Speeds(NamedTuple):
    """What a pump may turn at, and what it must."""

    needed: Array  # [1/s]; strokes for piston and diaphragm
    caps: Mapping[str, Array]  # every speed cap by name [1/s]
    binding: NDArray[np.intp]  # which cap is the lowest, as a place in `caps`
    feed_flow: tuple[Array, Array]  # greatest flow that filling allows, low and high [m3/s]

    def binding_names(self) -> tuple[str, ...]:
        """Return the name of the lowest cap of every sample."""
        names = tuple(self.caps)
        return tuple(names[place] for place in np.atleast_1d(self.binding))


class Shear(NamedTuple):
    """What a pump does to the product."""

    mean: Array  # [1/s]
    peak: Array  # [1/s]
    peak_share: Array  # share of the flow that sees the peak [-]
    slip: Array  # in the gap that leaks [1/s]


class Stall(NamedTuple):
    """Pressure on a closed outlet; for an air pump what the air holds."""

    overload: Array  # at 1.5 times rated torque, the limit of a drive [Pa(g)]
    pull_out: Array  # at 2.5 times rated torque, direct on line [Pa(g)]


class Character(NamedTuple):
    """What holds for a family whatever the duty, as keys of words."""

    cleaning: Cleaning
    closed_outlet: ClosedOutlet
    dry_run: DryRun


@dataclass(frozen=True, slots=True)
class Behaviour:
    """All that is said of a pump at one duty; arrays of shape (n,), ranges as (low, high)."""

    operation: Operation
    worn: Operation  # with a clearance one rotor step larger
    load: Load
    speeds: Speeds
    shear: Shear
    stall: Stall
    particle_limits: Mapping[Hardness, float]  # greatest piece that passes [m]
    dry_run_time: tuple[float, float] | None  # to 60 K of warming [s]; None: no model
    wear: Wear
    air: AirUse | None
    pulsation: tuple[Array, Array]  # volume missing at a change of stroke or pocket [m3]
    character: Character

    def pressure_dip(self, compliance: float) -> tuple[Array, Array]:
        """Dip of the line pressure at a change of stroke (low, high) [Pa].

        Parameters
        ----------
        compliance : float
            Of line, hose and buffer [m3/Pa], above zero.

        Notes
        -----
        dip = Q t_sw / C (physics book 4.8).
        """
        low, high = self.pulsation
        return low / compliance, high / compliance
