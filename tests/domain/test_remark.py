"""A corrected rule marks old sittings again as a proposal; what was shown then stays as it was."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.domain.trade_book import BLUEPRINT, both, trade_book, wrong
from training.domain.answers import is_right
from training.domain.papers import Blueprint, Paper, PaperItem, draw
from training.domain.questions import Question, question
from training.domain.remark import Fate, Sat, remark, remark_all
from training.domain.rules import RuleBook

OLD = RuleBook.parse(trade_book())
PRINT = Blueprint.parse(BLUEPRINT)


def corrected(key: str, change: Callable[[Any], object]) -> RuleBook:
    data: Any = trade_book()
    change(next(rule for rule in data["rules"] if rule["key"] == key))
    return RuleBook.parse(data)


def seed_with(rule: str, pattern: str, right: str) -> str:
    """A seed whose question has this right option, in words."""
    for seed in map(str, range(300)):
        made = question(OLD.rule(rule), pattern, seed, OLD)
        if right in [option.text.en.replace("\u00a0", " ") for option in made.options]:
            return seed
    raise AssertionError(right)


def single(rule: str, pattern: str, seed: str = "1") -> tuple[Paper, Question]:
    return Paper("p", (PaperItem(pattern, rule, seed),)), question(OLD.rule(rule), pattern, seed, OLD)


def letter(made: Question, words: str) -> str:
    return next(option.letter for option in made.options if option.text.en.replace("\u00a0", " ") == words)


def fate(paper: Paper, answer: str, new: RuleBook) -> list[tuple[bool, Fate]]:
    again = remark(Sat(1, paper, {0: answer}), OLD, new, Blueprint(1, 1, {}))
    return [(turn.was_right, turn.fate) for turn in again.turns]


@settings(max_examples=40)
@given(st.integers(0, 500), st.randoms(use_true_random=False))
def test_the_same_rules_give_the_same_marks(seed: int, chance: Any) -> None:
    paper = draw(PRINT, OLD, str(seed))
    answers = {
        place: made.right if chance.random() < 0.7 else next((o.letter for o in made.options if not o.right), "")
        for place, made in enumerate(paper.questions(OLD))
    }
    again = remark(Sat("s", paper, answers), OLD, RuleBook.parse(trade_book()), PRINT)
    assert again.turns == ()
    assert again.after == again.before
    assert not again.changes


def set_time(value: str) -> RuleBook:
    def change(rule: Any) -> None:
        errors = [error for error in rule["errors"] if error["value"] != value]
        rule.update(value=value, errors=[*errors, wrong("old", value="4")])

    return corrected("set-time", change)


def test_a_wrong_value_turns_right_and_the_right_one_wrong() -> None:
    paper, made = single("set-time", "choose-value", seed_with("set-time", "choose-value", "2 min"))
    assert fate(paper, letter(made, "4 min"), set_time("2")) == [(True, Fate.WRONG)]
    assert fate(paper, letter(made, "2 min"), set_time("2")) == [(False, Fate.RIGHT)]
    assert fate(paper, "", set_time("2")) == []


def test_a_question_without_a_right_option_counts_for_everybody() -> None:
    paper, made = single("set-time", "choose-value")
    assert fate(paper, letter(made, "4 min"), set_time("7")) == []
    wrong_one = next(option.letter for option in made.options if not option.right)
    assert fate(paper, wrong_one, set_time("7")) == [(False, Fate.VOID)]
    assert fate(paper, "", set_time("7")) == [(False, Fate.VOID)]


def test_a_typed_answer_is_held_against_the_new_value() -> None:
    paper, _ = single("set-time", "type-value")
    assert fate(paper, "4 min", set_time("3")) == [(True, Fate.WRONG)]
    assert fate(paper, "180 s", set_time("3")) == [(False, Fate.RIGHT)]


def test_a_sum_is_done_again_with_the_new_value() -> None:
    new = corrected("headlap", lambda rule: rule.update(value="4", errors=[*rule["errors"], wrong("three", value="3")]))
    paper, made = single("headlap", "compute")
    assert made.sum is not None
    long = made.sum.given[0].value
    assert fate(paper, f"{long - 3} in", new) == [(True, Fate.WRONG)]
    assert fate(paper, f"{long - 4} in", new) == [(False, Fate.RIGHT)]


def test_readings_are_judged_against_the_new_limit() -> None:
    new = set_time("9")
    for seed in range(40):
        paper, made = single("set-time", "choose-all", str(seed))
        claims = {option.letter: option.claim.reading for option in made.options}  # type: ignore[union-attr]
        now = ",".join(letter for letter, reading in claims.items() if reading.value <= 9)
        assert remark(Sat(1, paper, {0: now}), OLD, new, Blueprint(1, 1, {})).after.passed


def test_an_order_is_judged_by_its_acts() -> None:
    turned = corrected("kit-order", lambda rule: rule["acts"].reverse())
    paper, made = single("kit-order", "put-in-order")
    backwards = ",".join(reversed(made.right.split(",")))
    assert fate(paper, made.right, turned) == [(True, Fate.WRONG)]
    assert fate(paper, backwards, turned) == [(False, Fate.RIGHT)]
    gone = corrected("kit-order", lambda rule: rule["acts"].pop())
    assert fate(paper, backwards, gone) == [(False, Fate.VOID)]


def test_new_words_for_the_same_practice_change_no_mark() -> None:
    new = corrected("dust", lambda rule: rule.update(right=both("Brush, then set.", "Cepille y luego coloque.")))
    paper, made = single("dust", "choose-practice")
    assert fate(paper, made.right, new) == []
    assert fate(paper, next(option.letter for option in made.options if not option.right), new) == []


def test_a_practice_that_was_called_wrong_turns_right() -> None:
    def change(rule: Any) -> None:
        rule["right"], rule["errors"][0]["text"] = rule["errors"][0]["text"], rule["right"]

    new = corrected("dust", change)
    paper, made = single("dust", "choose-practice", seed_with("dust", "choose-practice", "Sweep the next day."))
    assert fate(paper, letter(made, "Sweep the next day."), new) == [(False, Fate.RIGHT)]
    assert fate(paper, made.right, new) == [(True, Fate.WRONG)]


def test_an_edge_that_moves_turns_the_band() -> None:
    new = corrected("nailing-by-slope", lambda rule: rule["bands"][0].update(upto="6.5"))
    seed = next(
        str(seed)
        for seed in range(300)
        if (made := question(OLD.rule("nailing-by-slope"), "choose-band", str(seed))).value == "6\u00a01/2:12"
        and any(option.text.en == "No extra nails." for option in made.options)
    )
    paper, made = single("nailing-by-slope", "choose-band", seed)
    assert fate(paper, made.right, new) == [(True, Fate.WRONG)]
    assert fate(paper, letter(made, "No extra nails."), new) == [(False, Fate.RIGHT)]


def test_new_words_for_the_same_band_change_no_mark() -> None:
    new = corrected("nailing-by-slope", lambda rule: rule["bands"][0].update(text=both("Leave it so.", "Déjelo así.")))
    for seed in range(30):
        paper, made = single("nailing-by-slope", "choose-band", str(seed))
        assert fate(paper, made.right, new) == []


def test_a_log_is_judged_by_all_its_rules() -> None:
    seed = next(
        str(seed) for seed in range(300) if "cure" in question(OLD.rule("set-time"), "find-fault", str(seed), OLD).also
    )
    paper, made = single("set-time", "find-fault", seed)
    new = corrected("cure", lambda rule: rule.update(value="20", errors=[*rule["errors"], wrong("four", value="4")]))
    cure = next(option.letter for option in made.options if option.text.en.startswith("Cure"))
    assert fate(paper, cure, new) == [(False, Fate.RIGHT)]


def test_a_rule_that_is_gone_or_of_another_kind_is_void() -> None:
    data: Any = trade_book()
    data["rules"] = [rule for rule in data["rules"] if rule["key"] != "dust"]
    paper, _ = single("dust", "choose-practice")
    assert fate(paper, "", RuleBook.parse(data)) == [(False, Fate.VOID)]
    inches = corrected("cure", lambda rule: rule.update(unit="in"))
    for pattern in ("choose-value", "judge-reading", "type-value", "choose-all"):
        paper, _ = single("cure", pattern)
        assert fate(paper, "", inches) == [(False, Fate.VOID)]


def test_a_rule_that_becomes_critical_can_turn_a_pass() -> None:
    paper, made = single("cure", "choose-value")
    ok, _ = single("dust", "choose-practice")
    two = Paper("p", (*paper.items, *ok.items))
    right = question(OLD.rule("dust"), "choose-practice", "1").right
    miss = next(option.letter for option in made.options if not option.right)
    again = remark(Sat(1, two, {0: miss, 1: right}), OLD, corrected("cure", lambda rule: rule.update(critical=True)),
                   Blueprint(2, 1, {}))  # fmt: skip
    assert again.before.passed and not again.after.passed
    assert again.after.critical_missed == ("cure",)
    assert again.turns == ()


def test_the_proposal_lists_whose_result_changes() -> None:
    paper, made = single("set-time", "choose-value", seed_with("set-time", "choose-value", "2 min"))
    sittings = [
        Sat("knew", paper, {0: letter(made, "4 min")}),
        Sat("guessed", paper, {0: letter(made, "2 min")}),
        Sat("empty", paper, {}),
    ]
    proposal = remark_all(sittings, OLD, set_time("2"), Blueprint(1, 1, {}))
    assert [(again.key, again.before.passed, again.after.passed) for again in proposal.changed] == [
        ("knew", True, False), ("guessed", False, True),
    ]  # fmt: skip
    assert proposal.touched == proposal.changed
    assert [again.key for again in proposal.sittings] == ["knew", "guessed", "empty"]


@pytest.mark.parametrize("seed", range(20))
def test_whoever_was_right_by_an_unchanged_rule_stays_right(seed: int) -> None:
    paper = draw(PRINT, OLD, str(seed))
    asked = paper.questions(OLD)
    again = remark(Sat(1, paper, {n: made.right for n, made in enumerate(asked)}), OLD, set_time("3"), PRINT)
    assert {turn.rule for turn in again.turns} <= {"set-time", *(m.rule.key for m in asked if "set-time" in m.also)}
    assert all(is_right(made, made.right) for made in asked)
