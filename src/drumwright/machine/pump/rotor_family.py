"""Lobe pumps and external gear pumps as families."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump import rotor_pair
from drumwright.machine.pump.limits import assumed, assumed_range, pressure_share
from drumwright.machine.pump.progressing_cavity import hydraulic_torque
from drumwright.machine.pump.records import Abrasion, FamilyName, Pump, Rotors
from drumwright.machine.pump.rotary_family import Chamber, RotaryFamily
from drumwright.machine.pump.row import Row
from drumwright.product.law import FlowLaw
from drumwright.product.particles import PASSAGE_FACTORS, Hardness

Array = NDArray[np.float64]
FIELDS = ("rotor_diameter", "centre_distance", "width", "pockets", "tip_land", "clearance", "wide_clearance")
WIDE_FROM = 1.0  # Pa s; wide clearances above (physics book 4.10)
WIDE_RATE = 1000.0  # 1/s; order of the shear rate at the tips, where the viscosity counts; assumed
DERATE_SHARE = 0.1  # of the greatest speed; shear rate the speed derate is read at, assumed


def rotors_of(pump: Pump) -> Rotors:
    """Geometry of a pump of two rotors.

    Raises
    ------
    TypeError
        If the pump is of another family.
    """
    if not isinstance(pump.geometry, Rotors):
        raise TypeError(f"{pump.identifier} has no pair of rotors")
    return pump.geometry


class RotorFamily(RotaryFamily):
    """Two rotors in a casing, metal on a clearance: leaks by its gaps, fed by pressure, not by suction."""

    pulsation_share = (0.02, 0.10)  # assumed ("small" in physics book 4.11)
    least_pockets = 2

    def from_row(self, fields: Mapping[str, Any]) -> Pump:
        """As `Family.from_row`; displacement and passage follow from the geometry."""
        row = Row(fields, self.name)
        common = row.common(FIELDS)
        numbers = {field: row.number(field, "m") for field in FIELDS if field != "pockets"}
        if not 0.5 * numbers["rotor_diameter"] < numbers["centre_distance"] < numbers["rotor_diameter"]:
            raise row.wrong(
                "centre_distance", "above half of the rotor_diameter and below it, so that rotors mesh"
            )
        if numbers["wide_clearance"] < numbers["clearance"]:
            raise row.wrong("wide_clearance", "at least the clearance [m]")
        geometry = Rotors(pockets=row.count("pockets", self.least_pockets), **numbers)
        d, a, b = geometry.rotor_diameter, geometry.centre_distance, geometry.width
        return Pump(
            family=self.name,
            displacement=rotor_pair.displacement(d, a, b),
            passage=min(self.limit_of(geometry, hard) * PASSAGE_FACTORS[hard] for hard in ("soft", "firm")),
            geometry=geometry,
            **common,
        )

    def limit_of(self, geometry: Rotors, hardness: Hardness) -> float:
        """Greatest piece that passes [m]: a quarter of the pocket; hard pieces no more than the clearance.

        Parameters
        ----------
        geometry : Rotors
        hardness : str
        """
        if hardness == "hard":
            return geometry.clearance
        return 0.25 * min(rotor_pair.pocket_depth(geometry), geometry.width)

    def particle_limits(self, pump: Pump) -> Mapping[Hardness, float]:
        """As `Family.particle_limits`, from the pocket (physics book 4.10).

        Parameters
        ----------
        pump : Pump
        """
        return {hardness: self.limit_of(rotors_of(pump), hardness) for hardness in PASSAGE_FACTORS}

    def rated_pressure(self, pump: Pump, abrasion: Abrasion) -> float:
        """As `Family.rated_pressure`: less where wear opens the gaps.

        Parameters
        ----------
        pump : Pump
        abrasion : str
        """
        return pump.maximum_pressure * pressure_share(self.name, abrasion)

    def pockets(self, pump: Pump) -> int:
        """As `RotaryFamily.pockets`: of both rotors."""
        return 2 * rotors_of(pump).pockets

    def chamber(self, pump: Pump) -> Chamber:
        """As `RotaryFamily.chamber`: one pocket that moves on with the tips."""
        own = rotors_of(pump)
        around = math.pi * own.rotor_diameter
        return Chamber(rotor_pair.hydraulic_diameter(own), around, rotor_pair.pocket_length(own))

    def clearance(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.clearance`: wide from 1 Pa s at 1 000 1/s on, sample by sample.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        own = rotors_of(pump)
        thick = np.asarray(law.apparent_viscosity(WIDE_RATE)) > WIDE_FROM
        drawn = np.where(thick, own.wide_clearance, own.clearance)
        return np.asarray(drawn * assumed(model, "model.rotor_clearance_factor"))

    def seal_line(self, pump: Pump) -> float:
        """As `RotaryFamily.seal_line`: tips of both rotors and the mesh."""
        return 3.0 * rotors_of(pump).width

    def leak(
        self,
        pump: Pump,
        pressure: Array,
        clearance: Array,
        density: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Array:
        """As `RotaryFamily.leak`: tips, mesh and ends.

        Parameters
        ----------
        pump : Pump
        pressure : ndarray
            [Pa]
        clearance : ndarray
            [m]
        density : ndarray
            [kg/m3]
        law : FlowLaw
        model : mapping of ndarray
        """
        floor = model["model.high_shear_floor"]
        return rotor_pair.slip_sum(pressure, clearance, rotors_of(pump), density, law, floor)

    def sliding(self, pump: Pump, speed: ArrayLike) -> Array:
        """As `RotaryFamily.sliding`: speed of the tips.

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        """
        return np.asarray(math.pi * rotors_of(pump).rotor_diameter * np.asarray(speed))

    def friction(self, pump: Pump, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.friction`: a share of the torque at greatest pressure.

        Parameters
        ----------
        pump : Pump
        model : mapping of ndarray
        """
        share = assumed(model, "model.rotor_friction_share")
        return np.asarray(share * hydraulic_torque(pump.displacement, pump.maximum_pressure))

    def film(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.film`: the clearance.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return self.clearance(pump, law, model)

    def drag(
        self, pump: Pump, speed: ArrayLike, film: ArrayLike, law: FlowLaw, model: Mapping[str, Array]
    ) -> Array:
        """As `RotaryFamily.drag`.

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        film : array_like
            [m]
        law : FlowLaw
        model : mapping of ndarray
        """
        return rotor_pair.drag_torque(speed, rotors_of(pump), film, law)

    def rest_torque(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array | float:
        """As `RotaryFamily.rest_torque`: yield stress on all faces.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return self.drag(pump, 0.0, self.film(pump, law, model), law, model)

    def inlet_base(self, pump: Pump, atmosphere: Array, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.inlet_base`; a product with yield stress must be pressed in, not drawn.

        Parameters
        ----------
        pump : Pump
        atmosphere : ndarray
            Absolute [Pa].
        law : FlowLaw
        model : mapping of ndarray

        Notes
        -----
        From the yield stress of the family on (physics book 4.10, 4.11; thresholds from memory) the losses
        are counted from the atmosphere.
        """
        base = super().inlet_base(pump, atmosphere, law, model)
        pressed = np.asarray(law.yield_stress) > assumed_range(f"feed.{self.name}")[1]
        return np.asarray(np.where(pressed, np.maximum(base, atmosphere), base))

    def further_caps(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> dict[str, Array]:
        """As `RotaryFamily.further_caps`: slower for thick product.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray

        Notes
        -----
        n = n_max (mu_0/mu)^0.5 above mu_0 (physics book 4.10, exponent from memory; mu_0 assumed). mu is
        read at the shear rate of a pocket at a tenth of the greatest speed: higher, so the careful side.
        """
        chamber = self.chamber(pump)
        rate = 8.0 * chamber.advance * DERATE_SHARE * pump.maximum_speed / chamber.diameter
        ratio = assumed(model, "model.derate_viscosity") / np.asarray(law.apparent_viscosity(rate))
        return {"viscosity": np.asarray(pump.maximum_speed * np.sqrt(np.minimum(ratio, 1.0)))}


class LobeFamily(RotorFamily):
    """Two or three lobes, geared outside the product."""

    name: FamilyName = "lobe"
    cleaning = "cip"


class GearFamily(RotorFamily):
    """Two gears, one drives the other in the product."""

    name: FamilyName = "external_gear"
    cleaning = "flush"
    least_pockets = 6

    def limit_of(self, geometry: Rotors, hardness: Hardness) -> float:
        """Greatest piece that passes [m]: no more than the clearance, of any hardness.

        Parameters
        ----------
        geometry : Rotors
        hardness : str
        """
        return geometry.clearance
