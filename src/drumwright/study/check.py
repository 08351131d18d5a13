"""A check: one condition over all samples of a season, or one decided without numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase

Array = NDArray[np.float64]
# Checks that fail below their limit; all others fail above it.
LOWER_LIMITS = frozenset({"feed.passage", "feed.inlet", "feed.frozen", "rate.flow"})


@dataclass(frozen=True, slots=True)
class Check:
    """A condition of one gate in one season.

    `ok` is an array over samples (the point of likely values first); `value` and `limit` likewise or floats.
    `decided` is False where a needed answer or model is missing: then `ok` is all False and not counted, and
    `waits_for` names the fields that would decide it.
    """

    key: str
    gate: str
    season: str
    ok: NDArray[np.bool_]
    value: Array
    limit: Array
    kind: str
    figure: str
    decided: bool = True
    waits_for: tuple[str, ...] = ()
    text: Phrase | None = None  # its own sentence, where the key has none

    @property
    def probability(self) -> float:
        """Share of samples that pass, the point left out where there are more."""
        return float(self.ok[1:].mean()) if self.ok.size > 1 else float(self.ok[0])


def flat(
    key: str, gate: str, ok: bool, value: float, limit: float, kind: str, waits_for: tuple[str, ...] = ()
) -> Check:
    """Return a check decided without samples; not decided where it waits for an answer."""
    found = np.array([ok]), np.array([value]), np.array([limit])
    return Check(key, gate, "all", *found, kind, key, not waits_for, waits_for)


def judge(
    season: str, key: str, gate: str, value: Array, limit: Array, kind: str, below: bool, figure: str
) -> Check:
    """A value against its limit in one season: it passes at or below the limit, or at or above it."""
    ok = value <= limit if below else value >= limit
    limits = np.broadcast_to(np.asarray(limit, float), value.shape)
    return Check(key, gate, season, np.asarray(ok), value, limits, kind, figure)
