"""Patterns: each makes one kind of question out of a rule and a seed.

A pattern's key is kept in every sitting. What it makes for a seed must never change: a better one gets a new key.
"""

from training.domain.patterns import (
    choose_all,
    choose_band,
    choose_practice,
    choose_slope,
    choose_value,
    compute,
    find_fault,
    judge_area,
    judge_reading,
    judge_slope,
    pick_drawing,
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
        choose_all.PATTERN,
        compute.PATTERN,
        judge_area.PATTERN,
        judge_slope.PATTERN,
        choose_slope.PATTERN,
        pick_drawing.PATTERN,
        find_fault.PATTERN,
    )
}
"""Every kind of question, by its key."""

__all__ = ["PATTERNS", "Draft", "Pattern"]
