"""Dates as typed and as spreadsheets keep them, against ISO 8601, ECMA-376 and two reference readers."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from dateutil import parser as dateutil_parser
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.utils.datetime import from_excel

from training.domain import dates
from training.domain.dates import Order, parse_date
from training.domain.errors import BadInput

TODAY = date(2026, 11, 25)


def _read(typed: dates.Typed, **options: object) -> date:
    return parse_date(typed, today=TODAY, **options)  # type: ignore[arg-type]


def _refusal(typed: dates.Typed, **options: object) -> BadInput:
    with pytest.raises(BadInput) as refused:
        _read(typed, **options)
    return refused.value


@pytest.mark.parametrize(
    "typed",
    [
        "2027-03-04",
        "2027/03/04",
        "20270304",
        "2027-03-04 00:00:00",
        "2027-03-04T00:00",
        "4 mar 2027",
        "4 Mar. 2027",
        "March 4th, 2027",
        "4 de marzo de 2027",
        "4-mar-27",
        "Thu 4 Mar 2027",
        "jueves, 4 de marzo del 2027",
        "2027 mar 4",
        date(2027, 3, 4),
        datetime(2027, 3, 4, 12, 30),
        46450,
        46450.75,
        "46450",
    ],
)
def test_the_ways_to_write_a_date_come_to_one(typed: dates.Typed) -> None:
    assert _read(typed) == date(2027, 3, 4)


@given(st.integers(1, 59) | st.integers(61, 73_050))
def test_a_spreadsheet_day_number_is_the_day_of_the_1900_system(serial: int) -> None:
    """ECMA-376 part 1, 18.17.4.1; reference reader: openpyxl."""
    if 1900 <= serial <= 2100:
        assert _refusal(serial).message.key == "date.year_only"
    else:
        assert _read(float(serial), earliest=date(1800, 1, 1)) == from_excel(serial).date()


def test_the_day_that_a_spreadsheet_made_up_is_refused() -> None:
    """29 February 1900 was none: the year is divisible by 100 and not by 400 (Gregorian rule)."""
    assert _refusal(60).message.key == "date.impossible"


@given(st.dates(date(1930, 1, 1), date(2029, 12, 31)), st.sampled_from(Order), st.sampled_from("/-."))
def test_numbers_read_as_the_column_says(day: date, order: Order, sign: str) -> None:
    """Reference reader: python-dateutil with the same order."""
    text = day.strftime(f"%d{sign}%m{sign}%Y" if order is Order.DAY_FIRST else f"%m{sign}%d{sign}%Y")
    expected = dateutil_parser.parse(text, dayfirst=order is Order.DAY_FIRST).date()
    assert _read(text, order=order) == expected == day


def test_two_readings_are_refused_and_both_shown() -> None:
    refused = _refusal("4/3/2027")
    assert refused.message.key == "date.ambiguous"
    assert (refused.message.values["one"], refused.message.values["other"]) == (date(2027, 3, 4), date(2027, 4, 3))


def test_one_possible_reading_needs_no_order() -> None:
    assert _read("25/3/2019") == _read("3/25/2019") == date(2019, 3, 25)
    assert _read("4/4/2019") == date(2019, 4, 4)


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("31/02/2020", "date.impossible"),
        ("2023-02-29", "date.impossible"),
        ("30 feb 2020", "date.impossible"),
        ("13/13/2020", "date.impossible"),
        ("2019", "date.year_only"),
        (2019, "date.year_only"),
        ("next week", "date.unreadable"),
        ("1.5", "date.unreadable"),
        ("3/2020", "date.unreadable"),
        (-5, "date.unreadable"),
        (9_999_999, "date.unreadable"),
        (float("inf"), "date.unreadable"),
    ],
)
def test_what_is_no_day_is_refused_with_its_reason(typed: dates.Typed, key: str) -> None:
    assert _refusal(typed, order=Order.DAY_FIRST).message.key == key


def test_a_day_to_come_is_refused_where_only_the_past_makes_sense() -> None:
    assert _refusal("26 nov 2026", latest=TODAY).message.key == "date.future"
    assert _read("25 nov 2026", latest=TODAY) == TODAY
    assert _refusal("1 jan 1925", earliest=date(1926, 1, 1)).message.key == "date.too_early"


@pytest.mark.parametrize(
    ("typed", "year"), [("5 jun 26", 2026), ("5 jun 27", 1927), ("5 jun 68", 1968), ("5 jun 00", 2000)]
)
def test_two_digits_of_a_past_year_are_never_in_the_future(typed: str, year: int) -> None:
    assert _read(typed, latest=TODAY).year == year


def test_a_column_says_its_order_when_all_its_sure_cells_agree() -> None:
    assert dates.infer_order(["4/3/2020", "25/3/2020", None, 44000, "x"]) is Order.DAY_FIRST
    assert dates.infer_order(["4/3/2020", "3/25/2020"]) is Order.MONTH_FIRST
    assert dates.infer_order(["4/3/2020", "5/3/2020"]) is None
    assert dates.infer_order(["25/3/2020", "3/25/2020"]) is None


def test_dates_turned_round_by_a_spreadsheet_are_noticed() -> None:
    texts = ["25/3/2020", "13/4/2020", "30/12/2019"]
    turned = [date(2020, 3, 4), date(2020, 12, 1), date(2019, 1, 12)]
    assert dates.turned_by_spreadsheet([*texts, *turned])
    assert not dates.turned_by_spreadsheet([*texts, *turned, date(2020, 5, 20)])
    assert not dates.turned_by_spreadsheet(turned)


@given(st.text(max_size=25))
def test_whatever_is_typed_gives_a_day_or_a_refusal(typed: str) -> None:
    try:
        assert isinstance(_read(typed), date)
    except BadInput as refused:
        assert refused.message.key.startswith("date.")


@given(st.dates(date(1920, 1, 1), date(2010, 1, 1)), st.integers(0, 30_000))
def test_age_is_the_number_of_birthdays(born: date, days: int) -> None:
    """Counted by hand: birthdays after the day of birth, 29 February kept on 1 March in other years."""
    on = born + timedelta(days=days)
    birthdays = [_birthday(born, year) for year in range(born.year + 1, on.year + 1)]
    assert dates.age_on(born, on) == sum(birthday <= on for birthday in birthdays)


def _birthday(born: date, year: int) -> date:
    try:
        return born.replace(year=year)
    except ValueError:
        return date(year, 3, 1)
