"""Flow curves as people send them: what is understood, what is refused, and that nothing crashes."""

import io
import zipfile

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drumwright.basis.phrases import render
from drumwright.product.rheometer import Export, Options, read_export

POINTS = [(0.1, 240.0), (1.0, 328.0), (10.0, 505.25)]


def said(export: Export) -> str:
    return " ".join(render(each) for each in (*export.understood, *export.problems))


def check_points(export: Export, temperature: float | None = None) -> None:
    assert len(export.curves) == 1, said(export)
    curve = export.curves[0]
    np.testing.assert_allclose(curve.shear_rate, [g for g, _ in POINTS], rtol=1e-12)
    np.testing.assert_allclose(curve.stress, [t for _, t in POINTS], rtol=1e-12)
    assert curve.temperature == (None if temperature is None else pytest.approx(temperature))


SAME = {
    "comma": "Shear rate [1/s],Shear stress [Pa]\n0.1,240\n1,328\n10,505.25\n",
    "underscore": "shear_rate_1/s,stress_Pa\n0.1,240\n1,328\n10,505.25\n",
    "semicolon and decimal comma": "Scherrate [1/s];Schubspannung [Pa]\n0,1;240,0\n1,0;328\n10;505,25\n",
    "tabs": "γ̇ [1/s]\tτ [Pa]\n0.1\t240\n1\t328\n10\t505.25\n",
    "units below": "Shear Rate;Shear Stress\n[1/s];[Pa]\n0.1;240\n1;328\n10;505.25\n",
    "units bare below": "Shear rate;Stress\n1/s;Pa\n0.1;240\n1;328\n10;505.25\n",
    "in": "Scherrate in 1/s;Schubspannung in Pa\n0,1;240,0\n1,0;328,0\n10,0;505,25\n",
    "power of s": "Shear rate (s-1)\tStress (Pa)\n0.1\t240\n1\t328\n10\t505.25\n",
    "kilopascal": "Shear rate [1/s];Stress [kPa]\n0.1;0.24\n1;0.328\n10;0.50525\n",
    "dyne": "Shear rate [1/s];τ [dyn/cm²]\n0.1;2400\n1;3280\n10;5052.5\n",
    "per minute": "Shear rate [1/min];Stress [Pa]\n6;240\n60;328\n600;505.25\n",
    "viscosity": "Shear rate, 1/s;Viscosity, mPa·s\n0.1;2.4e6\n1;328000\n10;50525\n",
    "centipoise": "Shear rate [1/s];Viscosity [cP]\n0.1;2400000\n1;328000\n10;50525\n",
    "spaces": "Shear rate [1/s]  Stress [Pa]\n0.1   240\n1   328\n10   505.25\n",
    "single spaces": "Shear rate [1/s] Shear stress [Pa]\n0.1 240\n1 328\n10 505.25\n",
    "comments": "# made up\n// twice\n# Shear rate [1/s],Stress [Pa]\n0.1,240\n1,328\n10,505.25\n",
    "preamble": "Sample: invented\n25.11.2026\n\nShear rate [1/s];Stress [Pa]\n0.1;240\n1;328\n10;505.25\n",
    "more columns": "Pt;Time [s];Shear Rate [1/s];Torque [mNm];Shear Stress [Pa]\n"
    "1;10;0.1;1;240\n2;20;1;2;328\n3;30;10;3;505.25\n",
    "words between": "Shear rate [1/s];Stress [Pa]\n0.1;240\n1;328\nend of first part\n10;505.25\n",
    "gap in a row": "Shear rate [1/s];Stress [Pa];x\n0.1;240;1\n1;328;1\n5;;1\n10;505.25;1\n",
    "quotes": '"Shear rate [1/s]","Shear stress [Pa]"\n"0,1","240"\n"1,0","328"\n"10,0","505,25"\n',
    "trailing separators": "Shear rate [1/s];Stress [Pa];\n0,1;240,0;\n1,0;328;\n10,0;505,25;\n",
    "table with bars": "| Shear rate [1/s] | Stress [Pa] |\n"
    "|---|---|\n| 0.1 | 240 |\n| 1 | 328 |\n| 10 | 505.25 |\n",
    "empty first column": "\tShear Rate\tShear Stress\tSpeed\n\t[1/s]\t[Pa]\t[1/min]\n"
    "\t0.1\t240\t1\n\t1\t328\t10\n\t10\t505.25\t100\n",
    "exponents": "Shear rate [1/s];Stress [Pa]\n"
    "1.000E-01;2.400E+02\n1.000E+00;3.280E+02\n1.000E+01;5.0525E+02\n",
    "thousands": "Shear rate [1/s];Viscosity [mPa.s]\n0,1;2.400.000,0\n1,0;328.000,0\n10,0;50.525,0\n",
    "failed rows": "Shear rate [1/s];Stress [Pa];Status\n"
    "0.1;240;ok\n1;328;ok\n3;900;Error 12\n10;505.25;ok\n",
    "rest and minus": "Shear rate [1/s];Stress [Pa]\n0;0\n0.1;240\n-1;-328\n1;328\n10;505.25\n",
}  # fmt: skip


