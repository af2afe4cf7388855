"""Dates as people type them in English and Spanish, and as spreadsheets keep them.

Nothing is guessed where two readings are possible: `4/3/2027` is refused unless its column or its writer says
which number is the day.
"""

import math
import re
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from enum import StrEnum

from training.domain.errors import BadInput
from training.domain.names import fold

Typed = str | int | float | date
"""A date cell: text, a spreadsheet's day number, or a real date (a `datetime` too)."""

EARLIEST = date(1900, 1, 1)


class Order(StrEnum):
    """Which of the first two numbers is the day."""

    DAY_FIRST = "day_first"
    MONTH_FIRST = "month_first"


_MONTHS = {
    word: number
    for number, words in enumerate(
        (
            "jan january ene enero",
            "feb february febrero",
            "mar march marzo",
            "apr april abr abril",
            "may mayo",
            "jun june junio",
            "jul july julio",
            "aug august ago agosto",
            "sep sept september set septiembre setiembre",
            "oct october octubre",
            "nov november noviembre",
            "dec december dic diciembre",
        ),
        start=1,
    )
    for word in words.split()
}
_FILLER_WORDS = """
of de del the el on al a th st nd rd mon monday tue tues tuesday wed wednesday thu thur thurs thursday fri friday
sat saturday sun sunday lun lunes martes mie miercoles jue jueves vie viernes sab sabado dom domingo
"""
_FILLERS = frozenset(_FILLER_WORDS.split())
_ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ]\d{1,2}:\d{2}.*)?")
_COMPACT = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_NUMBERS = re.compile(r"(\d{1,2})\s*([-/. ])\s*(\d{1,2})\s*\2\s*(\d{2}|\d{4})(?:[T ]+\d{1,2}:\d{2}.*)?")
_SERIAL = re.compile(r"\d{5}(?:[.,]\d+)?")
_LEAP_BUG_DAY = 60
_FIRST_SERIAL, _LAST_SERIAL = 1, 73_050  # 1900-01-01 to the end of 2099


def parse_date(
    typed: Typed,
    *,
    today: date,
    order: Order | None = None,
    latest: date | None = None,
    earliest: date = EARLIEST,
) -> date:
    """The one date meant. A two-digit year is the last one up to `latest`, or to `today` + 20 years.

    Raises `BadInput`: date.unreadable, date.impossible, date.ambiguous (`one`, `other` are the two readings),
    date.year_only, date.future (after `latest`), date.too_early.
    """
    found = _read(typed, order, (latest or today.replace(day=1, year=today.year + 20)).year)
    if latest is not None and found > latest:
        raise BadInput("date.future", typed=_text(typed), found=found, latest=latest)
    if found < earliest:
        raise BadInput("date.too_early", typed=_text(typed), found=found, earliest=earliest)
    return found


def _read(typed: Typed, order: Order | None, last_year: int) -> date:
    if isinstance(typed, datetime):
        return typed.date()
    if isinstance(typed, date):
        return typed
    if isinstance(typed, int | float):
        return _from_serial(float(typed), str(typed))
    return _read_text(" ".join(typed.split()), order, last_year)


def _read_text(text: str, order: Order | None, last_year: int) -> date:
    for pattern in (_ISO, _COMPACT):
        if match := pattern.fullmatch(text):
            return _date(int(match[1]), int(match[2]), int(match[3]), text)
    if match := _NUMBERS.fullmatch(text):
        return _from_numbers(match, order, last_year, text)
    if re.fullmatch(r"(?:19|20)\d{2}", text):
        raise BadInput("date.year_only", typed=text)
    if _SERIAL.fullmatch(text):
        return _from_serial(float(text.replace(",", ".")), text)
    return _from_words(text, last_year)


def _from_numbers(match: re.Match[str], order: Order | None, last_year: int, text: str) -> date:
    first, second, year = int(match[1]), int(match[3]), _full_year(match[4], last_year)
    if first > 12 or second > 12 or first == second:
        month, day = (second, first) if first > 12 else (first, second)
        return _date(year, month, day, text)
    as_day_first, as_month_first = _date(year, second, first, text), _date(year, first, second, text)
    if order is None:
        raise BadInput("date.ambiguous", typed=text, one=as_day_first, other=as_month_first)
    return as_day_first if order is Order.DAY_FIRST else as_month_first


