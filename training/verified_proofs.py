"""Page by page: whether the working tables still hold the proof that a page speaks of, and nothing besides."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator

from training.actions.handson import observations_digest
from training.actions.material import content_hash
from training.actions.quizzes import answers_digest
from training.domain.register import EntryKind, fingerprint, plain
from training.models import (
    Acknowledgement,
    Company,
    CrewImport,
    DocumentRevision,
    Entry,
    QualificationRevision,
    RuleBookRevision,
    SignOff,
    Sitting,
)

# A page's kind -> a check that yields what the working table says differently. Other packages add theirs.
ROW_CHECKS: dict[str, Callable[[Entry], Iterator[str]]] = {}


def differs(name: str, register: object, table: object) -> Iterator[str]:
    """A sentence when the working table no longer says what the register says."""
    if register != plain(table):
        yield f"the register says {name} is {register}, the working table says {plain(table)}"


def _sitting(row: Entry) -> Iterator[str]:
    sitting = Sitting.objects.with_all().filter(pk=row.data["sitting"], person=row.person_id).first()
    if sitting is None or sitting.submitted_at is None:
        yield f"the sitting {row.data['sitting']} is gone from the working table"
        return
    yield from differs("the answers' fingerprint", row.data.get("answers"), answers_digest(sitting))
    yield from _book_of(row, sitting.rule_book)
    yield from differs("the qualification", row.data["qualification"], sitting.qualification.key)
    yield from differs("the rules of the short quiz", row.data.get("rules", []), sitting.rules)


def _started(row: Entry) -> Iterator[str]:
    sitting = Sitting.objects.with_all().filter(pk=row.data["sitting"], person=row.person_id).first()
    if sitting is None:
        yield f"the sitting {row.data['sitting']} is gone from the working table"
        return
    yield from differs("the paper's fingerprint", row.data.get("paper"), fingerprint(sitting.paper))
    yield from _book_of(row, sitting.rule_book)


def _book_of(row: Entry, book: RuleBookRevision) -> Iterator[str]:
    yield from differs("the rule book", row.data["rule_book"], book.book.slug)
    yield from differs("the rule book's revision", row.data["revision"], book.number)


def _sign_off(row: Entry) -> Iterator[str]:
    sign_off = SignOff.objects.with_all().filter(pk=row.data["sign_off"], person=row.person_id).first()
    if sign_off is None:
        yield f"the sign-off {row.data['sign_off']} is gone from the working table"
        return
    yield from differs("the observations' fingerprint", row.data.get("observations"), observations_digest(sign_off))
    yield from differs("the day", plain(row.happened_on), sign_off.happened_on)
    yield from differs("the evaluator", row.data["evaluator"], sign_off.evaluator_id)
    yield from differs("the evaluator's sign-in", row.data["evaluator_user"], sign_off.evaluator_user_id)
    for name in ("result", "place", "weather", "instrument", "lot", "language"):
        yield from differs(name, row.data[name], getattr(sign_off, name))
    yield from _book_of(row, sign_off.rule_book)


def _document(row: Entry) -> Iterator[str]:
    found = DocumentRevision.objects.of(row.company).issued()
    revision = found.filter(document__slug=row.data["document"], number=row.data["revision"]).first()
    if revision is None:
        yield f"revision {row.data['revision']} of {row.data['document']} is gone from the working table"
        return
    yield from differs("the first day", row.data["effective_on"], revision.effective_on)
    yield from differs("the last day to read it", row.data["due_on"], revision.due_on)
    try:
        yield from differs("the text's fingerprint", row.data["content"], content_hash(revision.sections.all()))
    except FileNotFoundError as error:
        yield f"a file of {row.data['document']} is gone: {error.filename}"


def _rule_book(row: Entry) -> Iterator[str]:
    found = RuleBookRevision.objects.of(row.company)
    revision = found.filter(book__slug=row.data["book"], number=row.data["revision"]).first()
    if revision is None:
        yield f"revision {row.data['revision']} of {row.data['book']} is gone from the working table"
        return
    yield from differs("the first day", row.data["effective_on"], revision.effective_on)
    if "reviewed_by" in row.data:
        yield from differs("the reviewer", row.data["reviewed_by"], revision.reviewed_by_id)
    yield from differs("the rules' fingerprint", row.data["content"], fingerprint(revision.content))


def _qualification(row: Entry) -> Iterator[str]:
    found = QualificationRevision.objects.of(row.company)
    revision = found.filter(key=row.data["qualification"], number=row.data["revision"]).first()
    if revision is None:
        yield f"revision {row.data['revision']} of {row.data['qualification']} is gone from the working table"
        return
    yield from differs("the first day", row.data["effective_on"], revision.effective_on)
    yield from differs("the qualification's fingerprint", row.data["content"], fingerprint(revision.content))


def _import(row: Entry) -> Iterator[str]:
    found = CrewImport.objects.of(row.company).filter(pk=row.data["import"]).first()
    if found is None or found.confirmed_at is None:
        yield f"the crew list {row.data['import']} is gone from the working table"
        return
    people = sorted(found.created().values_list("pk", flat=True))
    yield from differs("the people of the crew list", sorted(row.data["people"]), people)


def _undone(row: Entry) -> Iterator[str]:
    found = CrewImport.objects.of(row.company).filter(pk=row.data["import"]).first()
    yield from differs("the crew list undone", True, found is not None and found.undone_at is not None)


ROW_CHECKS |= {
    EntryKind.QUIZ_STARTED: _started,
    EntryKind.QUIZ_MARKED: _sitting,
    EntryKind.DELTA_QUIZ_MARKED: _sitting,
    EntryKind.SIGN_OFF_SIGNED: _sign_off,
    EntryKind.DOCUMENT_ISSUED: _document,
    EntryKind.RULE_BOOK_ISSUED: _rule_book,
    EntryKind.QUALIFICATION_ISSUED: _qualification,
    EntryKind.IMPORT_CONFIRMED: _import,
    EntryKind.IMPORT_UNDONE: _undone,
}


# --- rows that no page speaks of ----------------------------------------------------------------------------------


def unwritten(company: Company) -> Iterator[str]:
    """What stands in the working tables as proved or issued although nobody wrote it into the register."""
    pages = Entry.objects.of(company)

    def named(kind: EntryKind, name: str) -> set[object]:
        return set(pages.filter(kind=kind).values_list(f"data__{name}", flat=True))

    def twice_named(kind: EntryKind, *names: str) -> set[tuple[object, ...]]:
        return set(pages.filter(kind=kind).values_list(*(f"data__{name}" for name in names)))

    sittings = Sitting.objects.of(company).values_list("pk", flat=True)
    yield from _strays("sitting", sittings, named(EntryKind.QUIZ_STARTED, "sitting"))
    marked = Sitting.objects.of(company).submitted().values_list("pk", flat=True)
    whole, short = (named(kind, "sitting") for kind in (EntryKind.QUIZ_MARKED, EntryKind.DELTA_QUIZ_MARKED))
    yield from _strays("marked sitting", marked, whole | short)
    signed = SignOff.objects.of(company).signed().values_list("pk", flat=True)
    yield from _strays("signed hands-on", signed, named(EntryKind.SIGN_OFF_SIGNED, "sign_off"))
    issued = DocumentRevision.objects.of(company).issued().values_list("document__slug", "number")
    yield from _strays("document", issued, twice_named(EntryKind.DOCUMENT_ISSUED, "document", "revision"))
    books = RuleBookRevision.objects.of(company).filter(issued_at__isnull=False).values_list("book__slug", "number")
    yield from _strays("rule book", books, twice_named(EntryKind.RULE_BOOK_ISSUED, "book", "revision"))
    kept = QualificationRevision.objects.of(company).values_list("key", "number")
    yield from _strays("qualification", kept, twice_named(EntryKind.QUALIFICATION_ISSUED, "qualification", "revision"))
    yield from _unread(company)


def _strays(word: str, rows: object, known: set) -> Iterator[str]:
    for row in rows:  # type: ignore[attr-defined]
        if row not in known:
            yield f"the working table has the {word} {row}"


def _unread(company: Company) -> Iterator[str]:
    """Sections said to be read that no page says were read; each round of reading counts once."""
    kinds = (EntryKind.SECTION_ACKNOWLEDGED, EntryKind.READING_COMPLETED)
    names = ("person_id", "data__document", "data__revision", "data__section")
    pages = Counter(Entry.objects.of(company).filter(kind__in=kinds).values_list(*names))
    rows = Counter(
        Acknowledgement.objects.filter(person__company=company).values_list(
            "person_id", "section__revision__document__slug", "section__revision__number", "section__key"
        )
    )
    for key, count in (rows - pages).items():
        person, document, revision, section = key
        yield f"person {person} has {count} acknowledgements too many of {document} {revision} {section}"
