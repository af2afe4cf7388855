"""Authority to sign off hands-on work: dated, for named scopes, and never for oneself."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from training.domain.entry_data import day_of, names_of, number_of
from training.domain.messages import Message
from training.domain.register import Entry, EntryKind, as_known
from training.domain.scopes import ScopeBook


@dataclass(frozen=True, slots=True)
class Authority:
    """A person may evaluate for `scopes` from `starts` to `ends`, the last day included; None: until ended."""

    id: int
    person: int
    scopes: frozenset[str]
    starts: date
    ends: date | None = None

    def covers_day(self, on: date) -> bool:
        """Whether it runs on `on`."""
        return self.starts <= on and (self.ends is None or on <= self.ends)


@dataclass(frozen=True, slots=True)
class Permit:
    """The answer to "may this evaluator sign for that person?"; `reasons` is empty when the answer is yes."""

    reasons: tuple[Message, ...] = ()

    @property
    def allowed(self) -> bool:
        """Whether nothing stands against it."""
        return not self.reasons


def authorities(entries: Iterable[Entry], known_at: datetime | None = None) -> list[Authority]:
    """The authorities that the register gives, as known at `known_at`; an ended one keeps its earlier last day."""
    found: dict[int, Authority] = {}
    for entry in as_known(entries, known_at):
        key = number_of(entry, "authority")
        if entry.kind is EntryKind.AUTHORITY_GRANTED and entry.person is not None:
            starts = day_of(entry, "starts") or entry.happened_on
            scopes = frozenset(names_of(entry, "scopes"))
            found[key] = Authority(key, entry.person, scopes, starts, day_of(entry, "ends"))
        elif entry.kind is EntryKind.AUTHORITY_ENDED and key in found:
            last = day_of(entry, "ends") or entry.happened_on
            found[key] = replace(found[key], ends=min(last, found[key].ends or last))
    return list(found.values())


def may_sign_off(
    held: Iterable[Authority],
    book: ScopeBook,
    *,
    evaluator: int,
    candidate: int,
    scopes: Collection[str],
    on: date,
) -> Permit:
    """Whether `evaluator` may sign `candidate` off for `scopes` on `on`, with every reason against it."""
    own = [authority for authority in held if authority.person == evaluator]
    running = [authority for authority in own if authority.covers_day(on)]
    reasons = [Message("authority.self")] if evaluator == candidate else []
    if not running:
        return Permit((*reasons, _why_none(own, on)))
    missing = book.missing((scope for authority in running for scope in authority.scopes), scopes)
    if missing:
        reasons.append(Message("authority.scopes", {"scopes": book.words(missing)}))
    return Permit(tuple(reasons))


def _why_none(own: Iterable[Authority], on: date) -> Message:
    ended = max((it.ends for it in own if it.ends is not None and it.ends < on), default=None)
    if ended is not None:
        return Message("authority.lapsed", {"on": ended})
    starts = min((it.starts for it in own if it.starts > on), default=None)
    return Message("authority.not_yet", {"on": starts}) if starts else Message("authority.none")
