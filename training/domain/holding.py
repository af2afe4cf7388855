"""Decisions as they are taken: granted, renewed, widened, narrowed, suspended, restored, withdrawn; and membership."""

from dataclasses import dataclass, replace
from datetime import date

from training.domain.entry_data import FOREVER, day_of, names_of
from training.domain.qualification import Qualification
from training.domain.register import Entry, EntryKind
from training.domain.steps import Progress
from training.domain.validity import Term


@dataclass(slots=True)
class Grant:
    """The decision in force: `until` is its own last valid day, `since` the start of the unbroken holding."""

    entry: int
    since: date
    until: date
    term: Term | None
    scopes: frozenset[str]
    decided_on: date


class Holding:
    """What has been decided about one person, entries taken in the order in which they happened."""

    def __init__(self, qualification: Qualification, progress: Progress) -> None:
        self.qualification = qualification
        self.progress = progress
        self.grant: Grant | None = None
        self.withdrawn: Entry | None = None
        self.suspended: dict[str, Entry] = {}
        self.restored_on: date | None = None
        self.spans: list[tuple[date, date]] = []

    def take(self, entry: Entry) -> None:
        """Count one entry; kinds that decide nothing are passed over."""
        take = _TAKERS.get(entry.kind)
        if take:
            take(self, entry)

    def member_on(self, on: date) -> bool:
        """Whether the person belonged to the company on `on`; the last day counts."""
        return any(start <= on <= end for start, end in self.spans)

    def left_on(self, on: date) -> date | None:
        """The last day of the membership that ended before `on`."""
        return max((end for _, end in self.spans if end < on), default=None)

    def fresh_from(self, on: date) -> date | None:
        """Proofs older than this day do not count for the next decision; None while renewal is not open."""
        if self.grant is None or self.grant.until == FOREVER:
            return None
        opens = self.qualification.renewal_opens.before(self.grant.until)
        return opens if on >= opens else None

    def usable(self) -> frozenset[str]:
        """The granted scopes that are not suspended."""
        if self.grant is None:
            return frozenset()
        return self.grant.scopes - self.qualification.scopes.including(self.suspended.keys())

    def _granted(self, entry: Entry) -> None:
        scopes = self.qualification.scopes.expand(names_of(entry, "scopes"))
        if not scopes:
            return
        before, on = self.grant, entry.happened_on
        since = self.fresh_from(on) if before else None
        term = self._term(scopes, before)
        until = min(day_of(entry, "until") or FOREVER, _end(term))
        self.progress.carry(scopes, on, until, since)
        unbroken = before is not None and self._grace(before.until) >= on
        start = before.since if before and unbroken else on
        self.grant = Grant(entry.id, start, until, self._kept(term, until), scopes, on)
        self.withdrawn = None
        if not unbroken:
            self.suspended, self.restored_on = {}, None

    def _term(self, scopes: frozenset[str], before: Grant | None) -> Term | None:
        """A full period from the last of the proofs; in step with the decision before where the rule says so."""
        last = self.progress.last_done(scopes)
        if last is None:
            return None
        validity = self.qualification.validity
        return validity.renew(before.term if before else None, last)

    def _kept(self, term: Term | None, until: date) -> Term | None:
        # A decision may give less than the full period: the next one is then counted from its last day.
        if term is None or until >= _end(term):
            return term
        return self.qualification.validity.known_end(until)

    def _grace(self, until: date) -> date:
        return until if until == FOREVER else self.qualification.validity.grace_until(until)

    def _widened(self, entry: Entry) -> None:
        if self.grant is None:
            return
        added = self.qualification.scopes.expand(names_of(entry, "scopes"))
        self.progress.carry(added, entry.happened_on, self.grant.until, None)
        self.grant = replace(self.grant, scopes=self.grant.scopes | added)

    def _narrowed(self, entry: Entry) -> None:
        if self.grant is None:
            return
        left = self.qualification.scopes.without(self.grant.scopes, names_of(entry, "scopes"))
        self.grant = replace(self.grant, scopes=left) if left else None

    def _suspended(self, entry: Entry) -> None:
        for key in names_of(entry, "scopes") or self.qualification.scopes.scopes:
            self.suspended.setdefault(key, entry)

    def _restored(self, entry: Entry) -> None:
        book = self.qualification.scopes
        for key in book.expand(names_of(entry, "scopes") or book.scopes):
            self.suspended.pop(key, None)
        self.restored_on = entry.happened_on

    def _withdrawn(self, entry: Entry) -> None:
        if self.grant is None:
            return
        self.withdrawn, self.grant = entry, None
        self.suspended, self.restored_on = {}, None
        self.progress.restart()

    def _started(self, entry: Entry) -> None:
        self.spans.append((day_of(entry, "starts") or entry.happened_on, FOREVER))

    def _ended(self, entry: Entry) -> None:
        end = day_of(entry, "ends") or entry.happened_on
        self.spans = [(start, min(last, end) if start <= end else last) for start, last in self.spans]


def _end(term: Term | None) -> date:
    return FOREVER if term is None or term.ends_on is None else term.ends_on


_TAKERS = {
    EntryKind.GRANTED: Holding._granted,
    EntryKind.RENEWED: Holding._granted,
    EntryKind.WIDENED: Holding._widened,
    EntryKind.NARROWED: Holding._narrowed,
    EntryKind.SUSPENDED: Holding._suspended,
    EntryKind.RESTORED: Holding._restored,
    EntryKind.WITHDRAWN: Holding._withdrawn,
    EntryKind.MEMBERSHIP_STARTED: Holding._started,
    EntryKind.MEMBERSHIP_ENDED: Holding._ended,
}
