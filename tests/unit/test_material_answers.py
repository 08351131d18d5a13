"""Materials decide: a pump with a part nothing will do for is rejected; unknown answers leave it open."""

from pathlib import Path

import pytest

import drumwright
from drumwright.basis.phrases import render
from drumwright.basis.tables import read_toml
from drumwright.machine.pump.limits import elastomer_limits
from drumwright.station.inputs import Inputs, resolve
from drumwright.study.exposure import exposure_of
from drumwright.study.material_checks import nothing_left
from drumwright.study.materials import PARTS, judge_part
from drumwright.study.result import Result

DRY = {
    "site.cleaning_agents": '["none"]',
    "product.fat_share": "0 %",
    "product.ph": "7",
    "product.chloride": "0 %",
    "product.abrasive": "false",
    "product.solvents": '["none"]',
}
CREAM = DRY | {
    "site.cleaning_agents": '["caustic"]',
    "site.cleaning_temperature": "75 C",
    "product.fat_share": "20 %",
    "product.chloride": "0.05 %",
}
DISSOLVING = DRY | {"product.solvents": '["ketone", "aromatic"]'}


def _result(name: str, settings: dict[str, str]) -> Result:
    return drumwright.assess(drumwright.load(Path(f"tests/whole/{name}.toml"), settings), samples=64)


def _inputs(name: str, settings: dict[str, str]) -> Inputs:
    case = drumwright.load(Path(f"tests/whole/{name}.toml"), settings)
    return resolve(case, case.product[0], case.container[0])


def _states(part: str, settings: dict[str, str], name: str = "S02") -> dict[str, tuple[str, tuple[str, ...]]]:
    """State and questions of every material of a part."""
    inputs = _inputs(name, settings)
    return {each.material: (each.state, each.asks) for each in judge_part(part, exposure_of(inputs))}


def test_a_stator_that_dissolves_takes_its_family_out_by_name() -> None:
    """Ketone and aromatic solvent: nothing for the stator; search and table of families go on without it."""
    result = _result("S03", DISSOLVING)
    rows = {row.family: row for row in result.families}
    assert not rows["progressing_cavity"].passes and not rows["external_gear"].passes
    assert "ketone" in render(rows["progressing_cavity"].decides.text)
    assert result.recommended is not None
    assert not any("cavity" in part.name for part in result.recommended.parts)
    plain = {row.family: row for row in _result("S03", DRY).families}
    assert "materials" not in plain["progressing_cavity"].decides.key


@pytest.mark.parametrize(
    ("settings", "part"),
    [
        (DRY | {"site.cleaning_agents": '["hydrochloric"]', "site.cleaning_temperature": "20 C"}, "Pipe"),
        (
            DISSOLVING | {"site.cleaning_agents": '["steam"]', "product.fat_share": "20 %"},
            "Hose",
        ),
    ],
)
def test_a_part_every_pump_needs_is_asked_of_its_makers_first(settings: dict[str, str], part: str) -> None:
    result = _result("S03", settings)
    assert result.verdict == "ask_first"
    said = [render(item.text) for item in result.findings if item.key.startswith("materials.")]
    assert any(text.startswith(part) and "nothing of the table will do" in text for text in said)
    assert "materials.confirmed" not in {item.key for item in result.conditions}


def test_a_pump_that_only_its_stator_stops_is_asked_of_its_makers() -> None:
    """Pieces of fruit pass one family only; its stator dissolves: the answer says so, and offers nothing."""
    result = _result("S02", DISSOLVING)
    assert (result.verdict, result.offer) == ("ask_first", "nothing")
    assert "Stator" in render(result.reason) and "ketone" in render(result.reason)


def test_materials_soften_no_refusal() -> None:
    """What no line drives is refused with its pressure, also where a part has no material."""
    far = {"line.length": "2000 m", "enquiry.pressure_limit": "6 bar(g)"}
    assert _result("S03", DRY | far).verdict == "refuse"
    assert _result("S03", DISSOLVING | far).verdict == "refuse"


