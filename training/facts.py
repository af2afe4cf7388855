"""Rows to domain values: the only mapper. Nothing here decides anything."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Iterable
from functools import lru_cache

from training.domain import register
from training.domain.authority import Authority, authorities
from training.domain.checklist import Checklist, Observation, Value
from training.domain.crewlist_match import Known
from training.domain.crewlist_reading import Choices, Columns, Reading, read_crew_list
from training.domain.material import (
    SECONDS_PER_100_WORDS,
    WORDS_A_PAGE,
    Acknowledged,
    Part,
    Progress,
    word_count,
)
from training.domain.papers import Blueprint, Paper
from training.domain.qualification import Qualification, StepKind
from training.domain.questions import Question, stored_measure
from training.domain.remark import Again, Sat, remark
from training.domain.rules import RuleBook
from training.domain.scoring import Result, mark
from training.domain.short_paper import all_right
from training.domain.standing import Standing, standing
from training.domain.table import Table
from training.domain.text import LANGUAGES
from training.models import (
    Acknowledgement,
    Company,
    Crew,
    CrewImport,
    DocumentRevision,
    Entry,
    Person,
    QualificationRevision,
    RuleBookRevision,
    Section,
    SectionOpening,
    SignOff,
    Sitting,
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
    return register.canonical_body(
        company=row.company_id,
        number=row.number,
        kind=str(row.kind),
        person=row.person_id,
        by=row.by_id,
        by_name=row.by_name,
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
    if revision.is_draft:
        return RuleBook.parse(revision.content, draft=True)
    return _parsed_book(revision.pk)


@lru_cache(maxsize=64)
def _parsed_qualification(pk: int) -> Qualification:
    return Qualification.parse(QualificationRevision.objects.values_list("content", flat=True).get(pk=pk))


def qualification(row: QualificationRevision) -> Qualification:
    """What can be held, as the domain knows it; a revision never changes, so it is parsed once."""
    return _parsed_qualification(row.pk)


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
    """How far a person has come in a revision, in their latest round of reading it."""
    acknowledged = list(Acknowledgement.objects.by_person(person, revision))
    openings = list(SectionOpening.objects.by_person(person, revision))
    latest = max([1, *(row.round for row in acknowledged), *(row.round for row in openings)])
    return Progress(
        parts=tuple(Part(one.pk, {code: words_of(one, code) for code in LANGUAGES}) for one in revision.sections.all()),
        round=latest,
        opened={(row.section_id, row.language): row.opened_at for row in openings if row.round == latest},
        acknowledged={
            row.section_id: Acknowledged(row.section_id, row.language, row.acknowledged_at)
            for row in acknowledged
            if row.round == latest
        },
        seconds_per_100_words=_reading_rate(revision, on),
    )


def words_of(section: Section, language: str) -> int:
    """Words to read in a section: its text and, by the page, its PDF."""
    return word_count(section.text(language)) + WORDS_A_PAGE * section.pages(language)


def _reading_rate(revision: DocumentRevision, on: datetime.date) -> int:
    """Least seconds for 100 words, from the step that asks for this document."""
    document = revision.document
    row = QualificationRevision.objects.in_force(document.company, on)
    steps = qualification(row).steps if row else ()
    found = (one.seconds_per_100_words for one in steps if document.slug in one.documents)
    return next(found, SECONDS_PER_100_WORDS)


def questions_of(sitting: Sitting) -> tuple[Question, ...]:
    """The questions of a sitting, made again from its own rule book revision. They hold the key: never for a page."""
    return Paper.from_json(sitting.paper).questions(rule_book(sitting.rule_book))


def answers_of(sitting: Sitting) -> dict[int, str]:
    """The kept answers by place from 0."""
    return {answer.position: answer.value["kept"] for answer in sitting.answers.all()}


def blueprint_of(sitting: Sitting) -> Blueprint:
    """The plan a sitting is marked by: its qualification's, or all right for a short quiz."""
    if sitting.rules:
        return all_right(len(Paper.from_json(sitting.paper).items))
    step = qualification(sitting.qualification).first_of(StepKind.QUIZ)
    assert step is not None
    return Blueprint.parse(step.blueprint)


def result_of(sitting: Sitting) -> Result:
    """What the sitting came to, marked now from its answers; by the corrected rules where an officer decided so."""
    if sitting.marked_again_on is not None:
        return marked_by(sitting, sitting.marked_again_on).after
    return mark(questions_of(sitting), answers_of(sitting), blueprint_of(sitting))


def marked_by(sitting: Sitting, corrected: RuleBookRevision) -> Again:
    """The sitting as it was marked and as it would be by the corrected revision."""
    sat = Sat(sitting.pk, Paper.from_json(sitting.paper), answers_of(sitting))
    return remark(sat, rule_book(sitting.rule_book), rule_book(corrected), blueprint_of(sitting))


def authorities_of(person: Person) -> list[Authority]:
    """The dated authority of one person to evaluate, from the register."""
    kinds = (register.EntryKind.AUTHORITY_GRANTED, register.EntryKind.AUTHORITY_ENDED, register.EntryKind.ENTRY_VOIDED)
    rows = Entry.objects.filter(company_id=person.company_id, person=person, kind__in=kinds).only(*FIELDS)
    return authorities(entry_value(row) for row in rows)


def checklist_of(sign_off: SignOff) -> Checklist:
    """The checklist of a hands-on, made again from its own rule book revision and scopes."""
    book = qualification(sign_off.qualification).scopes
    return Checklist.for_scopes(rule_book(sign_off.rule_book), book.expand(sign_off.scopes))


def observations_of(sign_off: SignOff, checklist: Checklist) -> dict[str, Observation]:
    """What was noted, as the domain judges it; values that could not be read are not there."""
    seen: dict[str, Observation] = {}
    for row in sorted(sign_off.observations.all(), key=lambda it: (it.item, it.repetition)):
        before = seen.get(row.item, Observation())
        value = value_of(checklist.item(row.item).kind, row.kept)
        values = before.values if value is None else (*before.values, value)
        seen[row.item] = Observation(values, row.reason or before.not_applicable)
    return seen


def value_of(kind: str, kept: str) -> Value | None:
    """A kept value as the checklist judges it; None for one that could not be read."""
    if not kept:
        return None
    if kind == "yes_no":
        return kept == "yes"
    return int(kept) if kind == "rating" else stored_measure(kept)


def known_people(company: Company, *, but_from: CrewImport | None = None) -> list[Known]:
    """Everybody in the company's record, as far as likeness needs it; `but_from` leaves out who came with a list."""
    people = Person.objects.of(company)
    people = people.exclude(source=but_from) if but_from else people
    fields = people.values_list("pk", "given_names", "family_names", "phone", "email", "employee_number", "born")
    return [Known(*values) for values in fields]


def crew_list(row: CrewImport, today: datetime.date) -> Reading:
    """An uploaded crew list as read today, against the people and crews in the record."""
    return read_crew_list(
        Table.from_json(row.rows),
        Columns.from_json(row.columns),
        Choices.from_json(row.choices),
        known=known_people(row.company, but_from=row),
        crews=Crew.objects.of(row.company).values_list("name", flat=True),
        today=today,
        region=row.company.region,
    )
