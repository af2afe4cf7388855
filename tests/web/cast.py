"""One world for the web tests: two companies, built through the actions, with a row behind every address."""

from __future__ import annotations

import datetime
import io
from dataclasses import dataclass, field
from typing import Any

from django.core.files.base import ContentFile
from django.utils import timezone
from PIL import Image

from certificates.actions import issue_card
from certificates.models import Card
from tests import factories as make
from training import content, facts
from training.actions import access, authority, decisions, imports, material, people, rule_books, rules
from training.demo import acts
from training.domain.register import EntryKind
from training.models import (
    Authority,
    Company,
    Crew,
    CrewImport,
    DocumentRevision,
    Person,
    QualificationRevision,
    RuleBookRevision,
    SignOff,
    Sitting,
    User,
)
from training.permissions import Actor
from training.sheets import read_table

PIN = "407193"
SCOPES = ("profile:low",)
DAYS = datetime.timedelta(days=1)


def image(kind: str, size: tuple[int, int] = (48, 60)) -> bytes:
    """A small grey picture as a file."""
    out = io.BytesIO()
    Image.new("RGB", size, "#667788").save(out, kind)
    return out.getvalue()


@dataclass
class Side:
    """One company with somebody at every point of the path, and the rows that addresses lead to."""

    company: Company
    crew: Crew
    officer: User
    evaluator: Person
    holder: Person
    card: Card
    sitting: Sitting
    sign_off: SignOff
    authority: Authority
    book: RuleBookRevision
    slug: str
    people: dict[str, Person] = field(default_factory=dict)
    open_sitting: Sitting | None = None
    open_sign_off: SignOff | None = None
    draft: DocumentRevision | None = None
    book_draft: RuleBookRevision | None = None
    open_import: CrewImport | None = None
    done_import: CrewImport | None = None

    def user(self, role: str) -> User:
        """The sign-in of a role: `officer`, `evaluator`, `holder` or a name in `people`."""
        if role == "officer":
            return self.officer
        person = {"evaluator": self.evaluator, "holder": self.holder, **self.people}[role]
        user = Person.objects.get(pk=person.pk).user
        assert user is not None
        return user


