"""Kinds of question that work something out, show drawings or other rules: against worked examples and the trade."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.domain.trade_book import trade_book
from training.content import demo_rule_book
from training.domain.answers import OrderPolicy, accept_answer, error_name, in_order, is_right, longest_run
from training.domain.claims import Covers, SameSlope, holds
from training.domain.errors import BadInput, Refused
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import RuleBook
from training.domain.sums import Sum, slips, solve
from training.domain.units import measure

BOOK = RuleBook.parse(trade_book())
DEMO = RuleBook.parse(demo_rule_book())


def made_for(rule: str, pattern: str, seed: int = 1, book: RuleBook = BOOK) -> Question:
    return question(book.rule(rule), pattern, str(seed), book)


# --- sums ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "value", "unit", "given", "result"),
    [
        # Florida Building Code, TAS 106 cl. 4.1 (2020): 1 in 10 field tiles, 1 in 5 at edges, rounded up.
        ("checks", "10", "one_in", [("346", "tile")], "35"), ("checks", "10", "one_in", [("340", "tile")], "34"),
        ("checks", "10", "tile", [("341", "tile")], "35"), ("checks", "5", "tile", [("46", "tile")], "10"),
        # NIOSH Publication 2016-106: 20 % of a normal day on day one.
        ("share", "20", "percent", [("8", "h")], "8/5"), ("share", "20", "percent", [("10", "h")], "2"),
        # Common practice, no source: a 17 in tile with 3 in headlap shows 14 in.
        ("exposure", "3", "in", [("17", "in")], "14"), ("exposure", "3 1/4", "in", [("17", "in")], "55/4"),
        # Common practice, no source: lift one tile a square; about 5,000 nails for 30 squares, two a tile.
        ("per_square", "1", "tile/square", [("30", "square")], "30"),
        ("per_tile", "2", "nail", [("30", "square"), ("83", "tile/square")], "4980"),
    ],
)  # fmt: skip
def test_a_sum_comes_to_what_was_worked_by_hand(
    kind: str, value: str, unit: str, given: list[tuple[str, str]], result: str
) -> None:
    asked = Sum(kind, tuple(measure(number, of) for number, of in given))
    assert solve(measure(value, unit), asked).value == Fraction(result)


def test_thirty_squares_of_two_nails_a_tile_take_about_5000_nails() -> None:
    """Common practice, no source: so about 167 a square at 80 to 90 tiles."""
    nails = [
        solve(measure("2", "nail"), Sum("per_tile", (measure("30", "square"), measure(rate, "tile/square"))))
        for rate in (80, 90)
    ]
    assert nails[0].value < 5000 < nails[1].value
    assert 160 <= nails[0].value / 30 <= 167 <= nails[1].value / 30


SUMS = [rule.key for rule in BOOK.rules if "compute" in patterns_for(rule)]


@pytest.mark.parametrize("rule", SUMS)
def test_every_slip_of_a_sum_is_wrong_and_named(rule: str) -> None:
    for seed in range(30):
        made = made_for(rule, "compute", seed)
        assert made.sum is not None and is_right(made, made.right)
        found = list(slips(made.rule, made.sum))
        assert len(found) >= 2
        for slip in found:
            typed = f"{slip.result.value} {slip.result.unit}"
            assert not is_right(made, typed)
            assert error_name(made, typed) is not None


@pytest.mark.parametrize(
    ("typed", "right"), [("1.6 h", True), ("96 min", True), ("1 h 36 min", True), ("1.6", True), ("2 h", False)]
)
def test_a_share_of_the_day_may_be_typed_in_hours_or_minutes(typed: str, right: bool) -> None:
    made = next(m for seed in range(99) if (m := made_for("first-day", "compute", seed)).value.startswith("1.6"))
    assert is_right(made, accept_answer(made, typed)) is right


def test_the_number_of_checks_is_rounded_up_and_rounding_down_is_named() -> None:
    made = next(m for seed in range(99) if (m := made_for("field-check", "compute", seed)).sum.given[0].value % 10)
    down = made.sum.given[0].value // 10  # type: ignore[union-attr]
    assert is_right(made, f"{down + 1} tile")
    assert (error_name(made, f"{down} tile") or {}).get("en") == "Round up: the last few tiles need one more check."


# --- areas and slopes ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "width", "area", "enough", "true"),
    [
        # Common practice, no source: 2 x 5 is enough where 10 sq in are asked, 2 x 4 7/8 is just short.
        ("5", "2", "10", True, True), ("4 7/8", "2", "9.75", False, True), ("4 7/8", "2", "9.75", True, False),
        ("5", "2", "7", False, False),
    ],
)  # fmt: skip
def test_a_pad_is_judged_by_its_area(length: str, width: str, area: str, enough: bool, true: bool) -> None:
    claim = Covers(measure(length, "in"), measure(width, "in"), measure(area, "in2"), enough)
    assert holds(BOOK.rule("contact-area"), claim) is true


def test_areas_lie_on_both_sides_of_the_limit_and_never_on_it() -> None:
    said = [made_for("contact-area", "judge-area", seed).option(made_for("contact-area", "judge-area", seed).right)
            for seed in range(80)]  # fmt: skip
    words = [option.text.en for option in said if option is not None]
    assert 20 < sum(text.startswith("Yes") for text in words) < 60
    assert not any("covers 10\u00a0" in text for text in words)


@pytest.mark.parametrize(
    ("rise", "degrees", "percent"),
    # atan(r/12) and r/12: elementary geometry.
    [("2", "9.46", "16.67"), ("2.5", "11.77", "20.83"), ("3", "14.04", "25"), ("4", "18.43", "33.33"),
     ("5", "22.62", "41.67"), ("6", "26.57", "50"), ("7", "30.26", "58.33"), ("8", "33.69", "66.67"),
     ("9", "36.87", "75"), ("10", "39.81", "83.33"), ("11", "42.51", "91.67"), ("12", "45", "100")],
)  # fmt: skip
def test_a_slope_is_the_same_in_degrees_and_percent(rise: str, degrees: str, percent: str) -> None:
    rule, given = BOOK.rule("least-slope"), measure(rise, "pitch")
    for number, unit in ((degrees, "degree"), (percent, "slope_percent")):
        whole = measure(round(Fraction(number)), unit)
        assert holds(rule, SameSlope(given, whole))
        assert holds(rule, SameSlope(whole, given))
        assert not holds(rule, SameSlope(given, whole.plus(Fraction(2))))


@pytest.mark.parametrize("rule", ["least-slope", "steep-roof"])
def test_a_level_never_reads_so_near_the_limit_that_one_step_decides(rule: str) -> None:
    if "judge-slope" not in patterns_for(BOOK.rule(rule)):
        pytest.skip("no whole degree lies clear of the limit")
    for seed in range(60):
        made = made_for(rule, "judge-slope", seed)
        claim: Any = made.options[0].claim
        sides = {BOOK.rule(rule).side_of(claim.reading.plus(Fraction(off))) for off in (-1, 0, 1)}
        assert len(sides) == 1


def test_a_roof_of_exactly_4_in_12_is_no_steep_roof() -> None:
    """29 CFR 1926.500(b): steep is more than 4 in 12."""
    assert holds(BOOK.rule("steep-roof"), SameSlope(measure("4", "pitch"), measure("18", "degree")))
    assert BOOK.rule("steep-roof").judge(measure("4", "pitch")).ok
    assert not BOOK.rule("steep-roof").judge(measure("19", "degree")).ok


# --- choose all, drawings, what is wrong here ----------------------------------------------------------------------


def test_a_question_with_several_right_answers_says_so() -> None:
    for rule in BOOK.rules:
        if "choose-all" in patterns_for(rule):
            made = question(rule, "choose-all", "1")
            assert "Choose all that apply." in made.stem.en
            assert "Elija todas las que correspondan." in made.stem.es


def test_of_many_exactly_those_that_apply_are_right() -> None:
    for seed in range(40):
        made = made_for("use-range", "choose-all", seed)
        right = made.right.split(",")
        assert 0 < len(right) < len(made.options)
        assert is_right(made, made.right)
        assert not is_right(made, "")
        assert not is_right(made, ",".join(option.letter for option in made.options))
        wrong_one = next(option for option in made.options if not option.right)
        assert not is_right(made, ",".join(sorted([*right, wrong_one.letter])))
        assert error_name(made, wrong_one.letter) == wrong_one.error_name
        if len(right) > 1:
            assert not is_right(made, right[0])
            assert (error_name(made, right[0]) or {}).get("en") == "One that applies was left out."


def test_letters_of_many_are_kept_sorted_and_once() -> None:
    made = made_for("use-range", "choose-all")
    assert accept_answer(made, "c, a,a") == "a,c"
    with pytest.raises(BadInput):
        accept_answer(made, "a,z")
    said = made.said("a,c")
    assert said is not None
    assert said.en == f"{made.options[0].text.en}; {made.options[2].text.en}"


def test_every_option_of_a_drawing_question_is_drawn_and_spoken_without_the_key() -> None:
    for rule in DEMO.rules:
        if "pick-drawing" not in patterns_for(rule):
            continue
        for seed in range(20):
            made = question(rule, "pick-drawing", str(seed))
            kinds = {option.figure.kind for option in made.options if option.figure}
            assert all(option.figure for option in made.options) and len(kinds) == 1
            starts = {option.text.en.split()[0] for option in made.options}
            assert len(starts) <= 2
            assert all(option.figure and option.text == option.figure.spoken for option in made.options)


def test_a_log_has_one_value_outside_and_none_that_is_confused_with_it() -> None:
    for rule in DEMO.rules:
        if "find-fault" not in patterns_for(rule, DEMO):
            continue
        for seed in range(10):
            made = question(rule, "find-fault", str(seed), DEMO)
            assert len(set(made.also)) == 3
            assert not {rule.key, *rule.confused_with} & set(made.also)
            assert all(DEMO.rule(key).numeric and DEMO.rule(key).operator != "exact" for key in made.also)


def test_a_log_needs_the_book() -> None:
    rule = BOOK.rule("cure")
    assert "find-fault" in patterns_for(rule, BOOK)
    assert "find-fault" not in patterns_for(rule)
    with pytest.raises(Refused):
        question(rule, "find-fault", "1")


# --- rules that are confused ---------------------------------------------------------------------------------------


def confused(one: str, *others: str) -> RuleBook:
    data: Any = trade_book()
    next(rule for rule in data["rules"] if rule["key"] == one)["confused_with"] = list(others)
    return RuleBook.parse(data)


def test_limits_of_confused_rules_become_wrong_options_with_a_name() -> None:
    book = confused("cure", "dispenser")
    texts = {
        option.text.en: option.error_name
        for seed in range(40)
        for option in question(book.rule("cure"), "choose-value", str(seed)).options
        if not option.right
    }
    assert (texts["72\u00a0h"] or {}).get("en") == "That belongs to another rule: dispenser."


def test_a_confused_rule_with_the_same_limit_makes_no_option() -> None:
    data: Any = trade_book()
    for rule in data["rules"]:
        if rule["key"] == "dispenser":
            rule.update(value="4", errors=[*rule["errors"]])
        if rule["key"] == "cure":
            rule["confused_with"] = ["dispenser"]
    assert RuleBook.parse(data).rule("cure").neighbours == ()


def test_a_typed_limit_of_a_confused_rule_is_named() -> None:
    made = question(confused("cure", "dispenser").rule("cure"), "type-value", "1")
    assert (error_name(made, "3 day") or {}).get("en") == "That belongs to another rule: dispenser."


# --- orders --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("given", "run"), [("abcd", 4), ("bcda", 3), ("dabc", 3), ("abdc", 2), ("dcba", 1), ("acbd", 1), ("cdab", 2)]
)
def test_the_longest_run_counts_acts_that_follow_each_other(given: str, run: int) -> None:
    assert longest_run(list(given), list("abcd")) == run


@given(st.permutations(["inspect", "attach", "open", "purge"]), st.fractions(Fraction(1, 8), 1, max_denominator=8))
def test_a_lenient_policy_never_takes_back_what_a_strict_one_gives(acts: list[str], share: Fraction) -> None:
    rule = BOOK.rule("kit-order")
    strict, lenient = in_order(rule, acts), in_order(rule, acts, OrderPolicy(share))
    assert lenient or not strict
    assert in_order(rule, acts, OrderPolicy(Fraction(1))) == strict == (acts == [act.key for act in rule.acts])
    run = longest_run(acts, [act.key for act in rule.acts])
    assert lenient == (run >= share * 4 or strict)
