"""The command that checks every question of a book: quiet on ours, and it fails on a grave fault or a missing book."""

import json
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from tests import factories as make
from tests.domain.trade_book import both, trade_book


def check(**options: Any) -> str:
    out = StringIO()
    call_command("check_questions", seeds=2, papers=2, stdout=out, **options)
    return out.getvalue()


def spoilt(folder: Path) -> Path:
    data: Any = trade_book()
    valve = next(rule for rule in data["rules"] if rule["key"] == "valve")
    valve["ask"] = both("Open the valve.", "Abra la válvula.")
    path = folder / "book.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


def test_the_book_of_the_demo_has_nothing_grave() -> None:
    said = check()
    assert "Nothing grave." in said
    assert "126 rules" in said


def test_a_grave_fault_fails_and_names_rule_pattern_and_seed(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="findings must be mended"):
        check(book=spoilt(tmp_path))


def test_a_book_without_the_topics_of_the_quiz_is_still_checked(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    path.write_text(json.dumps(trade_book()), encoding="utf-8")
    said = check(book=path)
    assert "No papers" in said
    assert "Nothing grave." in said


@pytest.mark.parametrize("content", ["", "[]", "{", '{"format": "other/1"}'])
def test_a_file_that_is_no_book_is_refused(tmp_path: Path, content: str) -> None:
    path = tmp_path / "book.json"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(CommandError):
        check(book=path)


@pytest.mark.django_db
def test_a_company_that_has_no_book_or_does_not_exist_is_refused() -> None:
    company = make.CompanyFactory()
    for name in (company.name, "Nobody Roofing"):
        with pytest.raises(CommandError):
            check(company=name)