def test_an_unknown_answer_rejects_no_part() -> None:
    for name in ("S01", "S02", "S03", "S05", "S07", "S09"):
        exposure = exposure_of(_inputs(name, {}))
        assert not any(nothing_left(judge_part(part, exposure)) for part in PARTS)


STOCK = """
[stock]
name = "one pump (invented)"

[[pump]]
article = "N-1"
name = "cavity pump with a stator of NBR (invented)"
family = "progressing_cavity"
status = "active"
maximum_pressure = "16 bar(g)"
maximum_speed = "300 1/min"
preferred_speed = "150 1/min"
port = "65 mm"
height = "1.1 m"
mass = "58 kg"
elastomers = ["NBR"]
eccentricity = "10 mm"
rotor_diameter = "40 mm"
stator_pitch = "120 mm"
stages = 2
"""


@pytest.mark.parametrize(("cleaned", "stopped"), [("70 C", False), ("90 C", True)])
def test_the_own_elastomer_of_a_pump_is_what_it_is_judged_by(
    tmp_path: Path, cleaned: str, stopped: bool
) -> None:
    """NBR stands 80 C (physics book 4.11): a cleaning at 90 C stops the pump by name, FKM or not."""
    file = tmp_path / "stock.toml"
    file.write_text(STOCK, encoding="utf-8")
    settings = DRY | {"site.cleaning_agents": '["water"]', "site.cleaning_temperature": cleaned}
    case = drumwright.load(Path("tests/whole/S01.toml"), settings | {"machine.pump": "N-1"}, stock=file)
    result = drumwright.assess(case, samples=64)
    said = {item.key: render(item.text) for item in result.findings if item.role == "fail"}
    assert ("materials.stator" in said) is stopped
    if stopped:
        assert "progressing cavity" in said["materials.stator"] and "too hot" in said["materials.stator"]
        assert "FKM" not in said["materials.stator"]


def test_pumps_and_materials_know_one_limit_of_temperature() -> None:
    """Low ends of physics book 4.11: NBR 80, EPDM 120, FKM 130, PTFE 100 C."""
    named = dict(elastomer_limits(["NBR", "EPDM", "FKM", "PTFE", "natural rubber"]))
    table = read_toml("materials.toml")["material"]
    expected = {"NBR": 353.15, "EPDM": 393.15, "FKM": 403.15, "PTFE": 373.15}
    assert {name: named[name] for name in expected} == expected
    for name, limit in named.items():
        assert table[name.casefold().replace(" ", "_")]["temperature"][1] == limit
    with pytest.raises(KeyError):
        elastomer_limits(["cast iron"])


def test_the_ends_of_the_temperatures_count() -> None:
    """A high that may be 85 C is too hot for NBR, also where 75 C is likely."""
    wide = DRY | {"product.temperature.high": '{low="70 C", likely="75 C", high="85 C"}'}
    assert _states("gasket", wide)["nbr"][0] == "excluded"
    narrow = DRY | {"product.temperature.high": '{low="70 C", likely="75 C", high="78 C"}'}
    assert _states("gasket", narrow)["nbr"][0] == "trial"  # hot water ages it


def test_cold_ends_and_heaters_count() -> None:
    """FKM stiffens at -15 C, which only the low end reaches; a wall of 85 C is too hot for NBR."""
    cold = DRY | {"product.temperature.low": '{low="-20 C", likely="-10 C", high="-5 C"}'}
    assert _states("gasket", cold, "S03")["fkm"][0] == "excluded"
    assert _states("gasket", DRY, "S03")["fkm"][0] == "candidate"
    heated = DRY | {"site.heating": "band_heater", "site.heating_temperature": "85 C", "site.warm_to": "40 C"}
    assert _states("gasket", heated)["nbr"][0] == "excluded"


