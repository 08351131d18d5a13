"""The money of a case: what counts, what only eases, what is refused, what is not in it; command and note."""

from __future__ import annotations

import json
import math
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

import drumwright
from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import render
from drumwright.cli.main import group
from drumwright.report import money_form
from drumwright.report.charts import Charts
from drumwright.report.money_chart import tornado_picture, tornado_spec
from drumwright.report.words import Words
from drumwright.study.economics import MoneyStudy, money
from drumwright.study.money_sheet import QUESTIONS
from money_kit import ALL_PRICES, DEMO, SAID, SAMPLES, WHOLE, counted, price_text

CAPEX_ITEMS = ("machine", "pump", "plates", "controls", "buffer", "installation", "warm_store", "guarding",
               "validation", "training", "spares", "contingency")  # fmt: skip


@pytest.fixture(scope="module")
def demo() -> MoneyStudy:
    return money(drumwright.load(DEMO), samples=SAMPLES)


def item(study: MoneyStudy, key: str):
    return next(row for row in study.items if row.key == key)


def keys(found) -> list[str]:
    return [each.key for each in found]


def test_public_name() -> None:
    assert drumwright.money is money


def test_every_measure_is_there_where_everything_was_said(demo: MoneyStudy) -> None:
    listed = {row.key for row in demo.rows}
    assert listed >= {
        "saving", "saving_fewer", "payback", "discounted_payback", "present_value", "chance_of_loss",
        "present_value_fewer", "return", "today_container", "station_container", "break_even_residue",
        "break_even_year", "break_even_day", "worth_spending", "spent",
    }  # fmt: skip
    for row in (*demo.rows, *demo.items):
        assert row.low <= row.middle <= row.high, row.key
    assert demo.row("discounted_payback").likely > demo.row("payback").likely
    assert demo.row("saving_fewer").likely < demo.row("saving").likely


def test_hours_count_only_where_they_are_released(tmp_path: Path) -> None:
    kept = counted(tmp_path)
    freed = counted(tmp_path, hours_released="true")
    not_freed = counted(tmp_path, hours_released="false")
    assert item(kept, "labour").likely == 0.0 and item(kept, "eases").likely > 0.0
    assert item(not_freed, "labour").likely == 0.0
    assert item(freed, "labour").likely == pytest.approx(item(kept, "eases").likely)
    assert item(freed, "eases").likely == 0.0
    assert freed.row("saving").likely > kept.row("saving").likely
    answers = [keys(next(a.answers for a in s.sheet if a.key == "cash")) for s in (kept, freed, not_freed)]
    assert "MNY-sheet.eases_ask" in answers[0]
    assert "MNY-sheet.released" in answers[1]
    assert "MNY-sheet.eases" in answers[2]


def test_hours_the_station_takes_more_always_count(tmp_path: Path) -> None:
    found = counted(tmp_path, present_hands="1 min", hours_released="false")
    assert item(found, "labour").high < 0.0
    assert item(found, "eases").high == 0.0


def test_a_refused_machine_saves_nothing() -> None:
    found = money(drumwright.load(WHOLE / "S12.toml", {**SAID, "product.price": "3"}), samples=SAMPLES)
    assert found.verdict == "refuse"
    assert keys(found.about) == ["MNY-refused"]
    assert not found.items and not found.rows and not found.amounts and not found.sheet and not found.swings
    assert {way.kind for way in found.ways} >= {"do_nothing", "other_container"}
    assert all(way.value is None for way in found.ways)


def test_what_must_be_asked_first_is_provisional() -> None:
    found = money(drumwright.load(WHOLE / "S11.toml", {**SAID, "product.price": "3"}), samples=SAMPLES)
    assert found.verdict == "ask_first"
    assert found.about[0].key == "MNY-provisional"


def test_without_any_price_nothing_is_money() -> None:
    found = money(drumwright.load(WHOLE / "S01.toml", SAID), samples=SAMPLES)
    assert "MNY-no_prices" in keys(found.about)
    assert found.amounts and not found.items and not found.rows


