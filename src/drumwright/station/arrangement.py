"""One arrangement of the station: what was chosen for each part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from drumwright.basis.tables import read_toml
from drumwright.machine.pump.stock import Pump


@dataclass(frozen=True, slots=True)
class Choice:
    """The chosen parts; `None` leaves the customer's own value in force.

    Parameters
    ----------
    pump : Pump
        From the stock.
    port : float
        Bore of the plate's throat [m].
    stand : str
        fixed_mast, moving_arm or tandem.
    stations : int
        Number of stations.
    bore : float or None
        Inside diameter of pipe and own hose [m]; None keeps the customer's.
    pressure_class : float or None
        Class of pipe, hose and valves [Pa(g)]; None keeps the stated or assumed one.
    warm_to : float or None
        Coldest product temperature that is made sure of [K]; None leaves the seasons as they are.
    flow_factor : float
        Wanted flow over the flow asked.
    beside : bool
        Whether the pump stands beside the mast, fed by a suction hose of the throat's bore.
    stated_change : bool
        Whether a stated time of change holds for this stand.
    seal : str
        lip_seal, double_lip_seal, inflatable_seal, hard_plate, or none where no plate enters.
    ram : float
        Share of its force to which the ram is turned down [-].
    """

    pump: Pump
    port: float
    stand: str = "fixed_mast"
    stations: int = 1
    bore: float | None = None
    pressure_class: float | None = None
    warm_to: float | None = None
    flow_factor: float = 1.0
    beside: bool = False
    stated_change: bool = True
    seal: str = "lip_seal"
    ram: float = 1.0

    @property
    def plated(self) -> bool:
        """Whether a follower plate presses the product to the pump."""
        return self.seal != "none"


def plates() -> tuple[dict[str, Any], ...]:
    """Generic lip-seal plates, smallest throat first."""
    return tuple(read_toml("stock/machine.toml")["plate"])


def plate_with_port(port: float) -> dict[str, Any]:
    """The generic plate with this throat.

    Raises
    ------
    KeyError
        If the stock has none.
    """
    for plate in plates():
        if plate["port"] == port:
            return plate
    raise KeyError(port)


def stand_row(kind: str) -> dict[str, Any]:
    """The generic stand of this kind.

    Raises
    ------
    KeyError
        If the stock has none.
    """
    for stand in read_toml("stock/machine.toml")["stand"]:
        if stand["kind"] == kind:
            return dict(stand)
    raise KeyError(kind)


def bores() -> tuple[float, ...]:
    """Inside diameters offered for the line [m], rising."""
    return tuple(read_toml("stock/machine.toml")["line"]["bores"])


def pressure_classes() -> tuple[float, ...]:
    """Pressure classes offered for the line [Pa(g)], rising."""
    return tuple(read_toml("stock/machine.toml")["line"]["classes"])
