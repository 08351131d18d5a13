"""What one shift is: stations, people, drums, hopper and the stops of the destination, as plain numbers."""

from __future__ import annotations

from dataclasses import dataclass, field

from drumwright.study.shift_times import Element, Layout, Spread


@dataclass(frozen=True, slots=True)
class Stop:
    """Stops of the destination of one sort.

    Parameters
    ----------
    every_run : float
        Mean time it runs between two of them [s]; the time is exponential.
    lasts : float
        Mean time it stands [s].
    spread : float
        Coefficient of variation of that time [-]; lognormal.
    """

    every_run: float
    lasts: float
    spread: float


@dataclass(frozen=True, slots=True)
class Plan:
    """One shift, complete.

    Parameters
    ----------
    duration : float
        Length of the shift [s].
    layout : str
        Layout whose elements hold.
    stations : int
        Stations that empty drums.
    shared_line : bool
        Whether only one station feeds at a time.
    volume : float
        Usable volume of a drum [m3].
    pump_flow : float
        Flow of a pump while it runs [m3/s].
    draw : float
        Flow the destination draws while it runs [m3/s]; 0 where it takes whatever comes.
    hopper : float
        Volume of the hopper between empty and the upper switch [m3]; 0 for none.
    start_level : float
        Level at which the pump starts again [m3].
    stops : tuple of Stop
        Stops of the destination.
    change : Spread or None
        Time of a change as stated; None where the elements make it.
    elements : tuple of Element
        Steps of a change.
    hands_share : float
        Share of a stated change that needs hands [-].
    drums_per_pallet : int
        Containers between two exchanges of the pallet.
    react_time, walk_time : float
        Until somebody starts, and on the way to the station [s]; 0 where the stated change holds them.
    operators : int
        People for all stations.
    elsewhere : float
        Share of a person's time bound to other work [-]; 0 where the stated change holds it.
    other_task : float
        Mean time of one piece of other work [s].
    trucks : int
        Trucks.
    truck_wait : float
        Mean time until a truck comes [s].
    availability : float
        Share of the pumping time in which the station is in order [-].
    outage : float
        Mean time it is out of order [s].
    cleans : int
        Cleanings inside the shift, the first at its start.
    cleaning_time : float
        Time of one [s].
    drums : float
        Drums asked for in the shift; 0 where none were named.
    """

    duration: float
    layout: Layout
    stations: int
    shared_line: bool
    volume: float
    pump_flow: float
    draw: float = 0.0
    hopper: float = 0.0
    start_level: float = 0.0
    stops: tuple[Stop, ...] = ()
    change: Spread | None = None
    elements: tuple[Element, ...] = ()
    hands_share: float = 1.0
    drums_per_pallet: int = 1
    react_time: float = 0.0
    walk_time: float = 0.0
    operators: int = 1
    elsewhere: float = 0.0
    other_task: float = 0.0
    trucks: int = 1
    truck_wait: float = 0.0
    availability: float = 1.0
    outage: float = 0.0
    cleans: int = 0
    cleaning_time: float = 0.0
    drums: float = 0.0

    @property
    def supplies(self) -> bool:
        """Whether a destination draws by itself and can starve."""
        return self.draw > 0.0


@dataclass(frozen=True, slots=True)
class Bar:
    """A stretch of one resource: who, what, from when to when [s]."""

    resource: str
    state: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Run:
    """What one simulated shift came to.

    Parameters
    ----------
    number : int
        Number of the shift, from 0.
    drums : int
        Drums emptied.
    demanded, short, short_by_outage : float
        Volume the destination wanted, what it did not get, and what of that while a station was out of order
        and none fed [m3].
    pumped, stored : float
        Volume the pumps brought, and by how much the hopper holds more at the end [m3].
    level_low : float
        Level the hopper is below for 5 % of the time [m3].
    operator_use, truck_use : float
        Busy share of people (at the stations) and trucks [-].
    station_use, waiting : float
        Shares of station time that were not idle, and that waited for people or a truck [-].
    outage : float
        Share of station time out of order [-].
    bars : tuple of Bar
        Its course, where it was kept.
    levels : tuple of (float, float)
        Time and level of the hopper [s, m3], where it was kept.
    """

    number: int
    drums: int
    demanded: float
    short: float
    short_by_outage: float
    pumped: float
    stored: float
    level_low: float
    operator_use: float
    truck_use: float
    station_use: float
    waiting: float
    outage: float
    bars: tuple[Bar, ...] = field(default=(), repr=False)
    levels: tuple[tuple[float, float], ...] = field(default=(), repr=False)

    @property
    def shortage(self) -> float:
        """Share of the demand that was not met [-]."""
        return self.short / self.demanded if self.demanded > 0.0 else 0.0
