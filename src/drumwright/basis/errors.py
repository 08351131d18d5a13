"""Every exception of drumwright, one tree, and the problem record that `check` prints.

::

    DrumwrightError
      InputError            a case, card or setting cannot be used; carries every problem found
      QuantityError         one text is not a quantity of the kind wanted (also a ValueError)
      PhraseError           a phrase key or slot is unknown (also a KeyError)
      FlowOutOfRange        a flow law was asked outside its range (also a ValueError)
      FitError              a flow curve cannot be fitted
      StockError            a parts file cannot be used
      NotJudgedYet          a model that does not exist yet was asked for
"""

from __future__ import annotations

from dataclasses import dataclass


class DrumwrightError(Exception):
    """Root of every error raised on purpose by drumwright."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, or unusual, in what the user gave.

    Parameters
    ----------
    file : str
        Where it stands: a path, or a word such as "setting".
    line, column : int
        Place in the file, counted from 1; 0 where there is no line.
    field : str
        Dotted path of the field, "" where the whole file is meant.
    what : str
        What is wrong.
    allowed : str
        What would be accepted, "" where nothing useful can be said.
    remedy : str
        What to do about it.
    """

    file: str
    line: int
    column: int
    field: str
    what: str
    allowed: str
    remedy: str

    def __str__(self) -> str:
        """Return ``file:line: field: what; allowed: ...; do: ...`` on one line, safe for a terminal."""
        place = f"{self.file}:{self.line}" if self.line else self.file
        field = f" {self.field}:" if self.field else ""
        allowed = f"; allowed: {self.allowed}" if self.allowed else ""
        remedy = f"; do: {self.remedy}" if self.remedy else ""
        line = f"{place}:{field} {self.what}{allowed}{remedy}"
        return "".join(character if character.isprintable() else " " for character in line)


class InputError(DrumwrightError):
    """A case, card or setting cannot be used.

    Parameters
    ----------
    problems : tuple of Problem
        Everything that was found, in the order of the file; never empty.
    """

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems


class QuantityError(DrumwrightError, ValueError):
    """One text is not a quantity of the kind wanted.

    Parameters
    ----------
    what, allowed, remedy : str
        As in `Problem`.
    """

    def __init__(self, what: str, allowed: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.allowed = allowed
        self.remedy = remedy

    def __str__(self) -> str:
        """Return what is wrong, what is allowed and what to do in one line."""
        allowed = f"; allowed: {self.allowed}" if self.allowed else ""
        remedy = f"; do: {self.remedy}" if self.remedy else ""
        return f"{self.what}{allowed}{remedy}"


class PhraseError(DrumwrightError, KeyError):
    """A phrase key, slot or slot format is unknown, missing or too many."""

    def __str__(self) -> str:
        """Return the message without the quotes a KeyError adds."""
        return str(self.args[0]) if self.args else ""


class FlowOutOfRange(DrumwrightError, ValueError):  # noqa: N818 - reads as the condition it names
    """A flow law was asked outside the range it holds for."""


class FitError(DrumwrightError):
    """A flow curve cannot be fitted."""


class StockError(DrumwrightError):
    """A parts file cannot be used.

    Parameters
    ----------
    message : str
        Row, field, value and what is allowed.
    field, value, allowed : str
        The same one by one, for who names file and line himself.
    """

    def __init__(self, message: str, field: str = "", value: str = "", allowed: str = "") -> None:
        super().__init__(message)
        self.field = field
        self.value = value
        self.allowed = allowed


class NotJudgedYet(DrumwrightError):  # noqa: N818 - reads as the condition it names
    """A model that does not exist yet was asked for."""
