"""Rows of the generic stock: invented sizes of the tables the search reads, shaped as a firm writes them."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Any

from drumwright.basis.tables import data_path, read_toml
from drumwright.machine.line.pipes import list_of, standards
from drumwright.machine.pump.records import Pump
from drumwright.machine.pump.stock import pumps
from drumwright.station.stock_file import exact, stock_text_of
from drumwright.station.stock_rows import StockRow, judge

GENERIC = "generic"
TAIL = "placeholder, not for order"
_FILES = ("stock/pumps.toml", "stock/machine.toml", "stock/drives.toml", "stock/parts.toml", "pipes.csv")


def generic_digest() -> str:
    """SHA-256 of the tables the generic stock is made of."""
    digest = hashlib.sha256()
    for name in _FILES:
        with data_path(name) as path:
            digest.update(path.read_bytes())
    return digest.hexdigest()


def generic_rows() -> tuple[StockRow, ...]:
    """Every generic part as a row."""
    judged = judge(stock_text_of(_tables(), GENERIC).rows)
    assert not judged.problems, judged.problems
    return (*_pump_rows(pumps()), *(row for row, _ in judged.rows))


def _pump_rows(pumps: Iterable[Pump]) -> tuple[StockRow, ...]:
    """Rows that give these pumps again; displacement and passage of most follow from the geometry."""
    found = []
    for pump in pumps:
        own = {name: getattr(pump.geometry, name) for name in pump.geometry.__slots__}
        if pump.family == "air_diaphragm":
            own = {"displacement": pump.displacement, **own}
        common = ("maximum_pressure", "maximum_speed", "preferred_speed", "port", "height", "mass")
        values: dict[str, Any] = {"family": pump.family, **{name: getattr(pump, name) for name in common}}
        values["elastomers"] = tuple(name for name, _ in pump.temperature_limits)
        row = StockRow("pump", pump.identifier, pump.name, pump.status, "", {**values, **own})
        found.append(row)
    return tuple(found)


def _tables() -> dict[str, Any]:
    """Parts that are no pumps, in the shape of a stock file."""
    parts = dict(read_toml("stock/parts.toml"))
    rated = parts.pop("standard_pipe")
    return {
        "plate": _plates(),
        "motor": _motors(),
        "ratio": _ratios(),
        **parts,
        "pipe": [*parts["pipe"], *_tubes(rated)],
    }


def _plates() -> list[dict[str, Any]]:
    sizes = ("port", "throat_length", "clearance", "height")
    return [
        {"article": row["id"], "name": f"generic lip-seal plate, {row['port'] * 1e3:.0f} mm throat, {TAIL}"}
        | {"seal": row["seal"]}
        | {size: f"{exact(row[size])} m" for size in sizes}
        for row in read_toml("stock/machine.toml")["plate"]
    ]


def _motors() -> list[dict[str, Any]]:
    return [
        {
            "article": f"motor-{hertz}-{power:.0f}",
            "name": f"cage motor, {power / 1e3:g} kW, {hertz} Hz, four poles, {TAIL}",
            "power": f"{exact(power)} W",
            "rated_speed": f"{exact(supply['rated_speed'])} 1/s",
            "frequency": f"{exact(supply['frequency'])} Hz",
        }
        for hertz, supply in read_toml("stock/drives.toml")["supply"].items()
        for power in supply["powers"]
    ]


def _ratios() -> list[dict[str, Any]]:
    gear = read_toml("stock/drives.toml")["gear"]
    return [
        {"article": f"ratio-{ratio:g}", "name": f"gear, {ratio:g} to 1, {TAIL}", "ratio": ratio}
        | {"efficiency": gear["efficiency"]}
        for ratio in gear["ratios"]
    ]


def _tubes(rated: dict[str, str]) -> list[dict[str, Any]]:
    return [
        {
            "article": f"{standard}-{tube.size}".replace(" ", "-").replace("/", "-"),
            "name": f"generic {tube.use} tube, {tube.size}, {TAIL}".replace("pipe tube", "pipe"),
            "bore": f"{exact(round(tube.bore, 9))} m",
            "maximum_pressure": rated[tube.use],
            "outside_diameter": f"{exact(round(tube.outside_diameter, 9))} m",
            "standard": tube.source,
        }
        for standard in standards()
        for tube in list_of(standard)
    ]
