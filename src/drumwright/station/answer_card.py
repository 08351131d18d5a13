"""Where an answer came from: who said it, when, in which mail."""

from __future__ import annotations

from drumwright.station.fields import text
from drumwright.station.record_base import Record


class Answer(Record):
    """One answer to a question of ours, as it came back."""

    number: str | None = text("Number of the assumption it was asked for.")
    field: str | None = text("Field it went into, or the topic where no field takes it.")
    said: str | None = text("The answer as it was written.")
    who: str | None = text("Name of who answered.")
    when: str | None = text("Day of the answer, as it was written.")
    mail: str | None = text("In which mail, call or visit.")