@pytest.mark.parametrize("name", sorted(set(ALL_PRICES) - {"product", "disposal", "labour"}))
def test_a_cost_without_a_price_is_named_and_the_answer_is_at_most(tmp_path: Path, name: str) -> None:
    prices = {key: value for key, value in ALL_PRICES.items() if key != name}
    more = {"chemicals_per_clean": "4 kg", "changeovers_per_year": "12"}
    whole, part = counted(tmp_path, **more), counted(tmp_path, prices, **more)
    assert not any(each.key == "MNY-unpriced" for each in whole.missing)
    assert [render(each) for each in part.missing if each.key == "MNY-unpriced"]
    assert "MNY-at_most" in keys(part.about)
    assert part.row("saving").likely >= whole.row("saving").likely


@pytest.mark.parametrize("name", ["product", "disposal", "labour"])
def test_a_gain_without_a_price_is_not_counted_and_named(tmp_path: Path, name: str) -> None:
    prices = {key: value for key, value in ALL_PRICES.items() if key != name}
    whole = counted(tmp_path, hours_released="true", changeovers_per_year="0")
    part = counted(tmp_path, prices, hours_released="true", changeovers_per_year="0")
    assert "MNY-no_gain" in keys(part.silent) and "MNY-no_gain" not in keys(whole.silent)
    assert part.row("saving").likely < whole.row("saving").likely


def test_prices_that_ended_or_begin_later_are_flagged(demo: MoneyStudy, tmp_path: Path) -> None:
    assert keys(demo.flags) == ["MNY-expired"]
    assert [price.state for price in demo.prices if price.name == "seal_set"] == ["expired"]
    file = tmp_path / "prices.toml"
    file.write_text(price_text(), encoding="utf-8")
    for date, flag in (("2031-01-01", "MNY-expired"), ("2025-01-01", "MNY-later"), ("soon", "MNY-undated")):
        case = drumwright.load(DEMO, {"money.currency": "marks", "case.date": date})
        found = money(case, prices=file, samples=SAMPLES)
        assert set(keys(found.flags)) == {flag}


def test_what_is_left_out_is_never_better(tmp_path: Path) -> None:
    """No class of the estimate is the widest, no item of the capex is free, no residue of today saves."""
    text = DEMO.read_text(encoding="utf-8").replace('estimate_class = "class_4"\n', "")
    file = tmp_path / "demo.toml"
    file.write_text(text.replace("pump = 17000\n", ""), encoding="utf-8")
    for name in ("prices-invented.toml", "demo-flow-curve.csv"):
        (tmp_path / name).write_bytes((DEMO.parent / name).read_bytes())
    wide, usual = money(drumwright.load(file), samples=SAMPLES), money(drumwright.load(DEMO), samples=SAMPLES)
    assert "MNY-no_class" in keys(wide.flags)
    assert any(each.key == "MNY-capex_missing" and "pump" in render(each) for each in wide.missing)
    assert (
        wide.row("spent").high / wide.row("spent").likely
        > usual.row("spent").high / usual.row("spent").likely
    )
    unsaid = text.replace("present_residue", "# present_residue").replace("present_hands", "# present_hands")
    file.write_text(unsaid, encoding="utf-8")
    found = money(drumwright.load(file), samples=SAMPLES)
    assert item(found, "residue").high == 0.0
    assert {"MNY-no_present_residue", "MNY-no_present_hands"} <= set(keys(found.silent))
    assert found.row("chance_of_loss").likely == 1.0
    assert math.isinf(found.row("payback").likely)


