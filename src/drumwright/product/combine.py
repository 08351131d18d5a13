"""Many pieces of evidence, one band of flow laws: a broad prior, weighted by what was read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.sampling import scrambled_sobol
from drumwright.flow.numbers import Array
from drumwright.product.evidence_pieces import Piece
from drumwright.product.law import FlowLaw
from drumwright.product.regression import GAS_CONSTANT

COUNT = 8192  # points of the prior, twice
PARTICLES = 4096
SEED = 1  # the prior is the same for everyone
FREEDOM = 4.0  # of the heavy-tailed weight: one wild piece does not rule
LINE_RATE = 30.0  # 1/s, shear rate by which the particles are sorted (physics book 0.1, discharge line)
NORMAL_90 = 1.6448536269514722
OUTSIDE = 0.05  # weight of an exponent outside the usual ones, assumed
LIKELY_RANK = 0.5
RANKS = (0.02, LIKELY_RANK, 0.98)  # ranks that stand for thin, likely and thick
MIDDLE_RATES = np.array([0.0, 0.1, 1.0, 10.0, 30.0, 100.0, 1000.0])  # 1/s, from rest to a seal
TOO_FEW = 30.0  # effective points below which the band is said to be rough


@dataclass(frozen=True, slots=True)
class Prior:
    """What is believed before: stress at 1 1/s, exponent and share of yield stress.

    Parameters
    ----------
    level_low, level_high : float
        Stress at 1 1/s [Pa], log-uniform.
    exponent_low, exponent_high : float
        [-]; outside them a twentieth of the weight, within 0.1 to 1.2.
    name : str
        Row of the library, "" for the prior of everything.
    """

    level_low: float = 1e-3
    level_high: float = 1e5
    exponent_low: float = 0.2
    exponent_high: float = 0.6
    name: str = ""


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two pieces whose 90 % bands do not meet: places in the list, and the factor between them."""

    first: int
    second: int
    factor: float


@dataclass(frozen=True, slots=True)
class Combined:
    """The band of laws at the reference temperature.

    Parameters
    ----------
    law : FlowLaw
        Equally likely laws, sorted by their stress at 30 1/s, arrays of shape (4096,).
    reference_temperature : float
        [K]
    kinds : tuple of str
        Kinds of the pieces, each once.
    contradictions : tuple of Contradiction
        What does not fit together; the band was widened to hold both.
    effective : float
        Effective number of points of the prior that carry the band.
    prior : str
        Row of the library that was begun with, "".
    """

    law: FlowLaw
    reference_temperature: float
    kinds: tuple[str, ...]
    contradictions: tuple[Contradiction, ...]
    effective: float
    prior: str = ""

    def band(self, shear_rate: ArrayLike) -> Array:
        """Return P5, P50 and P95 of the stress [Pa] at shear rates [1/s], shape (3, m).

        Parameters
        ----------
        shear_rate : array_like, shape (m,)
            [1/s]
        """
        rate = np.atleast_1d(np.asarray(shear_rate, dtype=np.float64))
        columns = (self.law.yield_stress, self.law.consistency, self.law.exponent)
        tau_y, k, n = (np.asarray(column)[:, None] for column in columns)
        return np.asarray(np.quantile(tau_y + k * rate**n, (0.05, 0.5, 0.95), axis=0))

    def at(self, rank: Array) -> FlowLaw:
        """Return the laws at ranks between 0 and 1, thin to thick, shape as given.

        Parameters
        ----------
        rank : ndarray
            [-]
        """
        place = np.clip((np.asarray(rank) * PARTICLES).astype(int), 0, PARTICLES - 1)
        tau_y, k, n = (
            np.asarray(v)[place] for v in (self.law.yield_stress, self.law.consistency, self.law.exponent)
        )
        return FlowLaw(tau_y, k, n)


