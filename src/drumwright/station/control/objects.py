"""Control as data: what is looked at, what then happens, when it is over, in which order, and why.

The simulation runs these objects (`table.compiled`), and the same objects print as sentences and as the first
cause-and-effect matrix. A level is a number [SI] or the name of a set point (`set_points.SetPoints`). Safety
functions are not in this logic: they are wired, and only shown here so that nobody forgets them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType
from typing import Any

from drumwright.basis.tables import read_toml
from drumwright.station.control.layout import ACTIONS, COMPARISONS, PURPOSES, RESETS, SIGNALS, STATES

Level = float | str
Resolver = Callable[[str], float]
NO_VALUE = 0.0  # of an action that takes none


class ControlError(ValueError):
    """A table of control objects that cannot be used; an error of the program's own data."""


@dataclass(frozen=True, slots=True)
class Condition:
    """A signal beyond a limit for a time; over when it is back at the reset limit for another time."""

    signal: str
    comparison: str  # above or below, the limit itself not counted
    limit: Level  # in the unit of the signal
    reset_limit: Level  # at it or on the other side the condition is over
    delay: Level = 0.0  # [s]
    reset_delay: Level = 0.0  # [s]
    states: tuple[str, ...] = STATES  # in which it is looked at
    scanned: bool = True  # False: wired past the controller

    def __post_init__(self) -> None:
        _known(self.signal, SIGNALS)
        _known(self.comparison, COMPARISONS)
        for state in self.states:
            _known(state, STATES)
        if not self.states:
            raise ControlError("a condition that is never looked at")


@dataclass(frozen=True, slots=True)
class ControlObject:
    """What happens when enough of its conditions hold."""

    identifier: str
    conditions: tuple[Condition, ...]
    actions: tuple[tuple[str, Level], ...]
    reset: str = "auto"
    priority: int = 3  # 1 highest
    purpose: str = "process"
    reason: str = ""  # key of the sentence that says why
    votes: int = 1  # so many of the conditions must hold, each for its own delay
    cause: str = ""  # row of the cause-and-effect matrix; its own identifier where empty

    def __post_init__(self) -> None:
        for action, _ in self.actions:
            _known(action, ACTIONS)
        _known(self.reset, RESETS)
        _known(self.purpose, PURPOSES)
        if not self.conditions or not self.actions:
            raise ControlError(f"{self.identifier}: no condition or no action")
        if not 1 <= self.votes <= len(self.conditions):
            raise ControlError(f"{self.identifier}: {self.votes} of {len(self.conditions)} conditions")

    @property
    def row(self) -> str:
        """Row of the cause-and-effect matrix."""
        return self.cause or self.identifier


@dataclass(frozen=True, slots=True)
class Transition:
    """From one state to another when a signal is beyond a limit for a time."""

    origin: str
    signal: str
    comparison: str
    limit: Level
    delay: Level
    to: str

    def __post_init__(self) -> None:
        _known(self.signal, SIGNALS)
        _known(self.comparison, COMPARISONS)
        _known(self.origin, STATES)
        _known(self.to, STATES)


@dataclass(frozen=True, slots=True)
class StateOutputs:
    """What a state lets the machine do while no object says otherwise."""

    pump: bool = False  # may run
    plate: int = 0  # -1 down, 0 held, 1 up
    vent: bool = False  # open
    assist: bool = False  # air under the plate, after the vent has closed


@dataclass(frozen=True, slots=True)
class Control:
    """All objects, the state model, and what each state lets the machine do."""

    objects: tuple[ControlObject, ...]
    transitions: tuple[Transition, ...]
    outputs: tuple[tuple[str, StateOutputs], ...]

    def output(self, state: str) -> StateOutputs:
        """What a state lets the machine do; nothing where it is not named."""
        return dict(self.outputs).get(state, StateOutputs())

    def object(self, identifier: str) -> ControlObject:
        """One object; raises KeyError where there is none of that name."""
        for each in self.objects:
            if each.identifier == identifier:
                return each
        raise KeyError(identifier)


