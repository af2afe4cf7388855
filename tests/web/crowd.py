"""A thousand people at once, written straight into the tables: for counting queries and looking at page sizes."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterable
from typing import Any

from django.utils import timezone

from certificates.models import Card
from tests.web.cast import SCOPES, Side
from training.domain.names import sort_key
from training.domain.register import EntryKind
from training.models import (
    Acknowledgement,
    Authority,
    Crew,
    CrewImport,
    CrewMembership,
    Document,
    Entry,
    Membership,
    Person,
    QualificationRevision,
    RegisterHead,
    SignOff,
)

FAMILIES = ("Quintero Abad", "Świątek", "Nguyễn Thị", "O'Halloran", "Núñez de la Vega")
TIES = 5


def add(side: Side, count: int) -> list[Person]:
    """`count` more people with proofs, decisions, cards, authorities, crews and crew lists."""
    people = _people(side, count)
    entries = _entries(side, people)
    _cards(side, people, entries)
    _authorities(side, people)
    _readings(side, people)
    _lists(side, people)
    return people


def _people(side: Side, count: int) -> list[Person]:
    start = Person.objects.count()
    rows = []
    for n in range(count):
        given, family = f"Guadalupe {n}", FAMILIES[n % len(FAMILIES)]
        key = sort_key(given, family)
        rows.append(
            Person(company=side.company, code=f"C{start + n}", given_names=given, family_names=family, sort_key=key)
        )
    people = Person.objects.bulk_create(rows)
    first = _today() - datetime.timedelta(days=500)
    Membership.objects.bulk_create(Membership(person=person, starts=first) for person in people)
    crews = Crew.objects.bulk_create(
        Crew(company=side.company, name=f"Crew {start + n}") for n in range(max(1, count // 25))
    )
    CrewMembership.objects.bulk_create(
        CrewMembership(person=person, crew=crews[n % len(crews)], starts=first) for n, person in enumerate(people)
    )
    return people


def _today() -> datetime.date:
    return timezone.now().date()


def _acts(person: Person, evaluator: Person, number: int) -> Iterable[tuple[EntryKind, int, dict[str, Any]]]:
    """What happened to one of the crowd: every fifth has not sat the quiz, every seventh is lapsed."""
    ago = 800 if number % 7 == 0 else 60
    yield EntryKind.MEMBERSHIP_STARTED, 900, {}
    for document in ("product-sheet", "safe-work"):
        data = {"document": document, "revision": 1, "language": "en", "sections": 2}
        yield EntryKind.READING_COMPLETED, ago, data
    if number % 5 == 0:
        return
    yield EntryKind.QUIZ_MARKED, ago, {"sitting": 1, "passed": True, "right": 20, "of": 20, "critical_missed": []}
    signed = {"sign_off": 1, "result": "passed", "scopes": SCOPES, "asked": SCOPES, "evaluator": evaluator.pk}
    yield EntryKind.SIGN_OFF_SIGNED, ago, signed
    until = _today() - datetime.timedelta(days=ago - 700)
    yield EntryKind.GRANTED, ago, {"qualification": "tile-adhesive", "scopes": SCOPES, "until": until.isoformat()}


def _entries(side: Side, people: list[Person]) -> list[Entry]:
    """Pages of the register, not chained: nobody verifies them here."""
    head = RegisterHead.objects.get(company=side.company)
    rows = []
    for number, person in enumerate(people):
        for kind, ago, data in _acts(person, side.evaluator, number):
            page = head.number + len(rows) + 1
            day = _today() - datetime.timedelta(days=ago)
            rows.append(
                Entry(
                    company=side.company,
                    number=page,
                    kind=kind,
                    person=person,
                    by=side.officer,
                    by_name="Odile Officer",
                    happened_on=day,
                    recorded_at=timezone.now() - datetime.timedelta(days=ago),
                    language="en",
                    data=data,
                    hash=hashlib.sha256(str(page).encode()).hexdigest(),
                )
            )
    entries = Entry.objects.bulk_create(rows, batch_size=2000)
    RegisterHead.objects.filter(pk=head.pk).update(number=head.number + len(rows))
    return entries


def _cards(side: Side, people: list[Person], entries: list[Entry]) -> None:
    row = QualificationRevision.objects.of(side.company)[0]
    Card.objects.bulk_create(
        Card(
            company=side.company,
            person=person,
            qualification=row,
            name=person.full_name,
            issuer=side.company.name,
            scopes=list(SCOPES),
            language="en",
            issued_on=_today(),
            expires_on=_today() + datetime.timedelta(days=600),
            entry=entries[0],
        )
        for person in people[::2]
    )


def _authorities(side: Side, people: list[Person]) -> None:
    Authority.objects.bulk_create(
        Authority(company=side.company, person=person, scopes=list(SCOPES), starts=_today(), basis="Ten years")
        for person in people
    )


def _readings(side: Side, people: list[Person]) -> None:
    section = Document.objects.get(company=side.company, slug=side.slug).revisions.get(number=1).sections.all()[0]
    Acknowledgement.objects.bulk_create(
        Acknowledgement(person=person, section=section, language="en", acknowledged_at=timezone.now())
        for person in people
    )


def _lists(side: Side, people: list[Person]) -> None:
    """As many crew lists and hands-on records as there are people."""
    CrewImport.objects.bulk_create(
        CrewImport(company=side.company, by=side.officer, file_name=f"{n}.csv", uploaded_at=timezone.now(), rows=[])
        for n in range(len(people))
    )
    SignOff.objects.bulk_create(
        SignOff(
            person=person,
            evaluator=side.evaluator,
            evaluator_user=side.user("evaluator"),
            qualification=QualificationRevision.objects.of(side.company)[0],
            rule_book=side.book,
            scopes=list(SCOPES),
            started_at=timezone.now(),
            happened_on=_today(),
            signed_at=timezone.now(),
            result="passed",
            language="en",
        )
        for person in people
    )