def combine(
    pieces: Sequence[Piece],
    reference_temperature: float,
    energy: tuple[float, float, float],
    prior: Prior | None = None,
) -> Combined:
    """Combine pieces of evidence into one band of laws.

    Parameters
    ----------
    pieces : sequence of Piece
        At least one, unless there is a prior.
    reference_temperature : float
        Temperature of the band, and of pieces without one [K].
    energy : tuple of float
        Activation energy low, likely, high [J/mol], for pieces at other temperatures.
    prior : Prior, optional
        What is believed before.

    Returns
    -------
    Combined
        Deterministic: the same pieces give the same band.

    Raises
    ------
    ValueError
        If there is neither a piece nor a prior.

    Notes
    -----
    Importance weights on Sobol points of (ln stress at 1 1/s, exponent, yield share), drawn twice: the second
    time only over the levels that carry weight. A piece weighs by Student's density with four degrees of
    freedom in the logarithm of what it read over what the law predicts. Every pair is compared: what the one
    alone leaves of the other's reading against the other's own band.
    """
    if not pieces and prior is None:
        raise ValueError("no piece of evidence")
    start = prior or Prior()
    shifted = [_shift(piece, reference_temperature, energy) for piece in pieces]
    law, weight = _points(start)
    found = _contradictions(shifted, law, weight)
    for each in found:
        gap = math.log(each.factor)
        for place in (each.first, each.second):
            piece = shifted[place]
            shifted[place] = replace(piece, sigma=math.hypot(piece.sigma, gap))
    total = sum((_weigh(piece, law) for piece in shifted), weight)
    level = np.log(np.asarray(law.stress(1.0)))
    ends = _weighted_quantiles(level, total, (1e-4, 1.0 - 1e-4))
    narrowed = replace(start, level_low=math.exp(ends[0] - 0.3), level_high=math.exp(ends[1] + 0.3))
    law, weight = _points(narrowed)
    total = sum((_weigh(piece, law) for piece in shifted), weight)
    likely = np.exp(total - total.max())
    return Combined(
        law=_drawn(law, likely),
        reference_temperature=reference_temperature,
        kinds=tuple(dict.fromkeys(piece.kind for piece in pieces)),
        contradictions=tuple(found),
        effective=float(likely.sum() ** 2 / (likely**2).sum()),
        prior=start.name,
    )


def _points(prior: Prior) -> tuple[FlowLaw, Array]:
    """Laws of the prior and the logarithm of their weight."""
    level, middle, share = scrambled_sobol(COUNT, 3, SEED)
    stress = prior.level_low * (prior.level_high / prior.level_low) ** level
    n = 0.1 + 1.1 * middle
    inside = (n >= prior.exponent_low) & (n <= prior.exponent_high)
    part = np.maximum(0.0, (share - 0.15) / 0.85) * 0.85  # 15 % of the prior without yield stress
    return FlowLaw(part * stress, (1.0 - part) * stress, n), np.log(np.where(inside, 1.0, OUTSIDE))


def _shift(piece: Piece, reference: float, energy: tuple[float, float, float]) -> Piece:
    """The piece as it reads for a law at the reference temperature, widened by the unknown energy."""
    if piece.temperature is None or piece.temperature == reference:
        return piece
    low, likely, high = energy
    inverse = (1.0 / piece.temperature - 1.0 / reference) / GAS_CONSTANT
    factor, predict = math.exp(likely * inverse), piece.predict
    sigma = math.hypot(piece.sigma, 0.25 * (high - low) * abs(inverse))
    return replace(piece, sigma=sigma, predict=lambda law: predict(law.scaled(factor)))


def _distance(piece: Piece, law: FlowLaw) -> Array:
    """Logarithm of what a law predicts over what was read."""
    return np.asarray(np.log(np.maximum(piece.predict(law), 1e-12)) - math.log(max(piece.observed, 1e-12)))


def _weigh(piece: Piece, law: FlowLaw) -> Array:
    z = _distance(piece, law) / piece.sigma
    return np.asarray(-0.5 * (FREEDOM + 1.0) * np.log1p(z**2 / FREEDOM))


