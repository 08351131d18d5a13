"""The product card: what is moved, with its flow curves, temperatures, particles and hazards."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray
from pydantic import model_validator

from drumwright.basis import quantities
from drumwright.basis.errors import QuantityError
from drumwright.basis.estimate import Basis, Estimate
from drumwright.station.evidence_card import EvidencePiece
from drumwright.station.fields import choice, flag, numbers, quantity, refuse, table, tables, text, texts
from drumwright.station.record_base import Record, custom

Hardness = Literal["soft", "firm", "hard"]
Cure = Literal["nothing", "moisture", "oxygen", "heat", "anaerobic", "second_component"]
YieldMethod = Literal["vane", "creep", "oscillation", "extrapolation", "slump"]
CurveTrust = Literal["trusted", "careful"]
Solvent = Literal[
    "none", "alcohol", "ketone", "ester", "aromatic", "chlorinated", "mineral_oil", "plasticiser"
]
HygieneClass = Literal["technical", "food_dry_clean", "food_wet_clean", "food_closed_clean", "aseptic"]

_COLD, _HOT = 203.15, 473.15  # K, refused outside
_SHARE = (0.0, 1.0)


class TemperatureSpan(Record):
    """Product temperature in the container over the year."""

    low: Estimate | None = quantity(
        "temperature", "Coldest product, winter.", (_COLD, _HOT), (248.15, 343.15)
    )
    norm: Estimate | None = quantity("temperature", "Usual product.", (_COLD, _HOT), (263.15, 353.15))
    high: Estimate | None = quantity(
        "temperature", "Warmest product, summer.", (_COLD, _HOT), (273.15, 373.15)
    )

    @model_validator(mode="after")
    def _rising(self) -> Self:
        said = [(name, getattr(self, name)) for name in ("low", "norm", "high")]
        given = [(name, value.likely) for name, value in said if value is not None]
        if any(second < first for (_, first), (_, second) in pairwise(given)):
            shown = ", ".join(f"{name} {quantities.show(value, 'temperature')}" for name, value in given)
            raise custom(refuse("CRS-001", text=shown))
        return self


class FlowCurve(Record):
    """A measured flow curve at one temperature."""

    temperature: Estimate | None = quantity(
        "temperature", "Temperature of the sample while measured.", (_COLD, _HOT), (253.15, 343.15)
    )
    shear_rate: tuple[float, ...] = numbers("Shear rates in rising order, plain numbers.", (1e-9, 1e9))
    stress: tuple[float, ...] = numbers("Shear stress at each shear rate, plain numbers.", (0.0, 1e12))
    viscosity: tuple[float, ...] = numbers("Or: viscosity at each shear rate, plain numbers.", (0.0, 1e15))
    shear_rate_unit: str = text("Unit of the shear rates.", default="1/s")
    stress_unit: str = text("Unit of the stresses.", default="Pa")
    viscosity_unit: str = text("Unit of the viscosities.", default="Pa.s")
    basis: Basis = choice("How the curve is known.", Basis, default="measured")
    method: str | None = text("Instrument, geometry, gap, rest and pre-shear.")
    trust: CurveTrust | None = choice("Whether the laboratory or the fit had doubts about it.", CurveTrust)
    doubt: str | None = text("What the doubts are; said as a condition of the answer.")
    left_out: tuple[float, ...] = numbers(
        "Shear rates of points that do not belong: kept on the card, not fitted.", (1e-9, 1e9)
    )

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        name = "viscosity" if self.viscosity else "stress"
        values = self.viscosity or self.stress
        if not self.shear_rate:
            raise custom(refuse("CRS-010", ("shear_rate",)))
        if bool(self.stress) == bool(self.viscosity):
            raise custom(refuse("CRS-011"))
        if len(values) != len(self.shear_rate):
            slots = {"rates": str(len(self.shear_rate)), "values": str(len(values)), "text": name}
            raise custom(refuse("CRS-012", (name,), **slots))
        if len(values) < 3:
            raise custom(refuse("CRS-013", ("shear_rate",), text=str(len(values))))
        for index, (first, second) in enumerate(pairwise(self.shear_rate)):
            if second <= first:
                slots = {"first": f"{first:g}", "second": f"{second:g}"}
                raise custom(refuse("CRS-014", ("shear_rate", index + 1), **slots))
        for index, rate in enumerate(self.left_out):
            if rate not in self.shear_rate:
                raise custom(refuse("CRS-016", ("left_out", index), text=f"{rate:g}"))
        if len(values) - len(self.left_out) < 3:
            raise custom(refuse("CRS-013", ("left_out",), text=str(len(values) - len(self.left_out))))
        for unit_field, kind in (
            ("shear_rate_unit", "shear_rate"),
            ("stress_unit", "stress"),
            ("viscosity_unit", "viscosity"),
        ):
            self._factor(unit_field, kind)
        return self

    def _factor(self, unit_field: str, kind: str) -> float:
        try:
            return quantities.read(f"1 {getattr(self, unit_field)}", kind)
        except QuantityError as error:
            raise custom(refuse("CRS-015", (unit_field,), text=error.what, remedy=error.remedy)) from None

    def shear_rates_si(self) -> NDArray[np.float64]:
        """Return the shear rates, shape (n,) [1/s]."""
        return np.asarray(self.shear_rate) * self._factor("shear_rate_unit", "shear_rate")

    def stresses_si(self) -> NDArray[np.float64]:
        """Return the shear stresses, shape (n,) [Pa]; viscosity times shear rate where that was measured."""
        if self.viscosity:
            return np.asarray(self.viscosity) * self._factor("viscosity_unit", "viscosity") * (
                self.shear_rates_si()
            )  # fmt: skip
        return np.asarray(self.stress) * self._factor("stress_unit", "stress")

    def weights(self) -> NDArray[np.float64]:
        """Return one for every point that counts and zero for those left out, shape (n,)."""
        return np.array([float(rate not in self.left_out) for rate in self.shear_rate])


class FlowModel(Record):
    """Parameters of a flow law at one temperature: stress = yield stress + consistency * rate ** exponent."""

    temperature: Estimate | None = quantity(
        "temperature", "Temperature they hold for.", (_COLD, _HOT), (253.15, 343.15)
    )
    yield_stress: Estimate | None = quantity(
        "stress", "Stress below which nothing flows.", (0.0, 1e6), (0.0, 3000.0)
    )
    consistency: Estimate | None = quantity(
        "consistency", "Factor of the power of the shear rate.", (0.0, 1e6), (0.01, 5000.0)
    )
    exponent: Estimate | None = quantity(
        "exponent", "Power of the shear rate; 1 for a Newtonian product.", (0.05, 2.0), (0.15, 1.0)
    )
    basis: Basis = choice("How the parameters are known.", Basis, default="measured")


class Particles(Record):
    """Pieces in the product."""

    size: Estimate | None = quantity("diameter", "Size of the largest piece.", (0.0, 0.3), (1e-5, 0.05))
    hardness: Hardness | None = choice("How hard the pieces are.", Hardness)
    share: Estimate | None = quantity("fraction", "Share of pieces in the product.", _SHARE, (0.0, 0.7))
    damage_limit: Estimate | None = quantity("fraction", "Share of pieces that may be damaged.", _SHARE)


class Product(Record):
    """What is moved: the product card."""

    name: str = text("Name of the product; a duty refers to it.", required=True)
    food: bool | None = flag("Whether it is food.")
    density: Estimate | None = quantity("density", "Mass per volume.", (100.0, 20000.0), (700.0, 2500.0))
    temperature: TemperatureSpan = table("Product temperature over the year.", TemperatureSpan)
    viscosity: Estimate | None = quantity(
        "viscosity", "One viscosity number, where there is no flow curve.", (1e-5, 1e8), (0.1, 1e4)
    )
    viscosity_shear_rate: Estimate | None = quantity(
        "shear_rate", "Shear rate at which that number was read.", (1e-6, 1e6), (0.01, 1000.0)
    )
    viscosity_temperature: Estimate | None = quantity(
        "temperature", "Temperature at which that number was read.", (_COLD, _HOT), (253.15, 373.15)
    )
    flow_curve: tuple[FlowCurve, ...] = tables("Measured flow curves, one for each temperature.")
    model: tuple[FlowModel, ...] = tables("Parameters of a flow law, one set for each temperature.")
    evidence: tuple[EvidencePiece, ...] = tables("Readings that are no flow curve, taken together.")
    prior: str | None = text(
        "Row of the library to begin with where little was measured; never taken as measured."
    )
    restart_factor: Estimate | None = quantity(
        "ratio", "Yield stress after rest over yield stress in motion.", (1.0, 20.0), (1.0, 3.0)
    )
    static_yield_stress: Estimate | None = quantity(
        "stress", "Yield stress after rest, as measured.", (0.0, 1e6), (0.0, 5000.0)
    )
    yield_method: YieldMethod | None = choice("How the yield stress was measured.", YieldMethod)
    rest_time: Estimate | None = quantity(
        "duration", "Rest of the sample before the static yield stress was measured.", (0.0, 1e7)
    )
    restart_time: Estimate | None = quantity(
        "duration", "Time constant with which it stiffens at rest.", (0.0, 1e7), (10.0, 1e5)
    )
    batch_factor: Estimate | None = quantity(
        "ratio", "Stress of a batch over stress of the measured one.", (0.1, 10.0), (0.5, 2.0)
    )
    activation_energy: Estimate | None = quantity(
        "energy_per_mole", "How strongly stress falls with temperature (Arrhenius).", (0.0, 5e5), (5e3, 1e5)
    )
    vapour_pressure: Estimate | None = quantity(
        "pressure_absolute", "Vapour pressure at the warmest temperature.", (0.0, 1e6), (0.0, 5e4)
    )
    air_share: Estimate | None = quantity(
        "fraction",
        "Share of air in the product by volume, at the pressure of the air.",
        (0.0, 0.9),
        (0.0, 0.2),
    )
    conductivity: Estimate | None = quantity(
        "conductivity", "How well it conducts heat.", (0.01, 10.0), (0.1, 1.0)
    )
    heat_capacity: Estimate | None = quantity(
        "heat_capacity", "Heat to warm a mass by one kelvin.", (100.0, 10000.0), (1000.0, 4300.0)
    )
    expansion: Estimate | None = quantity(
        "expansion", "Growth of volume with temperature.", (0.0, 0.01), (1e-4, 1.5e-3)
    )
    latent_heat: Estimate | None = quantity(
        "latent_heat", "Heat to melt a mass that is frozen or set through.", (0.0, 1e6), (0.0, 3.34e5)
    )
    particles: Particles | None = table("Pieces in the product.")
    abrasive: bool | None = flag("Whether it wears parts down.")
    filler_share: Estimate | None = quantity(
        "fraction", "Share of mineral filler by mass.", _SHARE, (0.0, 0.9)
    )
    quartz_share: Estimate | None = quantity("fraction", "Share of quartz in the filler by mass.", _SHARE)
    shear_sensitive: bool | None = flag("Whether shear damages it.")
    flammable: bool | None = flag("Whether its vapour can burn.")
    flash_point: Estimate | None = quantity(
        "temperature", "Lowest temperature at which its vapour can be lit.", (_COLD, 773.15)
    )
    isocyanate_share: Estimate | None = quantity("fraction", "Share of free isocyanate by mass.", _SHARE)
    cures_with: Cure | None = choice("What makes it set for good.", Cure)
    skin_time: Estimate | None = quantity("duration", "Time in air until a skin forms.", (0.0, 1e8))
    longest_stop: Estimate | None = quantity(
        "duration", "Longest stop it stands inside the machine.", (0.0, 1e8)
    )
    sets_at: Estimate | None = quantity("temperature", "Temperature below which it sets.", (_COLD, _HOT))
    freezes_at: Estimate | None = quantity("temperature", "Temperature at which it freezes.", (_COLD, _HOT))
    freezing_width: Estimate | None = quantity(
        "temperature_difference",
        "Width of the temperature range in which it freezes or melts.",
        (0.05, 100.0),
    )
    crystallises_at: Estimate | None = quantity(
        "temperature", "Temperature below which crystals grow in it.", (_COLD, _HOT)
    )
    wall_temperature_limit: Estimate | None = quantity(
        "temperature", "Temperature a heated wall must not exceed.", (_COLD, 773.15)
    )
    z_value: Estimate | None = quantity(
        "temperature_difference", "Kelvin for ten times the heat damage in the same time.", (0.5, 200.0)
    )
    damage_reference: Estimate | None = quantity(
        "temperature", "Temperature the heat damage is counted at.", (_COLD, 773.15)
    )
    hygiene_class: HygieneClass | None = choice("How clean product and machine must be kept.", HygieneClass)
    maximum_temperature: Estimate | None = quantity(
        "temperature", "Temperature it must never exceed.", (_COLD, 773.15)
    )
    ph: Estimate | None = quantity("ratio", "Acidity, as pH of the product or its water.", (0.0, 14.0))
    chloride: Estimate | None = quantity(
        "fraction", "Share of chloride by mass; salt is 61 % chloride.", _SHARE
    )
    fat_share: Estimate | None = quantity("fraction", "Share of fat or vegetable oil by mass.", _SHARE)
    solvents: tuple[str, ...] = texts("Solvents and oils it contains.", Solvent)
    separates_under_pressure: bool | None = flag("Whether liquid is pressed out of it.")
    allergens: tuple[str, ...] = texts("Allergens it contains.")
    price: Estimate | None = quantity(
        "price", "Price per mass in your own currency.", (0.0, 1e5), (0.1, 100.0)
    )
    safety_sheet_seen: bool | None = flag("Whether its safety data sheet has been read.")