@pytest.mark.parametrize("agent", ["hot_water", "caustic", "acid_without_chloride"])
def test_warm_cleaning_of_unknown_temperature_asks_for_it(agent: str) -> None:
    """Usual warm cleaning is 85 C (assumed): NBR (80 C) stays open until told, EPDM (120 C) does not."""
    settings = DRY | {"site.cleaning_agents": f'["{agent}"]'}
    states = _states("gasket", settings)
    assert states["nbr"][0] == "open" and "site.cleaning_temperature" in states["nbr"][1]
    assert states["epdm"][0] == "candidate"
    told = _states("gasket", settings | {"site.cleaning_temperature": "50 C"})
    assert told["nbr"][0] in ("candidate", "trial")


def test_steam_is_possible_where_nobody_said_how_it_is_cleaned() -> None:
    unsaid = {key: value for key, value in DRY.items() if key != "site.cleaning_agents"}
    assert "site.cleaning_agents" in _states("gasket", unsaid)["ptfe"][1]
    assert _states("gasket", DRY)["ptfe"][0] == "candidate"


@pytest.mark.parametrize("agent", ["solvent", "purge_compound"])
def test_a_cleaner_of_unknown_composition_leaves_rubber_open(agent: str) -> None:
    states = _states("gasket", DRY | {"site.cleaning_agents": f'["{agent}"]'})
    for name in ("nbr", "epdm", "fkm"):
        assert states[name][0] == "open" and "site.cleaning_agents.which" in states[name][1]
    named = _states("gasket", DRY | {"site.cleaning_agents": '["alcohol"]'})
    assert named["epdm"][0] == "candidate" and named["nbr"][0] == "trial"


@pytest.mark.parametrize("missing", ["product.chloride", "site.cleaning_agents"])
def test_stainless_is_named_only_where_what_pits_it_is_known(missing: str) -> None:
    known = CREAM
    assert _states("pipe", known)["steel_1_4404"][0] == "candidate"
    unsaid = _states("pipe", {key: value for key, value in known.items() if key != missing})
    assert unsaid["steel_1_4404"][0] == "open" and missing in unsaid["steel_1_4404"][1]


@pytest.mark.parametrize(
    "more",
    [
        {"product.ph": "3.8"},
        {"site.cleaning_agents": '["peracetic"]'},
        {"product.temperature.high": "70 C"},
    ],
)
def test_what_adds_to_much_chloride_excludes_stainless(more: dict[str, str]) -> None:
    """Salt alone is a trial for 1.4404; with acid, oxidant or heat over 60 C it is out, duplex is not."""
    salty = CREAM | {"product.chloride": "1 %"}
    assert _states("pipe", salty)["steel_1_4404"][0] == "trial"
    found = _states("pipe", salty | more)
    assert found["steel_1_4404"][0] == "excluded"
    assert found["steel_1_4462"][0] in ("candidate", "trial")


def test_the_level_of_chloride_falls_with_temperature() -> None:
    """0.08 % is under the level of 0.1 % at 20 C; at 60 C half of it counts (assumed)."""
    some = CREAM | {"product.chloride": "0.08 %"}
    cool, warm = (some | {"product.temperature.high": value} for value in ("20 C", "60 C"))
    assert _states("pipe", cool)["steel_1_4404"][0] == "candidate"
    assert _states("pipe", warm)["steel_1_4404"][0] == "trial"


def test_an_acid_of_unknown_kind_may_be_hydrochloric() -> None:
    acid = CREAM | {"site.cleaning_agents": '["acid"]'}
    assert _states("pipe", acid)["steel_1_4462"] == ("open", ("site.cleaning_agents.which",))
    other = CREAM | {"site.cleaning_agents": '["acid_without_chloride"]', "product.chloride": "0 %"}
    assert _states("pipe", other)["steel_1_4404"][0] == "candidate"
    worst = CREAM | {"site.cleaning_agents": '["hydrochloric"]'}
    assert {state for state, _ in _states("pipe", worst).values()} == {"excluded"}


def test_every_reason_is_said() -> None:
    result = _result("S02", CREAM | {"product.solvents": '["ketone", "aromatic"]'})
    gasket = next(render(item.text) for item in result.findings if item.key == "materials.gasket")
    assert "NBR (ketone dissolves or softens it and aromatic solvent swells it)" in gasket
