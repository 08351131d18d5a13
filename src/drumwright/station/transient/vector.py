"""The type of a flat row of numbers: a list where Python runs the kernel, an array where it is compiled."""

from __future__ import annotations

from typing import Any, TypeAlias

Vector: TypeAlias = Any  # list[float] or a one-dimensional float64 array; indexing is all that is used
