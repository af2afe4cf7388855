"""The starter book has the structure and none of a product's numbers; filled with usual ones it asks well."""

import copy
from fractions import Fraction
from functools import lru_cache
from typing import Any

import pytest

from training.content import demo_rule_book, starter_rule_book
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.lint import lint
from training.domain.patterns.choose_value import PATTERN as CHOOSE_VALUE
from training.domain.rule_draft import (
    SHEET,
    Filling,
    Need,
    check_whole,
    fill,
    has_numbers,
    has_source,
    leave_out,
    numbers_of,
    progress,
    rule_of,
)
from training.domain.rule_json import BookFaults
from training.domain.rules import Operator, Rule, RuleBook
from training.domain.text import Text
from training.domain.units import Measure, measure

STARTER = RuleBook.parse(starter_rule_book(), draft=True)
SOURCE = {"kind": SHEET, "revision": "3", "page": "2"}
SHARES = (Fraction(0), Fraction(1, 2), Fraction(1))
FROM_ERRORS = {"choose-value", "choose-practice", "choose-band", "put-in-order", "type-value", "judge-reading"}
"""Patterns whose options come from what a rule says itself."""
PLAIN = {"test-pad-weight": ("30", "50"), "side-play": ("1/8", "5/16")}
"""Ends to use where there are no usual ones, or only two neighbouring marks of the tape."""


def ends_of(rule: Rule) -> tuple[Measure, Measure]:
    if rule.key in PLAIN:
        low, high = (measure(number, rule.unit) for number in PLAIN[rule.key])
        return low, high
    assert rule.usual.low is not None and rule.usual.high is not None
    return rule.usual.low, rule.usual.high


def between(rule: Rule, share: Fraction) -> Measure:
    """A number of the usual range; whole where things are counted."""
    low, high = ends_of(rule)
    step = Fraction(1, 16) if rule.unit == "in" else Fraction(1)
    return Measure(round((low.value + (high.value - low.value) * share) / step) * step, rule.unit)


def filling(rule: Rule, share: Fraction = Fraction(1, 2)) -> Filling:
    if rule.operator is Operator.RANGE:
        return Filling(SOURCE, {"low": between(rule, share / 3), "high": between(rule, 1 - share / 3)})
    if rule.operator is Operator.BANDS:
        return Filling(SOURCE, {}, [Measure(Fraction(2 + n), rule.by) for n in range(len(rule.bands))])
    return Filling(SOURCE, {"value": between(rule, share)} if rule.numeric else {})


def filled(share: Fraction = Fraction(1, 2)) -> dict[str, Any]:
    """The starter with every gap filled; a fresh copy."""
    return copy.deepcopy(_filled(share))


@lru_cache
def _filled(share: Fraction) -> dict[str, Any]:
    content = starter_rule_book()
    for gap in progress(STARTER, {}).gaps:
        content = fill(content, gap.rule.key, filling(gap.rule, share))
    return content


# --- the starter ------------------------------------------------------------------------------------------------


def test_the_starter_has_the_structure_and_only_the_numbers_of_law_and_standards() -> None:
    assert len(STARTER.rules) >= 120 and len(STARTER.checklist) >= 34
    for rule in STARTER.rules:
        cited = rule.source is not None and rule.source.kind == "law or standard" and bool(rule.source.citation)
        if rule.operator in (Operator.MIN, Operator.MAX, Operator.RANGE, Operator.EXACT):
            assert has_numbers(rule) is cited, rule.key
        assert rule.source is None or rule.source.kind in ("law or standard", "common practice"), rule.key
        assert not (rule.numeric and rule.source is not None and not cited), rule.key


def test_the_starter_asks_for_the_same_things_as_the_demo_and_tells_no_number_of_it() -> None:
    demo = RuleBook.parse(demo_rule_book())
    assert [rule.key for rule in demo.rules] == [rule.key for rule in STARTER.rules]
    for own, other in zip(STARTER.rules, demo.rules, strict=True):
        assert (own.unit, own.operator, own.quantity, own.critical) == (
            other.unit, other.operator, other.quantity, other.critical,
        )  # fmt: skip
        if not has_numbers(own):
            assert not any((error.value, error.low, error.high) != (None, None, None) for error in own.errors), own.key


@pytest.mark.parametrize("share", SHARES)
def test_filled_with_usual_numbers_it_is_a_book_whose_questions_have_no_grave_fault(share: Fraction) -> None:
    content = filled(share)
    confirmed = {gap.rule.key: numbers_of(gap.rule) for gap in progress(RuleBook.parse(content, draft=True), {}).gaps}
    book = check_whole(content, confirmed)
    faults = (found for found in lint(book, [f"s{n}" for n in range(6)]) if found.grave)
    assert [found for found in faults if found.pattern in FROM_ERRORS] == []
    for rule in book.rules:
        if rule.numeric and rule.source is not None and rule.source.kind == SHEET:
            assert CHOOSE_VALUE.fits(rule), rule.key


# --- filling ----------------------------------------------------------------------------------------------------