def test_a_pump_that_is_worn_from_the_start_has_no_price_of_wear(tmp_path: Path) -> None:
    """The range of the wear model begins at nothing: no cost is made of it, and that is said."""
    file = tmp_path / "prices.toml"
    file.write_text(price_text(), encoding="utf-8")
    case = WHOLE / "S03.toml"
    found = money(drumwright.load(case, SAID), prices=file, samples=4096)
    assert "MNY-no_wear" in keys(found.missing) and item(found, "pump_wear").low == 0.0
    assert not any(row.key == "wear_sets" for row in found.amounts)
    stated = money(drumwright.load(case, {**SAID, "money.wear_life": "2000"}), prices=file, samples=SAMPLES)
    assert "MNY-no_wear" not in keys(stated.missing)
    assert item(stated, "pump_wear").likely == pytest.approx(-2000 / 2000 * 1200)


def test_warming_costs_and_its_store_is_asked_for(tmp_path: Path) -> None:
    file = tmp_path / "prices.toml"
    file.write_text(price_text(), encoding="utf-8")
    case = drumwright.load(WHOLE / "S03.toml", {**SAID, "money.capex.warm_store": "0"})
    found = money(case, prices=file, samples=SAMPLES)
    assert item(found, "heat").high < 0.0
    assert "MNY-warm_store" in keys(found.flags)


def test_without_interest_both_paybacks_are_one_and_us_units_print(tmp_path: Path) -> None:
    found = counted(tmp_path, rate="0 %")
    assert found.row("discounted_payback").likely == pytest.approx(found.row("payback").likely)
    assert list(money_form.lines(found, Words("US")))
    json.dumps(money_form.as_dictionary(found, Words("US")), allow_nan=False)


def test_containers_a_year_are_said_or_refused(tmp_path: Path) -> None:
    with pytest.raises(QuantityError, match="containers a year"):
        money(drumwright.load(WHOLE / "S01.toml", {"product.price": "2"}), samples=SAMPLES)
    with pytest.raises(drumwright.InputError, match="drums_per_shift: 0 is outside"):
        drumwright.load(DEMO, {"enquiry.drums_per_shift": "0"})
    found = counted(tmp_path, drums_per_year="1000")
    assert found.amounts[0].likely == 1000.0


