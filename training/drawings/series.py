"""Measured repetitions against their limit: a band for what is right, a dot for a value inside, a cross outside."""

from collections.abc import Sequence
from dataclasses import dataclass

from training.drawings.svg import drawing, number, tag, text

WIDTH, HEIGHT, LEFT, RIGHT = 320.0, 92.0, 16.0, 16.0
LINE = 58.0  # the axis
STACK = 14.0  # equal values stand on top of each other


@dataclass(frozen=True)
class Limit:
    """The right range in the series' own unit, both ends included; None is an open end."""

    low: float | None = None
    high: float | None = None

    def holds(self, value: float) -> bool:
        return (self.low is None or value >= self.low) and (self.high is None or value <= self.high)


@dataclass(frozen=True)
class Scale:
    """Where a value lies on the line."""

    start: float
    end: float

    def at(self, value: float) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (value - self.start) / (self.end - self.start)


def scale_for(values: Sequence[float], limit: Limit) -> Scale:
    """A scale with room on both sides of the values and the limits; one single number still gets a width."""
    marks = [*values, *(end for end in (limit.low, limit.high) if end is not None)]
    low, high = min(marks, default=0.0), max(marks, default=1.0)
    room = (high - low) * 0.15 or max(abs(high), 1.0) * 0.25
    return Scale(low - room, high + room)


def strip(
    values: Sequence[float], limit: Limit, *, label: str, shown: Sequence[str] = (), low: str = "", high: str = ""
) -> str:
    """The picture. `label` says it in words; `shown`, `low`, `high` are numbers with units as people read them."""
    scale = scale_for(values, limit)
    names = list(shown) or [number(value) for value in values]
    parts = [
        _band(scale, limit),
        _axis(),
        *_limit_marks(scale, limit, low, high),
        *_points(scale, values, names, limit),
    ]
    return drawing(WIDTH, HEIGHT, parts, label=label, class_="series")


def _band(scale: Scale, limit: Limit) -> str:
    left = scale.at(limit.low) if limit.low is not None else LEFT
    right = scale.at(limit.high) if limit.high is not None else WIDTH - RIGHT
    return tag("rect", class_="band", x=left, y=16.0, width=max(right - left, 2.0), height=LINE - 16.0)


def _axis() -> str:
    return tag("path", class_="axis", d=f"M{number(LEFT)} {number(LINE)}H{number(WIDTH - RIGHT)}")


def _limit_marks(scale: Scale, limit: Limit, low: str, high: str) -> list[str]:
    ends = [(limit.low, low), (limit.high, high)]
    return [_limit_mark(scale.at(end), words or number(end)) for end, words in ends if end is not None]


def _limit_mark(x: float, words: str) -> str:
    anchor = "start" if x < 60 else "end" if x > WIDTH - 60 else "middle"
    line = tag("path", class_="limit", d=f"M{number(x)} 10V{number(LINE + 8)}")
    return line + text(words, x=x, y=LINE + 26, text_anchor=anchor, class_="limit-word")


def _points(scale: Scale, values: Sequence[float], names: Sequence[str], limit: Limit) -> list[str]:
    seen: dict[float, int] = {}
    points = []
    for value, name in zip(values, names, strict=True):
        level = seen[value] = seen.get(value, -1) + 1
        points.append(_point(scale.at(value), LINE - 10 - level * STACK, limit.holds(value), name))
    return points


def _point(x: float, y: float, right: bool, name: str) -> str:
    title = tag("title", name)
    if right:
        return tag("circle", title, class_="point", cx=x, cy=y, r="5.5")
    n = number
    cross = f"M{n(x - 5)} {n(y - 5)}l10 10m0-10-10 10"
    return tag("path", title, class_="point-out", d=cross)
