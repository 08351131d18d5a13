"""Proposal and note as PDF: what is on them, what must not be, and that the bytes do not change."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import sample_result as sample

from drumwright.report.charts import Charts
from drumwright.report.files import documents
from drumwright.report.note import note
from drumwright.report.pdf import pdf
from drumwright.report.proposal import proposal
from drumwright.report.words import words_of
from drumwright.study.result import Result

NEEDS_TEXT = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext (poppler-utils)")


def _pdf(result: Result, kind: str) -> bytes:
    make = proposal if kind == "proposal" else note
    return pdf(make(result, Charts(words_of(result))))


@cache
def _sample_text(kind: str) -> str:
    return text_of(_pdf(sample.SAMPLE, kind))


def text_of(content: bytes, *options: str) -> str:
    """Return the text of a PDF in one line."""
    done = subprocess.run(["pdftotext", *options, "-", "-"], input=content, capture_output=True, check=True)
    return " ".join(done.stdout.decode("utf-8").split())


@NEEDS_TEXT
def test_proposal_says_the_answer_and_marks_every_assumption() -> None:
    text = _sample_text("proposal")
    assert sample.REASON in text
    assert sample.CAUTION in text
    for item in sample.ASSUMPTIONS:
        assert item.number in text
    assert "placeholder, not for order" in text
    assert "5.75 bar(g); limit 5.10 bar(g)" in text  # number that rejected the option
    assert "X-007" in text and sample.HEAD.digest[:16] in text and "drumwright 0.0.test" in text


@NEEDS_TEXT
def test_customers_words_stand_as_written() -> None:
    text = _sample_text("proposal")
    for line in sample.HEAD.words.split("\n"):
        assert line in text


PRIVATE = (
    sample.INTERNAL_MARKER, "77.77", "77.8", "22.22", "22 (11 to 33)", "1.23 %", "98.7 %", "99.9 %", "3.45 %",
    "3.4 %", "robabilit", "Chance",
)  # fmt: skip


@NEEDS_TEXT
def test_proposal_holds_no_probability_cost_or_internal_note() -> None:
    text = _sample_text("proposal")
    assert [each for each in PRIVATE if each in text] == []


@NEEDS_TEXT
def test_note_holds_what_the_proposal_must_not() -> None:
    text = _sample_text("note")
    for each in (sample.INTERNAL_MARKER, "77.8", "22 (11 to 33)", "1.23 %", "98.7 %", "99.9 %", "Chance"):
        assert each in text
    for item in sample.SAMPLE.figures:
        assert item.key.removeprefix("recommended.") in text
    assert (
        "invented equation of two terms" in text and "invented source" in text and sample.HEAD.digest in text
    )
    assert "Internal: not for the customer" in text


def test_same_result_gives_the_same_bytes() -> None:
    assert documents(sample.SAMPLE) == documents(sample.SAMPLE)


def test_another_number_gives_other_bytes() -> None:
    other = replace(sample.SAMPLE, head=replace(sample.HEAD, number="X-008"))
    assert _pdf(other, "proposal") != _pdf(sample.SAMPLE, "proposal")


@pytest.mark.parametrize("kind", ["proposal", "note"])
def test_file_says_it_is_archivable_and_accessible(kind: str) -> None:
    content = _pdf(sample.SAMPLE, kind)
    assert content.startswith(b"%PDF-1.7")
    assert b"pdfaid:part>3<" in content and b"pdfuaid:part>1<" in content


@pytest.mark.parametrize("result", [sample.refused(), sample.in_us_units()], ids=["refused", "US"])
@pytest.mark.parametrize("kind", ["proposal", "note"])
@NEEDS_TEXT
def test_other_answers_render(result: Result, kind: str) -> None:
    text = text_of(_pdf(result, kind))
    assert sample.CAUTION in text
    assert ("psi(g)" in text) == (result.head.units == "US")
    if result.verdict == "refuse":
        assert "cannot be computed from what is known" in text


def test_paper_follows_the_place() -> None:
    assert proposal(sample.SAMPLE).paper == "a4"
    assert proposal(sample.in_us_units()).paper == "us-letter"


def _pages(content: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", content))


@pytest.mark.skipif(shutil.which("pdfinfo") is None, reason="needs pdfinfo (poppler-utils)")
def test_proposal_has_four_to_eight_pages(tmp_path: Path) -> None:
    file = tmp_path / "proposal.pdf"
    file.write_bytes(_pdf(sample.SAMPLE, "proposal"))
    told = subprocess.run(["pdfinfo", str(file)], capture_output=True, check=True).stdout.decode()
    match = re.search(r"Pages:\s+(\d+)", told)
    assert match is not None and 4 <= int(match[1]) <= 8


@NEEDS_TEXT
def test_text_the_font_cannot_print_is_shown_as_a_square() -> None:
    words = "Пасте is fine, \U0001f600 and \u4e2d\x00\u202e are not"
    odd = replace(sample.SAMPLE, head=replace(sample.HEAD, words=words, title="\u4e2d", author="\x07"))
    text = text_of(_pdf(odd, "proposal"))
    assert "Пасте is fine, □ and □□□ are not" in text


@pytest.mark.parametrize("date", ["", "spring", "2026-02-31", "1066-10-14", "99999-01-01"])
def test_any_date_text_prints(date: str) -> None:
    odd = replace(sample.SAMPLE, head=replace(sample.HEAD, date=date))
    assert _pdf(odd, "proposal").startswith(b"%PDF")
