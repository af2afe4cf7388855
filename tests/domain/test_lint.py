"""The item linter finds planted faults, and nothing grave in the books we ship."""

import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from tests.domain.test_oracle import DEMO, demo_book
from tests.domain.trade_book import BLUEPRINT, both, trade_book
from training.domain.claims import StatedLimit, Verdict
from training.domain.lint import RULES, lint, lint_question
from training.domain.lint_papers import lint_draws, lint_paper, lint_pool, lint_retake
from training.domain.papers import Blueprint
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import RuleBook, Side
from training.domain.text import Text
from training.domain.units import measure

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


def one(rule: str, pattern: str, seed: str = "1") -> Question:
    book = RuleBook.parse(trade_book())
    return question(book.rule(rule), pattern, seed, book)


def worded(made: Question, en: str, es: str) -> Question:
    return replace(made, stem=Text(en, es))


def spoilt(made: Question, right: bool, **changes: Any) -> Question:
    """The question with its first right, or first wrong, option changed."""
    place = [option.right for option in made.options].index(right)
    options = [replace(each, **changes) if n == place else each for n, each in enumerate(made.options)]
    return replace(made, options=tuple(options))


CURE, DUST, ALL = one("cure", "choose-value"), one("dust", "choose-practice"), one("cure", "choose-all")
READ = one("cure", "judge-reading")
NOT = worded(DUST, "Which is not right?", "¿Cuál no es correcta?")
LEAST = spoilt(CURE, True, text=Text("at least 4 h", "al menos 4 h"))
CYLINDER = spoilt(DUST, True, text=Text("Turn the cylinder valve", "Abra el cilindro"))
PLANTED = [
    ("E1", spoilt(CURE, False, claim=StatedLimit(measure("4", "h")))),
    ("E1", replace(ALL, right=",".join(option.letter for option in ALL.options))),
    ("E2", spoilt(spoilt(CURE, True, text=Text("4\u00a0h", "4\u00a0h")), False, text=Text("4 h", "3 h"))),
    ("E3", spoilt(LEAST, False, text=Text("2 h or more", "2 h o más"))),
    ("E4", spoilt(CURE, False, error_name=None)),
    ("E4", spoilt(CURE, False, error="")),
    ("E4", spoilt(ALL, False, error="")),
    ("E5", spoilt(CURE, False, claim=StatedLimit(measure("240", "min")))),
    ("W5", spoilt(CURE, False, claim=StatedLimit(measure("40", "h")))),
    ("E6", spoilt(READ, True, claim=Verdict(measure("4", "h"), Side.LOW))),
    ("E6", spoilt(ALL, False, claim=Verdict(measure("-1", "h"), Side.INSIDE))),
    ("E7", spoilt(DUST, False, text=Text("None of these.", "Ninguna de las anteriores."))),
    ("W8", NOT),
    ("E8", spoilt(NOT, False, text=Text("No foam", "No hay"))),
    ("W9", spoilt(DUST, False, text=Text("Always shut.", "Siempre cerrada."))),
    ("W10", spoilt(CURE, True, text=Text("4", "4"))),
    ("W10", spoilt(CURE, True, text=Text("4 1/2 h", "4 1/2 h"))),
    ("W10", spoilt(DUST, True, text=Text("Usually slowly", "Casi siempre lento"))),
    ("E11", replace(CURE, options=CURE.options[::-1])),
    ("E11", replace(ALL, options=ALL.options[::-1])),
    ("W13", worded(CYLINDER, "Which way does the cylinder turn?", "¿Cómo se abre el cilindro?")),
    ("W13", worded(DUST, "You open an?", "¿Usted abre una?")),
    ("E14", worded(DUST, "Open it.", "Ábrala.")),
    ("W14", worded(DUST, "so " * 41 + "?", "¿así?")),
    ("E15", worded(DUST, "Is it 4?", "¿Es 5?")),
    ("E15", spoilt(DUST, False, text=Text("Shut it", ""))),
    ("E15", spoilt(CURE, False, claim=StatedLimit(measure("70", "min")))),
    ("E20", worded(DUST, "Which edition counts?", "¿Qué edición vale?")),
    ("E20", worded(DUST, "Who wrote the law?", "¿Quién escribió la ley?")),
]


