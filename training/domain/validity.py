"""How long a proof counts: a period, a convention for its last day, a rule for renewing early. All of it is data."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import TypeVar

from training.domain.errors import BadInput
from training.domain.periods import Period, add_months, month_end

ONE_DAY = timedelta(days=1)
_DAYS_A_YEAR = 365
_Word = TypeVar("_Word", bound=StrEnum)


class Convention(StrEnum):
    """Which day is the last valid one; it is valid to the end of that day, local time of the site."""

    # The day of the event is not counted: done on 15 January, valid on 15 January still (Reg. 1182/71 Art. 3(1)).
    TO_THE_DAY = "to_the_day"
    # The day of the event is the first one counted: done on 15 January, last valid on 14 January.
    ANNIVERSARY = "anniversary"
    # To the last day of the month in which the period ends (14 CFR 61.23(d)).
    END_OF_MONTH = "end_of_month"
    # A year is 365 days, leap year or not (OSHA interpretation letter of 24 January 2007).
    AT_MOST_365_DAYS = "at_most_365_days"
    # No date ends it, only events do (29 CFR 1926.503(c)).
    NONE = "none"


class EarlyRule(StrEnum):
    """What happens to the old last day when the work is done again before it."""

    NONE = "none"
    KEEP_ANNIVERSARY = "keep_anniversary"  # inside the window the next period is counted from the old date
    DAY_AFTER = "day_after"  # inside the window the next period starts on the day after the old last day
    GRACE_MONTH = "grace_month"  # done in a month around the due month counts as done in it (14 CFR 61.58(i))


@dataclass(frozen=True, slots=True)
class Term:
    """A running validity: `periods` whole periods counted at once from `anchor`, so that month ends never drift."""

    anchor: date
    periods: int
    ends_on: date | None

    def covers(self, day: date) -> bool:
        """Whether `day` is not after the last valid day."""
        return self.ends_on is None or day <= self.ends_on


@dataclass(frozen=True, slots=True)
class Validity:
    """A rule of expiry. `months_before` and `months_after` belong to the grace month rule, `window` to the others."""

    period: Period | None
    convention: Convention = Convention.TO_THE_DAY
    early: EarlyRule = EarlyRule.NONE
    window: Period | None = None
    months_before: int = 0
    months_after: int = 0

    @classmethod
    def parse(cls, data: object, inherit: "Validity | None" = None) -> "Validity":
        """From JSON; an absent `early` is taken from `inherit`. Raises BadInput that names what is wrong."""
        if not isinstance(data, Mapping):
            raise BadInput("validity.unreadable")
        convention = _word(Convention, data.get("convention"), "validity.convention_unknown")
        period = None if data.get("period") is None else Period.of_days(data["period"])
        if (period is None) != (convention is Convention.NONE):
            raise BadInput("validity.period_or_none")
        plain = cls(period, convention)
        rule = plain._with_early(data["early"]) if "early" in data else plain._inheriting(inherit)
        return rule._checked()

    def _with_early(self, data: object) -> "Validity":
        if not isinstance(data, Mapping):
            raise BadInput("validity.early_unreadable")
        rule = _word(EarlyRule, data.get("rule"), "validity.early_unknown")
        if rule is EarlyRule.GRACE_MONTH:
            before, after = _months(data.get("before", 1)), _months(data.get("after", 1))
            return Validity(self.period, self.convention, rule, months_before=before, months_after=after)
        window = None if rule is EarlyRule.NONE else Period.of_days(data.get("window"))
        return Validity(self.period, self.convention, rule, window)

    def _inheriting(self, other: "Validity | None") -> "Validity":
        if other is None or self.convention in (Convention.NONE, Convention.AT_MOST_365_DAYS):
            return self
        if other.early is EarlyRule.GRACE_MONTH and self.convention is not Convention.END_OF_MONTH:
            return self
        return Validity(
            self.period, self.convention, other.early, other.window, other.months_before, other.months_after
        )

    def _checked(self) -> "Validity":
        early = self.early is not EarlyRule.NONE
        if early and self.convention in (Convention.AT_MOST_365_DAYS, Convention.NONE):
            raise BadInput("validity.early_not_possible", convention=str(self.convention))
        if self.early is EarlyRule.GRACE_MONTH and self.convention is not Convention.END_OF_MONTH:
            raise BadInput("validity.grace_needs_month_end")
        if self.convention is Convention.AT_MOST_365_DAYS and not _whole_years(self.period):
            raise BadInput("validity.whole_years")
        return self

    def first(self, done: date) -> Term:
        """The term that work done on `done` starts."""
        return self._term(done, 1)

    def renew(self, term: Term | None, done: date) -> Term:
        """The term after the work was done (again) on `done`. Doing it again never shortens what one has."""
        fresh = self.first(done)
        if term is None or term.ends_on is None or fresh.ends_on is None:
            return fresh
        kept = self._kept(term, term.ends_on, done)
        best = kept if kept else fresh
        return term if best.ends_on is not None and term.ends_on > best.ends_on else best

    def _kept(self, term: Term, ends_on: date, done: date) -> Term | None:
        """The next term in step with the old one, or None when `done` lies outside the rule's window."""
        if self.early is EarlyRule.GRACE_MONTH:
            distance = _month_number(done) - _month_number(ends_on)
            inside = -self.months_before <= distance <= self.months_after
            return self._term(term.anchor, term.periods + 1) if inside else None
        if self.window is None or not self.window.before(ends_on) <= done <= ends_on:
            return None
        if self.early is EarlyRule.DAY_AFTER:
            return self._term(ends_on + ONE_DAY, 1)
        return self._term(term.anchor, term.periods + 1)

    def series(self, done: Iterable[date]) -> Term | None:
        """The term after all these dates, given in order; None when there are none."""
        term: Term | None = None
        for day in done:
            term = self.renew(term, day)
        return term

    def ends_on(self, done: date, previous_end: date | None = None) -> date | None:
        """The last valid day (None: no fixed expiry) of work done on `done`.

        `previous_end` is the last valid day before that; where the original date is known use
        `series`, which cannot drift at the end of a month.
        """
        before = None if previous_end is None else self.known_end(previous_end)
        return self.renew(before, done).ends_on

    def grace_until(self, ends_on: date) -> date:
        """The last day on which one may still act after `ends_on`; the same day without a grace month."""
        return month_end(add_months(ends_on, self.months_after)) if self.months_after else ends_on

    def known_end(self, ends_on: date) -> Term:
        inclusive = self.convention is Convention.ANNIVERSARY
        return Term(ends_on + ONE_DAY if inclusive else ends_on, 0, ends_on)

    def _term(self, anchor: date, periods: int) -> Term:
        return Term(anchor, periods, self._last_day(anchor, periods))

    def _last_day(self, anchor: date, periods: int) -> date | None:
        if self.period is None:
            return None
        if self.convention is Convention.AT_MOST_365_DAYS:
            days = _DAYS_A_YEAR * (self.period.months // 12) + self.period.days
            return anchor + timedelta(days=days * periods)
        end = self.period.times(periods).after(anchor)
        if self.convention is Convention.END_OF_MONTH:
            return month_end(end)
        if self.convention is Convention.ANNIVERSARY and not self._clamped(anchor, end):
            return end - ONE_DAY
        return end

    def _clamped(self, anchor: date, end: date) -> bool:
        # 29 February has no anniversary in most years: the month's last day is then the last valid one already.
        return self.period is not None and not self.period.days and end.day < anchor.day


def _word(kind: type[_Word], value: object, key: str) -> _Word:
    try:
        return kind(value)  # type: ignore[arg-type]  # any value may stand in the JSON
    except ValueError:
        raise BadInput(key, value=value) from None


def _months(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= 12:
        raise BadInput("validity.grace_months", value=value)
    return value


def _whole_years(period: Period | None) -> bool:
    return period is not None and not period.days and period.months % 12 == 0


def _month_number(day: date) -> int:
    return day.year * 12 + day.month
