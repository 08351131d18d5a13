"""Values computed once and kept by whoever owns the store: no global state."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Any, TypeVar

T = TypeVar("T")


class Kept:
    """A store of values by key; it lives as long as its owner and is never shared between samples."""

    def __init__(self) -> None:
        self._values: dict[Hashable, Any] = {}

    def once(self, key: Hashable, make: Callable[[], T]) -> T:
        """Return the value of a key, made the first time it is asked for.

        Parameters
        ----------
        key : hashable
            Must name everything the value depends on beside the owner.
        make : callable
            Makes the value.
        """
        if key not in self._values:
            self._values[key] = make()
        value: T = self._values[key]
        return value
