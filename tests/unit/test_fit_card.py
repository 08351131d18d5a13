"""What `drumwright fit` writes for a case: loop, points left out and doubts reach the answer."""

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import drumwright
from drumwright.basis.errors import InputError
from drumwright.basis.phrases import render
from drumwright.cli.main import group
from drumwright.station.casefile import case_from_dict
from drumwright.station.inputs import resolve
from drumwright.station.rheology import evidence
from drumwright.study.assess import assess

RATE = np.geomspace(0.1, 100.0, 10)
STRESS = 126.0 + 79.0 * RATE**0.39
CASE = {"container": {"kind": "straight_drum"}, "enquiry": {"flow": "0.3 m3/h"}}
LINE = {"bore": "DN50", "length": "5 m"}


def table(rate: np.ndarray, stress: np.ndarray) -> str:
    rows = "".join(f"{g:.6g};{t:.6g}\n" for g, t in zip(rate, stress, strict=True))
    return f"Shear rate [1/s];Shear stress [Pa]\n{rows}"


def fit(folder: Path, text: str, *arguments: str) -> Result:
    source = folder / "balm 7.csv"
    source.write_text(text, encoding="utf-8")
    return CliRunner().invoke(group, ["fit", str(source), *arguments])


def card_of(folder: Path, text: str, *arguments: str) -> drumwright.Case:
    """The case that reads the card of a table."""
    result = fit(folder, text, "--card", str(folder / "card.toml"), *arguments)
    assert result.exit_code == 0, result.output
    path = folder / "case.toml"
    head = 'format = 1\nproduct.file = "card.toml"\ncontainer.kind = "straight_drum"\n'
    path.write_text(head + 'enquiry.flow = "0.3 m3/h"\nline.bore = "DN50"\nline.length = "5 m"\n')
    return drumwright.load(path)


def careful(case: drumwright.Case) -> list[str]:
    return [render(item.text) for item in assess(case, samples=256).conditions if item.key == "fit.careful"]


def test_a_loop_widens_the_batch_factor_and_is_a_condition(tmp_path: Path) -> None:
    loop = table(np.concatenate([RATE, RATE[::-1]]), np.concatenate([1.4 * STRESS, STRESS[::-1]]))
    case = card_of(tmp_path, loop, "--temperature", "20C")
    product = case.product[0]
    factor = product.batch_factor
    assert factor is not None and (factor.low, factor.likely) == (0.9, 1.0)
    assert factor.high == pytest.approx(1.4, rel=0.005)
    assert product.name == "balm 7" and product.flow_curve[0].trust == "careful"
    taken = resolve(case, product, case.container[0]).estimates["product.batch_factor"]
    assert taken.high == factor.high
    said = careful(case)
    assert len(said) == 1 and "Up and down sweep differ" in said[0] and "20.0 °C" in said[0]


def test_the_up_sweep_asked_for_widens_downwards(tmp_path: Path) -> None:
    loop = table(np.concatenate([RATE, RATE[::-1]]), np.concatenate([1.4 * STRESS, STRESS[::-1]]))
    factor = card_of(tmp_path, loop, "--temperature", "20C", "--sweep", "up").product[0].batch_factor
    assert factor is not None and factor.high == 1.1
    assert factor.low == pytest.approx(1.0 / 1.4, rel=0.005)


def test_a_trusted_curve_brings_neither(tmp_path: Path) -> None:
    case = card_of(tmp_path, table(RATE, STRESS), "--temperature", "20C")
    assert case.product[0].batch_factor is None and case.product[0].flow_curve[0].trust == "trusted"
    assert careful(case) == []


def test_points_left_out_stay_on_the_card_and_off_the_law(tmp_path: Path) -> None:
    spoiled = STRESS.copy()
    spoiled[4] *= 1.6
    case = card_of(tmp_path, table(RATE, spoiled), "--temperature", "20C")
    curve = case.product[0].flow_curve[0]
    assert len(curve.shear_rate) == 10 and curve.left_out == (curve.shear_rate[4],)
    assert curve.method is not None and "left out" in curve.method
    law, fitted = evidence(case.product[0], 293.15).points[0][1], 126.0 + 79.0 * RATE**0.39
    np.testing.assert_allclose(law.stress(RATE), fitted, rtol=1e-3)
    assert "Points far off the curve" in careful(case)[0]
    shown = fit(tmp_path, table(RATE, spoiled), "--temperature", "20C").output
    assert "Left out:" in shown and "off the law" in shown


@pytest.mark.parametrize("left_out", [[2.0], [0.1, 1.0]])
def test_what_is_left_out_must_be_a_point_and_leave_three(left_out: list[float]) -> None:
    curve = {"shear_rate": [0.1, 1.0, 10.0, 100.0], "stress": [150.0, 200.0, 300.0, 500.0]}
    with pytest.raises(InputError, match=r"left_out|points"):
        case_from_dict({**CASE, "product": {"name": "x", "flow_curve": [{**curve, "left_out": left_out}]}})


def test_an_unknown_temperature_is_a_doubt_that_reaches_the_case(tmp_path: Path) -> None:
    case = card_of(tmp_path, table(RATE, STRESS))
    assert case.product[0].flow_curve[0].temperature is None
    assert "was not given" in (tmp_path / "card.toml").read_text(encoding="utf-8")
    assert "temperature is not known" in careful(case)[0]


def test_nothing_usable_exits_two(tmp_path: Path) -> None:
    assert fit(tmp_path, table(RATE, STRESS[::-1])).exit_code == 2
    assert fit(tmp_path, table(RATE[:2], STRESS[:2])).exit_code == 2
    assert fit(tmp_path, table(RATE, STRESS)).exit_code == 0


def test_a_case_without_a_curve_is_read_with_the_one_fitted() -> None:
    """A line of 0.3 m3/h in 50 mm: 8v/D = 6.8 1/s, at the wall of the fitted law (3n+1)/4n of it or more."""
    case = case_from_dict({**CASE, "line": LINE, "product": {"name": "balm (invented)"}})
    fitted = drumwright.fit(table(RATE, STRESS), case, resamples=100)
    assert fitted.ranges_from == "case_with_fit"
    line = next(each.need for each in fitted.studies[0].reach if each.need.place == "line")
    nominal = 8.0 * 0.3 / 3600.0 / (np.pi / 4.0 * 0.05**2) / 0.05
    power_law = nominal * (3.0 * 0.39 + 1.0) / (4.0 * 0.39)
    assert line.computed and power_law < line.low and line.high < 2.0 * power_law
    alone = drumwright.fit(table(RATE, STRESS), resamples=100).studies[0]
    assert next(each.need.low for each in alone.reach if each.need.place == "line") == 20.0


def test_both_machines_of_a_case_count(tmp_path: Path) -> None:
    """The demo is asked with the customer's own line (64 1/s) and recommended a wider one (31 1/s)."""
    case = drumwright.load(Path(__file__).parent.parent.parent / "cases" / "demo.toml")
    fitted = drumwright.fit(table(RATE, STRESS), case, resamples=100)
    line = next(each.need for each in fitted.studies[0].reach if each.need.place == "line")
    figures = {item.key: item for item in assess(case, samples=1024).figures}
    assert fitted.ranges_from == "case"
    assert line.low <= figures["recommended.line.wall_shear_rate"].low
    assert line.high >= figures["line.wall_shear_rate"].high


def test_a_case_without_a_machine_says_so() -> None:
    case = case_from_dict({"product": {"name": "balm (invented)"}, "container": {"kind": "tight_head_drum"}})
    assert drumwright.fit(table(RATE, STRESS), case, resamples=100).ranges_from == "not_computed"
