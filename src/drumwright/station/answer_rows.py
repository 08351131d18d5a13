"""Rows of a form of questions: they find their field again when they come back, and fit no other."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from drumwright.basis import quantities
from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import Problem
from drumwright.station.fields import Declaration, FieldTroubles, read_field, refuse
from drumwright.station.office_cells import OfficeCell, OfficeTable
from drumwright.station.stock_file import exact

# Columns by name; a column that was moved or added is found by its header.
HEADER = ("No.", "Question", "Unit", "Allowed", "Answer", "Who", "When", "Mail", "Field", "Key")
GENERAL = {"answered by": "who", "on": "when", "in mail": "mail"}  # said once, above the table
_NEEDED = ("no.", "answer", "field", "key")
_YES = {"yes": True, "true": True, "y": True, "no": False, "false": False, "n": False}
_BARE = re.compile(r"[-+−]?[\d.,\s_]+(?:[eE][+-]?\d+)?")
_SERIALS = (20_000, 80_000)  # days that are years 1954 to 2119
LONGEST = 1000  # characters of a text


@dataclass(frozen=True, slots=True)
class FormRow:
    """One line of the form.

    Parameters
    ----------
    number : str
        Of the assumption.
    question : str
    field : str
        Path in the case, or the topic where no field takes the answer.
    unit : str
        Asked for, "" where there is none.
    allowed : str
        What can be answered, for people.
    record : str
        Name of the product or container that is meant, "" where there is one.
    """

    number: str
    question: str
    field: str
    unit: str
    allowed: str
    record: str = ""

    @property
    def key(self) -> str:
        """Mark that holds number, field, unit and record together."""
        return row_key(self.number, self.field, self.unit, self.record)

    def texts(self) -> tuple[str, ...]:
        """Its cells in the order of the header, answer and provenance empty."""
        return (
            self.number, self.question, self.unit, self.allowed, "", "", "", "", self.field, self.key
        )  # fmt: skip


def row_key(number: str, field: str, unit: str, record: str) -> str:
    """Return the mark of a row.

    Parameters
    ----------
    number, field, unit, record : str
        As in `FormRow`.
    """
    whole = "\n".join((number, field, unit, record))
    return hashlib.sha256(whole.encode()).hexdigest()[:8].upper()


@dataclass(frozen=True, slots=True)
class Reply:
    """One answer that came back, still as written.

    Parameters
    ----------
    row : FormRow
        Question and allowed are left empty.
    cell : OfficeCell
    who, when, mail : str
    sheet : str
        Name of the sheet or table.
    """

    row: FormRow
    cell: OfficeCell
    who: str
    when: str
    mail: str
    sheet: str = ""

    @property
    def said(self) -> str:
        """The answer as people see it in its cell."""
        value = self.cell.value
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, float):
            shown = 100.0 * value if self.cell.look == "percent" else value
            text = quantities.plain(shown, 15, trim=True)
            return f"{text} %" if self.cell.look == "percent" else text
        return _tidy(value)


def replies(
    tables: Sequence[OfficeTable], records: Mapping[str, str], shown: str
) -> tuple[tuple[Reply, ...], tuple[Problem, ...]]:
    """Find the filled rows of a form.

    Parameters
    ----------
    tables : sequence of OfficeTable
    records : mapping of str to str
        Name of the record a field of the case lies in today, by field; "" where there is one.
    shown : str
        Name of the file in messages.

    Returns
    -------
    tuple of (tuple of Reply, tuple of Problem)
    """
    found: dict[str, Reply] = {}
    problems: list[Problem] = []
    general: dict[str, str] = {}
    for table in tables:
        general |= _general(table)
    headed = False
    for table in tables:
        columns: dict[str, int] = {}
        for row in table.rows:
            again = _columns(row)
            if again:
                columns, headed = again, True
            elif columns and (answer := _answer(row, columns)) is not None:
                line = _Line(row, columns, table)
                try:
                    reply = line.reply(answer, general, records, found)
                    found[reply.row.field] = reply
                except FieldTroubles as wrong:
                    place = f"{shown}:{table.name}!{answer.address}"
                    problems += problems_of(line.text("field"), wrong, place)
    if not headed:
        problems.append(Problem(shown, 0, 0, "", *trouble("ANS-003")))
    return tuple(found.values()), tuple(problems)


def _answer(row: Mapping[int, OfficeCell], columns: Mapping[str, int]) -> OfficeCell | None:
    """The cell of an answer, None where nothing was answered."""
    cell = row.get(columns["answer"])
    filled = cell is not None and (cell.formula or cell.tall or bool(_tidy(str(cell.value))))
    return cell if filled else None


@dataclass(frozen=True, slots=True)
class _Line:
    """One filled row below a header."""

    row: Mapping[int, OfficeCell]
    columns: Mapping[str, int]
    table: OfficeTable

    def text(self, name: str) -> str:
        """Text of a column, "" where there is none."""
        cell = self.row.get(self.columns.get(name, -1))
        return _tidy(str(cell.value)) if cell is not None and not isinstance(cell.value, bool) else ""

    def reply(
        self,
        answer: OfficeCell,
        general: Mapping[str, str],
        records: Mapping[str, str],
        found: Mapping[str, Reply],
    ) -> Reply:
        """The reply of this row; raises FieldTroubles where it cannot be told what it answers."""
        marks = [self.row.get(self.columns[each]) for each in ("no.", "field", "key")]
        if answer.formula or any(cell is not None and cell.formula for cell in marks):
            raise refuse("ANS-004")
        if answer.tall or any(cell is not None and cell.tall for cell in marks):
            raise refuse("ANS-005")
        field = self.text("field")
        if field not in records:
            raise refuse("ANS-006", text=field or "-")
        made = FormRow(self.text("no."), "", field, self.text("unit"), "", records[field])
        if made.key != self.text("key").upper():
            raise refuse("ANS-007", text=field)
        if field in found:
            raise refuse("ANS-008", text=field, other=found[field].cell.address)
        when = self.row.get(self.columns.get("when", -1))
        who = self.text("who") or general.get("who", "")
        day = (_when(when, self.table) if when is not None else "") or general.get("when", "")
        if not (who and day):
            raise refuse("ANS-009", text=HEADER[6] if who else HEADER[5])
        return Reply(made, answer, who, day, self.text("mail") or general.get("mail", ""), self.table.name)


def _columns(row: Mapping[int, OfficeCell]) -> dict[str, int]:
    """Columns by the names of a header row, empty where it is none."""
    names = {_tidy(str(cell.value)).lower(): column for column, cell in row.items()}
    return names if all(each in names for each in _NEEDED) else {}


def _general(table: OfficeTable) -> dict[str, str]:
    """Who, when and in which mail, where it stands once beside its name."""
    found = {}
    for row in table.rows:
        if _columns(row):
            break
        filled = sorted(row)
        for place, column in enumerate(filled[:-1]):
            name = _tidy(str(row[column].value)).lower().rstrip(":")
            if name in GENERAL:
                cell = row[filled[place + 1]]
                found[GENERAL[name]] = (
                    _when(cell, table) if GENERAL[name] == "when" else _tidy(str(cell.value))
                )
    return {name: text for name, text in found.items() if text}


def _tidy(text: str) -> str:
    """A text without space around it, hidden characters or doubled blanks."""
    cleaned = (
        re.sub(r"[\u200b\u200e\u200f\ufeff\u00ad]", "", text).replace("\u00a0", " ").replace("\u202f", " ")
    )
    kept = "".join(each if each.isprintable() else " " for each in cleaned)
    return re.sub(r"\s+", " ", kept).strip()[:LONGEST]


def _when(cell: OfficeCell, table: OfficeTable) -> str:
    """A day as text; a program may have made a number of it."""
    if isinstance(cell.value, bool):
        return ""
    if isinstance(cell.value, float):
        if not _SERIALS[0] <= cell.value <= _SERIALS[1]:
            return quantities.plain(cell.value, 12, trim=True)
        start = datetime.date(1904, 1, 1) if table.from_1904 else datetime.date(1899, 12, 30)
        return (start + datetime.timedelta(days=int(cell.value))).isoformat()
    return _tidy(cell.value)


def value_of(reply: Reply, declared: Declaration) -> object:
    """What a reply says, in the form its field is read from.

    Parameters
    ----------
    reply : Reply
    declared : Declaration
        Of the field.

    Raises
    ------
    FieldTroubles
        With what is wrong.
    """
    cell, value = reply.cell, reply.cell.value
    if cell.look == "date":
        raise refuse("ANS-010")
    if declared.form == "flag":
        if isinstance(value, bool):
            return value
        word = reply.said.lower()
        if word not in _YES:
            raise refuse("ANS-011", text=reply.said[:40])
        return _YES[word]
    if isinstance(value, bool):
        raise refuse("ANS-012")
    if declared.form == "choice":
        word = re.sub(r"[\s-]+", "_", reply.said.lower())
        return word if word in declared.choices else reply.said
    if declared.form == "quantity":
        return _quantity(reply)
    return reply.said


def _quantity(reply: Reply) -> str | float:
    """A number with the unit that was asked, unless it says its own."""
    cell, unit = reply.cell, reply.row.unit
    if isinstance(cell.value, float):
        if cell.look == "percent":
            if unit != "%":
                raise refuse("ANS-013", unit=unit or "-")
            return f"{exact(float(quantities.plain(100.0 * cell.value, 15, trim=True)))} %"
        return f"{exact(cell.value)} {unit}" if unit else cell.value
    text = reply.said
    return f"{text} {unit}" if unit and _BARE.fullmatch(text) else text


def checked(reply: Reply, declared: Declaration) -> object:
    """The value of a reply as its field holds it: an estimate, word or flag.

    Parameters
    ----------
    reply : Reply
    declared : Declaration

    Raises
    ------
    FieldTroubles
        If the field does not take it.
    """
    return read_field(declared, value_of(reply, declared))


def problems_of(field: str, found: FieldTroubles, place: str) -> Iterator[Problem]:
    """What is wrong with a reply, at its cell.

    Parameters
    ----------
    field : str
    found : FieldTroubles
    place : str
        File, sheet and cell.
    """
    for each in found.troubles:
        yield Problem(place, 0, 0, field, each.what, each.allowed, each.remedy)
