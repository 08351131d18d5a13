"""`drumwright fit`: what it prints, writes and refuses; garbage curves get clear findings."""

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import drumwright
from drumwright.basis.phrases import render
from drumwright.cli.main import group
from drumwright.product.curve_study import CurveStudy, study_curves
from drumwright.product.export_curves import Curve
from drumwright.product.ranges import Need, reaches, sentence
from drumwright.report.curve_chart import curve_spec
from drumwright.report.words import Words

RATE = [0.1, 0.3, 1.0, 3.0, 10.0, 30.0, 100.0]
STRESS = [240.0, 277.0, 328.0, 393.0, 505.0, 636.0, 868.0]
TABLE = "Shear rate [1/s];Stress [Pa]\n" + "".join(f"{g};{t}\n" for g, t in zip(RATE, STRESS, strict=True))
DEMO = Path(__file__).parent.parent.parent / "cases" / "demo.toml"


def run(*arguments: str, pasted: str | None = None) -> Result:
    return CliRunner().invoke(group, ["fit", *arguments], input=pasted)


def study(rate: object, stress: object, **more: object) -> CurveStudy:
    curve = Curve(np.asarray(rate, dtype=float), np.asarray(stress, dtype=float), 295.15)
    return study_curves([curve], count=200, **more)[0]  # type: ignore[arg-type]


def reasons(found: CurveStudy) -> str:
    return " ".join(render(each) for each in found.reasons)


def test_a_pasted_table() -> None:
    result = run("-", "--temperature", "22C", pasted=TABLE)
    assert result.exit_code == 0, result.output
    assert "* Herschel-Bulkley" in result.output
    assert "Your curve stops at 100 1/s, the pump slip reads it at 100000 1/s" in result.output
    assert max(len(line) for line in result.output.splitlines()) <= 80
    assert "\x1b" not in result.output


def test_the_same_in_python() -> None:
    fitted = drumwright.fit(TABLE, name="paste (invented)")
    assert fitted.studies[0].fit is not None
    assert fitted.studies[0].fit.law.yield_stress == pytest.approx(150.0, rel=0.25)
    assert next(render(each) for each in fitted.problems).startswith("No temperature is given")


def test_json_has_one_shape(tmp_path: Path) -> None:
    data = json.loads(run("-", "--temperature", "22C", "--json", pasted=TABLE).output)
    assert data["form"] == "drumwright.fit/1"
    curve = data["curves"][0]
    assert curve["chosen"] == "herschel_bulkley" and len(curve["models"]) == 5
    assert sum(model["votes"] for model in curve["models"]) == pytest.approx(1.0)
    nothing = run("-", "--json", pasted="nothing")
    assert nothing.exit_code == 2
    assert set(json.loads(nothing.output)) == set(data)


def test_card_and_picture(tmp_path: Path) -> None:
    card, svg = tmp_path / "card.toml", tmp_path / "fit.svg"
    table = tmp_path / "curve.csv"
    table.write_text(TABLE, encoding="utf-8")
    result = run(
        str(table), "--temperature", "22C", "--product", "invented", "--card", str(card), "--svg", str(svg)
    )
    assert result.exit_code == 0, result.output
    assert svg.read_text(encoding="utf-8").startswith("<svg")
    again = run(str(table), "--temperature", "22C", "--card", str(card))
    assert again.exit_code == 2 and "exists" in again.output
    case = tmp_path / "case.toml"
    case.write_text('format = 1\nproduct.file = "card.toml"\ncontainer.kind = "straight_drum"\n')
    read = drumwright.load(case)
    curve = read.product[0].flow_curve[0]
    assert read.product[0].name == "invented"
    np.testing.assert_allclose(curve.stresses_si(), STRESS, rtol=1e-5)
    assert curve.temperature is not None and curve.temperature.likely == pytest.approx(295.15)
    assert curve.method is not None and "curve.csv" in curve.method and "trusted" in curve.method


def test_a_case_says_which_shear_rates_are_needed() -> None:
    result = run("-", "--temperature", "22C", "--case", str(DEMO), "--json", pasted=TABLE)
    data = json.loads(result.output)
    computed = {each["place"] for each in data["curves"][0]["ranges"] if each["computed"]}
    assert data["ranges_from"] == "case"
    assert {"line", "cavity", "seal_line", "slip", "gap"} <= computed


