"""A firm's own stock: what is read, refused by row and field, told by test points, pinned to an offer."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from drumwright.basis.catalogue import DATA
from drumwright.basis.errors import InputError, Problem
from drumwright.basis.kinds import KINDS as QUANTITIES
from drumwright.basis.tables import read_toml
from drumwright.machine.pump.air_test_points import AirFit
from drumwright.machine.pump.family import families
from drumwright.machine.pump.records import Status
from drumwright.machine.pump.stock import pumps, rated_pressure
from drumwright.machine.pump.test_points import PumpFit
from drumwright.station.arrangement import bores
from drumwright.station.casefile import case_from_dict, load, warnings
from drumwright.station.records import Case
from drumwright.station.stock import Stock, StockReading, generic_stock, read_stock, stock_for
from drumwright.station.stock_fields import KINDS, fields_of
from drumwright.station.stock_file import exact
from drumwright.station.stock_pins import Pin, content_of_rows, pinned_text, tables_digest
from drumwright.station.stock_reference import pinned_copy
from station_kit import PASTE
from stock_kit import CASE, EXAMPLE, GOOD, ROOT, firm, run
from workbook import workbook


def reading(folder: Path, text: str) -> StockReading:
    """A stock file of this text as read."""
    path = folder / "stock.toml"
    path.write_text(text, encoding="utf-8")
    return read_stock(path, "stock.toml")


def only(folder: Path, text: str) -> Problem:
    """The one problem of a stock."""
    found = reading(folder, text).problems
    assert len(found) == 1, [str(each) for each in found]
    assert found[0].what and found[0].allowed and found[0].remedy
    return found[0]


# ---- the generic stock -----------------------------------------------------------------------------------


def test_the_generic_stock_has_every_kind_and_every_article_once() -> None:
    stock = generic_stock()
    assert {row.kind for row in stock.rows} == set(KINDS) - {"test_point"}
    assert len({row.article for row in stock.rows}) == len(stock.rows)
    assert stock.generic and stock.pumps == pumps()
    assert all("placeholder, not for order" in row.name for row in stock.rows)
    for name in ("plates", "motors", "ratios", "pipes", "hoses", "valves", "buffers", "sensors"):
        assert getattr(stock, name), name


def test_generic_parts_are_those_the_search_chooses_from() -> None:
    stock = generic_stock()
    assert set(bores()) <= {round(row.number("bore"), 9) for row in stock.pipes}
    supply = read_toml("stock/drives.toml")["supply"]
    assert {row.number("power") for row in stock.motors} == {p for s in supply.values() for p in s["powers"]}


def test_fields_of_a_pump_are_those_its_family_reads() -> None:
    """A row built of the declared fields is read by the family, and each field is needed."""
    for family in families():
        row = next(row for row in generic_stock().of_kind("pump") if row.values["family"] == family)
        needed = {name for name, each in fields_of("pump", family).items() if not each.optional}
        assert needed - {"article", "name"} <= set(row.values)
        assert set(row.values) <= set(fields_of("pump", family))


def test_every_field_is_declared_whole() -> None:
    for kind in KINDS:
        for family in families() if kind == "pump" else ("",):
            for each in fields_of(kind, family).values():
                assert each.meaning.endswith(".")
                assert (each.form == "quantity") == (each.kind in QUANTITIES)
                assert bool(each.words) == (each.form == "choice")
                assert each.low < each.high
    assert fields_of("pump")["status"].words == Status.__args__  # type: ignore[attr-defined]
    assert fields_of("pump")["family"].words == tuple(families())


# ---- a file that is read ---------------------------------------------------------------------------------


def test_the_example_is_read_and_its_geometry_is_that_of_the_physics_book() -> None:
    """Displacement 4 e D P (PMP-01), passage and stage limit of physics book 4.2, by hand."""
    found = read_stock(ROOT / "cases" / "stock-example.toml", "stock-example.toml")
    assert found.problems == () and not found.stock.generic
    pump = found.stock.find("T-025-2")
    assert pump.displacement == pytest.approx(4.0 * 0.006 * 0.025 * 0.080, rel=1e-12)
    assert rated_pressure(pump, "clean") == pytest.approx(2 * 6.0e5)
    assert found.places[0] == "stock-example.toml:8"
    assert [each.identifier for each in found.stock.active_pumps] == [
        "T-025-2",
        "T-040-4",
        "T-064-4",
        "T-A50",
    ]
    assert found.stock.find("T-090-2").status == "old"


def test_test_points_find_the_planted_pump_within_their_intervals() -> None:
    """The points of the example were computed with V = 0.18624 L, c = 0.2 mm, film 0.12 mm and noise."""
    fit = read_stock(ROOT / "cases" / "stock-example.toml").stock.fits["T-040-4"]
    assert isinstance(fit, PumpFit) and fit.film is not None and fit.friction_torque is not None
    planted = {"displacement": 1.8624e-4, "clearance": 2.0e-4, "film": 1.2e-4, "friction_torque": 15.278875}
    for name, value in planted.items():
        found = getattr(fit, name)
        assert found.low <= value <= found.high, name
    assert 0.005 < fit.flow_error < 0.03


def test_a_tested_pump_is_used_with_its_band() -> None:
    stock = read_stock(ROOT / "cases" / "stock-example.toml").stock
    drawn = stock.model_values("T-040-4", 512, 3)
    assert set(drawn) >= {"model.clearance", "model.friction_share"}
    assert all(value.shape == (512,) and np.all(value > 0.0) for value in drawn.values())
    assert float(np.std(drawn["model.clearance"])) > 0.0
    fit = stock.fits["T-040-4"]
    assert isinstance(fit, PumpFit) and drawn["model.clearance"][0] == pytest.approx(
        fit.clearance.value, rel=1e-12
    )
    assert np.all(stock.model_values("T-040-4", 1, 3)["model.drag_film"] == drawn["model.drag_film"][0])
    assert stock.model_values("T-025-2", 512, 3) == {}
    assert stock.find("T-040-4").displacement == stock.fits["T-040-4"].pump.displacement


HEADER = (
    "article", "Name", "family", "status", "maximum pressure [bar(g)]", "maximum_speed (1/min)",
    "preferred_speed [1/min]", "port [mm]", "height [m]", "mass [kg]", "elastomers", "eccentricity [mm]",
    "rotor_diameter [mm]", "stator_pitch [mm]", "stages",
)  # fmt: skip
SHEET = (
    4711.0, "cavity pump (invented)", "progressing_cavity", "active", 16, 400, "200", "40", "0,9", 38.0,
    "NBR; EPDM", 6, "25,0", 80.0, 2.0,
)  # fmt: skip


def test_a_workbook_gives_the_same_pump_as_the_toml_file(tmp_path: Path) -> None:
    """Units in the header, decimal commas, numbers and texts in cells, an article that is a number."""
    path = tmp_path / "stock.xlsx"
    notes: list[list[object]] = [["anything"], [1, 2, 3]]
    path.write_bytes(
        workbook({"Notes": notes, "stock": [["name", "book (invented)"]], "Pumps": [(), HEADER, SHEET]})
    )
    found = read_stock(path, "stock.xlsx")
    assert [str(each) for each in found.problems] == []
    assert found.stock.name == "book (invented)"
    assert found.places[0] == "stock.xlsx:Pumps!3"
    mine, theirs = found.stock.find("4711"), reading(tmp_path, GOOD).stock.find("T-025-2")
    for name in ("displacement", "passage", "maximum_pressure", "maximum_speed", "geometry", "height"):
        assert getattr(mine, name) == getattr(theirs, name), name


def test_a_bad_cell_is_named_by_sheet_and_row(tmp_path: Path) -> None:
    path = tmp_path / "stock.xlsx"
    wrong = [*SHEET[:7], "4o", *SHEET[8:], "stray"]
    path.write_bytes(workbook({"pump": [HEADER, SHEET, wrong], "Prices": [["a"], [1]]}))
    found = read_stock(path, "s.xlsx")
    told = [str(each) for each in found.problems]
    assert any(each.startswith("s.xlsx:pump!3: pump.port:") for each in told), told
    assert any("s.xlsx:pump!3" in each and "under no header" in each for each in told), told
    assert any(each.startswith("s.xlsx:Prices:") for each in told), told
    assert [row.article for row in found.stock.rows] == ["4711"]


@pytest.mark.parametrize("value", [0.04, 1.125, 12.125, 1e-7, 123456.75, 3.0, 0.125, 1e22, 5e-324])
def test_a_number_of_a_cell_is_read_back_exactly(value: float) -> None:
    from drumwright.basis.quantities import read

    if 1e-30 < value < 1e20:
        assert read(f"{exact(value)} m", "length") == value
    assert float(exact(value)) == value


# ---- a file that is not ----------------------------------------------------------------------------------

BAD = {
    "missing": (("mass =", "# mass ="), "pump.mass", 'missing'),
    "typo": (("rotor_diameter", "rotor_diamter"), "pump.rotor_di", ""),
    "no unit": (('"25 mm"', "25"), "pump.rotor_diameter", "25"),
    "gauge": (("16 bar(g)", "16 bar"), "pump.maximum_pressure", "gauge"),
    "two readings": (('"38 kg"', '"1,250 kg"'), "pump.mass", "1,250"),
    "negative": (('"38 kg"', '"-38 kg"'), "pump.mass", "-38"),
    "too large": (('"38 kg"', '"38000 kg"'), "pump.mass", "38000"),
    "half a stage": (("stages = 2", "stages = 2.5"), "pump.stages", "2.5"),
    "family": (("progressing_cavity", "progressive"), "pump.family", "progressive"),
    "status": (('"active"', '"deleted"'), "pump.status", "deleted"),
    "price": (("stages = 2", 'stages = 2\nprice = "900"'), "pump.price", "price"),
    "faster than it may": (('"200 1/min"', '"500 1/min"'), "pump.preferred_speed", "8.33"),
    "elastomer": (('"EPDM"', '"ABC"'), "pump.elastomers", "ABC"),
    "date": (('"38 kg"', "2026-01-01"), "pump.mass", ""),
    "list": (('"38 kg"', '["38 kg"]'), "pump.mass", ""),
    "flag": (("stages = 2", "stages = true"), "pump.stages", "true"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_a_bad_row_is_named_by_line_field_and_value(name: str, tmp_path: Path) -> None:
    change, field, value = BAD[name]
    assert change[0] in GOOD
    text = GOOD.replace(*change, 1)
    found = reading(tmp_path, text)
    assert found.stock.rows == () and len(found.bad) == 1
    problem = next(each for each in found.problems if each.field.startswith(field))
    assert problem.what and problem.allowed and problem.remedy
    assert value in problem.what
    if name not in ("missing", "typo", "price"):
        pairs = zip(text.split("\n"), GOOD.split("\n"), strict=True)
        assert problem.line == 1 + next(at for at, (new, old) in enumerate(pairs) if new != old)


def test_every_bad_row_is_named_at_once(tmp_path: Path) -> None:
    text = GOOD.replace('"38 kg"', '"x"') + GOOD.replace("T-025-2", "T-2").replace('"40 mm"', "40") + GOOD
    found = reading(tmp_path, text)
    assert {each.field for each in found.problems} == {"pump.mass", "pump.port"}
    assert [row.article for row in found.stock.rows] == ["T-025-2"]


def test_an_article_stands_once(tmp_path: Path) -> None:
    problem = only(tmp_path, GOOD + GOOD)
    assert problem.field == "pump.article" and "T-025-2" in problem.what


def test_an_unknown_table_is_named(tmp_path: Path) -> None:
    assert only(tmp_path, f"{GOOD}\n[[pumps]]\narticle = 'x'\n").field == "pumps"
    assert "pump" in only(tmp_path, f"{GOOD}\n[[pumps]]\narticle = 'x'\n").remedy


POINT = '[[test_point]]\npump = "T-025-2"\nspeed = "{} 1/min"\npressure = "{} bar"\nflow = "{} L/h"\n'
LAW = 'viscosity = "10 Pa.s"\ndensity = "1000 kg/m3"\n'


def test_too_few_test_points_make_the_pump_bad(tmp_path: Path) -> None:
    """The drawing alone would say more than the test: the pump is not used."""
    problem = only(tmp_path, GOOD + POINT.format(30, 1, 80) + LAW)
    assert problem.field == "pump" and "1 test points" in problem.what
    assert reading(tmp_path, GOOD + POINT.format(30, 1, 80) + LAW).stock.pumps == ()


def test_a_test_point_says_its_product_once(tmp_path: Path) -> None:
    points = "".join(POINT.format(n, p, 80 * n / 30) + LAW for n in (30, 60, 90) for p in (1, 3))
    assert reading(tmp_path, GOOD + points).problems == ()
    both = POINT.format(120, 1, 320) + LAW + 'yield_stress = "10 Pa"\n'
    assert "not said, or twice" in only(tmp_path, GOOD + points + both).what
    none = POINT.format(120, 1, 320)
    assert "not said, or twice" in only(tmp_path, GOOD + points + none).what
    thin = POINT.format(120, 1, 320) + 'viscosity = "10 Pa.s"\n'
    assert "density" in only(tmp_path, GOOD + points + thin).what


def test_test_points_in_a_wrong_unit_make_the_pump_bad(tmp_path: Path) -> None:
    """A turn of the drawing is 0.048 L: 60 1/min give 173 L/h, not as many L/min."""
    right = "".join(POINT.format(n, p, 2.85 * n) + LAW for n in (30, 60, 90) for p in (1, 3))
    assert reading(tmp_path, GOOD + right).problems == ()
    assert "times that of the drawing" in only(tmp_path, GOOD + right.replace("L/h", "L/min")).what
    wild = "".join(
        POINT.format(n, p, 2.85 * n * (1.7 if p == 1 else 0.6)) + LAW for n in (30, 60, 90) for p in (1, 1.1)
    )
    assert only(tmp_path, GOOD + wild).field == "pump"


AIR = EXAMPLE[EXAMPLE.index('[[pump]]\narticle = "T-A50"') : EXAMPLE.index("[[plate]]")]


def test_points_of_an_air_pump_give_its_flow_against_no_pressure(tmp_path: Path) -> None:
    """p2 + dp_out = p_air (1 - (Q/Q_air)^2) with Hagen-Poiseuille for the outlet, Q_air = 33 m3/h planted."""
    length, bore, viscosity, free = 43.5 * 0.05, 0.05, 0.5, 33.0 / 3600.0
    points = ""
    for air, flow in ((4e5, 3e-3), (5e5, 4e-3), (6e5, 5e-3), (6e5, 3e-3), (4e5, 2e-3)):
        lost = 128.0 * viscosity * length * flow / (np.pi * bore**4)
        out = air * (1.0 - (flow / free) ** 2) - lost
        points += (
            f'[[test_point]]\npump = "T-A50"\nair_pressure = "{air!r} Pa(g)"\npressure = "{out:.6e} Pa"\n'
            f'flow = "{flow:.6e} m3/s"\nviscosity = "0.5 Pa.s"\n'
        )
    found = reading(tmp_path, AIR + points)
    assert [str(each) for each in found.problems] == []
    fit = found.stock.fits["T-A50"]
    assert isinstance(fit, AirFit) and fit.free_flow.value == pytest.approx(free, rel=2e-3)
    assert "suction was not tested" in " ".join(
        run("stock", "check", str(tmp_path / "stock.toml")).output.split()
    )
    assert found.stock.model_values("T-A50", 8, 1) == {}
    bare = points.replace('air_pressure = "400000.0 Pa(g)"\n', "")
    assert any("air_pressure" in each.what for each in reading(tmp_path, AIR + bare).problems)


def test_test_points_stand_in_a_sheet_too(tmp_path: Path) -> None:
    header = (
        "pump", "speed [1/min]", "pressure [bar]", "flow [L/h]", "yield_stress [Pa]",
        "consistency [Pa.s^n]", "exponent", "density [kg/m3]",
    )  # fmt: skip
    rows = [(4711, n, p, 2.85 * n, 20, 5.0, "0,5", 1100) for n in (30, 60, 90) for p in (1, 3)]
    path = tmp_path / "stock.xlsx"
    path.write_bytes(workbook({"pump": [HEADER, SHEET], "test points": [header, *rows]}))
    found = read_stock(path)
    assert [str(each) for each in found.problems] == []
    assert found.stock.fits["4711"].flow_error < 0.02


def test_a_test_point_of_no_pump_is_named(tmp_path: Path) -> None:
    problem = only(tmp_path, GOOD + POINT.format(30, 1, 80).replace("T-025-2", "T-9") + LAW)
    assert problem.field == "test_point.pump" and "T-9" in problem.what


# ---- a case that uses it ---------------------------------------------------------------------------------


def test_a_case_names_its_stock_and_its_digest_covers_it(tmp_path: Path) -> None:
    case = load(firm(tmp_path))
    assert [pump.identifier for pump in stock_for(case).active_pumps][:2] == ["T-025-2", "T-040-4"]
    other = load(firm(tmp_path, EXAMPLE.replace('mass = "38 kg"', 'mass = "39 kg"')))
    assert case.digest != other.digest
    assert stock_for(other).find("T-025-2").mass == 39.0


def test_an_answer_never_mixes_two_states_of_a_stock(tmp_path: Path) -> None:
    case = load(firm(tmp_path))
    firm(tmp_path, EXAMPLE.replace('mass = "38 kg"', 'mass = "39 kg"'))
    for used in (stock_for, pinned_copy, warnings):
        with pytest.raises(InputError, match="changed after the case was read"):
            used(case)


def test_a_case_without_a_stock_is_as_it_was() -> None:
    case = case_from_dict(PASTE)
    assert stock_for(case) is generic_stock() and case.stock_file == ""


@pytest.mark.parametrize(
    ("written", "word"),
    [
        ("nosuch.toml", "no such file"),
        ("/etc/passwd", "absolute"),
        ("../../../x.toml", "leaves"),
        ("", "file"),
    ],
)
def test_a_stock_that_is_not_there_is_refused_at_its_line(tmp_path: Path, written: str, word: str) -> None:
    folder = tmp_path / "a" / "b" / "c"
    folder.mkdir(parents=True)
    case = firm(folder)
    case.write_text(case.read_text(encoding="utf-8").replace("stock.toml", written), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        stock_for(load(case))
    first = caught.value.problems[0]
    assert first.field == "case.stock" and first.line > 0 and word in first.what


def test_bad_rows_stop_a_case_unless_it_leaves_them_out(tmp_path: Path) -> None:
    case = firm(tmp_path, EXAMPLE.replace('mass = "38 kg"', 'mass = "38"'))
    with pytest.raises(InputError, match="the number 38 has no unit"):
        load(case)
    kept = load(case, {"case.stock_skip_bad": "true"})
    assert "T-025-2" not in {pump.identifier for pump in stock_for(kept).pumps}
    assert any("left out" in each.what and "pump.mass" in each.field for each in warnings(kept))


def test_a_stock_without_a_pump_to_offer_is_refused_even_then(tmp_path: Path) -> None:
    case = firm(tmp_path, GOOD.replace('"active"', '"old"'))
    with pytest.raises(InputError, match="no pump that can be offered"):
        load(case, {"case.stock_skip_bad": "true"})


# ---- the copy of an offer --------------------------------------------------------------------------------


def copy_of(case: Case, folder: Path) -> Path:
    """The pinned copy of a case's parts."""
    path = folder / "pinned.toml"
    path.write_bytes(pinned_copy(case))
    return path


