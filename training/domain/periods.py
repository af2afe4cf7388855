"""Periods in ISO 8601 (`P24M`, `P1Y6M`, `P90D`) and calendar arithmetic that keeps to the end of short months."""

import calendar
import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction

from training.domain.errors import BadInput

_DURATION = re.compile(
    r"(?P<sign>-?)P(?=.)(?:(?P<years>\d+)Y)?(?:(?P<months>\d+)M)?(?:(?P<days>\d+)D)?"
    r"(?:T(?=.)(?:(?P<hours>\d+)H)?(?:(?P<minutes>\d+)M)?(?:(?P<seconds>\d+(?:\.\d+)?)S)?)?",
    re.ASCII,
)
_WEEKS = re.compile(r"P(\d+)W", re.ASCII)
_MOST_MONTHS = 1200
_MOST_DAYS = 36525


def add_months(day: date, months: int) -> date:
    """`months` later (or earlier) on the same day of the month, or on the month's last day if that day is missing.

    Source: Regulation (EEC, Euratom) 1182/71, Article 3(2)(c).
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return day.replace(year=year, month=month + 1, day=min(day.day, days_in_month(year, month + 1)))


def days_in_month(year: int, month: int) -> int:
    """28 to 31."""
    return calendar.monthrange(year, month)[1]


def month_end(day: date) -> date:
    """The last day of the month of `day`."""
    return day.replace(day=days_in_month(day.year, day.month))


@dataclass(frozen=True, slots=True)
class Period:
    """A length of calendar time: months, days and seconds are kept apart, for a month has no fixed length."""

    months: int = 0
    days: int = 0
    seconds: Fraction = Fraction(0)

    @classmethod
    def parse(cls, text: object) -> "Period":
        """Any XML Schema / ISO 8601 duration, or whole weeks; raises BadInput for other text."""
        weeks = _WEEKS.fullmatch(text) if isinstance(text, str) else None
        if weeks:
            return cls(days=7 * int(weeks[1]))
        found = _DURATION.fullmatch(text) if isinstance(text, str) else None
        if not found:
            raise BadInput("period.unreadable", value=text)
        part = {name: Fraction(value or 0) for name, value in found.groupdict().items() if name != "sign"}
        sign = -1 if found["sign"] else 1
        return cls(
            months=sign * int(12 * part["years"] + part["months"]),
            days=sign * int(part["days"]),
            seconds=sign * (3600 * part["hours"] + 60 * part["minutes"] + part["seconds"]),
        )

    @classmethod
    def of_days(cls, text: object) -> "Period":
        """A period of whole days or months, longer than nothing and up to 100 years; raises BadInput otherwise."""
        period = cls.parse(text)
        fits = 0 <= period.months <= _MOST_MONTHS and 0 <= period.days <= _MOST_DAYS
        if period.seconds or not fits or not (period.months or period.days):
            raise BadInput("period.not_days", value=text)
        return period

    def after(self, day: date) -> date:
        """The day this long after `day`: first the months, then the days. Hours are not looked at."""
        moved = add_months(day, self.months) if self.months else day
        return moved + timedelta(days=self.days)

    def before(self, day: date) -> date:
        """The day this long before `day`."""
        return Period(-self.months, -self.days).after(day)

    def after_moment(self, moment: datetime) -> datetime:
        """The moment this long after `moment`, hours and seconds included."""
        shifted = add_months(moment, self.months) + timedelta(days=self.days)
        assert isinstance(shifted, datetime)
        return shifted + timedelta(microseconds=int(self.seconds * 1_000_000))

    def times(self, count: int) -> "Period":
        """`count` such periods as one, so that they can be added at once and no month end drifts."""
        return Period(self.months * count, self.days * count, self.seconds * count)
