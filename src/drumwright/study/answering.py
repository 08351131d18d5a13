"""Answers that came back: the rows to ask for, and a new case that says them with their source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drumwright.basis import quantities
from drumwright.basis.errors import InputError, Problem
from drumwright.basis.estimate import WEAK_BASES, Estimate
from drumwright.basis.phrases import phrase, render
from drumwright.station.answer_rows import FormRow, Reply, checked, problems_of, replies, value_of
from drumwright.station.casefile import load, warnings
from drumwright.station.fields import Declaration, FieldTroubles
from drumwright.station.office_cells import read_office
from drumwright.station.record_base import get_field, iter_fields, steps
from drumwright.station.records import Case, declaration
from drumwright.station.source_text import content_of, refused
from drumwright.study.answer import Judgement
from drumwright.study.asking import answers_of, plain_path
from drumwright.study.assess import SAMPLES_DOCUMENT, judgements, result_of
from drumwright.study.difference import SAMPLES, Difference, difference
from drumwright.study.result import Question, Result
from drumwright.study.supposed import field_of

LISTS = ("product", "container")
OURS = ("machine.", "product.activation_energy")  # for us to choose or to compute from a curve
GREATEST_SIZE = 20_000_000  # bytes of a form


@dataclass(frozen=True, slots=True)
class Answered:
    """What a form brought.

    Parameters
    ----------
    path : Path
        New case.
    replies : tuple of (Reply, object)
        Answers that went into a field, each with the value it has there.
    kept : tuple of Reply
        Answers in words that no field takes.
    closed, left : tuple of str
        Numbers of the assumptions the answers closed, and of those that were answered and stay open.
    moved : Difference
        From the case before to the new one.
    unusual : tuple of Problem
        Answers that are possible but unusual.
    """

    path: Path
    replies: tuple[tuple[Reply, Any], ...]
    kept: tuple[Reply, ...]
    closed: tuple[str, ...]
    left: tuple[str, ...]
    moved: Difference
    unusual: tuple[Problem, ...] = ()


def form_rows(case: Case, asked: Sequence[Question] = ()) -> tuple[FormRow, ...]:
    """The rows of a form: what is missing and nothing else, most decisive first.

    Parameters
    ----------
    case : Case
    asked : sequence of Question, optional
        In this order; as `assess` asks them where none are given.

    Notes
    -----
    A field that somebody stated is not asked for again; one that rests on a weak basis is.
    """
    answer, result = _today(case)
    return _rows(case, answer, result, asked)


def _today(case: Case) -> tuple[Judgement, Result]:
    """The answer as documents print it: with the same samples, so with the same numbers."""
    found = judgements(case, SAMPLES_DOCUMENT)
    return found[0], result_of(case, found, SAMPLES_DOCUMENT)


def _rows(
    case: Case, answer: Judgement, result: Result, asked: Sequence[Question] = ()
) -> tuple[FormRow, ...]:
    system: quantities.System = "US" if case.case.units == "US" else "metric"
    rows: dict[str, FormRow] = {}
    for question in asked or result.questions:
        for number, field, text in _wanted(case, answer, result, question):
            if field not in rows:
                rows[field] = _form_row(case, number, field, text, system)
    return tuple(rows.values())


def _wanted(
    case: Case, answer: Judgement, result: Result, question: Question
) -> Iterable[tuple[str, str, str]]:
    """Number, field and sentence of what one question asks for."""
    group = [row for row in result.assumptions if row.number in question.assumptions]
    if not group:
        path = field_of(answer, case, question.key)
        quantity = bool(path) and _declared(path).form == "quantity"
        yield "", path if quantity else question.key, render(question.ask)
    for row in group:
        if row.field.startswith("topic."):
            paths = [
                field_of(answer, case, each) for each in answers_of().get(row.field, {}).get("fields", ())
            ]
        else:
            paths = [field_of(answer, case, row.field)]
        takes = [path for path in paths if path and not path.startswith(OURS) and _is_open(case, path)]
        for path in takes:
            meant = render(row.ask)
            yield row.number, path, _told("row", ask=meant, meaning=_declared(path).meaning.rstrip("."))
        if not takes and row.field.startswith("topic."):
            yield row.number, row.field, render(row.ask)


def _declared(path: str) -> Declaration:
    return declaration(plain_path(path))


def _is_open(case: Case, path: str) -> bool:
    """Whether nobody stated a field, or only on a weak basis."""
    try:
        value = get_field(case, path)
    except (KeyError, IndexError):
        return True
    return value is None or value == () or (isinstance(value, Estimate) and value.basis in WEAK_BASES)


def _form_row(case: Case, number: str, field: str, text: str, system: quantities.System) -> FormRow:
    record = _record(case, field)
    if not _is_field(field):
        return FormRow(number, text, field, "", _told("in_words"), record)
    declared = _declared(field)
    if declared.form == "quantity":
        low, high = (quantities.show(end, declared.kind, system) for end in declared.hard)
        unit = quantities.unit(declared.kind, system)
        return FormRow(number, text, field, unit, _told("number_range", low=low, high=high), record)
    words = {"choice": ", ".join(declared.choices), "flag": _told("flag")}
    return FormRow(number, text, field, "", words.get(declared.form, _told("in_words")), record)


def _is_field(field: str) -> bool:
    try:
        return _declared(field).form in ("quantity", "choice", "flag", "text")
    except KeyError:
        return False


def _record(case: Case, field: str) -> str:
    """Name of the product or container a field belongs to, where there are several."""
    try:
        (head, index), *_ = steps(field)
    except KeyError:
        return ""
    held = getattr(case, head, ()) if head in LISTS else ()
    return f"{head} {held[index].name or index}" if index is not None and index < len(held) else ""


def _told(key: str, /, **slots: object) -> str:
    return render(phrase(f"RPT.answers.{key}", **slots))


def answered(case: Case, form: Path, output: Path | None = None) -> Answered:
    """Read a form back and write the case that says its answers.

    Parameters
    ----------
    case : Case
        As it stands in its file.
    form : Path
        Workbook or document, filled in.
    output : Path, optional
        New case; beside the old one with "-answered" in its name where nothing is said.

    Raises
    ------
    InputError
        With every cell that cannot be used; then nothing is written. A file that exists is never
        overwritten.

    Notes
    -----
    The new case is read again before it counts: every answer must stand in its field, and nothing else may
    differ from the case before.
    """
    shown = str(form)
    if not form.is_file():
        raise refused(shown, "ANS-020")
    tables = read_office(content_of(form, shown, GREATEST_SIZE), shown)
    judgement, today = _today(case)
    asked = {row.field: row.record for row in _rows(case, judgement, today)}
    found, problems = replies(tables, asked, shown)
    values, more = _values(found, shown)
    if problems or more:
        raise InputError((*problems, *more))
    if not found:
        raise refused(shown, "ANS-017")
    source = Path(case.source)
    path = output or source.with_name(f"{source.stem}-answered.toml")
    text = _written(source.read_text(encoding="utf-8"), case, found, values)
    after = _checked(path, text, case, values)
    was, still = _numbers(today), _numbers(_today(after)[1])
    told = {reply.row.field: reply.row.number for reply in found}
    numbers = {number for number in told.values() if number in was.values()}
    return Answered(
        path,
        tuple((reply, values[reply.row.field]) for reply in found if reply.row.field in values),
        tuple(reply for reply in found if reply.row.field not in values),
        tuple(number for field, number in was.items() if field not in still),
        tuple(number for field, number in was.items() if field in still and number in numbers),
        difference(case, after, samples=SAMPLES),
        tuple(each for each in warnings(after) if each.field in values),
    )


def _numbers(result: Result) -> dict[str, str]:
    """Numbers of the assumptions by field."""
    return {row.field: row.number for row in result.assumptions}


def _values(found: Sequence[Reply], shown: str) -> tuple[dict[str, Any], list[Problem]]:
    """What each reply puts into its field, and what its field does not take."""
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for reply in found:
        if not _is_field(reply.row.field):
            continue
        try:
            value = checked(reply, _declared(reply.row.field))
            values[reply.row.field] = _noted(value, reply)
        except FieldTroubles as wrong:
            place = f"{shown}:{reply.sheet}!{reply.cell.address}"
            problems += problems_of(reply.row.field, wrong, place)
    return values, problems


def _note(reply: Reply) -> str:
    return ", ".join(each for each in (reply.row.number, reply.who, reply.when, reply.mail) if each)


def _noted(value: Any, reply: Reply) -> Any:
    if not isinstance(value, Estimate):
        return value
    return Estimate(value.low, value.likely, value.high, "customer", value.shape, _note(reply))


def _written(text: str, case: Case, found: Sequence[Reply], values: Mapping[str, Any]) -> str:
    """The text of the case with the answers put in; everything else stays as it was written."""
    import tomlkit

    document = tomlkit.parse(text)
    for reply in found:
        if reply.row.field in values:
            raw = value_of(reply, _declared(reply.row.field))
            if isinstance(values[reply.row.field], Estimate):
                held = tomlkit.inline_table()
                held.update({"value": raw, "basis": "customer", "note": _note(reply)})
                raw = held
            _put(document, steps(reply.row.field), raw)
    for reply in found:
        entry = tomlkit.table()
        entry.update(
            {"number": reply.row.number, "field": reply.row.field, "said": reply.said, "who": reply.who,
             "when": reply.when, "mail": reply.mail}
        )  # fmt: skip
        if "answer" not in document:
            document.append("answer", tomlkit.aot())
        document["answer"].append(entry)
    return tomlkit.dumps(document)


def _put(holder: Any, rest: list[tuple[str, int | None]], value: Any) -> None:
    import tomlkit

    (name, index), further = rest[0], rest[1:]
    if not further:
        holder[name] = value
        return
    if holder.get(name) is None:
        holder[name] = _begun(name, isinstance(holder, tomlkit.TOMLDocument))
    inner = holder[name]
    _put(inner[index or 0] if isinstance(inner, list) else inner, further, value)


def _begun(name: str, top: bool) -> Any:
    """A record that the case does not hold yet."""
    import tomlkit

    if name not in LISTS:
        return tomlkit.table() if top else tomlkit.inline_table()
    listed = tomlkit.aot()
    listed.append(tomlkit.table())
    return listed


def _checked(path: Path, text: str, before: Case, values: Mapping[str, Any]) -> Case:
    """Write the new case and read it again; it is taken away where it says anything else."""
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise refused(str(path), "ANS-015", text=str(path)) from None
    except OSError:
        raise refused(str(path), "FIL-012") from None
    try:
        after = load(path)
        wrong = _wrong(before, after, values)
        if wrong:
            raise refused(str(path), "ANS-018", text=wrong)
    except BaseException:
        path.unlink(missing_ok=True)
        raise
    return after


def _wrong(before: Case, after: Case, values: Mapping[str, Any]) -> str:
    """The first field that does not say what it should, "" where all do."""
    mine = {path: value for path, _, value in iter_fields(before) if not path.startswith("answer")}
    theirs = {path: value for path, _, value in iter_fields(after) if not path.startswith("answer")}
    for path, value in values.items():
        if theirs.get(path) != value:
            return path
    same = {**mine, **values}
    for path in dict.fromkeys((*theirs, *same)):
        if theirs.get(path) != same.get(path) and not _empty(theirs.get(path), same.get(path)):
            return path
    return ""


def _empty(one: Any, other: Any) -> bool:
    return one in (None, ()) and other in (None, ())