def test_a_pinned_copy_gives_the_same_pumps_fits_and_digest(tmp_path: Path) -> None:
    case = load(firm(tmp_path))
    pinned = copy_of(case, tmp_path)
    again = load(tmp_path / "case.toml", stock=pinned)
    assert again.digest == case.digest
    mine, theirs = stock_for(case), stock_for(again)
    assert theirs.pinned and theirs.active_pumps == mine.active_pumps
    for name, value in mine.model_values("T-040-4", 64, 1).items():
        assert np.array_equal(value, theirs.model_values("T-040-4", 64, 1)[name])
    assert pinned_copy(again) == pinned_copy(case)
    assert warnings(again) == warnings(case) == ()


def test_remarks_and_old_parts_do_not_enter_the_copy(tmp_path: Path) -> None:
    case = load(firm(tmp_path, EXAMPLE.replace("stages = 2\n", 'stages = 2\nnote = "margin 41 %"\n', 1)))
    text = pinned_copy(case).decode()
    assert "margin" not in text and "T-090-2" not in text and "T-025-2" in text
    named = load(tmp_path / "case.toml", {"machine.pump": "T-090-2"})
    assert "T-090-2" in pinned_copy(named).decode()
    assert str(tmp_path) not in text


def test_a_part_changed_after_the_offer_does_not_change_it_and_is_said(tmp_path: Path) -> None:
    case = load(firm(tmp_path))
    pinned, offered = copy_of(case, tmp_path), stock_for(case).active_pumps
    firm(tmp_path, EXAMPLE.replace('rotor_diameter = "25 mm"', 'rotor_diameter = "27 mm"'))
    again = load(tmp_path / "case.toml", stock=pinned)
    assert again.digest == case.digest and stock_for(again).active_pumps == offered
    assert stock_for(load(tmp_path / "case.toml")).active_pumps != offered
    told = warnings(again)
    assert len(told) == 1 and "not the one of this offer" in told[0].what
    (tmp_path / "stock.toml").unlink()
    assert "cannot be found" in warnings(load(tmp_path / "case.toml", stock=pinned))[0].what


