"""Where published, oracle and other checks put what they compare, so that `docs/validation.md` can be made.

Use in a test::

    from validation_registry import record

    assert record("PIP-01", "Schaschke, Example 3.4", "flow", 0.0077, ours, "m3/s", 0.01, "published").agrees

One call per compared number, before the assertion. `kind` is

- "published": the number was read in an opened text;
- "recomputed": the number comes from a second, independent calculation that the test makes, or that the
  check list carries;
- "from memory": the number was published but is remembered here, not read.

`tools/make_validation.py` runs the tests and writes the table; only the first kind counts as published.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Kind = Literal["published", "recomputed", "from memory"]
KINDS: tuple[Kind, ...] = ("published", "recomputed", "from memory")


@dataclass(frozen=True, slots=True)
class Comparison:
    """One compared number; `tolerance` is relative unless `absolute` is true."""

    check_id: str
    source: str
    quantity: str
    published: float
    ours: float
    unit: str
    tolerance: float
    kind: Kind
    absolute: bool = False

    @property
    def deviation(self) -> float:
        """Return ours less theirs, relative unless the tolerance is absolute."""
        difference = self.ours - self.published
        return difference if self.absolute else difference / abs(self.published)

    @property
    def agrees(self) -> bool:
        """Return whether the deviation lies within the tolerance."""
        return math.isfinite(self.deviation) and abs(self.deviation) <= self.tolerance


RECORDS: list[Comparison] = []


def record(
    check_id: str,
    source: str,
    quantity: str,
    published: float,
    ours: float,
    unit: str,
    tolerance: float,
    kind: Kind,
    *,
    absolute: bool = False,
) -> Comparison:
    """Note one comparison and return it; assert its `agrees` afterwards."""
    if kind not in KINDS:
        raise ValueError(f"kind must be one of {KINDS}, got {kind!r}")
    made = Comparison(
        check_id, source, quantity, float(published), float(ours), unit, tolerance, kind, absolute
    )
    RECORDS.append(made)
    return made
