"""Numbers behind the pictures of suction, drive, line and stand, as records; SI units."""

from __future__ import annotations

from dataclasses import dataclass

Band = tuple[float, float, float]  # P5, likely, P95
Row = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Suction:
    """Pressure at the pump inlet in one season: what is there, what filling needs, both over flow."""

    season: str
    atmosphere: float  # absolute [Pa]
    plate: float  # mean pressure under the plate [Pa]
    port: float  # lost on the way to the port, likely inputs [Pa]
    throat: float  # lost from there to the pump: throat and suction hose, or outlet and suction line [Pa]
    available: Band  # absolute at the wanted flow; below zero: no suction feeds it [Pa]
    needed: Band  # absolute at the wanted flow [Pa]
    wanted: float  # [m3/s]
    flow: Row  # of the curves [m3/s]
    there: Row  # available at each flow, absolute [Pa]
    there_low: Row
    there_high: Row
    asks: Row  # needed at each flow, absolute [Pa]
    asks_low: Row
    asks_high: Row
    greatest: Band  # greatest flow that is fed; infinite where the curves do not cross [m3/s]


@dataclass(frozen=True, slots=True)
class TorqueCurves:
    """Torque at the pump shaft against pump speed, in the coldest season."""

    season: str
    speed: Row  # at the same flows, likely inputs [1/s]
    running: Row  # along the line's curve [N m]
    running_low: Row
    running_high: Row
    start: Band  # of the cold start after a stop [N m]
    at: tuple[float, float]  # speed and torque at the wanted flow
    motor: float  # rated power [W]
    speeds: Row  # of the motor's lines [1/s]
    own_fan: Row  # torque for long [N m]
    forced: Row  # with a fan of its own motor; empty where that is not needed [N m]
    short: Row  # for a start [N m]
    limit: float  # overload setting [N m]
    slowest: float  # speeds the inverter is used at [1/s]
    fastest: float


@dataclass(frozen=True, slots=True)
class AirCurves:
    """Air pressure [Pa(g)] that a pump on air needs at each flow into its line, in the coldest season."""

    season: str
    flow: Row  # [m3/s]
    air: Row  # infinite where no air moves that flow
    low: Row
    high: Row
    at: tuple[float, float]  # wanted flow and the air it takes
    there: float  # on site
    most: float  # the pump may be given
    setting: float  # regulator, so that a closed line stays below its weakest part


@dataclass(frozen=True, slots=True)
class LengthBore:
    """Longest pipe over its bore, own hose and fittings counted, in the season with the greatest pressure."""

    season: str
    flow: float  # [m3/s]
    allowed: float  # running pressure of weakest part and pump [Pa(g)]
    bores: Row  # [m]
    running: Row  # likely inputs [m]
    running_most: Row  # 95 % of the samples can run this [m]
    restart_most: Row  # 95 % of the samples can start this; infinite without yield stress [m]
    still: Row  # the yield stress alone holds a longer one, 95 % of the samples [m]
    classes: tuple[tuple[float, Row], ...]  # pressure class [Pa(g)] -> run and start, 95 % [m]
    asked: tuple[float, float] | None  # bore and length of the case [m]
    chosen: tuple[float, float] | None  # of the arrangement shown, where its bore is another [m]


@dataclass(frozen=True, slots=True)
class StandSketch:
    """A stand over its container, likely dimensions [m]."""

    kind: str  # fixed_mast, moving_arm, tandem
    stations: int
    beside: bool  # pump beside the mast
    outside: float  # diameter of the container, or the side of a bin that stands before the mast
    container: float  # outside height
    pallet: float  # its height
    clearance: float  # of the raised plate over the container
    plate: float  # height of the plate
    disc: float  # its width
    port: float
    above: float  # rigid height over the plate: pump, or outlet and bend
    pump: float  # height of the pump
    stroke: float
    needed: float  # under the lowest beam
    there: float  # height of the lowest beam
    there_said: bool  # whether that height was stated
    mast: float  # half the depth of the mast
    near: float  # from the middle of the mast to the middle of the nearest and farthest container
    far: float
    pallet_size: tuple[float, float] | None = None  # away from the mast, along it; under a moving arm
    places: tuple[tuple[float, float], ...] = ()  # of the containers, away from the mast and along it


@dataclass(frozen=True, slots=True)
class MachineSketch:
    """Everything a result shows of pump, line and stand beside its figures; None where there is none."""

    suction: tuple[Suction, ...] = ()
    torque: TorqueCurves | None = None
    air: AirCurves | None = None
    length_bore: LengthBore | None = None
    stand: StandSketch | None = None


NOTHING_DRAWN = MachineSketch()
