"""Thousands of seeded questions in both languages, judged again by an oracle that knows only the data and the words."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.domain import oracle
from tests.domain.trade_book import trade_book
from training.domain.questions import patterns_for, question, stored_measure
from training.domain.rule_json import join_books
from training.domain.rules import RuleBook
from training.domain.text import LANGUAGES

DEMO = Path(__file__).parents[2] / "training" / "content" / "demo" / "rule_book"


def demo_book() -> Any:
    if not DEMO.is_dir():
        pytest.skip("the demo book is not here")
    return join_books(json.loads(part.read_text("utf-8")) for part in sorted(DEMO.glob("*.json")))


@pytest.mark.parametrize(("load", "seeds"), [(trade_book, 60), (demo_book, 20)], ids=["trade", "demo"])
def test_an_independent_oracle_finds_the_same_single_right_answer(load: Any, seeds: int) -> None:
    data = load()
    told = {rule["key"]: rule for rule in data["rules"]}
    judged = 0
    for rule in RuleBook.parse(data).rules:
        for pattern in patterns_for(rule):
            for seed in range(seeds):
                made = question(rule, pattern, f"oracle-{seed}")
                for language in LANGUAGES:
                    _agree(told[rule.key], made, language)
                    judged += 1
    assert judged > 2000


def _agree(told: Any, made: Any, language: str) -> None:
    shown = made.public(language)
    if made.answer == "number":
        right = stored_measure(made.right)
        assert right is not None
        assert (right.value, right.unit) == (oracle.typed_value(told, language, shown.stem), told["unit"])
        return
    options = [(option.letter, option.text) for option in shown.options]
    found = oracle.right_answers(told, made.pattern, language, shown.stem, options)
    assert found == [made.right], (told["key"], made.pattern, made.seed, shown)


@pytest.mark.parametrize("load", [trade_book, demo_book], ids=["trade", "demo"])
def test_both_languages_show_the_same_numbers(load: Any) -> None:
    for rule in RuleBook.parse(load()).rules:
        for pattern in patterns_for(rule):
            for seed in range(10):
                made = question(rule, pattern, f"numbers-{seed}")
                for text in (made.stem, *(option.text for option in made.options)):
                    assert sorted(oracle.numbers(text.en)) == sorted(oracle.numbers(text.es)), text
