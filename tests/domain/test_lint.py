"""The item linter finds planted faults, and nothing grave in the books we ship."""

import json
from collections.abc import Callable
from typing import Any

import pytest

from tests.domain.test_oracle import DEMO, demo_book
from tests.domain.trade_book import both, trade_book
from training.domain.lint import RULES, lint, lint_paper
from training.domain.papers import Blueprint, draw
from training.domain.questions import question
from training.domain.rules import RuleBook

SEEDS = [str(seed) for seed in range(30)]


def spoiled(key: str, change: Callable[[Any], None]) -> RuleBook:
    data: Any = trade_book()
    data["rules"] = [rule for rule in data["rules"] if rule["key"] == key]
    data["checklist"] = []
    change(data["rules"][0])
    return RuleBook.parse(data, draft=True)


def numbers(book: RuleBook) -> set[str]:
    found = {finding.number for finding in lint(book, SEEDS)}
    assert found <= RULES.keys()
    return found


@pytest.mark.parametrize("load", [trade_book, demo_book], ids=["trade", "demo"])
def test_no_book_of_ours_has_a_grave_fault(load: Callable[[], Any]) -> None:
    assert [finding for finding in lint(RuleBook.parse(load()), SEEDS) if finding.grave] == []


@pytest.mark.parametrize(
    ("number", "key", "change"),
    [
        ("E7", "valve", lambda rule: rule["errors"][0].update(text=both("All of the above.", "Todas las anteriores."))),
        ("E8", "valve", lambda rule: rule.update(ask=both("Which is not never done?", "¿Qué no se hace nunca?"))),
        ("W8", "valve", lambda rule: rule.update(ask=both("Which is not right?", "¿Qué no es correcto?"))),
        ("E14", "valve", lambda rule: rule.update(ask=both("Open the valve.", "Abra la válvula."))),
        ("W14", "valve", lambda rule: rule.update(ask=both("Which way " * 30 + "?", "¿Cómo?"))),
        ("E18", "valve", lambda rule: rule.pop("source")),
        ("W9", "valve", lambda rule: rule["errors"][0].update(text=both("Always shut.", "Siempre cerrada."))),
        ("W10", "valve", lambda rule: rule.update(right=both("Open " + "slowly " * 9, "Abra " + "despacio " * 9))),
        ("W5", "pad-length", lambda rule: rule["errors"][0].update(value="30")),
        ("W11", "least-slope", lambda rule: None),
    ],
)  # fmt: skip
def test_a_planted_fault_is_found(number: str, key: str, change: Callable[[Any], None]) -> None:
    assert number in numbers(spoiled(key, change))


def test_a_finding_names_its_rule_pattern_and_first_seed() -> None:
    book = spoiled("valve", lambda rule: rule.update(ask=both("Open it.", "Ábrala.")))
    found = next(finding for finding in lint(book, SEEDS) if finding.number == "E14")
    assert (found.rule, found.pattern, found.seed, found.grave) == ("valve", "choose-practice", "0", True)


def test_a_paper_with_one_rule_twice_or_one_letter_all_along_is_noticed() -> None:
    rule = RuleBook.parse(trade_book()).rule("valve")
    same = [made for seed in range(60) if (made := question(rule, "choose-practice", str(seed))).right == "a"][:5]
    assert {finding.number for finding in lint_paper(same)} == {"W12", "W13"}


def test_papers_of_the_shipped_quiz_have_no_fault_in_keys_or_options() -> None:
    book = RuleBook.parse(demo_book())
    path = DEMO.parents[1] / "qualifications" / "tile_adhesive.json"
    steps = json.loads(path.read_text("utf-8"))["steps"]
    blueprint = Blueprint.parse(next(step["blueprint"] for step in steps if step["kind"] == "quiz"))
    for seed in range(60):
        assert list(lint_paper(draw(blueprint, book, f"shipped-{seed}").questions(book))) == []
