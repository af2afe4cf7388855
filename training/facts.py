"""Rows to domain values: the only mapper. Nothing here decides anything."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from training.domain import register
from training.domain.material import (
    SECONDS_PER_100_WORDS,
    WORDS_A_PAGE,
    Acknowledged,
    Part,
    Progress,
    due_again,
    word_count,
)
from training.domain.periods import Period
from training.domain.qualification import Qualification, Step
from training.domain.rules import RuleBook
from training.domain.standing import Standing, standing
from training.domain.text import LANGUAGES
from training.models import (
    Acknowledgement,
    Company,
    DocumentRevision,
    Entry,
    Person,
    QualificationRevision,
    RuleBookRevision,
    Section,
    SectionOpening,
)

FIELDS = ("number", "pk", "kind", "person_id", "happened_on", "recorded_at", "data", "voids_id")


def entry_value(row: Entry) -> register.Entry:
    return register.Entry(
        id=row.pk,
        kind=register.EntryKind(row.kind),
        person=row.person_id,
        happened_on=row.happened_on,
        recorded_at=row.recorded_at,
        data=row.data,
        voids=row.voids_id,
    )


def body_of(row: Entry) -> dict[str, object]:
    """What the hash of a page covers: everything the page says."""
    return register.entry_body(
        number=row.number,
        company=row.company_id,
        kind=row.kind,
        person=row.person_id,
        actor=row.by_id,
        actor_name=row.by_name,
        happened_on=row.happened_on,
        recorded_at=row.recorded_at,
        language=row.language,
        data=row.data,
        voids=row.voids_id,
    )


@lru_cache(maxsize=16)
def _parsed_book(pk: int) -> RuleBook:
    return RuleBook.parse(RuleBookRevision.objects.get(pk=pk).content)


def rule_book(revision: RuleBookRevision) -> RuleBook:
    """The book as the domain knows it; an issued revision never changes, so it is parsed once."""
    return _parsed_book(revision.pk)


def qualification(row: QualificationRevision) -> Qualification:
    return Qualification.parse(row.content)


def entries_of(person: Person) -> list[register.Entry]:
    rows = Entry.objects.about(person).bearing_on_standing().only(*FIELDS)
    return [entry_value(row) for row in rows]


def standing_of(
    person: Person, row: QualificationRevision, on: datetime.date, known_at: datetime.datetime | None = None
) -> Standing:
    """One person's standing: one query for the entries, the rest is the pure function."""
    return standing(qualification(row), entries_of(person), on, known_at)


def standings_of(
    people: Iterable[Person], company: Company, row: QualificationRevision, on: datetime.date
) -> dict[int, Standing]:
    """Standing of many on one day by primary key: one query however many people there are."""
    people = list(people)
    shared: list[register.Entry] = []
    own: dict[int, list[register.Entry]] = defaultdict(list)
    for line in Entry.objects.about_all(company, people).bearing_on_standing().only(*FIELDS):
        value = entry_value(line)
        (shared if value.person is None else own[value.person]).append(value)
    parsed = qualification(row)
    return {person.pk: standing(parsed, shared + own[person.pk], on) for person in people}


def reading_progress(person: Person, revision: DocumentRevision, on: datetime.date) -> Progress:
    """How far a person has come in a revision, in the round of reading that is open on a day."""
    sections = list(revision.sections.all())
    step, opens = _reading_step(revision, on)
    acknowledged = list(Acknowledgement.objects.by_person(person, revision))
    round_ = max((row.round for row in acknowledged), default=1)
    progress = _progress(sections, acknowledged, round_, step)
    if progress.complete and step and opens and due_again(_completed(person, revision), step.validity, opens, on):
        progress = _progress(sections, acknowledged, round_ + 1, step)
    openings = SectionOpening.objects.by_person(person, revision).filter(round=progress.round)
    return replace(progress, opened={(row.section_id, row.language): row.opened_at for row in openings})


def _progress(sections: Iterable[Section], rows: Iterable[Acknowledgement], round_: int, step: Step | None) -> Progress:
    seconds = step.seconds_per_100_words if step else SECONDS_PER_100_WORDS
    return Progress(
        parts=tuple(Part(one.pk, {code: words_of(one, code) for code in LANGUAGES}) for one in sections),
        round=round_,
        acknowledged={
            row.section_id: Acknowledged(row.section_id, row.language, row.acknowledged_at)
            for row in rows
            if row.round == round_
        },
        seconds_per_100_words=seconds,
    )


def words_of(section: Section, language: str) -> int:
    """Words to read in a section: its text and, by the page, its PDF."""
    return word_count(section.text(language)) + WORDS_A_PAGE * section.pages(language)


def _reading_step(revision: DocumentRevision, on: datetime.date) -> tuple[Step, Period] | tuple[None, None]:
    """The step that asks for this document, and how long before its last day it may be read again."""
    document = revision.document
    row = QualificationRevision.objects.in_force(document.company, on)
    if row is None:
        return None, None
    parsed = qualification(row)
    step = next((one for one in parsed.steps if document.slug in one.documents), None)
    return (step, parsed.renewal_opens) if step else (None, None)


def _completed(person: Person, revision: DocumentRevision) -> list[datetime.date]:
    """The days on which the person read this revision to its end, without those declared void."""
    kinds = (register.EntryKind.READING_COMPLETED, register.EntryKind.ENTRY_VOIDED)
    rows = Entry.objects.about(person).filter(kind__in=kinds).only(*FIELDS)
    wanted = (revision.document.slug, revision.number)
    return [
        entry.happened_on
        for entry in register.as_known(entry_value(row) for row in rows)
        if (entry.data.get("document"), entry.data.get("revision")) == wanted
    ]