def _from_words(text: str, last_year: int) -> date:
    """`4 mar 2027`, `March 4th, 2027`, `4 de marzo de 2027`, `4-mar-27`, `2027 mar 4`."""
    words = [word for word in re.findall(r"[a-z]+|\d+", fold(text)) if word not in _FILLERS]
    numbers = [word for word in words if word.isdigit()]
    months = [_MONTHS[word] for word in words if word in _MONTHS]
    if len(months) != 1 or len(words) != 3 or len(numbers) != 2:
        raise BadInput("date.unreadable", typed=text)
    day, year = reversed(numbers) if len(numbers[0]) == 4 else numbers
    if len(day) > 2 or len(year) not in (2, 4):
        raise BadInput("date.unreadable", typed=text)
    return _date(_full_year(year, last_year), months[0], int(day), text)


def _full_year(digits: str, last_year: int) -> int:
    if len(digits) == 4:
        return int(digits)
    year = last_year - last_year % 100 + int(digits)
    return year if year <= last_year else year - 100


def _date(year: int, month: int, day: int, text: str) -> date:
    try:
        return date(year, month, day)
    except ValueError:
        raise BadInput("date.impossible", typed=text) from None


def _from_serial(serial: float, text: str) -> date:
    """Day number of the 1900 date system (ECMA-376 part 1, 18.17.4.1).

    Day 1 is 1 January 1900; day 60 is a 29 February 1900 that never was.
    """
    if not math.isfinite(serial):
        raise BadInput("date.unreadable", typed=text)
    whole = int(serial)
    if whole == _LEAP_BUG_DAY:
        raise BadInput("date.impossible", typed=text)
    if not _FIRST_SERIAL <= whole <= _LAST_SERIAL:
        raise BadInput("date.unreadable", typed=text)
    if 1900 <= serial <= 2100 and serial == whole:
        raise BadInput("date.year_only", typed=text)
    return date(1899, 12, 31 if whole < _LEAP_BUG_DAY else 30) + timedelta(days=whole)


def infer_order(cells: Iterable[Typed | None]) -> Order | None:
    """Which number is the day in a column, if the cells with a number above 12 agree, else None."""
    votes = {vote for cell in cells if isinstance(cell, str) and (vote := _vote(cell))}
    return votes.pop() if len(votes) == 1 else None


def _vote(text: str) -> Order | None:
    match = _NUMBERS.fullmatch(" ".join(text.split()))
    if not match:
        return None
    first, second = int(match[1]), int(match[3])
    if first > 12 >= second:
        return Order.DAY_FIRST
    return Order.MONTH_FIRST if second > 12 >= first else None


def turned_by_spreadsheet(cells: Iterable[Typed | None]) -> bool:
    """True when a spreadsheet set to month-first seems to have opened a day-first list.

    It then leaves `25/3/2020` as text and turns `4/3/2020` into 3 April: the text cells all have a day above
    12 first, the real dates none above the 12th. Three of each are asked for; fewer may be chance.
    """
    cells = list(cells)
    texts = [cell for cell in cells if isinstance(cell, str) and _NUMBERS.fullmatch(" ".join(cell.split()))]
    real = [cell for cell in cells if isinstance(cell, date)]
    return (
        len(texts) >= 3
        and len(real) >= 3
        and all(_vote(text) is Order.DAY_FIRST for text in texts)
        and all(day.day <= 12 for day in real)
    )


def looks_like_date(cell: Typed | None) -> bool:
    """True when the cell reads as a date in some order; bare numbers do not count, they may be anything."""
    if isinstance(cell, date):
        return True
    if not isinstance(cell, str) or _SERIAL.fullmatch(cell.strip()):
        return False
    try:
        _read_text(" ".join(cell.split()), Order.DAY_FIRST, 2100)
    except BadInput:
        return False
    return True


def age_on(born: date, on: date) -> int:
    """Whole years lived on that day; born on 29 February, a year older from 1 March in other years."""
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def _text(typed: Typed) -> str:
    return typed.isoformat() if isinstance(typed, date) else str(typed)
