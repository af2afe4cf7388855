"""People with a qualification and cards, as the card tests need them: the register entries, then the real actions."""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

import training
from certificates.actions import issue_card
from certificates.models import Card
from tests.factories import CompanyFactory, PersonFactory, officer_of
from training import models
from training.actions.base import record
from training.domain.register import EntryKind
from training.permissions import Actor

CONTENT = Path(training.__file__).parent / "content/qualifications/tile_adhesive.json"
SCOPES = ("profile:low", "slope:s2", "eave:metal")


class Cast:
    """A company with a qualification in force and its officer; people are granted and carded through it."""

    def __init__(self, **company: Any) -> None:
        self.company = CompanyFactory(**company)
        self.officer: Actor = officer_of(self.company)
        self.today = self.officer.today
        self.row = models.QualificationRevision.objects.create(
            company=self.company,
            key="tile-adhesive",
            number=1,
            effective_on=self.today - datetime.timedelta(days=900),
            content=json.loads(CONTENT.read_text("utf-8")),
        )
        self.evaluator = PersonFactory(company=self.company, given_names="Evaristo", family_names="Judge")

    def days(self, count: int) -> datetime.date:
        return self.today + datetime.timedelta(days=count)

    def enter(self, kind: EntryKind, person: models.Person | None, on: datetime.date, **data: Any) -> models.Entry:
        with transaction.atomic():
            return record(by=self.officer, kind=kind, person=person, happened_on=on, data=data)

    def person(self, **names: Any) -> models.Person:
        found = PersonFactory(company=self.company, **names)
        self.enter(EntryKind.MEMBERSHIP_STARTED, found, self.days(-400), starts=self.days(-400))
        return found

    def prove(self, person: models.Person, on: datetime.date, scopes: Iterable[str] = SCOPES) -> None:
        """All three proofs on one day."""
        for document in ("product-sheet", "safe-work"):
            self.enter(
                EntryKind.READING_COMPLETED, person, on, document=document, revision=1, language="en", sections=4
            )
        self.enter(EntryKind.QUIZ_MARKED, person, on, sitting=1, passed=True, right=19, of=20, critical_missed=[])
        self.enter(
            EntryKind.SIGN_OFF_SIGNED,
            person,
            on,
            sign_off=1,
            result="passed",
            scopes=list(scopes),
            asked=list(scopes),
            evaluator=self.evaluator.pk,
            evaluator_user=0,
        )

    def qualified(self, scopes: Iterable[str] = SCOPES, since: int = -30, **names: Any) -> models.Person:
        """Someone who may work today."""
        person = self.person(**names)
        self.prove(person, self.days(since), scopes)
        self.enter(
            EntryKind.GRANTED,
            person,
            self.days(since),
            qualification="tile-adhesive",
            scopes=list(scopes),
            until=self.days(since + 700),
        )
        return person

    def carded(self, **values: Any) -> Card:
        return issue_card(by=self.officer, person=self.qualified(**values))

    def decide(self, kind: EntryKind, person: models.Person, **data: Any) -> models.Entry:
        return self.enter(kind, person, self.today, qualification="tile-adhesive", **data)


def moment() -> datetime.datetime:
    return timezone.now()