def test_a_copy_changed_by_hand_is_refused(tmp_path: Path) -> None:
    pinned = copy_of(load(firm(tmp_path)), tmp_path)
    text = pinned.read_text(encoding="utf-8")
    assert "38.0 kg" in text
    for changed in (text.replace("38.0 kg", "30.0 kg"), text.replace("content =", "# content =")):
        pinned.write_text(changed, encoding="utf-8")
        with pytest.raises(InputError, match="pinned"):
            load(tmp_path / "case.toml", stock=pinned)


def test_the_whole_generic_stock_survives_being_written_and_read(tmp_path: Path) -> None:
    """Every value of every kind of part comes back as the same float."""
    stock = generic_stock()
    pin = Pin("generic", "", stock.digest, True, tables_digest())
    found = reading(tmp_path, pinned_text(pin, stock.rows))
    assert found.problems == () and found.stock.rows == stock.rows and found.stock.pumps == stock.pumps
    assert content_of_rows(found.stock.rows) == content_of_rows(stock.rows)


def test_the_generic_stock_is_pinned_too(tmp_path: Path) -> None:
    case_path = tmp_path / "case.toml"
    case_path.write_text(CASE, encoding="utf-8")
    case = load(case_path)
    again = load(case_path, stock=copy_of(case, tmp_path))
    assert again.digest == case.digest and stock_for(again).generic and warnings(again) == ()


