"""Materials in contact: every rule can exclude, unknown answers name nothing, and the case reaches them."""

from pathlib import Path

import pytest

import drumwright
from drumwright.basis.phrases import render
from drumwright.basis.tables import read_toml
from drumwright.study.materials import PARTS, Exposure, agents, judge_part, open_answers, words

TABLE = read_toml("materials.toml")["material"]
RULES = [
    (name, agent, row[agent])
    for name, row in TABLE.items()
    for agent in agents()
    if row.get(agent, "good") != "good"
]


def exposure(met: bool | None = False, hottest: float = 300.0, **agent: bool | None) -> Exposure:
    """An exposure with every agent the same, some of them stated."""
    everything = dict.fromkeys(agents(), met) | agent
    return Exposure(everything, {name: f"ask.{name}" for name in agents()}, 290.0, hottest)


@pytest.mark.parametrize(("name", "agent", "rating"), RULES)
def test_each_rating_of_the_table_speaks(name: str, agent: str, rating: str) -> None:
    """One agent alone turns a candidate into a trial or an exclusion, with that agent as the reason."""
    for part in TABLE[name]["parts"]:
        plain = {each.material: each.state for each in judge_part(part, exposure())}
        assert plain[name] == "candidate"
        met = {each.material: each for each in judge_part(part, exposure(**{agent: True}))}[name]
        assert met.state == ("excluded" if rating == "exclude" else "trial")
        assert met.reasons[0][0] == agent


def test_nothing_is_named_where_an_unknown_answer_could_exclude_it() -> None:
    """With nothing known no elastomer that something excludes is a candidate (trade book 1.1)."""
    for part in ("stator", "diaphragm", "seal"):
        for each in judge_part(part, exposure(None)):
            excludes = any(TABLE[each.material].get(agent) == "exclude" for agent in agents())
            assert each.state == ("open" if excludes else "candidate")
            assert bool(each.asks) is excludes


@pytest.mark.parametrize("name", TABLE)
def test_heat_beyond_the_limit_excludes(name: str) -> None:
    limit = TABLE[name]["temperature"][1]
    for part in TABLE[name]["parts"]:
        hot = {each.material: each.state for each in judge_part(part, exposure(hottest=limit + 1.0))}
        assert hot[name] == "excluded"
        warm = {each.material: each.state for each in judge_part(part, exposure(hottest=limit - 1.0))}
        assert warm[name] == "candidate"


def test_what_decides_most_is_asked_first() -> None:
    judged = judge_part("stator", exposure(fat=None, ketone=None))
    asks = open_answers(judged)
    counts = [sum(field in each.asks for each in judged) for field in asks]
    assert counts == sorted(counts, reverse=True)
    assert set(asks) == {"ask.fat", "ask.ketone"}


def test_every_word_of_a_case_brings_agents_of_the_table() -> None:
    for table in ("solvent", "cleaning"):
        for brings in words(table).values():  # type: ignore[arg-type]
            assert set(brings) <= set(agents())


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(ValueError, match="part"):
        judge_part("handle", exposure())
    assert all(judge_part(part, exposure()) for part in PARTS)


KNOWN = {
    "site.cleaning_agents": '["caustic"]',
    "site.cleaning_temperature": "75 C",
    "product.fat_share": "20 %",
    "product.ph": "6.5",
    "product.chloride": "0.1 %",
    "product.abrasive": "false",
    "product.solvents": '["none"]',
}


def _notes(settings: dict[str, str]) -> dict[str, str]:
    case = drumwright.load(Path("tests/whole/S02.toml"), settings)
    result = drumwright.assess(case, samples=64)
    said = (*result.findings, *result.conditions)
    return {item.key: render(item.text) for item in said if item.key.startswith("materials.")}


def test_fat_rules_out_the_rubber_that_swells_in_it() -> None:
    """Cream: EPDM swells in fat; without fat it stays; without an answer nothing is named."""
    stator = _notes(KNOWN)["materials.stator"]
    assert "not EPDM (fat swells it)" in stator
    assert "EPDM" in _notes(KNOWN | {"product.fat_share": "0 %"})["materials.stator"].split("not")[0]
    missing = _notes({key: value for key, value in KNOWN.items() if key != "product.fat_share"})
    assert "open until told the share of fat: EPDM" in missing["materials.stator"]
    assert "share of fat" in missing["materials.open"]


def test_food_keeps_plain_steel_out_and_a_known_case_names_nothing_open() -> None:
    notes = _notes(KNOWN)
    assert "not carbon steel" in notes["materials.pipe"]
    assert "materials.confirmed" in notes and "materials.open" not in notes


def test_stainless_is_a_judgement_not_a_reflex() -> None:
    """Grease, dry, no water, no acid: carbon steel is a candidate for pipe and plate."""
    case = drumwright.load(
        Path("tests/whole/S03.toml"),
        {
            "site.cleaning_agents": '["none"]',
            "product.solvents": '["mineral_oil"]',
            "product.ph": "7",
            "product.chloride": "0 %",
            "product.fat_share": "0 %",
        },
    )
    result = drumwright.assess(case, samples=64)
    pipe = next(render(item.text) for item in result.findings if item.key == "materials.pipe")
    assert pipe.startswith("Pipe: candidates carbon steel")


def test_a_word_that_is_no_cleaning_agent_is_refused_with_the_list() -> None:
    with pytest.raises(drumwright.InputError, match="steam"):
        drumwright.load(Path("tests/whole/S02.toml"), {"site.cleaning_agents": '["steem"]'})
