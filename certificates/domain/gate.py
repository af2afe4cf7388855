"""How many wrong guesses one network address may make: enough to stop a search, never a crew with good cards."""

import datetime

WINDOW = datetime.timedelta(minutes=10)
MOST_MISSES = 20
"""Misses in one window. Only well-formed numbers that no card has count: typing slips are caught by the check
characters first. From one address a search through all 2**40 numbers takes a million years."""


def window_of(now: datetime.datetime) -> datetime.datetime:
    """The start of the stretch that holds `now` (aware)."""
    seconds = int(now.timestamp()) // int(WINDOW.total_seconds()) * int(WINDOW.total_seconds())
    return datetime.datetime.fromtimestamp(seconds, datetime.UTC)


def wait(now: datetime.datetime) -> datetime.timedelta:
    """Until the next stretch begins."""
    return window_of(now) + WINDOW - now