# ---- the command -----------------------------------------------------------------------------------------


def test_stock_check_says_what_was_understood(tmp_path: Path) -> None:
    path = firm(tmp_path).with_name("stock.toml")
    done = run("stock", "check", str(path))
    assert done.exit_code == 0
    text = " ".join(done.output.split())
    for word in (
        "22 rows",
        "T-040-4",
        "0.186 L/rev",
        "passage 20.0 mm",
        "Fitted to 12 test points",
        "T-H65",
        "old",
    ):
        assert word in text, word
    paths = str(tmp_path)
    assert all(len(line) <= 80 or paths in line for line in done.output.splitlines())


def test_stock_check_names_bad_rows_and_exits_2_unless_they_are_skipped(tmp_path: Path) -> None:
    path = firm(tmp_path, EXAMPLE.replace('mass = "38 kg"', 'mass = "38"')).with_name("stock.toml")
    done = run("stock", "check", str(path))
    assert done.exit_code == 2 and f"{path}:18: pump.mass" in done.output
    skipped = run("stock", "check", str(path), "--skip-bad")
    assert skipped.exit_code == 0 and f"{path}:18: pump.mass" in skipped.output
    assert "left out" in skipped.output and "T-040-4" in skipped.output


def test_stock_check_as_json(tmp_path: Path) -> None:
    path = firm(tmp_path, EXAMPLE.replace('mass = "38 kg"', 'mass = "38"')).with_name("stock.toml")
    done = run("stock", "check", str(path), "--json")
    data = json.loads(done.output)
    assert done.exit_code == 2 and data["usable"] is False and data["bad_rows"] == 1
    assert data["problems"][0]["line"] == 18 and data["problems"][0]["field"] == "pump.mass"
    tested = next(row for row in data["rows"] if row["article"] == "T-040-4")
    assert tested["derived"]["rated_pressure"]["clean"] == pytest.approx(24.0e5)
    assert tested["fit"]["displacement"]["low"] < 1.8624e-4 < tested["fit"]["displacement"]["high"]