@pytest.mark.parametrize("text", SAME.values(), ids=SAME)
def test_the_same_curve_in_many_forms(text: str) -> None:
    check_points(read_export(text))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_encodings(encoding: str) -> None:
    text = "Scherrate [1/s];Schubspannung [Pa];Gerät\n0,1;240,0;1\n1,0;328;1\n10;505,25;1\n"
    check_points(read_export(text.encode(encoding)))


def test_temperature_from_everywhere() -> None:
    body = "Shear rate [1/s];Stress [Pa]\n0.1;240\n1;328\n10;505.25\n"
    check_points(read_export("Temperature: 22.5 °C\n" + body), 295.65)
    check_points(read_export("# T = 5 °C\n" + body), 278.15)
    check_points(read_export("Temperatur [°C]: 40\n" + body), 313.15)
    check_points(read_export(body, Options(temperature=300.0)), 300.0)
    column = "Shear rate [1/s];Stress [Pa];T [°C]\n0.1;240;20.1\n1;328;20\n10;505.25;19.9\n"
    check_points(read_export(column), 293.15)
    fahrenheit = (
        column.replace("°C", "°F").replace("20.1", "68").replace(";20\n", ";68\n").replace("19.9", "68")
    )
    check_points(read_export(fahrenheit), 293.15)


def test_several_temperatures() -> None:
    rows = "0.1;240;20\n1;328;20\n10;505;20\n0.1;340;5\n1;428;5\n10;605;5\n"
    column = read_export("Shear rate [1/s];Stress [Pa];Temperature [°C]\n" + rows)
    blocks = read_export(
        "Shear rate [1/s];Stress [Pa]\nT = 20 °C\n0.1;240\n1;328\n10;505\nT = 5 °C\n0.1;340\n1;428\n10;605\n"
    )
    beside = read_export(
        "20 °C;;5 °C;\nShear rate [1/s];Stress [Pa];Shear rate [1/s];Stress [Pa]\n"
        "0.1;240;0.1;340\n1;328;1;428\n10;505;10;605\n"
    )
    named = read_export(
        "Shear rate [1/s];Stress at 20 °C [Pa];Stress at 5 °C [Pa]\n0.1;240;340\n1;328;428\n10;505;605\n"
    )
    for export in (column, blocks, beside, named):
        assert [c.temperature for c in export.curves] == [293.15, 278.15], said(export)
        assert [c.stress[-1] for c in export.curves] == [505.0, 605.0]


def test_sweeps() -> None:
    up = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0]
    turned = "".join(f"{g};{100 + g}\n" for g in [*up, *up[-2::-1]])
    export = read_export("Shear rate [1/s];Stress [Pa]\n" + turned)
    assert [c.sweep for c in export.curves] == ["up", "down"]
    assert export.curves[1].shear_rate[0] == 30.0  # the point where it turns belongs to both
    words = "".join(f"{g};{100 + g};up\n{g};{90 + g};down\n" for g in up)
    export = read_export("Shear rate [1/s];Stress [Pa];Direction\n" + words)
    assert [c.sweep for c in export.curves] == ["up", "down"]
    assert export.curves[1].stress[0] == pytest.approx(90.1)
    shuffled = "".join(f"{g};{100 + g}\n" for g in (1.0, 0.1, 10.0, 0.3, 30.0, 3.0))
    export = read_export("Shear rate [1/s];Stress [Pa]\n" + shuffled)
    assert len(export.curves) == 1 and "sorted" in said(export)


REFUSED = {
    "": "nothing in it",
    "   \n\n": "nothing in it",
    "hello\nworld": "no row of two numbers",
    "Shear rate [1/s];Stress [Pa]\n": "no row of two numbers",
    "1;2\n2;3\n": "have no names",
    "Shear rate;Stress\n1;2\n2;3\n": "--shear-rate-unit",
    "Shear rate [1/s];Stress\n1;2\n2;3\n": "--stress-unit",
    "Shear rate [1/s];Viscosity [mm2/s]\n1;2\n2;3\n": "does not fit",
    "Speed [rpm];Viscosity [cP]\n1;20\n10;10\n": "speeds of rotation",
    "foo [1/s];bar [Pa]\n1;2\n2;3\n": "no shear rate",
    "Shear rate [1/s];Stress [Pa]\n1,234;2,345\n2,222;3,444\n": "1234",
    "Shear rate [1/s];Stress [Pa]\n1.234;2.345\n2.222;3.444\n": "1234",
    "Shear rate [1/s];Stress [Pa]\n0;0\n-1;-2\n": "no row above zero",
}


@pytest.mark.parametrize(("text", "words"), REFUSED.items(), ids=range(len(REFUSED)))
def test_what_is_refused_says_what_to_do(text: str, words: str) -> None:
    export = read_export(text)
    assert export.curves == ()
    assert words in said(export) and "do:" in said(export)


