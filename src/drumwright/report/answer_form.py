"""The form of questions as a file, and what came of it as lines and JSON."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import Any

from drumwright.report import diff_form
from drumwright.report.office_write import Form, document, workbook
from drumwright.report.words import Words
from drumwright.station.answer_rows import HEADER, FormRow, Reply
from drumwright.station.records import Case
from drumwright.study.answering import Answered

FORM = "drumwright.answers/1"
WIDTH = 80
ENDINGS = (".xlsx", ".docx")
_WIDTHS = (8, 52, 9, 30, 22, 18, 13, 24, 26, 11)
_OPEN = frozenset(HEADER.index(name) for name in ("Answer", "Who", "When", "Mail"))
Json = dict[str, Any]


def form_file(case: Case, rows: Sequence[FormRow], ending: str, words: Words) -> bytes:
    """The form as a file.

    Parameters
    ----------
    case : Case
    rows : sequence of FormRow
    ending : str
        One of `ENDINGS`.
    words : Words
    """
    title = case.case.title or case.case.number or case.source
    form = Form(
        title,
        (
            (words.say("answers.title", title=title),),
            (words.say("answers.lead"),),
            *((words.say(f"answers.{name}"), "") for name in ("who", "when", "mail")),
        ),
        HEADER,
        tuple(row.texts() for row in rows),
        _WIDTHS,
        _OPEN,
    )
    return workbook(form) if ending == ".xlsx" else document(form)


def lines(found: Answered, words: Words, names: tuple[str, str]) -> Iterator[str]:
    """Yield what a form brought and what it moved.

    Parameters
    ----------
    found : Answered
    words : Words
    names : tuple of str
        Of both cases.
    """
    if found.replies:
        yield words.say("answers.read_head")
    for reply, _ in found.replies:
        yield from _wrapped(_read(reply, words))
    if found.kept:
        yield words.say("answers.kept_head")
    for reply in found.kept:
        yield from _wrapped(_read(reply, words))
    key = "closed" if found.closed else "closed_none"
    slots = {"numbers": ", ".join(found.closed)} if found.closed else {}
    yield from _wrapped(words.say(f"answers.{key}", **slots))
    if found.left:
        yield from _wrapped(words.say("answers.open", numbers=", ".join(found.left)))
    yield ""
    yield from diff_form.lines(found.moved, words, names)


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="      ")


def _read(reply: Reply, words: Words) -> str:
    unit = reply.row.unit
    said = f"{reply.said} {unit}" if unit and reply.said[-1:].isdigit() else reply.said
    mail = words.say("answers.mail_of", mail=reply.mail) if reply.mail else ""
    return words.say(
        "answers.read", number=reply.row.number, field=reply.row.field, value=said, who=reply.who,
        when=reply.when, mail=mail,
    ).strip()  # fmt: skip


def as_dictionary(found: Answered, words: Words, names: tuple[str, str]) -> Json:
    """The same for JSON.

    Parameters
    ----------
    found : Answered
    words : Words
    names : tuple of str
    """
    return {
        "form": FORM,
        "written": names[1],
        "read": [_reply(reply) for reply, _ in found.replies],
        "kept": [_reply(reply) for reply in found.kept],
        "closed": list(found.closed),
        "open": list(found.left),
        "difference": diff_form.as_dictionary(found.moved, words, names),
    }


def _reply(reply: Reply) -> Json:
    return {
        "number": reply.row.number,
        "field": reply.row.field,
        "said": reply.said,
        "who": reply.who,
        "when": reply.when,
        "mail": reply.mail,
        "cell": reply.cell.address,
    }
