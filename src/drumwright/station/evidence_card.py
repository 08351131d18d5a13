"""Readings of how a product flows that are no flow curve, each with what it needs to mean something."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import model_validator

from drumwright.basis import quantities
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import Basis, Estimate
from drumwright.station.fields import choice, numbers, quantity, refuse, text, whole
from drumwright.station.record_base import Record, custom

EvidenceKind = Literal[
    "viscosity",
    "disc_spindle",
    "cylinder_spindle",
    "vane",
    "static_yield",
    "bostwick",
    "spread",
    "cone_penetration",
    "consistency_number",
    "flow_pressure",
    "extrusion_rate",
    "tube_viscometer",
    "todays_line",
]
Grade = Literal["000", "00", "0", "1", "2", "3", "4", "5", "6"]
# What each kind cannot do without; names joined by "|" stand for each other.
NEEDS: Mapping[str, tuple[str, ...]] = {
    "viscosity": ("viscosity", "shear_rate"),
    "disc_spindle": ("spindle", "speed", "viscosity|reading"),
    "cylinder_spindle": ("torque|viscosity", "diameter", "length", "speed"),
    "vane": ("torque", "diameter", "length"),
    "static_yield": ("yield_stress",),
    "bostwick": ("run_out", "test_solids", "product_solids", "temperature"),
    "spread": ("volume", "diameter"),
    "cone_penetration": ("penetration",),
    "consistency_number": ("grade",),
    "flow_pressure": ("pressure", "bore", "length", "temperature"),
    "extrusion_rate": ("pressure", "bore", "length", "flow|mass", "flow|time"),
    "tube_viscometer": ("bore", "length", "flows", "pressures"),
    "todays_line": ("flow|pump_speed", "flow|displacement", "pressure", "bore", "length"),
}
SAME_SOLIDS = 0.005  # difference of two shares of solids that is none

_COLD, _HOT = 203.15, 473.15  # K


class EvidencePiece(Record):
    """One reading that is no flow curve."""

    kind: EvidenceKind | None = choice("What was measured.", EvidenceKind)
    temperature: Estimate | None = quantity(
        "temperature", "Temperature of the product while it was read.", (_COLD, _HOT), (243.15, 353.15)
    )
    basis: Basis = choice("How the reading is known.", Basis, default="measured")
    note: str | None = text("Who read it, when, with what.")
    viscosity: Estimate | None = quantity("viscosity", "Viscosity as shown.", (1e-5, 1e8), (0.1, 1e4))
    shear_rate: Estimate | None = quantity(
        "shear_rate", "Shear rate of that viscosity.", (1e-6, 1e6), (0.01, 1000.0)
    )
    spindle: int = whole("Number of the disc spindle of ISO 2555, 1 to 7.", (0.0, 7.0), 0)
    speed: Estimate | None = quantity("rotation", "Speed of spindle or bob.", (1e-5, 100.0), (0.005, 4.0))
    reading: Estimate | None = quantity(
        "fraction", "Torque over full scale of the instrument.", (0.0, 1.0), (0.1, 1.0)
    )
    torque: Estimate | None = quantity(
        "torque", "Torque at the bob, or peak torque of the vane.", (1e-9, 1e4), (1e-6, 10.0)
    )
    diameter: Estimate | None = quantity(
        "diameter", "Diameter of bob or vane, or of the heap at rest.", (1e-4, 2.0), (0.005, 0.5)
    )
    cup: Estimate | None = quantity(
        "diameter", "Inside diameter of the cup; none for a wide vessel.", (1e-4, 2.0), (0.01, 0.3)
    )
    length: Estimate | None = quantity(
        "length", "Length of bob, nozzle, tube or line, or height of the vane.", (1e-4, 500.0), (0.002, 100.0)
    )
    yield_stress: Estimate | None = quantity("stress", "Yield stress after rest.", (0.0, 1e6), (1.0, 3000.0))
    run_out: Estimate | None = quantity(
        "diameter", "Run-out of the trough beyond its gate.", (0.0005, 0.5), (0.01, 0.2)
    )
    test_solids: Estimate | None = quantity(
        "fraction", "Soluble solids (Brix) of the sample in the trough.", (0.0, 1.0)
    )
    product_solids: Estimate | None = quantity(
        "fraction", "Soluble solids (Brix) of the product itself.", (0.0, 1.0)
    )
    volume: Estimate | None = quantity("volume", "Volume of the heap.", (1e-7, 1.0), (1e-5, 0.01))
    penetration: Estimate | None = quantity(
        "diameter", "Worked cone penetration at 25 degrees Celsius.", (0.004, 0.05), (0.0085, 0.0475)
    )
    grade: Grade | None = choice("NLGI consistency number.", Grade)
    bore: Estimate | None = quantity("diameter", "Bore of nozzle, tube or line.", (1e-4, 1.0), (5e-4, 0.2))
    pressure: Estimate | None = quantity(
        "pressure_difference", "Pressure over nozzle or line.", (1.0, 1e9), (1e3, 1e8)
    )
    flow: Estimate | None = quantity("flow", "Volume flow.", (1e-12, 1.0), (1e-9, 0.01))
    mass: Estimate | None = quantity("mass", "Mass that came out.", (1e-7, 1e4), (1e-4, 10.0))
    time: Estimate | None = quantity("duration", "Time it took.", (0.1, 1e6), (1.0, 3600.0))
    pump_speed: Estimate | None = quantity("rotation", "Speed of the pump.", (1e-4, 100.0), (0.05, 10.0))
    displacement: Estimate | None = quantity(
        "displacement", "Volume of the pump a turn.", (1e-8, 0.1), (1e-5, 0.01)
    )
    rise: Estimate | None = quantity(
        "length", "Height of the end of the line over the gauge.", (-100.0, 100.0), (-10.0, 10.0)
    )
    fittings_diameters: Estimate | None = quantity(
        "ratio", "Bends and valves after the gauge, as bores of pipe.", (0.0, 1e4), (0.0, 300.0)
    )
    flows: tuple[float, ...] = numbers("Flows of a tube viscometer, plain numbers.", (1e-15, 1e9))
    pressures: tuple[float, ...] = numbers("Pressure at each flow, plain numbers.", (1e-9, 1e12))
    flows_unit: str = text("Unit of the flows.", default="m3/s")
    pressures_unit: str = text("Unit of the pressures.", default="Pa")

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.kind is None:
            raise custom(refuse("CRS-030", words=", ".join(NEEDS)))
        lacking = [names for names in NEEDS[self.kind] if not self._given(names)]
        if lacking:
            said = " / ".join(name.replace("|", " or ") for name in lacking)
            raise custom(refuse("CRS-031", (lacking[0].partition("|")[0],), text=self.kind, words=said))
        if self.kind == "bostwick":
            assert self.test_solids is not None and self.product_solids is not None
            if abs(self.test_solids.likely - self.product_solids.likely) > SAME_SOLIDS:
                raise custom(refuse("CRS-032", ("test_solids",)))
        if self.kind == "tube_viscometer" and len(self.flows) != len(self.pressures):
            slots = {"rates": str(len(self.flows)), "values": str(len(self.pressures)), "text": "pressures"}
            raise custom(refuse("CRS-012", ("pressures",), **slots))
        self.tube_rows()
        return self

    def _given(self, names: str) -> bool:
        return any(getattr(self, name) not in (None, (), 0) for name in names.split("|"))

    def tube_rows(self) -> tuple[list[float], list[float]]:
        """Return flows [m3/s] and pressures [Pa] of a tube viscometer."""
        columns = []
        for field, kind in (("flows", "flow"), ("pressures", "pressure_difference")):
            try:
                factor = quantities.read(f"1 {getattr(self, f'{field}_unit')}", kind)
            except QuantityError as error:
                raise custom(
                    refuse("CRS-015", (f"{field}_unit",), text=error.what, remedy=error.remedy)
                ) from None
            columns.append([factor * value for value in getattr(self, field)])
        return columns[0], columns[1]
