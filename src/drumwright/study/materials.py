"""Materials in contact with the product: candidates and exclusions with their reason, or what to ask first.

A first judgement from a table of memory. The makers of the parts confirm compound and grade; nothing is named
where an unknown answer could exclude it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from drumwright.basis.tables import read_toml

Rating = Literal["good", "limited", "exclude"]
PARTS = ("rotor", "stator", "diaphragm", "housing", "plate", "seal", "gasket", "pipe", "hose")


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
        Temperatures of product and cleaning [K].
    """

    agents: Mapping[str, bool | None]
    asks: Mapping[str, str]
    coldest: float
    hottest: float


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
def words(name: Literal["solvent", "cleaning"]) -> Mapping[str, tuple[str, ...]]:
    """Words a case may use for solvents or cleaning agents, with the agents each one brings.

    Parameters
    ----------
    name : str
        "solvent" or "cleaning".
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


def judge_part(part: str, exposure: Exposure) -> tuple[Judged, ...]:
    """Judge every material that is used at a part, candidates first.

    Parameters
    ----------
    part : str
        One of `PARTS`.
    exposure : Exposure

    Raises
    ------
    ValueError
        If nothing is known of such a part.
    """
    if part not in PARTS:
        raise ValueError(f"no such part: {part}")
    order = ("candidate", "trial", "open", "excluded")
    found = [_judge(name, part, row, exposure) for name, row in _materials().items() if part in row["parts"]]
    return tuple(sorted(found, key=lambda each: order.index(each.state)))


def _judge(name: str, part: str, row: Mapping[str, Any], exposure: Exposure) -> Judged:
    bad: list[tuple[str, str]] = []
    doubtful: list[tuple[str, str]] = []
    asks: list[str] = []
    for agent, how in agents().items():
        rating: Rating = row.get(agent, "good")
        if rating == "good":
            continue
        met = exposure.agents[agent]
        if met is None:
            if rating == "exclude":
                asks.append(exposure.asks[agent])
        elif met:
            (bad if rating == "exclude" else doubtful).append((agent, how))
    low, high = row["temperature"]
    if exposure.hottest > high:
        bad.append(("temperature", "softens" if row["kind"] != "metal" else "weakens"))
    if exposure.coldest < low:
        bad.append(("temperature", "stiffens"))
    if bad:
        return Judged(name, part, "excluded", tuple(bad), ())
    if asks:
        return Judged(name, part, "open", tuple(doubtful), tuple(dict.fromkeys(asks)))
    return Judged(name, part, "trial" if doubtful else "candidate", tuple(doubtful), ())


def open_answers(judged: Iterable[Judged]) -> tuple[str, ...]:
    """Fields that decide between materials, the one that holds back most of them first.

    Parameters
    ----------
    judged : iterable of Judged
    """
    counts: dict[str, int] = {}
    for each in judged:
        for field in each.asks:
            counts[field] = counts.get(field, 0) + 1
    return tuple(sorted(counts, key=lambda field: (-counts[field], field)))
