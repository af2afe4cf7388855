"""People of the demo by their names, and the few rows more that a tour of every page needs. All through the actions."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from django.utils import timezone

from certificates.models import Card
from tests.browser.server import Clock
from training.actions import access, imports, material, people, rule_books
from training.demo import acts
from training.models import (
    Company,
    Crew,
    CrewImport,
    Document,
    DocumentRevision,
    Person,
    RuleBookRevision,
    SignOff,
    Sitting,
    User,
)
from training.models.rules import rule_book_in_force
from training.permissions import Actor, actor_for
from training.sheets import read_table

FILES = Path(__file__).parent.parent / "files"
COMPANY, OTHER = "Tolvane Roofing", "Marrowick Tile Crew"
OFFICER, OTHER_OFFICER = "officer", "officer-marrowick"
EVALUATOR = "Quintana Baeza"
DAY = datetime.timedelta(days=1)


def named(family: str) -> Person:
    """The person of the demo with these family names."""
    return Person.objects.select_related("company", "user").get(family_names=family)


def user_of(family: str) -> User:
    user = named(family).user
    assert user is not None
    return user


def officer() -> User:
    return User.objects.get(login=OFFICER)


def acting(user: User) -> Actor:
    """Somebody, now."""
    return actor_for(user, now=timezone.now(), language=user.language)


def newcomer(given: str, family: str, language: str = "es") -> Person:
    """Somebody hired three weeks ago, with a sign-in that works at once."""
    by = acting(officer())
    crew = Crew.objects.of(by.employer).order_by("pk")[0]
    details = {"given_names": given, "family_names": family, "language": language}
    made = people.add_person_to_crew(by=by, starts=by.today - 21 * DAY, details=details, crew=crew)
    access.give_access(by=by, person=made, pin="407193")
    return Person.objects.select_related("company", "user").get(pk=made.pk)


def slip_for(person: Person) -> str:
    """A fresh PIN on paper, to be changed at once."""
    return access.give_access(by=acting(officer()), person=person).secret


def card_of(family: str, *, replaced: bool = False) -> Card:
    """The person's card in use, or the one it took the place of."""
    return Card.objects.get(person=named(family), replaced_on__isnull=not replaced)


@dataclass(frozen=True)
class Stage:
    """Rows in the middle of things, so that every page has something to show."""

    learner: Person
    sitting: Sitting
    reader: Person
    open_sign_off: SignOff
    messy: CrewImport
    clean: CrewImport
    brought_in: CrewImport
    draft: DocumentRevision
    document: Document
    new_book: RuleBookRevision
    next_book: RuleBookRevision


def set_up(clock: Clock) -> Stage:
    """Built on top of the demo. Each act takes its time, so the clock runs on."""
    learner, reader = newcomer("Noelia", "Ixcot Barrera"), newcomer("Wendell", "Osterhagen", "en")
    acts.read_all(learner, clock.now())
    clock.forward(hours=1)
    sitting = acts.sit_quiz(learner, clock.now(), hand_in=False, answered=6)
    clock.forward(hours=1)
    trainee = named("Młyńczyk-Żurawska")
    open_sign_off = acts.do_hands_on(named(EVALUATOR), trainee, ["profile:low"], clock.now(), sign=False)
    clock.forward(hours=2)
    by = acting(officer())
    document = Document.objects.of(by.employer).get(slug="safe-work")
    return Stage(
        learner=learner,
        sitting=sitting,
        reader=reader,
        open_sign_off=open_sign_off,
        messy=crew_list(by, FILES / "crew_messy.csv"),
        brought_in=imports.confirm_import(by=by, crew_import=crew_list(by, FILES / "crew_clean.csv")),
        clean=crew_list(by, FILES / "crew_new.csv"),
        draft=material.draft_revision(by=by, document=document),
        document=document,
        new_book=rule_books.draft_rule_book(by=by, slug="new-foam", product="New Foam"),
        next_book=rule_books.draft_rule_book(by=by, slug=in_force_book(by).book.slug),
    )


def in_force_book(by: Actor) -> RuleBookRevision:
    """The rule book that counts today."""
    return rule_book_in_force(by.employer, by.today)


def crew_list(by: Actor, path: Path) -> CrewImport:
    """A file uploaded by the officer, its columns as guessed."""
    with path.open("rb") as file:
        table = read_table(file, path.name, path.stat().st_size)
    return imports.start_import(by=by, file_name=path.name, table=table)


def company(name: str = COMPANY) -> Company:
    return Company.objects.get(name=name)
