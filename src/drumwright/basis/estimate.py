"""A number with its spread and its basis: what is known, how well, and from whom."""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Basis = Literal["measured", "customer", "published", "common_practice", "from_memory", "assumed", "computed"]
Shape = Literal["triangular", "normal", "uniform", "log_uniform"]

BASES: tuple[Basis, ...] = (
    "measured",
    "customer",
    "published",
    "common_practice",
    "from_memory",
    "assumed",
    "computed",
)
WEAK_BASES: frozenset[str] = frozenset({"common_practice", "from_memory", "assumed"})


@dataclass(frozen=True, slots=True)
class Estimate:
    """A quantity in SI units with low, likely and high values.

    Parameters
    ----------
    low, likely, high : float
        Least, most likely and greatest value [SI]; for ``shape="normal"`` the ends are two standard
        deviations from the likely value.
    basis : str
        How the value is known, one of `BASES`.
    shape : str
        Spread between the ends.
    note : str
        Free text of the person who gave the value.

    Raises
    ------
    ValueError
        If the three values are not in order or not finite.
    """

    low: float
    likely: float
    high: float
    basis: Basis = "customer"
    shape: Shape = "triangular"
    note: str = ""

    def __post_init__(self) -> None:
        if not all(np.isfinite((self.low, self.likely, self.high))):
            raise ValueError("an estimate needs finite values")
        if not self.low <= self.likely <= self.high:
            raise ValueError("low, likely and high must be in rising order")

    @classmethod
    def exact(cls, value: float, basis: Basis = "customer", note: str = "") -> Estimate:
        """Return an estimate without spread."""
        return cls(value, value, value, basis, "triangular", note)

    @property
    def has_spread(self) -> bool:
        """Whether low and high differ."""
        return self.high > self.low

    def at(self, value: float) -> Estimate:
        """Return the same estimate pinned to one value."""
        return replace(self, low=value, likely=value, high=value)

    def sample(self, uniform: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map uniform numbers in (0, 1), shape (n,), to values of this estimate [SI], shape (n,)."""
        if not self.has_spread:
            return np.full(uniform.shape, self.likely)
        if self.shape == "uniform":
            return np.asarray(self.low + (self.high - self.low) * uniform)
        if self.shape == "log_uniform":
            return np.asarray(np.exp(np.log(self.low) + np.log(self.high / self.low) * uniform))
        if self.shape == "normal":
            quantile = np.frompyfunc(NormalDist().inv_cdf, 1, 1)
            sigma = 0.25 * (self.high - self.low)
            return self.likely + sigma * np.asarray(quantile(np.clip(uniform, 1e-9, 1 - 1e-9)), np.float64)
        return self._triangular(uniform)

    def _triangular(self, uniform: NDArray[np.float64]) -> NDArray[np.float64]:
        width = self.high - self.low
        split = (self.likely - self.low) / width
        rising = self.low + np.sqrt(uniform * width * (self.likely - self.low))
        falling = self.high - np.sqrt((1.0 - uniform) * width * (self.high - self.likely))
        return np.where(uniform < split, rising, falling)
