"""A seeded source of chance that gives the same choices for years.

Python promises that `random.Random(seed).random()` keeps its sequence between versions, but not that
`shuffle`, `choice` or `sample` do (random module, "Notes on Reproducibility"). So only `random()` is used.
"""

import random
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


class Chance:
    """Choices from one seed; the seed is text, such as `paper-seed/3/0`."""

    def __init__(self, seed: str) -> None:
        self._random = random.Random(seed).random

    def below(self, limit: int) -> int:
        """A whole number from 0 up to, not including, `limit`."""
        return int(self._random() * limit)

    def pick(self, things: Sequence[T]) -> T:
        """One of the things; there must be at least one."""
        return things[self.below(len(things))]

    def shuffled(self, things: Sequence[T]) -> list[T]:
        """The things in a new order (Fisher and Yates)."""
        mixed = list(things)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed

    def some(self, things: Sequence[T], how_many: int) -> list[T]:
        """That many different things, or all of them in a new order when there are fewer."""
        return self.shuffled(things)[:how_many]
