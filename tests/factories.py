"""Things that tests stand on, made through the same actions as in real life wherever a rule is at stake."""

from __future__ import annotations

import datetime
import itertools
from typing import Any

import factory
from django.utils import timezone

from training import models
from training.actions import material
from training.domain.names import sort_key
from training.permissions import Actor, actor_for

START = datetime.date(2026, 1, 5)
_codes = itertools.count(1)


class CompanyFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.Company

    name = factory.Sequence(lambda n: f"Test Roofing {n}")
    place = "Port Tolmer, Varrick County"
    phone = "+13055550100"


class UserFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = models.User
        skip_postgeneration_save = True

    login = factory.Sequence(lambda n: f"user{n}")
    name = factory.Sequence(lambda n: f"User {n}")
    password = factory.django.Password("roof-tile-adhesive-1")


class PersonFactory(factory.django.DjangoModelFactory):
    """Someone employed since START, without any register entry: for tests that do not look at standing."""

    class Meta:
        model = models.Person
        skip_postgeneration_save = True

    company = factory.SubFactory(CompanyFactory)
    code = factory.Sequence(lambda n: f"T{n:05d}")
    given_names = factory.Sequence(lambda n: f"Marisol {n}")
    family_names = "Quintero Abad"
    sort_key = factory.LazyAttribute(lambda person: sort_key(person.given_names, person.family_names))

    @factory.post_generation
    def employed(self: Any, create: bool, extracted: Any, **kwargs: Any) -> None:
        if create and extracted is not False:
            models.Membership.objects.create(person=self, starts=extracted or START)


def officer_of(company: models.Company, *, now: datetime.datetime | None = None) -> Actor:
    """A safety officer of the company, acting now (or at `now`)."""
    user = UserFactory(login=f"officer{next(_codes)}", name="Odile Officer")
    models.Appointment.objects.create(user=user, company=company, starts=START)
    return actor_for(user, now=now or timezone.now())


def applicator(person: models.Person, *, now: datetime.datetime | None = None) -> Actor:
    """The person, signed in; a user is made when there is none."""
    if person.user is None:
        person.user = UserFactory(login=person.code.lower(), name=person.full_name)
        person.save(update_fields=["user"])
    return actor_for(person.user, now=now or timezone.now())


def evaluator_of(
    company: models.Company,
    scopes: list[str],
    *,
    person: models.Person | None = None,
    now: datetime.datetime | None = None,
) -> Actor:
    """Someone with authority for these scopes since START."""
    person = person or PersonFactory(company=company, given_names="Evaristo", family_names="Judge")
    models.Authority.objects.create(company=company, person=person, scopes=sorted(scopes), starts=START, basis="test")
    return applicator(person, now=now)


def operator(now: datetime.datetime | None = None) -> Actor:
    """The installation itself, as the commands act."""
    return Actor(now=now or timezone.now())


def at(actor: Actor, now: datetime.datetime) -> Actor:
    """The same actor at another moment."""
    return actor_for(actor.user, now=now, language=actor.language)


def document(by: Actor, slug: str = "safe-work") -> models.Document:
    """A document without a revision."""
    return material.create_document(by=by, slug=slug, title_en=f"Sheet {slug}", title_es=f"Hoja {slug}")


def section_texts(number: int, words: int = 50) -> dict[str, str]:
    """A section in both languages, `words` long in each."""
    return {
        "title_en": f"Part {number}",
        "title_es": f"Parte {number}",
        "body_en": " ".join(["tile"] * words),
        "body_es": " ".join(["teja"] * words),
    }


def issued_document(
    by: Actor,
    slug: str = "safe-work",
    *,
    parts: int = 2,
    words: int = 50,
    effective_on: datetime.date | None = None,
    due_on: datetime.date | None = None,
) -> models.DocumentRevision:
    """The next revision of a document, issued, its sections replaced by `parts` new ones."""
    found = models.Document.objects.of(by.employer).filter(slug=slug).first() or document(by, slug)
    draft = material.draft_revision(by=by, document=found)
    for section in draft.sections.all():
        material.remove_section(by=by, section=section)
    for number in range(1, parts + 1):
        material.add_section(by=by, revision=draft, details=section_texts(number, words))
    return material.issue_revision(by=by, revision=draft, effective_on=effective_on or by.today, due_on=due_on)


def read_through(by: Actor, revision: models.DocumentRevision, *, language: str = "en") -> None:
    """The person opens and acknowledges every section, a minute for each."""
    reader = by
    for section in revision.sections.all():
        material.open_section(by=reader, section=section, language=language)
        reader = at(reader, reader.now + datetime.timedelta(minutes=1))
        material.acknowledge_section(by=reader, section=section, language=language)
