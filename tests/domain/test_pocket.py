"""The pocket sheet holds the day's limits of the product, and nothing that is not a number to keep."""

from training.content import demo_rule_book
from training.domain.pocket import MOST, pocket_sheet
from training.domain.rules import RuleBook

BOOK = RuleBook.parse(demo_rule_book())
LINES = [line for chapter in pocket_sheet(BOOK) for line in chapter.lines]


def test_it_fits_on_one_page():
    assert 0 < len(LINES) <= MOST


def test_every_line_says_the_same_numbers_in_both_languages():
    for line in LINES:
        digits = [[sign for sign in line.limit[language] if sign.isdecimal()] for language in ("en", "es")]
        assert digits[0] == digits[1], line.rule


def test_no_number_of_the_law_stands_among_the_products_own():
    assert all(BOOK.rule(line.rule).source.kind != "law or standard" for line in LINES)


def test_when_the_page_is_too_small_the_critical_limits_stay():
    short = [line for chapter in pocket_sheet(BOOK, most=5) for line in chapter.lines]
    assert len(short) == 5
    assert all(line.critical for line in short)


def test_the_limit_is_the_rules_own():
    line = next(line for line in LINES if BOOK.rule(line.rule).operator == "range")
    rule = BOOK.rule(line.rule)
    assert str(rule.low.value.numerator) in line.limit["en"]
    assert str(rule.high.value.numerator) in line.limit["es"]