def test_a_way_that_was_said_is_compared_on_the_same_samples(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8")
    better = text.replace('kind = "scraper_and_scale"', 'kind = "other_container"').replace(
        'residue = {low = "2 %", likely = "3 %", high = "4 %"}', 'residue = "0.2 %"'
    )
    file = tmp_path / "demo.toml"
    file.write_text(better.replace('hands = {low = "12 min", likely = "16 min", high = "24 min"}', ""))
    (tmp_path / "prices-invented.toml").write_bytes((DEMO.parent / "prices-invented.toml").read_bytes())
    found = money(drumwright.load(file), samples=SAMPLES)
    way = next(each for each in found.ways if each.kind == "other_container")
    assert way.beats is not None and way.beats > 0.95
    assert "MNY-way_beats" in keys(way.conditions)


def test_amounts_without_a_currency_are_flagged_and_ways_stay_apart(tmp_path: Path) -> None:
    text = DEMO.read_text(encoding="utf-8").replace('currency = "crowns (invented)"\n', "")
    text += '\n[[money.alternative]]\ncapex = 0\nresidue = "1 %"\n'
    text += '\n[[money.alternative]]\nkind = "scraper_and_scale"\ncapex = 10\n'
    file = tmp_path / "demo.toml"
    file.write_text(text, encoding="utf-8")
    (tmp_path / "prices-invented.toml").write_bytes((DEMO.parent / "prices-invented.toml").read_bytes())
    found = money(drumwright.load(file), samples=SAMPLES)
    assert "MNY-no_currency" in keys(found.flags)
    kinds = [way.kind for way in found.ways]
    assert kinds.count("scraper_and_scale") == 2 and kinds.count("other") == 1
    values = [way.value for way in found.ways if way.value is not None]
    assert len(values) == 3
    assert values[1][0] == pytest.approx(-10.0)  # nothing said but what it costs: as today
    file.write_text(text + 8 * "\n[[money.alternative]]\ncapex = 0\n", encoding="utf-8")
    with pytest.raises(QuantityError, match="more than 8"):
        money(drumwright.load(file), samples=SAMPLES)


def test_the_answer_sheet_keeps_the_order_of_the_trade_book(demo: MoneyStudy) -> None:
    assert [each.key for each in demo.sheet] == [
        "volume", "cash", "stops", "people", "missed", "residue", "next", "cleaning", "signs", "noise",
        "floor",
    ] == [key for key, _ in QUESTIONS]  # fmt: skip
    unknown = {each.key for each in demo.sheet if not each.known}
    assert {"missed", "signs", "noise", "next"} <= unknown
    assert all(each.answers for each in demo.sheet)


def test_a_stated_answer_stands_on_the_sheet(tmp_path: Path) -> None:
    found = counted(tmp_path, last_purchase="no room for the lid", signs_file="the works manager")
    said = {each.key: each for each in found.sheet}
    assert "no room for the lid" in render(said["missed"].answers[0]) and said["missed"].known
    assert said["signs"].known


def test_command_and_python_give_the_same(demo: MoneyStudy) -> None:
    call = ["money", str(DEMO), "--samples", str(SAMPLES), "--json"]
    run = CliRunner().invoke(group, call)
    assert run.exit_code == 0
    assert json.loads(run.stdout) == json.loads(json.dumps(money_form.as_dictionary(demo, Words("metric"))))


def test_the_screen_is_narrow_and_says_that_prices_are_invented(demo: MoneyStudy) -> None:
    shown = list(money_form.lines(demo, Words("metric")))
    assert max(map(len, shown)) <= 80
    assert any("INVENTED" in line for line in shown)
    assert not any("nan" in line or "inf" in line.split() for line in shown)


def test_bad_prices_end_the_command_with_their_line(tmp_path: Path) -> None:
    file = tmp_path / "prices.toml"
    file.write_text(price_text({"product": (-2.0, "per kg")}), encoding="utf-8")
    run = CliRunner().invoke(group, ["money", str(DEMO), "--prices", str(file)])
    assert run.exit_code == 2
    assert "prices.toml:7" in run.output and "allowed: 0 or more" in run.output


def test_the_picture_shows_what_moves_the_money_most(demo: MoneyStudy, tmp_path: Path) -> None:
    spec = tornado_spec(demo, Words("metric"))
    widest = max(demo.swings, key=lambda swing: swing.width)
    assert demo.swings[0] is widest
    assert spec["data"]["values"][0]["to"] == pytest.approx(widest.at_low)
    assert tornado_picture(demo, Charts(Words("metric"))).svg.startswith(b"<svg")
    svg = tmp_path / "x.svg"
    run = CliRunner().invoke(group, ["money", str(WHOLE / "S12.toml"), "--svg", str(svg)])
    assert run.exit_code == 2 and not svg.exists()


def test_no_price_leaves_the_house(tmp_path: Path) -> None:
    """A planted price and a planted cost: in the note, not in the proposal and not in result.json."""
    from drumwright.report.note import note
    from drumwright.report.proposal import proposal

    file = tmp_path / "demo.toml"
    text = DEMO.read_text(encoding="utf-8").replace("machine = 46000", "machine = 46123.75")
    file.write_text(text, encoding="utf-8")
    prices = (
        (DEMO.parent / "prices-invented.toml")
        .read_text(encoding="utf-8")
        .replace("value = 1.9", "value = 1.94871")
    )
    (tmp_path / "prices-invented.toml").write_text(prices, encoding="utf-8")
    result = drumwright.assess(drumwright.load(file), samples=256, in_time=True)
    assert result.money is not None
    from drumwright.report import json_form

    inside, outside = str(note(result)), str(proposal(result)) + json_form.text(result)
    assert "1.94871" in inside
    for planted in (r"1\.94871", "46123", "crowns", "payback"):
        assert not re.search(rf"(?<![\d.]){planted}(?!\d)", outside)


def test_the_note_has_no_chapter_without_prices() -> None:
    result = drumwright.assess(drumwright.load(WHOLE / "S01.toml"), samples=256, in_time=True)
    assert result.money is None