def test_stock_check_of_the_generic_stock() -> None:
    done = run("stock", "check", "--json")
    assert done.exit_code == 0 and json.loads(done.output)["generic"] is True
    assert run("stock", "check").exit_code == 0


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 not a workbook", b"\xff\xfeA\x00", b"x = ", b"\x00"])
def test_a_file_that_is_no_stock_is_refused_in_words(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "stock.toml"
    path.write_bytes(content)
    done = run("stock", "check", str(path))
    assert done.exit_code == 2 and "Traceback" not in done.output and "do: " in done.output
    assert run("stock", "check", str(tmp_path)).exit_code == 2
    assert run("stock", "check", str(tmp_path / "nosuch.toml")).exit_code == 2


def test_the_sentences_of_the_stock_are_all_used() -> None:
    """No entry of the catalogue that nothing says."""
    source = "".join(path.read_text(encoding="utf-8") for path in (DATA.parent / "station").glob("stock*.py"))
    catalogue = (DATA / "phrases" / "en" / "stock.toml").read_text(encoding="utf-8")
    keys = [line.strip("[]") for line in catalogue.splitlines() if line.startswith("[STK-")]
    assert [key for key in keys if key not in source] == []


def test_stock_is_frozen() -> None:
    with pytest.raises(AttributeError):
        generic_stock().name = "x"  # type: ignore[misc]
    assert isinstance(generic_stock(), Stock)