def test_what_cannot_be_read_exits_two(tmp_path: Path) -> None:
    for arguments in (("no_such_file.csv",), (), ("-", "--temperature", "warm"), ("-", "--stress-unit", "K")):
        result = run(*arguments, pasted=TABLE)
        assert result.exit_code == 2, arguments
        assert "Traceback" not in result.output
    result = run("-", "--card", str(tmp_path / "c.toml"), pasted="nothing")
    assert result.exit_code == 2 and not (tmp_path / "c.toml").exists()


def test_the_library_is_listed() -> None:
    result = run("--library")
    assert result.exit_code == 0 and "never a measured" in result.output
    assert max(len(line) for line in result.output.splitlines()) <= 80
    assert result.output.startswith("Products to start from") and "at 27 °C" in result.output
    assert "26.9" not in result.output and "Pa s^n" in result.output
    rows = json.loads(run("--library", "--json").output)["library"]
    assert {"published", "from_memory", "computed", "assumed"} == {row["kind"] for row in rows}
    assert all(row["source"] for row in rows)


GARBAGE = {
    "one point": ([1.0], [100.0], "no_fit"),
    "one rate": ([1.0, 1.0, 1.0], [100.0, 110.0, 105.0], "no_fit"),
    "two points": ([1.0, 10.0], [100.0, 200.0], "two_points"),
    "constant": (RATE, [300.0] * 7, "flat"),
    "falling": (RATE, STRESS[::-1], "falls"),
    "noise": (RATE, [90.0, 500.0, 70.0, 800.0, 40.0, 900.0, 300.0], "hopeless"),
}


@pytest.mark.parametrize(("rate", "stress", "reason"), GARBAGE.values(), ids=GARBAGE)
def test_garbage_is_not_usable_and_says_why(rate: list[float], stress: list[float], reason: str) -> None:
    found = study(rate, stress)
    assert found.trust == "not_usable"
    assert f"FIT-trust.{reason}" in [each.key for each in found.reasons]
    assert reasons(found)


def test_a_good_curve_is_trusted_and_a_doubtful_one_is_not() -> None:
    good = study(RATE, STRESS)
    assert good.trust == "trusted" and good.reasons == ()
    narrow = study([1.0, 1.5, 2.0, 3.0, 4.0], [328.0, 345.0, 360.0, 393.0, 410.0])
    assert narrow.trust == "careful" and "span only" in reasons(narrow)


def test_loop_fits_the_down_sweep_and_the_band_holds_both() -> None:
    rate = np.array(RATE)
    down = np.array(STRESS)
    curves = [Curve(rate, 1.3 * down, 295.15, "up"), Curve(rate[::-1], down[::-1], 295.15, "down")]
    found = study_curves(curves, count=200)[0]
    assert found.sweep == "down" and found.trust == "careful"
    assert found.loop is not None and found.loop.ratio == pytest.approx(1.3)
    assert found.fit is not None
    np.testing.assert_allclose(found.fit.law.stress(rate), down, rtol=0.03)
    middle = np.argmin(np.abs(found.grid - 1.0))
    assert found.band[2][middle] >= 1.29 * 328.0 * 0.99
    up = study_curves(curves, sweep="up", count=200)[0]
    assert up.sweep == "up" and up.fit is not None
    np.testing.assert_allclose(up.fit.law.stress(rate), 1.3 * down, rtol=0.03)


def test_outliers_are_left_out_and_said() -> None:
    rate = np.geomspace(0.1, 100.0, 16)
    stress = 150.0 + 60.0 * rate**0.35
    stress[7] *= 2.0
    found = study(rate, stress)
    assert found.weighting == "robust" and found.outliers == (7,)
    assert found.fit is not None and found.fit.law.yield_stress == pytest.approx(150.0, rel=1e-3)


def test_asked_model_is_taken() -> None:
    found = study(RATE, STRESS, model="bingham")
    assert found.fit is not None and (found.fit.chosen, found.fit.reason) == ("bingham", "asked")


def test_the_sentence_of_the_issue() -> None:
    """ "your curve stops at 50 1/s, the pump slip reads it at 8,000"."""
    reach = reaches([Need("slip", 4000.0, 8000.0)], 0.1, 50.0)[0]
    said = render(sentence(reach, 0.1, 50.0))
    assert said == "Your curve stops at 50.0 1/s, the pump slip reads it at 8000 1/s: 160 times beyond."


def test_the_picture_holds_points_models_and_band() -> None:
    spec = curve_spec(drumwright.fit(TABLE), Words())
    band, lines, points = spec["layer"]
    assert len(points["data"]["values"]) == 7
    assert len({row["line"] for row in spec["data"]["values"]}) == 5
    assert all(row["low"] <= row["high"] for row in band["data"]["values"])
    assert lines["mark"]["type"] == "line"
