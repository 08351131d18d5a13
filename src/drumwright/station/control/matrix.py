"""The first cause-and-effect matrix, from the control objects themselves (trade book 5.1).

Effects: P pump, PL plate down, UP plate up, AS assist air, VT vent, M message or alarm. Letters: S stop now,
R ramp to a stop, slow falling speed, lim limited speed, H hold, C close, O open (O r: while the plate is
raised), x no permit, ok permit, >PO then press-out, A alarm, m message.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from drumwright.station.control.objects import Control, ControlObject

EFFECTS = ("P", "PL", "UP", "AS", "VT", "M")
NOTHING = "-"
_RAISING = "vent_and_raise"
# Letter of an action for each effect, the strongest first.
_LETTERS: dict[str, tuple[tuple[str, str], ...]] = {
    "P": (("stop", "S"), ("ramp_stop", "R"), ("block_start", "x"), ("slow", "slow"), ("limit_speed", "lim")),
    "PL": (("hold_plate", "H"), ("hold_down", "H")),
    "UP": (("hold_plate", "x"), ("hold_up", "x"), ("raise_plate", "ok")),
    "AS": (("close_assist", "C"), ("open_assist", "O")),
    "VT": (("open_vent", "O"), ("close_vent", "C")),
}


class Row(NamedTuple):
    """One cause."""

    cause: str
    effects: tuple[str, ...]  # letters, one for each of `EFFECTS`
    delay: float  # longest of its first object [s]
    reset: str  # auto, hand (process) or latch (protective)


def matrix(control: Control) -> tuple[Row, ...]:
    """Rows of the matrix in the order of the objects; objects of one cause share a row.

    Parameters
    ----------
    control : Control
        With numbers for its levels (`objects.resolved`).
    """
    causes: dict[str, list[ControlObject]] = {}
    for each in control.objects:
        causes.setdefault(each.row, []).append(each)
    return tuple(_row(cause, objects, control) for cause, objects in causes.items())


def _row(cause: str, objects: Sequence[ControlObject], control: Control) -> Row:
    letters = [_letter(effect, objects) for effect in EFFECTS[:-1]]
    if any(action == "press_out" for each in objects for action, _ in each.actions):
        letters = _ending(letters, control)
    told = [action for each in objects for action, _ in each.actions]
    voices = [letter for word, letter in (("message", "m"), ("alarm", "A")) if word in told]
    delay = max(float(seen.delay) for seen in objects[0].conditions)
    manual = [each for each in objects if each.reset == "manual"]
    reset = "auto" if not manual else "latch" if manual[0].purpose == "protective" else "hand"
    return Row(cause, (*letters, "+".join(voices) or NOTHING), delay, reset)


def _letter(effect: str, objects: Sequence[ControlObject]) -> str:
    """Letter of one effect: of its strongest action; marked where only done while raising."""
    for action, letter in _LETTERS[effect]:
        doing = [each for each in objects if any(done == action for done, _ in each.actions)]
        if not doing:
            continue
        raising = all(seen.states == (_RAISING,) for each in doing for seen in each.conditions)
        words = {done for each in objects for done, _ in each.actions}
        if effect == "PL" and "block_start" in words and "stop" not in words:
            return "x"
        if effect == "UP" and raising:
            return "S"
        if effect == "VT" and raising and len(objects) > 1:
            return f"{letter} r"
        return letter
    return NOTHING


def _ending(letters: list[str], control: Control) -> list[str]:
    """What the states behind the press-out add: the plate may be raised, assist and vent open in turn."""
    said = control.output(_RAISING)
    pump, down, up, assist, vent = letters
    return [
        f"{pump}>PO",
        down,
        "ok" if said.plate > 0 else up,
        "O" if said.assist else assist,
        "O,C" if said.vent and said.assist else "O" if said.vent else vent,
    ]
