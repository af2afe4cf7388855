"""Whether a card counts today, in one word, with the reason and the least that may be shown for it."""

import datetime
from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol


class Reason(StrEnum):
    """Why a card does not count; the word is also the key of its sentence."""

    MISTYPED = "mistyped"
    UNKNOWN = "unknown"
    REPLACED = "replaced"
    NO_LONGER_EMPLOYED = "no_longer_employed"
    WITHDRAWN = "withdrawn"
    SUSPENDED = "suspended"
    NOT_YET = "not_yet"
    LAPSED = "lapsed"
    NO_SCOPE = "no_scope"


class Show(StrEnum):
    """Parts of a record that a stranger may see."""

    NUMBER = "number"
    ISSUER = "issuer"
    NAME = "name"
    DATES = "dates"
    SCOPES = "scopes"


class Held(Protocol):
    """What is read from a standing (`training.domain.standing.Standing`)."""

    @property
    def state(self) -> str: ...
    @property
    def may_work(self) -> bool: ...
    @property
    def held(self) -> Collection[str]: ...
    @property
    def until(self) -> datetime.date | None: ...


@dataclass(frozen=True)
class CardFacts:
    """What is printed on a card, and what has become of the card and its holder's job."""

    issued_on: datetime.date
    expires_on: datetime.date | None
    scopes: tuple[str, ...]
    replaced: bool = False
    employed: bool = True


@dataclass(frozen=True)
class Verdict:
    """The answer for one day.

    `scopes` are the printed ones that count that day, `lost` the printed ones that do not. `until` is the last day
    of validity, None without a fixed end. `shows` is all that may leave the record.
    """

    on: datetime.date
    reason: Reason | None
    shows: frozenset[Show]
    scopes: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    until: datetime.date | None = None

    @property
    def valid(self) -> bool:
        return self.reason is None

    @property
    def state(self) -> str:
        return "valid" if self.valid else "not_valid"


_LEAST = frozenset({Show.NUMBER, Show.ISSUER})
_SHOWS = {
    None: frozenset(Show),
    Reason.MISTYPED: frozenset(),
    Reason.UNKNOWN: frozenset(),
    # The holder's own business with the employer: the card does not count, and no more is said.
    Reason.REPLACED: _LEAST,
    Reason.NO_LONGER_EMPLOYED: _LEAST,
    Reason.WITHDRAWN: _LEAST,
    Reason.SUSPENDED: _LEAST,
    # What the printed card says anyway, so that the reader sees it is the same card.
    Reason.NOT_YET: _LEAST | {Show.NAME, Show.DATES},
    Reason.LAPSED: _LEAST | {Show.NAME, Show.DATES},
    Reason.NO_SCOPE: _LEAST | {Show.NAME, Show.DATES},
}


def mistyped(on: datetime.date) -> Verdict:
    """The answer to a number whose check characters do not fit; no look at the register is needed for it."""
    return Verdict(on, Reason.MISTYPED, _SHOWS[Reason.MISTYPED])


def verdict(*, on: datetime.date, card: CardFacts | None, standing: Held | None) -> Verdict:
    """Whether the card counts on a day. Both its own dates and its holder's standing must hold; either can end it."""
    if card is None:
        return Verdict(on, Reason.UNKNOWN, _SHOWS[Reason.UNKNOWN])
    held = set(standing.held) if standing is not None and standing.may_work else set()
    scopes = tuple(scope for scope in card.scopes if scope in held)
    reason = _reason(on, card, standing, scopes)
    return Verdict(
        on=on,
        reason=reason,
        shows=_SHOWS[reason],
        scopes=scopes if reason is None else (),
        lost=tuple(scope for scope in card.scopes if scope not in held) if reason is None else (),
        until=_earlier(card.expires_on, standing.until if standing and reason is None else None),
    )


def _reason(on: datetime.date, card: CardFacts, standing: Held | None, scopes: tuple[str, ...]) -> Reason | None:
    # What ends a card for good comes before what may pass: the holder of a replaced card has another one.
    if card.replaced:
        return Reason.REPLACED
    if not card.employed:
        return Reason.NO_LONGER_EMPLOYED
    if standing is not None and standing.state in {"withdrawn", "suspended"}:
        return Reason(standing.state)
    if on < card.issued_on:
        return Reason.NOT_YET
    if standing is None or not standing.may_work or (card.expires_on is not None and on > card.expires_on):
        return Reason.LAPSED
    return None if scopes else Reason.NO_SCOPE


def _earlier(one: datetime.date | None, other: datetime.date | None) -> datetime.date | None:
    days = [day for day in (one, other) if day is not None]
    return min(days, default=None)