def test_what_is_missing_is_counted_and_the_next_gap_found() -> None:
    found = progress(STARTER, {})
    assert found.total == len(STARTER.rules) and found.done == found.total - len(found.gaps)
    first, second, *_, last = found.gaps
    assert Need.SOURCE in first.needs
    order = [rule.key for rule in STARTER.rules]
    assert found.after("", order) == first.rule
    assert found.after(first.rule.key, order) == second.rule
    assert found.after(last.rule.key, order) == first.rule
    content = filled()
    done = progress(RuleBook.parse(content, draft=True), {})
    assert {need for gap in done.gaps for need in gap.needs} <= {Need.CONFIRM}


def test_a_filled_rule_keeps_everything_else_and_the_draft_it_came_from_is_untouched() -> None:
    content = starter_rule_book()
    new = fill(content, "open-time", Filling(SOURCE, {"value": measure("2", "min")}))
    assert content == starter_rule_book()
    rule = rule_of(new, "open-time")
    assert rule.value is not None and (rule.value.value, rule.value.unit) == (120, "s")
    assert rule.source is not None and rule.source.page == "2"
    assert rule.errors[0].value == measure("150", "s")
    back = fill(new, "open-time", Filling({}, {"value": None}))
    assert rule_of(back, "open-time").value is None and not has_source(rule_of(back, "open-time"))


def test_a_number_of_another_unit_is_kept_exactly_in_the_rule_s_own() -> None:
    new = fill(starter_rule_book(), "headlap", Filling(SOURCE, {"value": measure("76", "mm")}))
    value = rule_of(new, "headlap").value
    assert value is not None and value.unit == "in" and value == measure("76", "mm")


@pytest.mark.parametrize(
    ("key", "numbers", "ends", "fault", "field"),
    [
        ("air-temperature", {"low": measure("90", "degF"), "high": measure("40", "degF")}, (),
         "book.low_above_high", "low"),
        ("growth", {"value": measure("120", "percent")}, (), "file.impossible", "value"),
        ("extra-fastening", {}, [measure(n, "pitch") for n in ("2", "7", "6")], "book.bands_out_of_order",
         "bands_2_upto"),
    ],
)  # fmt: skip
def test_numbers_that_cannot_stand_are_refused_at_their_field(key, numbers, ends, fault, field) -> None:
    with pytest.raises(BadInput) as caught:
        fill(starter_rule_book(), key, Filling(SOURCE, numbers, ends))
    assert (caught.value.message.key, caught.value.field) == (fault, field)


def test_a_practice_may_be_said_in_the_sheet_s_words_but_not_with_loose_numbers() -> None:
    said = Text("Thermometer strip on the cylinder", "Tira de termómetro en el cilindro")
    new = fill(starter_rule_book(), "temperature-reading", Filling(SOURCE, {}, right=said))
    assert rule_of(new, "temperature-reading").right == said
    with pytest.raises(BadInput) as caught:
        fill(new, "temperature-reading", Filling(SOURCE, {}, right=Text("Within 2 minutes", "En 2 minutos")))
    assert caught.value.field == "right_en"


def test_a_rule_can_be_left_out_with_all_that_rests_on_it() -> None:
    left = leave_out(starter_rule_book(), "open-time-hot")
    book = RuleBook.parse(left, draft=True)
    assert not book.has("open-time-hot") and len(book.rules) == len(STARTER.rules) - 1
    assert all(error.like != "open-time-hot" for rule in book.rules for error in rule.errors)
    assert not any(item.rule == "pad-length-low" for item in RuleBook.parse(
        leave_out(starter_rule_book(), "pad-length-low"), draft=True).checklist)  # fmt: skip
    with pytest.raises(NotFound):
        leave_out(left, "open-time-hot")


def test_a_book_with_something_missing_is_refused_by_name() -> None:
    content = filled()
    for key, spoil, fault in (
        ("headlap", {"value": None}, "rule_draft.no_value"),
        ("extra-fastening", {}, "rule_draft.no_value"),
    ):
        ends = [None] * 4 if key == "extra-fastening" else ()
        with pytest.raises(Refused) as caught:
            check_whole(fill(content, key, Filling(SOURCE, spoil, ends)), {})
        assert caught.value.message.key == fault
        assert caught.value.message.values["rules"] == [STARTER.rule(key).quantity]
    with pytest.raises(Refused) as caught:
        check_whole(fill(content, "rain-stop", Filling({"kind": SHEET, "page": "2"}, {})), {})
    assert caught.value.message.key == "rule_draft.no_source"


def test_unusual_numbers_count_only_once_confirmed_and_only_these() -> None:
    content = fill(filled(), "headlap", Filling(SOURCE, {"value": measure("6", "in")}))
    others = {gap.rule.key: numbers_of(gap.rule) for gap in progress(RuleBook.parse(content, draft=True), {}).gaps}
    confirmed = others | {"headlap": "6 in"}
    assert check_whole(content, confirmed).rule("headlap").value == measure("6", "in")
    with pytest.raises(Refused) as caught:
        check_whole(fill(content, "headlap", Filling(SOURCE, {"value": measure("7", "in")})), confirmed)
    assert caught.value.message.key == "rule_draft.unconfirmed"


def test_a_fault_that_filling_cannot_mend_is_told_with_its_place() -> None:
    content = filled()
    next(rule for rule in content["rules"] if rule["key"] == "headlap")["errors"] = []
    with pytest.raises(BookFaults):
        check_whole(content, {gap.rule.key: numbers_of(gap.rule) for gap in
                              progress(RuleBook.parse(content, draft=True), {}).gaps})  # fmt: skip
