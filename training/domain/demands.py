"""What a company asks of people after a rule change: read again, a short quiz, or everything again, by a day.

Until that day older proofs are enough; after it they count only for those who have done what was asked.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from training.domain.entry_data import FOREVER, day_of, number_of
from training.domain.register import Entry, EntryKind


class What(StrEnum):
    """What is asked. Full: reading, quiz and hands-on, each on the new revision."""

    REREAD = "reread"
    QUIZ = "quiz"
    FULL = "full"


@dataclass(frozen=True, slots=True)
class Demand:
    """One thing asked on the day `since` after `revision` of a book. `due_on` is the last day of the older proofs.

    `rules` are those that changed; `documents` are to be read again (none named: all of the reading step). Reading can
    start at once, a quiz or a hands-on when the revision counts: on the day `opens`.
    """

    entry: int
    book: str
    revision: int
    what: What
    rules: tuple[str, ...]
    documents: tuple[str, ...]
    since: date
    opens: date
    due_on: date

    def older(self, book: str, revision: int) -> bool:
        """Does a proof made on that revision rest on what was changed? One that names no book counts as old."""
        return book in ("", self.book) and (revision < self.revision or not book)

    def concerns(self, document: str) -> bool:
        """Must this document be read again?"""
        return self.what is not What.QUIZ and (not self.documents or document in self.documents)

    def data(self) -> dict[str, object]:
        """The demand as an entry keeps it; book and revision stand once beside all of them."""
        return {
            "what": str(self.what),
            "rules": list(self.rules),
            "documents": list(self.documents),
            "due_on": self.due_on.isoformat(),
        }


@dataclass(frozen=True, slots=True)
class ShortPass:
    """A short quiz passed: on which revision and about which rules."""

    book: str
    revision: int
    rules: frozenset[str]


class Demands:
    """All that was asked, as the register holds it."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        asked = (demand for entry in entries for demand in demands_of(entry))
        self.all = tuple(sorted(asked, key=lambda demand: (demand.due_on, demand.entry)))

    def of_reading(self, document: str, done_on: date) -> list[Demand]:
        """Those that a reading done on that day does not meet."""
        return [demand for demand in self.all if demand.concerns(document) and done_on < demand.since]

    def of_quiz(self, book: str, revision: int, passes: Iterable[ShortPass]) -> list[Demand]:
        """Those that a quiz passed on that revision, and the short ones passed since, do not meet."""
        known = tuple(passes)
        return [it for it in self._older(book, revision) if it.what is What.FULL or not _met(it, known)]

    def of_hands_on(self, book: str, revision: int) -> list[Demand]:
        """Those that a hands-on signed on that revision does not meet."""
        return [demand for demand in self._older(book, revision) if demand.what is What.FULL]

    def _older(self, book: str, revision: int) -> Iterator[Demand]:
        return (it for it in self.all if it.what is not What.REREAD and it.older(book, revision))


def _met(demand: Demand, passes: Iterable[ShortPass]) -> bool:
    done = (it.rules for it in passes if it.book == demand.book and it.revision >= demand.revision)
    return frozenset(demand.rules) <= frozenset().union(*done)


def demands_of(entry: Entry) -> Iterator[Demand]:
    """What one entry asks; nothing for any other kind."""
    asked = entry.data.get("demands") if entry.kind is EntryKind.REVISION_REQUIRED else None
    for data in asked if isinstance(asked, list) else ():
        yield Demand(
            entry=entry.id,
            book=str(entry.data.get("book", "")),
            revision=number_of(entry, "revision"),
            what=What(data["what"]),
            rules=tuple(data.get("rules", ())),
            documents=tuple(data.get("documents", ())),
            since=entry.happened_on,
            opens=max(entry.happened_on, day_of(entry, "effective_on") or entry.happened_on),
            due_on=_due(data, entry.happened_on),
        )


def _due(data: Mapping[str, object], since: date) -> date:
    """Never before the day on which it was asked: nobody lapses for a past they could not know of."""
    due = data.get("due_on")
    return max(since, date.fromisoformat(due)) if isinstance(due, str) and due else FOREVER
