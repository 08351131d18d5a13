"""Materials in contact with the product: candidates and exclusions with their reason, or what to ask first.

A first judgement from a table of memory. The makers of the parts confirm compound and grade; nothing is named
where an unknown answer could exclude it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from drumwright.basis.tables import read_toml

Rating = Literal["good", "limited", "exclude"]
PARTS = (
    "rotor", "stator", "diaphragm", "housing", "pump_seal", "plate", "seal", "gasket", "pipe", "hose",
)  # fmt: skip
_PITS = ("chloride", "much_chloride", "acid", "oxidant")  # what metals must be told of before they are named


@dataclass(frozen=True, slots=True)
class Exposure:
    """What the parts meet: for each agent yes, no or unknown (None), and the hottest contact.

    Parameters
    ----------
    agents : mapping of str to bool or None
        Every agent of the table; None where nobody said.
    asks : mapping of str to str
        For an unknown agent the field of the case that would tell.
    coldest, hottest : float
        Temperatures of product and cleaning, the ends of what was said [K].
    hotter : mapping of str to float
        Field that nobody answered, and how hot it could get by it [K].
    chloride_hot : bool or None
        Whether chloride stands on the parts in the heat; None where nobody said how hot.
    """

    agents: Mapping[str, bool | None]
    asks: Mapping[str, str]
    coldest: float
    hottest: float
    hotter: Mapping[str, float] = field(default_factory=dict)
    chloride_hot: bool | None = False


@dataclass(frozen=True, slots=True)
class Judged:
    """One material at one part.

    `state`: candidate; trial (a limited rating stands); open (an unknown answer could exclude it); excluded.
    `reasons`: agent (or "temperature") and what it does; `asks` the fields that decide where it is open.
    """

    material: str
    part: str
    state: Literal["candidate", "trial", "open", "excluded"]
    reasons: tuple[tuple[str, str], ...]
    asks: tuple[str, ...]


@cache
def _materials() -> Mapping[str, dict[str, Any]]:
    return MappingProxyType(read_toml("materials.toml")["material"])


@cache
def agents() -> Mapping[str, str]:
    """Agents of the table, each with the word for what it does."""
    return MappingProxyType(
        {name: str(row["how"]) for name, row in read_toml("materials.toml")["agent"].items()}
    )


@cache
def words(name: Literal["solvent", "cleaning", "cleaning_may"]) -> Mapping[str, tuple[str, ...]]:
    """Words a case may use for solvents or cleaning agents, with the agents each one brings.

    Parameters
    ----------
    name : str
        "solvent" or "cleaning"; "cleaning_may" holds what a word brings that names no composition.
    """
    rows = read_toml("materials.toml")[name]
    return MappingProxyType({word: tuple(brings) for word, brings in rows.items()})


@cache
def level(name: str) -> float:
    """Level at which a number of the product card begins to count [SI unit of the number].

    Parameters
    ----------
    name : str
        Row of the table "level".

    Raises
    ------
    KeyError
        If there is no such level.
    """
    return float(read_toml("materials.toml")["level"][name])


def judge_part(part: str, exposure: Exposure, only: Sequence[str] = ()) -> tuple[Judged, ...]:
    """Judge every material that is used at a part, candidates first.

    Parameters
    ----------
    part : str
        One of `PARTS`.
    exposure : Exposure
    only : sequence of str
        The materials the part comes with, where its row of the stock names them; else all of the table.

    Raises
    ------
    ValueError
        If nothing is known of such a part.
    """
    if part not in PARTS:
        raise ValueError(f"no such part: {part}")
    order = ("candidate", "trial", "open", "excluded")
    table = _materials()
    names = only or [name for name, row in table.items() if part in row["parts"]]
    found = [_judge(name, part, table[name], exposure) for name in names]
    return tuple(sorted(found, key=lambda each: order.index(each.state)))


def _judge(name: str, part: str, row: Mapping[str, Any], exposure: Exposure) -> Judged:
    bad, doubtful, asks = _rated(row, exposure)
    if row["kind"] in ("metal", "coating"):
        worse, more = _adding_up(row, exposure)
        if worse and not bad:
            bad += [*doubtful, *(each for each in worse if (each[0], "attacks") not in doubtful)]
        asks += more
    low, high = row["temperature"]
    if exposure.hottest > high:
        bad.append(("temperature", "softens" if row["kind"] != "metal" else "weakens"))
    if exposure.coldest < low:
        bad.append(("temperature", "stiffens"))
    asks += [answer for answer, could in exposure.hotter.items() if could > high]
    if bad:
        return Judged(name, part, "excluded", tuple(bad), ())
    if asks:
        return Judged(name, part, "open", tuple(doubtful), tuple(dict.fromkeys(asks)))
    return Judged(name, part, "trial" if doubtful else "candidate", tuple(doubtful), ())


def _rated(
    row: Mapping[str, Any], exposure: Exposure
) -> tuple[list[tuple[str, str]], list[tuple[str, str]], list[str]]:
    """What excludes a material, what makes it a trial, and what decides; agents one by one."""
    bad: list[tuple[str, str]] = []
    doubtful: list[tuple[str, str]] = []
    asks: list[str] = []
    metal = row["kind"] in ("metal", "coating")
    for agent, how in agents().items():
        rating: Rating = row.get(agent, "good")
        if rating == "good":
            continue
        met = exposure.agents[agent]
        if met is None:
            if rating == "exclude" or (metal and agent in _PITS):
                asks.append(exposure.asks[agent])
        elif met:
            (bad if rating == "exclude" else doubtful).append((agent, how))
    return bad, doubtful, asks


def _adding_up(row: Mapping[str, Any], exposure: Exposure) -> tuple[list[tuple[str, str]], list[str]]:
    """What adds to chloride on a metal that stands it alone for a trial: acid, oxidant, heat; from memory."""
    limited = [agent for agent in ("chloride", "much_chloride") if row.get(agent) == "limited"]
    if not any(exposure.agents[agent] for agent in limited):
        return [], []
    met = {agent: exposure.agents[agent] for agent in ("acid", "oxidant")} | {"heat": exposure.chloride_hot}
    asked = {**exposure.asks, "heat": "site.cleaning_temperature"}
    worse = [(agent, "worsens") for agent, is_met in met.items() if is_met]
    return worse, [asked[agent] for agent, is_met in met.items() if is_met is None]


def open_answers(judged: Iterable[Judged]) -> tuple[str, ...]:
    """Fields that decide between materials, the one that holds back most of them first.

    Parameters
    ----------
    judged : iterable of Judged
    """
    counts: dict[str, int] = {}
    for each in judged:
        for asked in each.asks:
            counts[asked] = counts.get(asked, 0) + 1
    return tuple(sorted(counts, key=lambda asked: (-counts[asked], asked)))
