"""Fields of a buffer between pump and destination: what it is, how large, under what pressure."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from drumwright.basis.estimate import Estimate
from drumwright.station.fields import choice, quantity, refuse
from drumwright.station.record_base import Record, custom

BufferKind = Literal["none", "gas_cushion", "spring", "open_hopper"]


class Buffer(Record):
    """A buffer, as far as it is given or asked for."""

    kind: BufferKind | None = choice("Type of buffer.", BufferKind)
    volume: Estimate | None = quantity(
        "volume", "Volume of the buffer vessel, or of the whole stroke of a spring buffer.", (0.0, 20.0),
        (0.0005, 2.0),
    )  # fmt: skip
    pressure: Estimate | None = quantity(
        "pressure_gauge", "Greatest pressure the buffer vessel may see.", (0.0, 1e8), (1e5, 2.5e7)
    )
    precharge: Estimate | None = quantity(
        "pressure_gauge", "Gas pressure without product, or pressure at which a spring begins to give.",
        (0.0, 1e8), (0.0, 1.6e6),
    )  # fmt: skip
    full_pressure: Estimate | None = quantity(
        "pressure_gauge", "Pressure at which a spring buffer is at the end of its stroke.", (0.0, 1e8),
        (1e5, 2.5e7),
    )  # fmt: skip
    neck_bore: Estimate | None = quantity(
        "diameter", "Bore of the neck between line and buffer.", (0.001, 1.0), (0.012, 0.2)
    )
    neck_length: Estimate | None = quantity("length", "Length of that neck.", (0.0, 50.0), (0.02, 1.0))

    @model_validator(mode="after")
    def _order(self) -> Self:
        begins, full = self.precharge, self.full_pressure
        if begins is not None and full is not None and begins.likely >= full.likely:
            raise custom(refuse("CRS-060", ("precharge",)))
        return self