def _contradictions(pieces: list[Piece], law: FlowLaw, weight: Array) -> list[Contradiction]:
    """Pairs whose 90 % bands do not meet in the reading of one of them, whichever shows it more."""
    found = []
    alone = [weight + _weigh(piece, law) for piece in pieces]
    distance = [_distance(piece, law) for piece in pieces]
    for i in range(len(pieces)):
        for j in range(i + 1, len(pieces)):
            if pieces[i].kind == pieces[j].kind == "tube_viscometer":
                continue
            gaps = [_gap(alone[a], distance[b], pieces[b].sigma) for a, b in ((i, j), (j, i))]
            if min(gaps) > 0.0:
                found.append(Contradiction(i, j, math.exp(max(gaps))))
    return found


def _gap(weight: Array, distance: Array, sigma: float) -> float:
    """How far the band of predictions lies from the band of the reading, in logarithms; 0 where they meet."""
    low, high = _weighted_quantiles(distance, weight, (0.05, 0.95))
    half = NORMAL_90 * sigma
    return max(low - half, -half - high, 0.0)


def _weighted_quantiles(values: Array, log_weight: Array, shares: Sequence[float]) -> list[float]:
    order = np.argsort(values)
    weight = np.exp(log_weight[order] - log_weight.max())
    cumulative = (np.cumsum(weight) - 0.5 * weight) / weight.sum()
    return [float(np.interp(share, cumulative, values[order])) for share in shares]


def _drawn(law: FlowLaw, weight: Array) -> FlowLaw:
    """Equally likely laws by systematic resampling in the order of their stress in a line."""
    order = np.argsort(np.asarray(law.stress(LINE_RATE)), kind="stable")
    cumulative = np.cumsum(weight[order]) / weight.sum()
    wanted = (np.arange(PARTICLES) + 0.5) / PARTICLES
    place = order[np.minimum(np.searchsorted(cumulative, wanted), order.size - 1)]
    tau_y, k, n = (np.asarray(v)[place] for v in (law.yield_stress, law.consistency, law.exponent))
    return _with_middles(FlowLaw(tau_y, k, n))


def _with_middles(law: FlowLaw) -> FlowLaw:
    """Put a usual law at the ranks that stand for thin, likely and thick.

    Thin and thick by what is most usual of exponent and yield share around them; the likely one by all rates,
    so that it runs through the middle of the band and not only where the laws are sorted.
    """
    columns = [np.array(v, dtype=np.float64) for v in (law.yield_stress, law.consistency, law.exponent)]
    tau_y, k, n = columns
    share = tau_y / (tau_y + k)
    spreads = [max(float(np.std(each)), 1e-9) for each in (n, share)]
    off_middle = _off_the_middle(law)
    for rank in RANKS:
        place, likely = int(rank * PARTICLES), rank == LIKELY_RANK
        half = PARTICLES // (10 if likely else 50)
        near = np.arange(max(0, place - half), min(PARTICLES, place + half))
        off = [(v[near] - np.median(v[near])) / size for v, size in zip((n, share), spreads, strict=True)]
        best = int(near[np.argmin(off_middle[near] if likely else off[0] ** 2 + off[1] ** 2)])
        for column in columns:
            column[[place, best]] = column[[best, place]]
    return FlowLaw(tau_y, k, n)


def _off_the_middle(law: FlowLaw) -> Array:
    """Greatest distance of each law from the median over all rates; 1 is an edge of the band, P5 or P95."""
    columns = (law.yield_stress, law.consistency, law.exponent)
    tau_y, k, n = (np.asarray(column)[:, None] for column in columns)
    stress = tau_y + k * MIDDLE_RATES**n
    low, middle, high = np.quantile(stress, (0.05, 0.5, 0.95), axis=0)
    side = np.where(stress > middle, high - middle, middle - low)
    return np.asarray((np.abs(stress - middle) / np.maximum(side, 1e-9 * middle + 1e-12)).max(axis=1))