def test_what_the_user_says_settles_it() -> None:
    units = {"shear_rate": "1/s", "stress": "Pa"}
    check_points(read_export("Shear rate;Stress\n0.1;240\n1;328\n10;505.25\n", Options(units)))
    check_points(read_export("0.1;240\n1;328\n10;505.25\n", Options(units, ("shear_rate", "stress"))))
    trap = "Shear rate [1/s];Stress [Pa]\n1,234;2,345\n2,222;3,444\n"
    assert read_export(trap, Options(decimal="comma")).curves[0].stress[0] == pytest.approx(2.345)
    point = trap.replace(",", ".")
    assert read_export(point, Options(decimal="point")).curves[0].stress[0] == pytest.approx(2.345)


def test_stress_and_viscosity_are_compared() -> None:
    good = read_export(
        "Shear rate [1/s];Stress [Pa];Viscosity [Pa.s]\n0.1;240;2400\n1;328;328\n10;505.25;50.525\n"
    )
    check_points(good)
    assert "agree" in said(good) and good.problems == ()
    wrong = read_export(
        "Shear rate [1/s];Stress [Pa];Viscosity [Pa.s]\n0.1;240;2.4\n1;328;.328\n10;505.25;.050525\n"
    )
    check_points(wrong)
    assert "look at the units" in said(wrong)


def test_a_million_rows_become_bins() -> None:
    rate = np.geomspace(0.01, 1000.0, 1_000_000)
    text = "Shear rate [1/s];Stress [Pa]\n" + "\n".join(f"{g:.6g};{100 + 50 * g**0.4:.6g}" for g in rate)
    export = read_export(text)
    curve = export.curves[0]
    assert curve.shear_rate.size == 200 and "1000000 points" in said(export)
    np.testing.assert_allclose(curve.stress, 100.0 + 50.0 * curve.shear_rate**0.4, rtol=2e-3)


FORMATS = "http://schemas.openxmlformats.org"
MAIN, OFFICE = f"{FORMATS}/spreadsheetml/2006/main", f"{FORMATS}/officeDocument/2006/relationships"
PACKAGE = f"{FORMATS}/package/2006"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def related(target: str, kind: str) -> str:
    """Return the part that points to one other part."""
    one = f'<Relationship Id="r1" Type="{OFFICE}/{kind}" Target="{target}"/>'
    return f'<Relationships xmlns="{PACKAGE}/relationships">{one}</Relationships>'


PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    f'<Override PartName="/xl/workbook.xml" ContentType="{KIND}.sheet.main+xml"/>'
    f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{KIND}.worksheet+xml"/></Types>',
    "_rels/.rels": related("xl/workbook.xml", "officeDocument"),
    "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">'
    '<sheets><sheet name="20 °C" sheetId="1" r:id="r1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": related("worksheets/sheet1.xml", "worksheet"),
}


def workbook(rows: list[list[object]]) -> bytes:
    """Return the least workbook with one sheet named after its temperature."""
    cells = ""
    for number, row in enumerate(rows, 1):
        inner = "".join(
            f'<c r="{chr(65 + place)}{number}"><v>{value}</v></c>' if isinstance(value, float)
            else f'<c r="{chr(65 + place)}{number}" t="inlineStr"><is><t>{value}</t></is></c>'
            for place, value in enumerate(row)
        )  # fmt: skip
        cells += f'<row r="{number}">{inner}</row>'
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as book:
        sheet = f'<worksheet xmlns="{MAIN}"><sheetData>{cells}</sheetData></worksheet>'
        for name, text in {**PARTS, "xl/worksheets/sheet1.xml": sheet}.items():
            book.writestr(name, text)
    return raw.getvalue()


def test_a_workbook() -> None:
    raw = workbook([["Shear rate [1/s]", "Stress [Pa]"], *[list(row) for row in POINTS]])
    check_points(read_export(raw), 293.15)
    broken = read_export(b"PK\x03\x04 not a workbook at all")
    assert broken.curves == () and "workbook" in said(broken)


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    export = read_export(text)
    assert export.curves or export.problems


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(raw: bytes) -> None:
    export = read_export(raw)
    assert export.curves or export.problems
    assert said(export)


@settings(max_examples=100, derandomize=True, deadline=None)
@given(
    st.lists(
        st.lists(st.sampled_from(["1", "2.5", "3,7", "", "x", "-", "1e400", "nan", "0"]), max_size=4),
        max_size=8,
    )
)
def test_any_table_is_read_or_refused(rows: list[list[str]]) -> None:
    text = "Shear rate [1/s];Stress [Pa]\n" + "\n".join(";".join(row) for row in rows)
    export = read_export(text)
    assert export.curves or export.problems
    for curve in export.curves:
        assert np.isfinite(curve.shear_rate).all() and (curve.stress > 0.0).all()
