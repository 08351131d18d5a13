"""Control objects as sentences of the catalogue: condition, actions, reset, and why."""

from __future__ import annotations

from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.control.layout import SIGNALS
from drumwright.station.control.objects import Condition, Control, ControlObject, StateOutputs, Transition

# Signals that are yes or no: their sentence needs no limit.
FLAGS = frozenset(
    {
        "filler_request", "transmitter_fault", "guard_open", "emergency_stop", "relief_flow", "drive_fault",
        "power_return", "overfill", "container_present", "start_request", "stop_request", "maintenance_key",
        "fault_latched", "hold_latched",
    }
)  # fmt: skip
VALUED = ("slow", "limit_speed")  # actions whose value is part of the sentence


def condition_phrase(seen: Condition) -> Phrase:
    """What holds, and for how long.

    Parameters
    ----------
    seen : Condition
        With numbers for its levels.
    """
    said = _held(_beyond(seen.signal, seen.comparison, float(seen.limit)), float(seen.delay))
    if float(seen.reset_delay) > 0.0 and float(seen.reset_limit) == float(seen.limit):
        return phrase("CTL-had", condition=said, time=float(seen.reset_delay))
    return said


def _beyond(signal: str, comparison: str, limit: float) -> Phrase:
    if signal in FLAGS:
        return phrase(f"CTL-when.{signal}.{comparison}")
    return phrase(f"CTL-when.{signal}.{comparison}", limit=limit)


def _held(beyond: Phrase, delay: float) -> Phrase:
    if delay <= 0.0:
        return beyond
    return phrase("CTL-held", condition=beyond, delay=delay)


def object_phrase(each: ControlObject) -> Phrase:
    """One sentence for one object: what holds, what then happens, and when that is over.

    Parameters
    ----------
    each : ControlObject
        With numbers for its levels (`objects.resolved`).
    """
    conditions = [condition_phrase(seen) for seen in each.conditions]
    if len(conditions) == 1:
        when = conditions[0]
    elif each.votes == len(conditions):
        when = phrase("CTL-all", conditions=conditions)
    else:
        when = phrase("CTL-votes", votes=each.votes, count=len(conditions), conditions=conditions)
    actions = [action_phrase(action, float(value), each) for action, value in each.actions]
    return phrase("CTL-object", when=when, actions=actions, reset=reset_phrase(each))


def action_phrase(action: str, value: float, each: ControlObject) -> Phrase:
    """What an action does.

    Parameters
    ----------
    action : str
    value : float
        [SI]; of a slow-down in the unit of its signal, the first of the object.
    each : ControlObject
    """
    if action == "slow":
        stands = _beyond(each.conditions[0].signal, each.conditions[0].comparison, value)
        return phrase("CTL-do.slow", stands=stands)
    return phrase(f"CTL-do.{action}", value=value) if action in VALUED else phrase(f"CTL-do.{action}")


def reset_phrase(each: ControlObject) -> Phrase:
    """When an object is over.

    Parameters
    ----------
    each : ControlObject
        With numbers for its levels.
    """
    if each.reset == "manual":
        return phrase(f"CTL-reset.manual_{each.purpose}")
    first = each.conditions[0]
    moved = float(first.reset_limit) != float(first.limit)
    if len(each.conditions) > 1 or not moved or first.signal in FLAGS:
        return phrase("CTL-reset.auto")
    other = "below" if first.comparison == "above" else "above"
    back = _held(_beyond(first.signal, other, float(first.reset_limit)), float(first.reset_delay))
    return phrase("CTL-reset.auto_at", back=back)


def reason_phrase(each: ControlObject) -> Phrase:
    """Why an object is there; its reason must be a sentence of the catalogue.

    Parameters
    ----------
    each : ControlObject
    """
    return phrase(each.reason)


def transition_phrase(each: Transition) -> Phrase:
    """From where to where, and when.

    Parameters
    ----------
    each : Transition
        With numbers for its levels.
    """
    when = _held(_beyond(each.signal, each.comparison, float(each.limit)), float(each.delay))
    return phrase("CTL-transition", to=phrase(f"CTL-state.{each.to}"), when=when)


def output_phrase(said: StateOutputs) -> Phrase:
    """What a state lets the machine do.

    Parameters
    ----------
    said : StateOutputs
    """
    plate = {-1: "down", 0: "held", 1: "up"}[said.plate]
    parts = [phrase("CTL-out.pump" if said.pump else "CTL-out.no_pump"), phrase(f"CTL-out.{plate}")]
    if said.vent:
        parts.append(phrase("CTL-out.vent"))
    if said.assist:
        parts.append(phrase("CTL-out.assist"))
    return phrase("CTL-out", parts=parts)


def unused_signals(control: Control) -> tuple[str, ...]:
    """Signals no object and no transition looks at: instruments this logic does not need.

    Parameters
    ----------
    control : Control
    """
    used = {seen.signal for each in control.objects for seen in each.conditions}
    used |= {each.signal for each in control.transitions}
    return tuple(signal for signal in SIGNALS if signal not in used)
