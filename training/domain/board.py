"""The officer's first look: who may work on a day, who may not, and whose time runs out next."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from training.domain.outcome import Reason, RepairStep, Standing, State
from training.domain.qualification import Qualification
from training.domain.repair import repair

# What an officer must act on first: a man at the gate with a lapsed card before one who has not begun.
URGENCY = (
    State.SUSPENDED,
    State.LAPSED,
    State.WAITING_FOR_DECISION,
    State.RENEWAL_OPEN,
    State.UNDER_WAY,
    State.NOT_STARTED,
    State.WITHDRAWN,
    State.QUALIFIED,
)


@dataclass(frozen=True, slots=True)
class Row:
    """One person on the board: may they work in what is asked, and if not, the first reason why.

    `missing` are the scopes asked for that they may not work in, `repair` is the shortest way to what is asked.
    """

    person: int
    name: str
    standing: Standing
    may: bool
    missing: tuple[str, ...]
    repair: tuple[RepairStep, ...]

    @property
    def repair_minutes(self) -> int:
        """The usual time of the whole repair."""
        return sum(step.minutes for step in self.repair)

    @property
    def why(self) -> Reason | None:
        """The reason to show first."""
        return self.standing.reasons[0] if self.standing.reasons else None

    @property
    def days_left(self) -> int | None:
        """Days from the day asked to the last valid day, counting neither."""
        return (self.standing.until - self.standing.on).days if self.may and self.standing.until else None


@dataclass(frozen=True, slots=True)
class Board:
    """Those who may not work (most urgent first), those who may, how many in each state, and the next expiries."""

    may_not: tuple[Row, ...]
    may: tuple[Row, ...]
    counts: tuple[tuple[State, int], ...]
    expiries: tuple[Row, ...]


def board(
    qualification: Qualification,
    people: Iterable[tuple[int, str, Standing]],
    wanted: Collection[str] = (),
    expiries: int = 10,
) -> Board:
    """The board for these people in this order of names; `wanted` are the scopes that the work asks for."""
    rows = [_row(qualification, person, name, found, wanted) for person, name, found in people]
    may = tuple(row for row in rows if row.may)
    ending = sorted((row for row in may if row.standing.until is not None), key=_last_day)
    counts = Counter(row.standing.state for row in rows)
    return Board(
        may_not=tuple(sorted((row for row in rows if not row.may), key=_urgency)),
        may=may,
        counts=tuple((state, counts[state]) for state in State if counts[state]),
        expiries=tuple(ending[:expiries]),
    )


def _row(qualification: Qualification, person: int, name: str, found: Standing, wanted: Collection[str]) -> Row:
    missing = found.missing(wanted)
    steps = repair(qualification, found, wanted) if missing else found.repair
    return Row(person, name, found, may=found.may_work and not missing, missing=missing, repair=steps)


def _urgency(row: Row) -> int:
    return URGENCY.index(row.standing.state)


def _last_day(row: Row) -> date:
    return row.standing.until or date.max
