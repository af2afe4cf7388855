"""Conventions of expiry and renewal against the published rules; every convention is data, none is in the code."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from training.domain.errors import BadInput
from training.domain.validity import Validity


def day(text):
    return date.fromisoformat(text) if text else None


def rule(period, convention="to_the_day", **early):
    return Validity.parse({"period": period, "convention": convention, **({"early": early} if early else {})})


LAST_DAY = [
    # 14 CFR 61.23(d) and AC 68-1A: to the end of the last day of the Nth month after the month of the examination.
    ("P24M", "end_of_month", "2015-05-15", "2017-05-31", "14 CFR 61.23(d), 2015"),
    ("P24M", "end_of_month", "2015-05-01", "2017-05-31", "14 CFR 61.23(d), 2015"),
    ("P24M", "end_of_month", "2020-01-15", "2022-01-31", "AC 68-1A, 2020"),
    # The same issuer counts 48 months to the day.
    ("P48M", "to_the_day", "2020-01-15", "2024-01-15", "14 CFR 61.23(c)(3)(i)(D), 2020"),
    # The day of the event is not counted; the missing day becomes the month's last.
    ("P5Y", "to_the_day", "2024-02-29", "2029-02-28", "Reg. (EEC, Euratom) 1182/71, Art. 3(1), 3(2)(c)"),
    ("P6M", "to_the_day", "2026-08-31", "2027-02-28", "Reg. (EEC, Euratom) 1182/71, Art. 3(2)(c), derived"),
    # Art. 3(4) would move the end from a Saturday to a Monday; for a qualification it must not.
    (
        "P1Y",
        "to_the_day",
        "2026-07-03",
        "2027-07-03",
        "Reg. 1182/71, Art. 3(4), negative example: 3 July 2027 is a Saturday",
    ),
    # "At least annually": not more than 365 days.
    ("P12M", "at_most_365_days", "2023-03-01", "2024-02-29", "OSHA letter of 24 January 2007, derived"),
    ("P12M", "to_the_day", "2023-03-01", "2024-03-01", "the anniversary, for contrast: 366 days, derived"),
    ("P12M", "at_most_365_days", "2025-03-01", "2026-03-01", "OSHA letter of 24 January 2007, derived"),
    ("P36M", "to_the_day", "2026-03-15", "2029-03-15", "29 CFR 1910.178(l)(4)(iii), 1998: every 3 years"),
    ("P60M", "to_the_day", "2023-08-24", "2028-08-24", "Reg. (EC) 1907/2006, Annex XVII entry 74, 2020: every 5 years"),
    ("P60M", "to_the_day", "2019-02-28", "2024-02-28", "29 CFR 1926.1427, 2018: 5 years, clause from memory"),
    # No date ends it, only events do.
    (None, "none", "2026-01-05", None, "29 CFR 1926.503(c)(1)-(3), 1994: no fixed interval"),
    (None, "none", "2026-01-05", None, "29 CFR 1926.1060(b), 1990: retraining as necessary"),
    # The day of the event counted as the first: common practice, no source.
    ("P24M", "anniversary", "2024-03-01", "2026-02-28", "common practice, no source"),
    ("P1Y", "anniversary", "2024-02-29", "2025-02-28", "common practice, no source: nobody loses a day"),
    ("P90D", "to_the_day", "2026-01-01", "2026-04-01", "90 days, derived"),
]


@pytest.mark.parametrize(("period", "convention", "done", "last", "source"), LAST_DAY)
def test_the_last_valid_day_follows_the_convention(period, convention, done, last, source):
    assert rule(period, convention).ends_on(day(done)) == day(last), source


GRACE = [
    # 14 CFR 61.58(i), 135.301(a), 135.323(b), 125.293(a), 91.1071(a), 121.413(b); for 121.401(b) from memory.
    ("2019-12-01", "2021-01-31"),
    ("2019-12-31", "2021-01-31"),
    ("2020-01-15", "2021-01-31"),
    ("2020-02-01", "2021-01-31"),
    ("2020-02-29", "2021-01-31"),
    ("2020-03-01", "2021-03-31"),
    ("2019-11-30", "2020-11-30"),
]


@pytest.mark.parametrize(("done", "due_next"), GRACE)
def test_work_in_the_month_before_or_after_counts_as_done_in_the_due_month(done, due_next):
    validity = rule("P12M", "end_of_month", rule="grace_month", before=1, after=1)
    due = validity.first(date(2019, 1, 10))
    assert due.ends_on == date(2020, 1, 31)
    assert validity.renew(due, day(done)).ends_on == day(due_next)
    assert validity.ends_on(day(done), previous_end=date(2020, 1, 31)) == day(due_next)


def test_in_the_grace_month_one_may_act_but_twelve_months_never_become_thirteen():
    # FAA Chief Counsel interpretation of May 2015.
    validity = rule("P12M", "end_of_month", rule="grace_month", before=1, after=1)
    assert validity.grace_until(date(2020, 1, 31)) == date(2020, 2, 29)
    late = [validity.first(date(2019, 1, 10))]
    for year in range(2020, 2030):
        late.append(validity.renew(late[-1], date(year, 2, 28)))
    assert [term.ends_on for term in late] == [date(year, 1, 31) for year in range(2020, 2031)]


@pytest.mark.parametrize(
    ("done", "last", "why"),
    [
        ("2027-10-22", "2030-01-20", "90 days before, the first day of the window"),
        ("2027-10-21", "2029-10-21", "a day too early: counted from the day it was done"),
        ("2028-01-20", "2030-01-20", "on the last valid day"),
        ("2028-01-21", "2030-01-21", "a day late: nothing to keep"),
    ],
)
def test_early_renewal_keeps_the_anniversary_inside_its_window(done, last, why):
    # Company rule of the demo; the same family as STCW Code A-I/11 (renewal within six months), from memory.
    validity = rule("P24M", rule="keep_anniversary", window="P90D")
    assert validity.series([date(2026, 1, 20), day(done)]).ends_on == day(last), why


def test_a_certificate_renewed_within_six_months_runs_from_the_old_date_to_a_month_end():
    # STCW Code A-I/11 and the Maritime Labour Convention 2006, from memory: 3 or 6 months before the old date.
    validity = rule("P60M", "end_of_month", rule="keep_anniversary", window="P6M")
    assert validity.series([date(2020, 5, 4), date(2024, 12, 10)]).ends_on == date(2030, 5, 31)
    assert validity.series([date(2020, 5, 4), date(2024, 10, 10)]).ends_on == date(2029, 10, 31)


def test_a_new_period_can_start_on_the_day_after_the_old_one():
    validity = rule("P1Y", "anniversary", rule="day_after", window="P30D")
    assert validity.series([date(2026, 3, 1), date(2027, 2, 10)]).ends_on == date(2028, 2, 29)


def test_kept_anniversaries_are_counted_from_the_original_date_and_never_drift():
    validity = rule("P12M", rule="keep_anniversary", window="P90D")
    done = [date(2024, 2, 29), date(2025, 2, 1), date(2026, 2, 1), date(2027, 2, 1)]
    assert validity.series(done).ends_on == date(2028, 2, 29)
    monthly = rule("P1M", rule="keep_anniversary", window="P10D")
    assert monthly.series([date(2024, 1, 31), date(2024, 2, 25)]).ends_on == date(2024, 3, 31)


def test_without_a_rule_for_early_renewal_the_period_starts_anew():
    assert rule("P24M").series([date(2026, 1, 20), date(2027, 12, 1)]).ends_on == date(2029, 12, 1)


conventions = st.sampled_from(["to_the_day", "anniversary", "end_of_month", "at_most_365_days"])
earlies = st.sampled_from(
    [
        None,
        {"rule": "keep_anniversary", "window": "P90D"},
        {"rule": "day_after", "window": "P1M"},
        {"rule": "grace_month"},
    ]
)
dates = st.lists(st.dates(date(2015, 1, 1), date(2035, 1, 1)), min_size=1, max_size=8).map(sorted)


@given(conventions, earlies, st.sampled_from(["P12M", "P24M", "P3Y"]), dates)
def test_doing_the_work_again_never_shortens_a_validity(convention, early, period, done):
    data = {"period": period, "convention": convention, **({"early": early} if early else {})}
    try:
        validity = Validity.parse(data)
    except BadInput:
        return
    ends = [validity.series(done[: count + 1]).ends_on for count in range(len(done))]
    assert ends == sorted(ends)
    assert all(end >= validity.first(on).ends_on for end, on in zip(ends, done, strict=True))


@given(dates)
def test_a_kept_anniversary_adds_no_more_than_the_window(done):
    validity = rule("P24M", rule="keep_anniversary", window="P90D")
    assert validity.series(done).ends_on <= validity.first(done[-1]).ends_on + timedelta(days=92)


REFUSED = [
    ({"period": "24 months", "convention": "to_the_day"}, "period.unreadable"),
    ({"period": "PT24H", "convention": "to_the_day"}, "period.not_days"),
    ({"convention": "to_the_day"}, "validity.period_or_none"),
    ({"period": "P1Y", "convention": "none"}, "validity.period_or_none"),
    ({"period": "P1Y", "convention": "roughly"}, "validity.convention_unknown"),
    ({"period": "P1Y", "convention": ["to_the_day"]}, "validity.convention_unknown"),
    ({"period": "P18M", "convention": "at_most_365_days"}, "validity.whole_years"),
    ({"period": "P1Y", "convention": "to_the_day", "early": {"rule": "soon"}}, "validity.early_unknown"),
    ({"period": "P1Y", "convention": "to_the_day", "early": "P90D"}, "validity.early_unreadable"),
    ({"period": "P1Y", "convention": "to_the_day", "early": {"rule": "keep_anniversary"}}, "period.unreadable"),
    ({"period": "P1Y", "convention": "to_the_day", "early": {"rule": "grace_month"}}, "validity.grace_needs_month_end"),
    (
        {"period": "P1Y", "convention": "end_of_month", "early": {"rule": "grace_month", "after": -1}},
        "validity.grace_months",
    ),
    (
        {"period": "P1Y", "convention": "at_most_365_days", "early": {"rule": "keep_anniversary", "window": "P9D"}},
        "validity.early_not_possible",
    ),
    (None, "validity.unreadable"),
]


@pytest.mark.parametrize(("data", "key"), REFUSED)
def test_a_rule_that_cannot_be_meant_is_refused_with_its_reason(data, key):
    with pytest.raises(BadInput) as no:
        Validity.parse(data)
    assert no.value.message.key == key
