"""Marking: by the rule, in total, by topic, by critical question; chances of blind guessing come out as computed."""

from collections import Counter
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import BLUEPRINT, both, trade_book
from training.domain.papers import Blueprint, draw
from training.domain.questions import Question, question
from training.domain.rules import RuleBook
from training.domain.scoring import mark, mark_paper

BOOK = RuleBook.parse(trade_book())
PRINT = Blueprint.parse(BLUEPRINT)
PAPER = draw(PRINT, BOOK, "marking")
QUESTIONS = PAPER.questions(BOOK)
RIGHT = {place: made.right for place, made in enumerate(QUESTIONS)}


def test_all_right_passes() -> None:
    result = mark(QUESTIONS, RIGHT, PRINT)
    assert (result.right, result.of, result.passed, result.misses, result.critical_missed) == (10, 10, True, (), ())
    assert result.by_topic == {topic: (count, count) for topic, count in PRINT.topics.items()}


def test_not_answered_is_wrong() -> None:
    result = mark(QUESTIONS, {}, PRINT)
    assert (result.right, result.passed) == (0, False)
    assert [miss.number for miss in result.misses] == list(range(1, 11))
    assert all(miss.said is None and miss.error is None and miss.right is not None for miss in result.misses)


def test_marking_a_stored_paper_twice_gives_the_same() -> None:
    answers = {0: QUESTIONS[0].right, 3: "a", 99: "a"}
    assert mark_paper(PAPER, BOOK, answers, PRINT) == mark_paper(PAPER, BOOK, answers, PRINT)


def _spoiled(critical: bool, how_many: int) -> dict[int, str]:
    """All right but so many of that weight left out."""
    places = [place for place, made in enumerate(QUESTIONS) if made.critical is critical][:how_many]
    return {place: answer for place, answer in RIGHT.items() if place not in places}


def test_a_missed_critical_question_fails_whatever_the_total() -> None:
    result = mark(QUESTIONS, _spoiled(True, 1), PRINT)
    assert (result.right, result.passed, len(result.critical_missed)) == (9, False, 1)
    lenient = Blueprint.parse({**BLUEPRINT, "all_critical": False})
    assert mark(QUESTIONS, _spoiled(True, 1), lenient).passed


@pytest.mark.parametrize(("missed", "passed"), [(2, True), (3, False)])
def test_the_cut_counts_right_answers(missed: int, passed: bool) -> None:
    assert mark(QUESTIONS, _spoiled(False, missed), PRINT).passed is passed


def test_a_miss_tells_the_rule_the_reason_and_the_mistake() -> None:
    made = question(BOOK.rule("product-temperature"), "choose-value", "1")
    chosen = next(option for option in made.options if not option.right)
    (miss,) = mark([made], {0: chosen.letter}, Blueprint(1, 1, {"weather": 1})).misses
    assert (miss.rule.key, miss.critical, miss.said) == ("product-temperature", True, chosen.text)
    assert miss.error == chosen.error_name
    assert (miss.why.en, (miss.right or {}).get("en", "").replace("\u00a0", " ")) == ("It holds better.", "70 °F")


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.integers(0, 9), st.sampled_from(["a", "b", "c", "d", "", "4 min", "nonsense", "a,b,c,d"])))
def test_right_and_missed_add_up_and_a_better_answer_never_harms(answers: dict[int, str]) -> None:
    result = mark(QUESTIONS, answers, PRINT)
    assert result.right + len(result.misses) == result.of == sum(of for _, of in result.by_topic.values())
    for miss in result.misses:
        better = mark(QUESTIONS, {**answers, miss.number - 1: RIGHT[miss.number - 1]}, PRINT)
        assert better.right == result.right + 1
        assert better.passed >= result.passed


# --- blind guessing ---------------------------------------------------------------------------------------------


def _two_band_rules(how_many: int) -> RuleBook:
    """Questions with two options: rules in two bands."""
    data: Any = trade_book()
    band = next(rule for rule in data["rules"] if rule["key"] == "nailing-by-slope")
    bands = [{"upto": "6", "text": both("No nails.", "Sin clavos.")}, {"text": both("Nails.", "Con clavos.")}]
    keys = [f"two-{letter}" for letter in "abcdefghij"[:how_many]]
    data["rules"] = [{**band, "key": key, "bands": bands, "errors": [], "critical": False} for key in keys]
    data["checklist"] = []
    return RuleBook.parse(data)


def _with_options(how_many: int) -> Question:
    """A question with that many options."""
    if how_many == 2:
        return question(_two_band_rules(1).rules[0], "choose-band", "1")
    seeds = (question(BOOK.rule("valve"), "choose-practice", "1"), question(BOOK.rule("dust"), "choose-practice", "1"))
    return next(made for made in seeds if len(made.options) == how_many)


def _sheets(questions: list[Question]) -> Any:
    """Every way to fill in the answers."""
    return (dict(enumerate(sheet)) for sheet in product(*([o.letter for o in made.options] for made in questions)))


@pytest.mark.parametrize(
    ("cut", "chance"),
    # Binomial, 10 items with 2 options each, to six places.
    [(7, 0.171875), (8, 0.054688), (9, 0.010742)],
)
def test_blind_guessing_passes_as_often_as_the_binomial_says(cut: int, chance: float) -> None:
    made = [question(rule, "choose-band", "1") for rule in _two_band_rules(10).rules]
    results = Counter(mark(made, sheet, Blueprint(10, cut, {"slope": 10})).passed for sheet in _sheets(made))
    assert results[True] / results.total() == pytest.approx(chance, abs=1e-6)


def test_mixed_options_follow_the_exact_distribution() -> None:
    # Poisson-binomial for options 2, 3, 4, one each: P(0..3 right) = 1/4, 11/24, 1/4, 1/24.
    made = [_with_options(2), _with_options(3), _with_options(4)]
    right = Counter(mark(made, sheet, Blueprint(3, 3, {"slope": 3})).right for sheet in _sheets(made))
    shares = [Fraction(right[count], right.total()) for count in range(4)]
    assert shares == [Fraction(1, 4), Fraction(11, 24), Fraction(1, 4), Fraction(1, 24)]
