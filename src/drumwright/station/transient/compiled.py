"""The kernel compiled by `numba`, where that is installed: the same functions, not a copy of them.

Compiled code is kept beside other caches of the user, in a folder named after the text of all kernel files,
so that a change in one of them can never meet old code of another.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Callable
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

from drumwright.station.transient import air, equations, happenings, kernel, layout, looks, signals, step

# In the order of their calls: what stands further down calls what stands above.
FUNCTIONS: tuple[tuple[ModuleType, tuple[str, ...]], ...] = (
    (
        equations,
        ("passage", "node", "buffer_pressure", "valve", "_drive", "_supply", "_line", "_buffer",
         "_destination", "flows", "drawn_off", "slopes"),
    ),
    (step, ("prepare", "solve", "_add_change", "_error", "step", "_begun", "begun")),
    (
        signals,
        ("note", "on_product", "plate_height", "beyond", "read_registers", "read"),
    ),
    (
        looks,
        ("judge", "acts", "set_pump", "command", "enter", "latched", "proceed", "move_plate", "move_valve",
         "follow_level", "narrow", "room", "left"),
    ),
    (happenings, ("turn", "watch", "peak", "write_row", "schedule_at")),
    (air, ("let_in", "move_air")),
    (kernel, ("next_look", "scanned_left", "look_scanned", "look_wired", "simulate")),
)  # fmt: skip


def available() -> bool:
    """Whether the kernel can be compiled here."""
    return find_spec("numba") is not None


def cache_folder() -> Path:
    """Where compiled code is kept: under the cache of the user, else under the temporary folder."""
    files = [
        str(each.__file__) for each in (layout, equations, step, signals, looks, happenings, air, kernel)
    ]
    text = b"".join(Path(each).read_bytes() for each in (*files, __file__))
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA") or str(Path.home() / ".cache")
    name = Path("drumwright") / hashlib.sha256(text).hexdigest()[:16]
    folder = Path(base) / name
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe = folder / f"probe-{os.getpid()}"
        probe.touch()
        probe.unlink()
    except OSError:
        folder = Path(tempfile.gettempdir()) / name
        folder.mkdir(parents=True, exist_ok=True)
    return folder


@cache
def compiled() -> dict[str, Any]:
    """Every function of the kernel, compiled; the first call of a new version takes some seconds.

    The kernel makes no array, so it is compiled without counting of references (`_nrt`), which took more than
    half of its time.

    Raises
    ------
    ImportError
        If `numba` is not installed.
    """
    import numba

    settings: Any = numba.config
    made: Any = numba.njit

    kept = settings.CACHE_DIR
    settings.CACHE_DIR = str(cache_folder())
    found: dict[str, Any] = {}
    try:
        for module, names in FUNCTIONS:
            space = dict(vars(module)) | found
            for name in names:
                plain = vars(module)[name]
                own = FunctionType(plain.__code__, space, name, plain.__defaults__)
                own.__module__ = plain.__module__
                own.__qualname__ = plain.__qualname__
                space[name] = found[name] = made(own, cache=True, error_model="numpy", _nrt=False)
    finally:
        settings.CACHE_DIR = kept
    return found


def simulate_compiled() -> Callable[..., None]:
    """The compiled `kernel.simulate`."""
    run: Callable[..., None] = compiled()["simulate"]
    return run
