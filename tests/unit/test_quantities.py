"""The strict reader of quantities: what it takes, what it refuses and with which remedy; and showing."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from drumwright.basis import quantities, units
from drumwright.basis.catalogue import DATA
from drumwright.basis.errors import QuantityError
from drumwright.basis.kinds import KINDS
from drumwright.basis.quantities import number, read, show, to_display

INCH, FOOT, POUND, GALLON = 0.0254, 0.3048, 0.45359237, 0.003785411784  # exact by definition
NBSP, THIN, NARROW = "\u00a0", "\u2009", "\u202f"


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        ("571 mm", "diameter", 0.571),
        ("180 000 cP", "viscosity", 180.0),
        (f"180{NBSP}000{THIN}cP", "viscosity", 180.0),
        (f"95{NARROW}000 cP", "viscosity", 95.0),
        ("1,250,000 cP", "viscosity", 1250.0),
        ("1.250.000 cP", "viscosity", 1250.0),
        ("180_000 cP", "viscosity", 180.0),
        ("1,250.5 kg", "mass", 1250.5),
        ("1.250,5 kg", "mass", 1250.5),
        ("1250,500 m", "length", 1250.5),
        ("1 250,500 m", "length", 1250.5),
        ("2,5 bar", "pressure_difference", 2.5e5),
        ("0.125 L", "volume", 1.25e-4),
        ("0,125 L", "volume", 1.25e-4),
        ("1.1250 in", "diameter", 1.125 * INCH),
        ("1.2e5 Pa", "stress", 1.2e5),
        ("1.200e5 Pa", "stress", 1.2e5),
        ("-2 m", "length", -2.0),
        ("−2 m", "length", -2.0),
        ("2.4 m3/h", "flow", 2.4 / 3600),
        ("2.4 m³/h", "flow", 2.4 / 3600),
        ("2.4 m^3/h", "flow", 2.4 / 3600),
        ("40 l/min", "flow", 0.04 / 60),
        ("40 L/min", "flow", 0.04 / 60),
        ("10 US gal/min", "flow", 10 * GALLON / 60),
        ("10 US gpm", "flow", 10 * GALLON / 60),
        ("10 gpm", "flow", 10 * GALLON / 60),
        ("55 US gal", "volume", 55 * GALLON),
        ("55 gal", "volume", 55 * GALLON),
        ("20 mm2", "area", 2e-5),
        ("22 °C", "temperature", 295.15),
        ("22 degC", "temperature", 295.15),
        ("22 C", "temperature", 295.15),
        ("-5C", "temperature", 268.15),
        ("295 K", "temperature", 295.0),
        ("32 F", "temperature", 273.15),
        ("212 °F", "temperature", 373.15),
        ("9 °F", "temperature_difference", 5.0),
        ("5 K", "temperature_difference", 5.0),
        ("10 bar(g)", "pressure_gauge", 1e6),
        ("10 barg", "pressure_gauge", 1e6),
        ("10 bar g", "pressure_gauge", 1e6),
        ("10 bar (g)", "pressure_gauge", 1e6),
        ("100 psig", "pressure_gauge", 100 * POUND * 9.80665 / INCH**2),
        ("100 psi(g)", "pressure_gauge", 100 * POUND * 9.80665 / INCH**2),
        ("14.7 psia", "pressure_absolute", 14.7 * POUND * 9.80665 / INCH**2),
        ("1 bar(a)", "pressure_absolute", 1e5),
        ("1 bar abs", "pressure_absolute", 1e5),
        ("100 kPa(a)", "pressure_absolute", 1e5),
        ("7 psi", "pressure_difference", 7 * POUND * 9.80665 / INCH**2),
        ("2.5 in", "diameter", 2.5 * INCH),
        ("2.5 inch", "diameter", 2.5 * INCH),
        ('2.5"', "diameter", 2.5 * INCH),
        ("DN65", "diameter", 0.065),
        ("DN 65", "diameter", 0.065),
        ("20 ft", "length", 20 * FOOT),
        ("44 lb", "mass", 44 * POUND),
        ("44 lbs", "mass", 44 * POUND),
        ("3 hp", "power", 3 * 550 * FOOT * POUND * 9.80665),
        ("480 min", "duration", 28800.0),
        ("8 h", "duration", 28800.0),
        ("200 ms", "short_time", 0.2),
        ("180 Pa.s", "viscosity", 180.0),
        ("180 Pa·s", "viscosity", 180.0),
        ("180 Pa s", "viscosity", 180.0),
        ("180 mPa.s", "viscosity", 0.18),
        ("1130 kg/m3", "density", 1130.0),
        ("1.13 g/cm3", "density", 1130.0),
        ("70.5 lb/ft3", "density", 70.5 * POUND / FOOT**3),
        ("9.4 lb/gal", "density", 9.4 * POUND / GALLON),
        ("10 1/s", "shear_rate", 10.0),
        ("10 s-1", "shear_rate", 10.0),
        ("10 s^-1", "shear_rate", 10.0),
        ("10 s⁻¹", "shear_rate", 10.0),
        ("60 1/min", "rotation", 1.0),
        ("60 rpm", "rotation", 1.0),
        ("1 %", "fraction", 0.01),
        ("1 percent", "fraction", 0.01),
        ("0.01", "fraction", 0.01),
        (0.01, "fraction", 0.01),
        (0.3, "exponent", 0.3),
        (10, "count", 10.0),
        ("180 Pa.s^n", "consistency", 180.0),
        ("180 Pa·sⁿ", "consistency", 180.0),
        ("30 kJ/mol", "energy_per_mole", 30000.0),
        ("300 um", "film", 3e-4),
        ("300 µm", "film", 3e-4),
        ("300 μm", "film", 3e-4),
        ("0.5 W/mK", "conductivity", 0.5),
        ("0.5 W/(m.K)", "conductivity", 0.5),
        ("3.5 kJ/kgK", "heat_capacity", 3500.0),
        ("2.1 EUR/kg", "price", 2.1),
        ("1 per lb", "price", 1 / POUND),
        ("0", "length", 0.0),
        (0, "pressure_gauge", 0.0),
        ("9.4 KN", "force", 9400.0),
        ("6 BAR(G)", "pressure_gauge", 6e5),
    ],
)
def test_reads(text: object, kind: str, expected: float) -> None:
    assert read(text, kind) == pytest.approx(expected, rel=1e-15, abs=0.0)


def test_571_mm_is_exact_both_ways() -> None:
    assert read("571 mm", "diameter") == 0.571
    assert to_display(0.571, "diameter") == 571.0


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("180,000 cP", "viscosity", ("180 cP", "180000 cP")),
        ("180.000 cP", "viscosity", ("180 cP", "180000 cP")),
        ("12.500 m", "length", ("12.5 m", "12500 m")),
        ("1,250", "ratio", ("1.25", "1250")),
        ("-1,250 m", "length", ("-1.25 m", "-1250 m")),
    ],
)
def test_refuses_the_thousand_trap_with_both_readings(text: str, kind: str, said: tuple[str, str]) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    for reading in said:
        assert reading in caught.value.what
        assert reading in caught.value.remedy


@pytest.mark.parametrize("text", ["1,125 in", "12.500 in", "180.000 in", "1.125 in"])
def test_the_readings_offered_can_be_read(text: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, "diameter")
    small, large = caught.value.remedy.split('"')[1::2]
    assert read(large, "diameter") == pytest.approx(1000 * read(small, "diameter"), rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("", "length"),
        ("   ", "length"),
        ("m", "length"),
        ("about 2 m", "length"),
        ("2-3 bar", "pressure_difference"),
        ("2 to 3 bar", "pressure_difference"),
        ("150 ± 10 Pa", "stress"),
        ("1,25,000 m", "length"),
        ("1.25,000.5 m", "length"),
        ("0,250,000 m", "length"),
        ("nan m", "length"),
        ("inf m", "length"),
        ("1e999 m", "length"),
        (math.nan, "ratio"),
        (math.inf, "ratio"),
        (-math.inf, "fraction"),
        (10**400, "ratio"),
        (10**400, "length"),
        ("9" * 70 + " m", "length"),
        ("9" * 500, "ratio"),
        (5, "length"),
        ("5", "flow"),
        ("0", "temperature"),
        (0, "pressure_absolute"),
        (True, "count"),
        (None, "length"),
        ([1], "length"),
        ({}, "length"),
        ("2 bar", "length"),
        ("2 m", "flow"),
        ("2 kg/h", "flow"),
        ("2 blobs", "flow"),
        ("2 mkg", "mass"),
        ("2 MPA", "stress"),
        ("2 m//s", "velocity"),
        ("2 m^99999999", "length"),
        ("2 " + "(" * 5000, "length"),
        ("10 bar", "pressure_gauge"),
        ("10 psi", "pressure_absolute"),
        ("10 bar(a)", "pressure_gauge"),
        ("10 psia", "pressure_gauge"),
        ("10 barg", "pressure_absolute"),
        ("10 barg", "pressure_difference"),
        ("10 rpm", "shear_rate"),
        ("10 Pa.s^n", "viscosity"),
        ("80 F", "length"),
        ("1.2.3 m", "length"),
        ("5 kJ", "energy_per_mole"),
    ],
)
def test_refuses_with_a_remedy(text: object, kind: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    assert caught.value.what and caught.value.allowed and caught.value.remedy


@pytest.mark.parametrize(
    ("text", "kind", "word"),
    [
        ("10 bar", "pressure_gauge", "bar(g)"),
        ("10 bar(a)", "pressure_gauge", "subtract"),
        ("10 bar(g)", "pressure_absolute", "add the air pressure"),
        ("10 psig", "pressure_difference", "without a mark"),
        ("2 kg/h", "flow", "density"),
        (5, "length", "5 m"),
        ("2-3 bar", "pressure_difference", "low"),
    ],
)
def test_the_remedy_fits(text: object, kind: str, word: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read(text, kind)
    assert word in caught.value.remedy


def test_a_temperature_is_never_a_farad_or_coulomb() -> None:
    assert read("80 F", "temperature") == pytest.approx(299.8166666666667, rel=1e-15)
    with pytest.raises(QuantityError):
        read("80 F", "stress")
    with pytest.raises(QuantityError):
        read("80 C", "power")


@pytest.mark.parametrize(
    ("value", "kind", "system", "digits", "expected"),
    [
        (2.65e5, "pressure_gauge", "metric", 3, "2.65 bar(g)"),
        (283.15, "temperature", "metric", 3, "10.0 °C"),
        (273.15, "temperature", "metric", 3, "0.0 °C"),
        (273.1499, "temperature", "metric", 3, "0.0 °C"),
        (295.15, "temperature", "US", 3, "71.6 °F"),
        (2.4 / 3600, "flow", "metric", 2, "2.4 m3/h"),
        (0.571, "diameter", "metric", 3, "571 mm"),
        (180.0, "viscosity", "US", 3, "180000 cP"),
        (12345.0, "stress", "metric", 3, "12300 Pa"),
        (0.0000123, "ratio", "metric", 3, "0.0000123"),
        (0.0, "length", "metric", 3, "0 m"),
        (10.0, "count", "metric", 3, "10"),
        (2.5, "count", "metric", 2, "2.5"),
        (0.3, "exponent", "metric", 2, "0.30"),
        (0.0123, "fraction", "metric", 2, "1.2 %"),
        (math.inf, "length", "metric", 3, "- m"),
        (3e-4, "film", "US", 3, "11.8 mil"),
        (0.1 / 60, "displacement", "metric", 3, "1.67 L/rev"),
    ],
)
def test_shows(value: float, kind: str, system: quantities.System, digits: int, expected: str) -> None:
    assert show(value, kind, system, digits) == expected
    assert expected.startswith(number(value, kind, system, digits))


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_is_complete_and_its_examples_can_be_read(kind: str) -> None:
    record = KINDS[kind]
    assert record.title and record.example
    for example in record.example.replace(" or ", ", ").split(", "):
        assert math.isfinite(read(example.strip('"'), kind))
    for label in (record.metric, record.us):
        assert math.isfinite(read(f"2 {label}".strip(), kind))


def test_pint_reads_the_same_definitions_and_agrees() -> None:
    """Oracle: pint, reading the same file by its own parser, for every unit and alias."""
    pint = pytest.importorskip("pint")
    registry = pint.UnitRegistry(str(DATA / "units.txt"))
    names = {"length": "meter", "mass": "kilogram", "time": "second", "temperature": "kelvin"}
    assert len(units.definitions()) > 150
    for name, unit in units.definitions().items():
        theirs = registry.Quantity(1.0, name).to_base_units()
        ours = float(unit.factor + unit.offset)
        assert ours == pytest.approx(theirs.magnitude, rel=1e-13), name
        for base, exponent in zip(units.BASES, unit.dimension, strict=True):
            assert theirs.units._units.get(names.get(base, "mole"), 0) == exponent, name


def test_units_are_exact_fractions() -> None:
    assert units.definitions()["mm"].factor == Fraction(1, 1000)
    assert units.definitions()["gal"].factor == Fraction("0.003785411784")


def test_the_registry_is_not_loaded_for_reading() -> None:
    """The import of the stock registry takes longer than a whole case does."""
    import subprocess
    import sys

    code = (
        "import sys; from drumwright.basis.quantities import read; read('2 m3/h', 'flow'); "
        "sys.exit('pint' in sys.modules or 'numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