class Builder:
    """Builds a side day by day; every act happens at a moment of its own."""

    def __init__(self, name: str, slug: str, start: datetime.datetime) -> None:
        self.start, self.slug = start, slug
        self.officer = make.officer_of(make.CompanyFactory(name=name), now=start)
        self.company = self.officer.employer

    def on(self, day: float) -> datetime.datetime:
        return self.start + day * DAYS

    def boss(self, day: float) -> Actor:
        return make.at(self.officer, self.on(day))

    def set_up(self) -> None:
        """Everything that must be there before anybody can begin."""
        by = self.officer
        rules.issue_qualification(by=by, content=content.starter_qualification(), effective_on=by.today)
        self.book = rules.issue_rule_book(
            by=by, slug="quendril-one", content=content.demo_rule_book(), effective_on=by.today
        )
        for slug in ("product-sheet", "safe-work"):
            make.issued_document(by, slug, parts=2, effective_on=by.today)
        self.own_document(by)
        self.crew = people.create_crew(by=by, name=f"Crew of {self.company.name}")
        self.evaluator = self.person("Evaristo", "Judge")
        every = sorted(facts.qualification(QualificationRevision.objects.of(self.company)[0]).scopes.scopes)
        self.authority = authority.grant_authority(
            by=by, person=self.evaluator, scopes=every, starts=by.today, basis="Ten years on the gun"
        )

    def own_document(self, by: Actor) -> None:
        """A document that the other company has none of, with a picture."""
        draft = material.draft_revision(by=by, document=make.document(by, self.slug))
        details = make.section_texts(1) | {"alt_en": "A grey square", "alt_es": "Un cuadro gris"}
        picture = ContentFile(image("PNG"), name=f"{self.slug}.png")
        material.add_section(by=by, revision=draft, details=details, files=material.Files(picture=picture))
        material.add_section(by=by, revision=draft, details=make.section_texts(2))
        material.issue_revision(by=by, revision=draft, effective_on=by.today)

    def person(self, given: str, family: str, day: float = 0) -> Person:
        by = self.boss(day)
        details = {"given_names": given, "family_names": family, "language": "en"}
        made = people.add_person_to_crew(by=by, starts=by.today, details=details, crew=self.crew)
        access.give_access(by=by, person=made, pin=PIN)
        return Person.objects.get(pk=made.pk)

    def read_and_sit(self, person: Person, day: float) -> Sitting:
        acts.read_all(person, self.on(day))
        return acts.sit_quiz(person, self.on(day + 0.5))

    def hands_on(self, person: Person, day: float, **how: Any) -> SignOff:
        return acts.do_hands_on(self.evaluator, person, SCOPES, self.on(day), **how)

    def grant(self, person: Person, day: float) -> None:
        by = self.boss(day)
        found = facts.standing_of(person, QualificationRevision.objects.of(self.company)[0], by.today)
        decisions.decide(by=by, person=person, kind=EntryKind.GRANTED, scopes=found.ready)

    def side(self) -> Side:
        """The least that every company has: its officer, an evaluator and one holder of a card."""
        self.set_up()
        holder = self.person("Ana", f"Holder {self.company.name}")
        people.set_photo(by=self.officer, person=holder, picture=ContentFile(image("JPEG")))
        sitting = self.read_and_sit(holder, 1)
        signed = self.hands_on(holder, 2)
        self.grant(holder, 3)
        assert self.officer.user is not None
        return Side(
            company=self.company,
            crew=self.crew,
            officer=self.officer.user,
            evaluator=self.evaluator,
            holder=holder,
            card=issue_card(by=self.boss(4), person=holder),
            sitting=sitting,
            sign_off=signed,
            authority=self.authority,
            book=self.book,
            slug=self.slug,
        )

    def full_side(self) -> Side:
        """A company with people under way too: somebody in a quiz, in a hands-on, and waiting for a decision."""
        side = self.side()
        names = {"learner": "Luz", "shown": "Noa", "waiting": "Rui", "newcomer": "Ivo", "reader": "Bea", "gone": "Max"}
        side.people = {role: self.person(given, role.title(), 4) for role, given in names.items()}
        learner, shown, waiting = (side.people[role] for role in ("learner", "shown", "waiting"))
        acts.read_all(side.people["reader"], self.on(4.5))
        acts.read_all(learner, self.on(5))
        side.open_sitting = acts.sit_quiz(learner, self.on(5.5), hand_in=False, answered=3)
        self.read_and_sit(shown, 6)
        side.open_sign_off = self.hands_on(shown, 7, sign=False)
        self.read_and_sit(waiting, 8)
        self.hands_on(waiting, 9)
        by = self.boss(10)
        people.end_membership(by=by, person=side.people["gone"], ends=by.today)
        document = DocumentRevision.objects.get(document__company=self.company, document__slug=self.slug).document
        side.draft = material.draft_revision(by=by, document=document)
        side.book_draft = rule_books.draft_rule_book(by=by, slug="new-foam", product="New Foam")
        side.done_import = imports.confirm_import(by=by, crew_import=self.crew_list(by, "Iris", "Imported"))
        side.open_import = self.crew_list(by, "Otto", "Offered")
        return side

    def crew_list(self, by: Actor, given: str, family: str) -> CrewImport:
        """A crew list of one person, uploaded."""
        data = f"Given names,Family names\n{given},{family}\n".encode()
        table = read_table(io.BytesIO(data), "crew.csv", len(data))
        return imports.start_import(by=by, file_name="crew.csv", table=table)


@dataclass
class World:
    """Ours and theirs. Nothing of ours may ever show on a page of theirs."""

    ours: Side
    theirs: Side


def build() -> World:
    start = timezone.now() - 40 * DAYS
    return World(
        ours=Builder("Ours Roofing", "yard-rules", start).full_side(),
        theirs=Builder("Theirs Tile", "harbor-rules", start).side(),
    )
