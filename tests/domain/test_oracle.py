"""Thousands of seeded questions in both languages, judged again by an oracle that knows only the data and the words."""

import json
import os
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from tests.domain import oracle
from tests.domain.trade_book import trade_book
from training.domain.questions import Question, patterns_for, question, stored_measure
from training.domain.rule_json import join_books
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES
from training.drawings.figures import figure

DEMO = Path(__file__).parents[2] / "training" / "content" / "demo" / "rule_book"


def demo_book() -> Any:
    if not DEMO.is_dir():
        pytest.skip("the demo book is not here")
    return join_books(json.loads(part.read_text("utf-8")) for part in sorted(DEMO.glob("*.json")))


def seeds(usual: int) -> int:
    """How many seeds for each rule and pattern: HEADLAP_SEEDS when it is set (110 make 100,000 judged questions)."""
    return int(os.environ.get("HEADLAP_SEEDS", usual))


@pytest.mark.parametrize(("load", "usual"), [(trade_book, 12), (demo_book, 6)], ids=["trade", "demo"])
def test_an_independent_oracle_finds_the_same_right_answer(load: Any, usual: int) -> None:
    data = load()
    book = RuleBook.parse(data)
    told = {rule["key"]: rule for rule in data["rules"]}
    judged = 0
    for rule in book.rules:
        for pattern in patterns_for(rule, book):
            for seed in range(seeds(usual)):
                made = question(rule, pattern, f"oracle-{seed}", book)
                for language in LANGUAGES:
                    _agree(data, told[rule.key], made, language)
                    judged += 1
    assert judged > 2000


def _agree(data: Any, told: Any, made: Question, language: str) -> None:
    shown = made.public(language)
    if made.answer == "number":
        right = stored_measure(made.right)
        assert right is not None
        assert (right.value, right.unit) == _typed(told, made.pattern, shown.stem, language)
        return
    options = [(option.letter, option.text) for option in shown.options]
    if made.pattern == "find-fault":
        found = oracle.outside(data, language, options)
    elif made.pattern == "pick-drawing":
        figures = {option.letter: option.figure for option in shown.options}
        found = oracle.drawn_right(
            told, {letter: figure(drawn, language) for letter, drawn in figures.items() if drawn}
        )
    else:
        found = oracle.right_answers(told, made.pattern, language, shown.stem, options)
    assert found == [made.right], (told["key"], made.pattern, made.seed, shown)


def _typed(told: Any, pattern: str, stem: str, language: str) -> tuple[Fraction, str]:
    if pattern == "compute":
        return oracle.worked_out(told, stem)
    return oracle.typed_value(told, language, stem), told["unit"]


@pytest.mark.parametrize("load", [trade_book, demo_book], ids=["trade", "demo"])
def test_both_languages_show_the_same_numbers(load: Any) -> None:
    book = RuleBook.parse(load())
    for rule in book.rules:
        for pattern in patterns_for(rule, book):
            for seed in range(seeds(5)):
                made = question(rule, pattern, f"numbers-{seed}", book)
                for text in (made.stem, *(option.text for option in made.options)):
                    assert sorted(oracle.numbers(text.en)) == sorted(oracle.numbers(text.es)), text
