"""Progressing cavity pumps as a family."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump import dry_run, gap, progressing_cavity
from drumwright.machine.pump.base import thin
from drumwright.machine.pump.limits import stage_limit
from drumwright.machine.pump.records import Abrasion, Cavity, FamilyName, Pump
from drumwright.machine.pump.rotary_family import Chamber, RotaryFamily
from drumwright.machine.pump.row import Row
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
FIELDS = ("eccentricity", "rotor_diameter", "stator_pitch", "stages")


def cavity_of(pump: Pump) -> Cavity:
    """Geometry of a progressing cavity pump.

    Raises
    ------
    TypeError
        If the pump is of another family.
    """
    if not isinstance(pump.geometry, Cavity):
        raise TypeError(f"{pump.identifier} is no progressing cavity pump")
    return pump.geometry


class CavityFamily(RotaryFamily):
    """Rotor in a rubber stator: seals by press fit, wears to a clearance."""

    name: FamilyName = "progressing_cavity"
    cleaning = "cip_bypass"

    def from_row(self, fields: Mapping[str, Any]) -> Pump:
        """As `Family.from_row`; displacement and passage follow from the geometry."""
        row = Row(fields, self.name)
        common = row.common(FIELDS)
        e, d, pitch = (row.number(field, "m") for field in FIELDS[:3])
        return Pump(
            family=self.name,
            displacement=progressing_cavity.displacement(e, d, pitch),
            passage=progressing_cavity.free_passage(e, d),
            geometry=Cavity(e, d, pitch, row.count("stages")),
            **common,
        )

    def rated_pressure(self, pump: Pump, abrasion: Abrasion) -> float:
        """As `Family.rated_pressure`: casing, or stages times their limit.

        Parameters
        ----------
        pump : Pump
        abrasion : str
        """
        return min(pump.maximum_pressure, cavity_of(pump).stages * stage_limit(abrasion))

    def chamber(self, pump: Pump) -> Chamber:
        """As `RotaryFamily.chamber`: one pitch of the cavity."""
        own = cavity_of(pump)
        d_h = progressing_cavity.hydraulic_diameter(own.eccentricity, own.rotor_diameter)
        return Chamber(d_h, own.stator_pitch, own.stator_pitch)

    def clearance(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.clearance`: of a slightly worn pump.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return model["model.clearance"]

    def seal_line(self, pump: Pump) -> float:
        """As `RotaryFamily.seal_line`: of one stage."""
        own = cavity_of(pump)
        return progressing_cavity.seal_line_per_stage(own.eccentricity, own.rotor_diameter, own.stator_pitch)

    def leak(
        self,
        pump: Pump,
        pressure: Array,
        clearance: Array,
        density: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Array:
        """As `RotaryFamily.leak`: the stages share the pressure.

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
        return gap.slip(
            pressure / cavity_of(pump).stages,
            clearance,
            model["model.seal_line_length"],
            self.seal_line(pump),
            density,
            law,
            model["model.high_shear_floor"],
        )

    def sliding(self, pump: Pump, speed: ArrayLike) -> Array:
        """As `RotaryFamily.sliding`.

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        """
        own = cavity_of(pump)
        return progressing_cavity.sliding_speed(speed, own.eccentricity, own.rotor_diameter)

    def friction(self, pump: Pump, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.friction`: the press fit, made for clean product.

        Parameters
        ----------
        pump : Pump
        model : mapping of ndarray
        """
        rated = cavity_of(pump).stages * stage_limit("clean")
        return progressing_cavity.interference_torque(pump.displacement, rated, model["model.friction_share"])

    def film(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """As `RotaryFamily.film`.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return model["model.drag_film"]

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
        own = cavity_of(pump)
        geometry = (own.eccentricity, own.rotor_diameter, own.stator_pitch, own.stages)
        return progressing_cavity.drag_torque(speed, *geometry, model["model.seal_line_length"], film, law)

    def contact_pressure(self, pump: Pump, pressure: Array) -> Array:
        """As `RotaryFamily.contact_pressure`: of one stage.

        Parameters
        ----------
        pump : Pump
        pressure : ndarray
            [Pa]
        """
        return pressure / cavity_of(pump).stages

    def dry_run_time(
        self, pump: Pump, speed: Array, model: Mapping[str, Array]
    ) -> tuple[float, float] | None:
        """As `RotaryFamily.dry_run_time`: friction of the press fit into the rubber.

        Parameters
        ----------
        pump : Pump
        speed : ndarray
            [1/s]
        model : mapping of ndarray
        """
        own = cavity_of(pump)
        torque, n = thin(np.broadcast_to(self.friction(pump, model), np.shape(speed)), speed)
        length = own.stages * own.stator_pitch
        times = [
            dry_run.time_to_warm(dry_run.heat_flux(torque, n, own.rotor_diameter, length, x))
            for x in dry_run.CONCENTRATION
        ]
        return float(np.min(times)), float(np.max(times))
