"""Reads what a register entry's data says, forgiving what is not there."""

from datetime import date

from training.domain.register import Entry

NEVER = date.min
FOREVER = date.max


def day_of(entry: Entry, name: str) -> date | None:
    """A date in an entry's data, None when absent."""
    value = entry.data.get(name)
    return date.fromisoformat(value) if isinstance(value, str) and value else None


def number_of(entry: Entry, name: str) -> int:
    """A whole number in an entry's data, 0 when absent."""
    value = entry.data.get(name)
    return value if isinstance(value, int) else 0


def names_of(entry: Entry, name: str) -> tuple[str, ...]:
    """A list of names in an entry's data, empty when absent."""
    value = entry.data.get(name)
    return tuple(str(item) for item in value) if isinstance(value, list | tuple) else ()
