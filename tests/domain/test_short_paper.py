"""A short quiz asks about the changed rules and nothing else, and passes only when all of it is right."""

import pytest

from tests.domain.trade_book import trade_book
from training.domain.errors import Refused
from training.domain.questions import patterns_for
from training.domain.rules import RuleBook
from training.domain.scoring import mark
from training.domain.short_paper import QUESTIONS_A_RULE, all_right, can_be_asked, draw_short

BOOK = RuleBook.parse(trade_book())
CHANGED = ("set-time", "nailing-by-slope", "dust")


@pytest.mark.parametrize("seed", [f"s{n}" for n in range(30)])
def test_each_changed_rule_is_asked_about_twice_where_there_are_two_ways(seed: str) -> None:
    paper = draw_short(BOOK, CHANGED, seed)
    asked = [item.rule for item in paper.items]
    assert set(asked) == set(CHANGED)
    for key in CHANGED:
        assert asked.count(key) == min(QUESTIONS_A_RULE, len(patterns_for(BOOK.rule(key))))
    assert len({(item.rule, item.pattern) for item in paper.items}) == len(paper.items)
    assert paper == draw_short(BOOK, CHANGED, seed)


def test_a_new_try_asks_other_questions_where_there_are_any() -> None:
    first = draw_short(BOOK, ["set-time"], "one")
    second = draw_short(BOOK, ["set-time"], "two", first.items)
    values = [{(made.pattern, made.stem.en, made.value) for made in paper.questions(BOOK)} for paper in (first, second)]
    assert values[0] != values[1]


def test_only_all_right_passes() -> None:
    questions = draw_short(BOOK, CHANGED, "s").questions(BOOK)
    answers = {place: made.right for place, made in enumerate(questions)}
    assert mark(questions, answers, all_right(len(questions))).passed
    for place in answers:
        assert not mark(questions, {**answers, place: ""}, all_right(len(questions))).passed


def test_rules_that_are_gone_or_cannot_be_asked_leave_nothing() -> None:
    with pytest.raises(Refused) as caught:
        draw_short(BOOK, ["no-such-rule"], "s")
    assert caught.value.message.key == "quiz.nothing_to_ask"
    assert all(can_be_asked(BOOK.rule(key)) for key in CHANGED)
