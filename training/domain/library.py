"""The revisions of every document as the company issued them: which is in force, which must be read by when."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from training.domain.entry_data import FOREVER, day_of, number_of
from training.domain.register import Entry, EntryKind
from training.domain.text import Text
from training.domain.validity import ONE_DAY


@dataclass(frozen=True, slots=True)
class Revision:
    """An issued revision of a document; `enough_to` is the last day on which an older one is still enough."""

    number: int
    effective_on: date
    due_on: date | None
    enough_to: date
    title: Text
    entry: int


class Library:
    """The revisions of every document, as issued by the company."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._revisions: dict[str, list[Revision]] = {}
        for entry in entries:
            if entry.kind is EntryKind.DOCUMENT_ISSUED:
                self._revisions.setdefault(str(entry.data.get("document")), []).append(_revision(entry))
        for revisions in self._revisions.values():
            revisions.sort(key=lambda revision: (revision.number, revision.entry))

    def in_force(self, document: str, on: date) -> Revision | None:
        """The newest revision that is effective on `on`."""
        found = [revision for revision in self._revisions.get(document, ()) if revision.effective_on <= on]
        return max(found, key=lambda revision: (revision.effective_on, revision.number), default=None)

    def enough_to(self, document: str, read: int) -> date:
        """The last day on which having read revision `read` is enough: a newer one may have to be read by then."""
        newer = (revision.enough_to for revision in self._revisions.get(document, ()) if revision.number > read)
        return min(newer, default=FOREVER)

    def next_due(self, document: str, read: int) -> Revision | None:
        """The newer revision that ends what was read first, None when none does."""
        newer = [revision for revision in self._revisions.get(document, ()) if revision.number > read]
        return min((revision for revision in newer if revision.due_on), key=lambda it: it.enough_to, default=None)

    def title(self, document: str) -> Text:
        """The document's newest title, or its short name."""
        revisions = self._revisions.get(document)
        return revisions[-1].title if revisions else _named(document)


def _revision(entry: Entry) -> Revision:
    effective_on = day_of(entry, "effective_on") or entry.happened_on
    due_on = day_of(entry, "due_on")
    # An older revision is always enough until the new one is in force, whatever day is set.
    enough_to = max(due_on, effective_on - ONE_DAY) if due_on else FOREVER
    title = entry.data.get("title")
    named = isinstance(title, Mapping) and {"en", "es"} <= title.keys()
    document = str(entry.data.get("document"))
    words = Text(str(title["en"]), str(title["es"])) if named and isinstance(title, Mapping) else _named(document)
    return Revision(number_of(entry, "revision"), effective_on, due_on, enough_to, words, entry.id)


def _named(document: str) -> Text:
    name = document.replace("-", " ").replace("_", " ")
    return Text(name, name)