@pytest.mark.parametrize(("number", "made"), PLANTED, ids=[f"{n}-{place}" for place, (n, _) in enumerate(PLANTED)])
def test_a_fault_planted_in_a_question_is_found(number: str, made: Question) -> None:
    assert number in {finding.number for finding in lint_question(made)}


def test_the_questions_that_were_spoilt_had_no_such_fault() -> None:
    kinds = [("cure", "choose-value"), ("dust", "choose-practice"), ("cure", "choose-all"), ("cure", "judge-reading")]
    for rule, pattern in kinds:
        assert {finding.number for finding in lint_question(one(rule, pattern))} <= {"W5"}


def test_every_rule_of_the_linter_is_proved_by_a_planted_fault() -> None:
    of_papers = {"W11", "W12", "E16", "W17", "E18", "W19", "E21", "W21"}
    assert {number for number, _ in PLANTED} | of_papers == set(RULES)


def test_a_source_older_than_the_newest_sheet_is_superseded() -> None:
    data: Any = trade_book()
    for place, revision in enumerate(("4", "3")):
        data["rules"][place]["source"] = {"kind": "product sheet", "revision": revision, "page": "1"}
    found = [finding for finding in lint(RuleBook.parse(data), ["1"]) if finding.number == "E18"]
    assert [(finding.rule, finding.detail) for finding in found] == [(data["rules"][1]["key"], "3 < 4")]


def test_a_question_that_shows_what_another_asks_is_noticed() -> None:
    log = one("cure", "find-fault")
    asked = one(log.also[0], "choose-value")
    assert "E16" in {finding.number for finding in lint_paper([log, asked])}
    told = worded(one("dispenser", "choose-value"), "After 4\u00a0h?", "¿4 h?")
    near = replace(CURE, rule=replace(CURE.rule, confused_with=("dispenser",)))
    assert "E16" in {finding.number for finding in lint_paper([told, near])}
    assert not list(lint_paper([one("valve", "choose-practice"), one("cure", "choose-value")]))


def test_numbers_that_are_right_only_in_the_middle_are_noticed() -> None:
    book = RuleBook.parse(trade_book())
    made = [question(rule, "choose-value", str(seed), book) for rule in book.rules if "choose-value" in
            patterns_for(rule) for seed in range(9)]  # fmt: skip
    middle = [each for each in made if each.right not in (each.options[0].letter, each.options[-1].letter)]
    assert "W11" in {finding.number for finding in lint_paper(middle[:6])}


def test_too_many_questions_with_two_options_are_noticed() -> None:
    two = replace(CURE, options=CURE.options[:2])
    assert "W17" in {finding.number for finding in lint_paper([two, DUST])}


def test_what_comes_again_in_a_new_try_is_noticed() -> None:
    assert {finding.number for finding in lint_retake([CURE, DUST], [CURE])} == {"E21"}
    assert list(lint_retake([CURE], [DUST])) == []


def test_a_pool_of_less_than_three_papers_is_noticed() -> None:
    book = RuleBook.parse(trade_book())
    found = list(lint_pool(Blueprint.parse(BLUEPRINT), book))
    assert {finding.rule: finding.detail for finding in found}["surface"] == "5 < 6"
    assert "weather" not in {finding.rule for finding in found}


def test_a_paper_with_one_rule_twice_or_one_letter_all_along_is_noticed() -> None:
    rule = RuleBook.parse(trade_book()).rule("valve")
    same = [made for seed in range(60) if (made := question(rule, "choose-practice", str(seed))).right == "a"][:5]
    assert {finding.number for finding in lint_paper(same)} == {"W12", "W19"}


def test_papers_and_new_tries_of_the_shipped_quiz_have_no_fault() -> None:
    book = RuleBook.parse(demo_book())
    path = DEMO.parents[1] / "qualifications" / "tile_adhesive.json"
    steps = json.loads(path.read_text("utf-8"))["steps"]
    blueprint = Blueprint.parse(next(step["blueprint"] for step in steps if step["kind"] == "quiz"))
    assert list(lint_draws(blueprint, book, [f"shipped-{seed}" for seed in range(60)])) == []
