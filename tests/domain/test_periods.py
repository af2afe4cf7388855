"""Calendar arithmetic against published examples and python-dateutil."""

from datetime import UTC, date, datetime

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from training.domain.errors import BadInput
from training.domain.periods import Period, add_months, month_end

days = st.dates(date(1990, 1, 1), date(2090, 12, 31))

PUBLISHED = [
    ("2007-03-31", "P1M", "2007-04-30", "java.time LocalDate.plusMonths documentation (2014)"),
    ("2011-01-31", "P1M", "2011-02-28", "examples by the author of java.time, published answer"),
    ("2012-01-31", "P1M", "2012-02-29", "examples by the author of java.time, published answer"),
    ("2013-10-31", "P4M", "2014-02-28", "examples by the author of java.time, published answer"),
    ("2013-10-31", "-P4M", "2013-06-30", "examples by the author of java.time, published answer"),
    ("2012-02-29", "P1Y", "2013-02-28", "examples by the author of java.time, published answer"),
    ("2011-01-30", "P1M", "2011-02-28", "java.time LocalDate documentation (2014)"),
    ("2011-03-30", "-P1M", "2011-02-28", "java.time LocalDate documentation (2014)"),
    ("2024-01-31", "P1M", "2024-02-29", "run with python-dateutil"),
    ("2023-01-31", "P1M", "2023-02-28", "run with python-dateutil"),
    ("2024-02-29", "P1Y", "2025-02-28", "run with python-dateutil"),
    ("2024-02-29", "P4Y", "2028-02-29", "run with python-dateutil"),
    ("2099-02-28", "P1Y", "2100-02-28", "Gregorian rule: 2100 is no leap year"),
    ("2096-02-29", "P4Y", "2100-02-28", "Gregorian rule: 2100 is no leap year"),
    ("1996-02-29", "P4Y", "2000-02-29", "Gregorian rule: 2000 is a leap year"),
]


@pytest.mark.parametrize(("start", "period", "end", "source"), PUBLISHED)
def test_a_missing_day_becomes_the_last_day_of_its_month(start, period, end, source):
    assert Period.parse(period).after(date.fromisoformat(start)) == date.fromisoformat(end), source


@given(days, st.integers(-400, 400))
def test_adding_months_agrees_with_dateutil(day, months):
    assert add_months(day, months) == day + relativedelta(months=months)


def test_two_steps_of_a_month_drift_and_one_step_of_two_months_does_not():
    # Run with python-dateutil: 31 January + 1 month + 1 month is 29 March, + 2 months is 31 March.
    month = Period.parse("P1M")
    assert month.after(month.after(date(2024, 1, 31))) == date(2024, 3, 29)
    assert month.times(2).after(date(2024, 1, 31)) == date(2024, 3, 31)


def test_the_order_of_adding_days_and_months_matters():
    # XML Schema Part 2 (2004), Appendix E, cited from memory; the values were run with python-dateutil.
    day, month, start = Period.parse("P1D"), Period.parse("P1M"), date(2000, 3, 30)
    assert month.after(day.after(start)) == date(2000, 4, 30)
    assert day.after(month.after(start)) == date(2000, 5, 1)


def test_the_sample_of_xml_schema_adds_date_and_time():
    # XML Schema Part 2 (2004), Appendix E, cited from memory.
    moment = datetime(2000, 1, 12, 12, 13, 14, tzinfo=UTC)
    expected = datetime(2001, 4, 17, 19, 23, 17, 300_000, tzinfo=UTC)
    assert Period.parse("P1Y3M5DT7H10M3.3S").after_moment(moment) == expected


@pytest.mark.parametrize("text", ["P1Y2M3DT5H20M30.123S", "-P1Y", "P1DT2S", "P24M", "P90D", "P2W", "PT36H"])
def test_durations_of_the_standard_are_read(text):
    # XML Schema Part 2 (2004), 3.2.6; weeks from ISO 8601.
    Period.parse(text)


@pytest.mark.parametrize(
    "text", ["1Y", "P1S", "P-1Y", "P1M2Y", "P", "PT", "P1DT", "p1y", " P1Y", "", "P1.5Y", None, 12, "P１Y"]
)
def test_other_text_is_refused(text):
    # The first four are the invalid examples of XML Schema Part 2 (2004), 3.2.6.
    with pytest.raises(BadInput) as no:
        Period.parse(text)
    assert no.value.message.key == "period.unreadable"


def test_a_year_is_twelve_months_and_a_month_is_not_thirty_days():
    # XML Schema Part 2 (2004), 3.2.6.2: durations are ordered only in part.
    assert Period.parse("P1Y") == Period.parse("P12M")
    assert Period.parse("P1M") != Period.parse("P30D")


@pytest.mark.parametrize("text", ["-P1Y", "PT12H", "P0D", "P200Y", "P99999999D", "P1DT1S"])
def test_a_validity_is_made_of_whole_days(text):
    with pytest.raises(BadInput) as no:
        Period.of_days(text)
    assert no.value.message.key == "period.not_days"


@given(days)
def test_the_month_ends_before_the_next_one_starts(day):
    assert month_end(day) == (day.replace(day=1) + relativedelta(months=1)) - relativedelta(days=1)
