"""Patterns: each makes one kind of question out of a rule and a seed.

A pattern's key is kept in every sitting. What it makes for a seed must never change: a better one gets a new key.
"""

from training.domain.patterns import (
    choose_band,
    choose_practice,
    choose_value,
    judge_reading,
    put_in_order,
    type_value,
)
from training.domain.patterns.shared import Draft, Pattern

PATTERNS: dict[str, Pattern] = {
    pattern.key: pattern
    for pattern in (
        choose_value.PATTERN,
        judge_reading.PATTERN,
        choose_practice.PATTERN,
        put_in_order.PATTERN,
        choose_band.PATTERN,
        type_value.PATTERN,
    )
}
"""Every kind of question, by its key."""

__all__ = ["PATTERNS", "Draft", "Pattern"]