def _known(word: str, words: tuple[str, ...]) -> None:
    if word not in words:
        raise ControlError(f"{word!r} is none of {', '.join(words)}")


def resolved(control: Control, level: Resolver) -> Control:
    """The same control with a number for every name of a set point.

    Parameters
    ----------
    control : Control
    level : callable
        Gives the number [SI] of a set point by its name, such as `SetPoints.level`; raises KeyError where
        there is none.
    """

    def number(value: Level) -> float:
        return level(value) if isinstance(value, str) else float(value)

    def of_condition(each: Condition) -> Condition:
        return replace(
            each, limit=number(each.limit), reset_limit=number(each.reset_limit), delay=number(each.delay),
            reset_delay=number(each.reset_delay),
        )  # fmt: skip

    objects = tuple(
        replace(
            each,
            conditions=tuple(of_condition(condition) for condition in each.conditions),
            actions=tuple((action, number(value)) for action, value in each.actions),
        )
        for each in control.objects
    )
    transitions = tuple(
        replace(each, limit=number(each.limit), delay=number(each.delay)) for each in control.transitions
    )
    return Control(objects, transitions, control.outputs)


@cache
def default_control(turning: bool = True, by_weight: bool = True) -> Control:
    """The control every station starts from (trade book 5.1, 5.3), from `data/control.toml`.

    Parameters
    ----------
    turning : bool
        Whether a motor turns the pump. Air stalls by itself: what a motor needs is left out for it.
    by_weight : bool
        Whether the destination is a batch by weight; its objects are left out for any other.

    Raises
    ------
    ControlError
        If the table cannot be used.
    """
    data = read_toml("control.toml")
    left_out = {"motor_only": not turning, "by_weight": not by_weight}
    kept = [
        row
        for row in data["object"]
        if not any(row.get(name, False) and out for name, out in left_out.items())
    ]
    outputs = tuple((state, StateOutputs(**row)) for state, row in data["outputs"].items())
    for state, _ in outputs:
        _known(state, STATES)
    return Control(
        tuple(_object(row) for row in kept),
        tuple(each for row in data["transition"] for each in _transitions(row)),
        outputs,
    )


def assumed() -> Mapping[str, float]:
    """Set points that no computation gives, by name [SI]; each with its source in `data/control.toml`."""
    return MappingProxyType({name: float(row["value"]) for name, row in _assumed_rows().items()})


def _assumed_rows() -> Mapping[str, Any]:
    rows: Mapping[str, Any] = read_toml("control.toml")["assumed"]
    return rows


def _object(row: Mapping[str, Any]) -> ControlObject:
    states = tuple(row.get("states", STATES))
    scanned = bool(row.get("scanned", True))
    conditions = tuple(_condition(each, states, scanned) for each in row["when"])
    actions = tuple((each, NO_VALUE) if isinstance(each, str) else (each[0], each[1]) for each in row["do"])
    return ControlObject(
        row["id"], conditions, actions, row["reset"], row["priority"], row["purpose"],
        f"CTL-why.{row['id']}", row.get("votes", 1), row.get("cause", ""),
    )  # fmt: skip


def _condition(row: Mapping[str, Any], states: tuple[str, ...], scanned: bool) -> Condition:
    limit = row["limit"]
    return Condition(
        row["signal"], row["is"], limit, row.get("reset", limit), row.get("delay", 0.0),
        row.get("reset_delay", 0.0), states, scanned,
    )  # fmt: skip


def _transitions(row: Mapping[str, Any]) -> list[Transition]:
    """One for each state it leaves; "any" is every state but those it says and the one it leads to."""
    if row["from"] == "any":
        left_out = {row["to"], *row.get("except", ())}
        origins = [state for state in STATES if state not in left_out]
    else:
        origins = [row["from"]]
    rest = (row["signal"], row["is"], row["limit"], row.get("delay", 0.0), row["to"])
    return [Transition(origin, *rest) for origin in origins]
