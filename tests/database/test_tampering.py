"""Whatever somebody with the database in hand bends in a working table, the check of the register names it."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from certificates.models import Card
from tests import factories as make
from tests.web.cast import Builder, Side
from training.actions import access, people
from training.domain.register import entry_hash
from training.facts import body_of
from training.models import (
    Acknowledgement,
    Answer,
    Appointment,
    Authority,
    Company,
    CrewImport,
    DocumentRevision,
    Entry,
    Membership,
    Observation,
    Person,
    QualificationRevision,
    RegisterHead,
    RuleBookRevision,
    Section,
    SignOff,
    Sitting,
    triggers,
)
from training.permissions import actor_for
from training.verification import faults_of

pytestmark = pytest.mark.django_db

TODAY = datetime.date(2026, 1, 1)


class Begun(Builder):
    """A company whose register tells of its own beginning, as every real one does."""

    def __init__(self, start: datetime.datetime) -> None:
        self.start, self.slug = start, "yard-rules"
        operator = make.operator(start)
        self.company = people.create_company(by=operator, name="Begun Roofing")
        given = access.create_staff_user(by=operator, company=self.company, login="boss", name="Odile Officer")
        people.appoint_officer(by=operator, company=self.company, user=given.user, starts=start.date())
        self.officer = actor_for(given.user, now=start)


@pytest.fixture(scope="module")
def side(django_db_setup: None, django_db_blocker: Any) -> Iterator[Side]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield Begun(timezone.now() - datetime.timedelta(days=40)).full_side()
        transaction.set_rollback(True)


def copied(row: Any, **changed: Any) -> None:
    """The same row once more with something else in it."""
    row.pk = row.id = None
    for name, value in changed.items():
        setattr(row, name, value)
    type(row).objects.bulk_create([row])


CHANGES: dict[str, Callable[[Side], object]] = {
    "a paper": lambda side: Sitting.objects.filter(pk=side.sitting.pk).update(paper={"items": []}),
    "an open paper": lambda side: Sitting.objects.filter(submitted_at=None).update(paper={"items": []}),
    "a sitting handed in": lambda side: Sitting.objects.filter(pk=side.sitting.pk).update(submitted_at=None),
    "a sitting of somebody else": lambda side: Sitting.objects.filter(pk=side.sitting.pk).update(
        person=side.people["newcomer"]
    ),
    "a mark without a page": lambda side: Sitting.objects.filter(submitted_at=None).update(submitted_at=timezone.now()),
    "a sitting without a page": lambda side: copied(Sitting.objects.get(pk=side.sitting.pk)),
    "an answer": lambda side: Answer.objects.filter(sitting=side.sitting).update(value={"kept": "a", "typed": "a"}),
    "an answer taken out": lambda side: Answer.objects.filter(sitting=side.sitting, position=3).delete(),
    "a result": lambda side: SignOff.objects.filter(pk=side.sign_off.pk).update(result="failed"),
    "a place": lambda side: SignOff.objects.filter(pk=side.sign_off.pk).update(place="Elsewhere"),
    "a day of hands-on": lambda side: SignOff.objects.filter(pk=side.sign_off.pk).update(happened_on=TODAY),
    "an evaluator": lambda side: SignOff.objects.filter(pk=side.sign_off.pk).update(evaluator=side.people["newcomer"]),
    "a signature without a page": lambda side: SignOff.objects.filter(signed_at=None).update(
        signed_at=timezone.now(), result="passed"
    ),
    "a measured value": lambda side: Observation.objects.filter(sign_off=side.sign_off).update(typed="9 in"),
    "the name on a card": lambda side: Card.objects.update(name="Somebody Else"),
    "the last day of a card": lambda side: Card.objects.update(expires_on=datetime.date(2199, 1, 1)),
    "the scopes of a card": lambda side: Card.objects.update(scopes=["profile:low", "profile:high"]),
    "the holder of a card": lambda side: Card.objects.update(person=side.people["waiting"]),
    "a card without a page": lambda side: copied(
        Card.objects.get(pk=side.card.pk), person=side.people["waiting"], number="0123456789", secret="x"
    ),
    "a card taken out": lambda side: Card.objects.all().delete(),
    "the scopes of an authority": lambda side: Authority.objects.update(scopes=["profile:low"]),
    "the first day of an authority": lambda side: Authority.objects.update(starts=TODAY),
    "the last day of an authority": lambda side: Authority.objects.update(ends=datetime.date(2199, 1, 1)),
    "who has an authority": lambda side: Authority.objects.update(person=side.people["newcomer"]),
    "an authority without a page": lambda side: copied(Authority.objects.get(), person=side.people["newcomer"]),
    "an employment that ended": lambda side: Membership.objects.exclude(ends=None).update(ends=None),
    "an employment ended": lambda side: Membership.objects.filter(person=side.holder).update(
        ends=timezone.now().date()
    ),
    "an employment without a page": lambda side: Membership.objects.create(person=side.people["gone"], starts=TODAY),
    "a name": lambda side: Person.objects.filter(pk=side.holder.pk).update(given_names="Anna"),
    "a date of birth": lambda side: Person.objects.filter(pk=side.holder.pk).update(born=TODAY),
    "whose sign-in it is": lambda side: Person.objects.filter(pk=side.people["gone"].pk).update(user=side.officer),
    "a person without a page": lambda side: copied(Person.objects.get(pk=side.holder.pk), code="X", user=None),
    "which photo": lambda side: Person.objects.filter(pk=side.holder.pk).update(photo="photos/other.jpg"),
    "an officer without a page": lambda side: Appointment.objects.create(
        user=side.user("evaluator"), company=side.company, starts=TODAY
    ),
    "an officer's first day": lambda side: Appointment.objects.update(starts=TODAY),
    "an officer's last day": lambda side: Appointment.objects.update(ends=datetime.date(2199, 1, 1)),
    "a text": lambda side: Section.objects.filter(revision__issued_at__isnull=False).update(body_es="Nada."),
    "a section put in": lambda side: copied(
        Section.objects.filter(revision__issued_at__isnull=False)[0], position=9, key="more"
    ),
    "by when a text is due": lambda side: DocumentRevision.objects.exclude(issued_at=None).update(
        due_on=None, number=9
    ),
    "a rule": lambda side: RuleBookRevision.objects.update(content={"rules": []}),
    "from when a rule counts": lambda side: RuleBookRevision.objects.exclude(issued_at=None).update(effective_on=TODAY),
    "the qualification": lambda side: QualificationRevision.objects.update(content={"steps": []}),
    "a qualification without a page": lambda side: copied(QualificationRevision.objects.get(), number=2),
    "a section read without a page": lambda side: copied(Acknowledgement.objects.all()[0], person=side.people["gone"]),
    "a crew list undone": lambda side: (
        CrewImport.objects.filter(pk=side.done_import.pk).update(undone_at=None)
        and CrewImport.objects.filter(pk=side.done_import.pk).update(confirmed_at=None)
    ),
    "the head": lambda side: RegisterHead.objects.update(number=1),
}


def test_nothing_is_wrong_with_what_nobody_bent(side: Side) -> None:
    assert faults_of(side.company).faults == []


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_what_was_bent_is_named(side: Side, change: Callable[[Side], object]) -> None:
    change(side)
    assert faults_of(side.company).faults


def test_another_picture_under_the_same_name_is_named(side: Side) -> None:
    photo = Person.objects.get(pk=side.holder.pk).photo
    path = Path(photo.path)
    own = path.read_bytes()
    path.write_bytes(b"somebody else's face")
    assert any("photo" in fault for fault in faults_of(side.company).faults)
    path.unlink()
    assert any("gone" in fault for fault in faults_of(side.company).faults)
    path.write_bytes(own)


REPLACED = """INSERT OR REPLACE INTO training_entry
    (id, company_id, number, kind, by_name, happened_on, recorded_at, language, data, previous, hash)
    SELECT id + %s, company_id, number, 'granted', by_name, happened_on, recorded_at, language, data, previous, hash
    FROM training_entry WHERE number = 5"""


@pytest.mark.parametrize("shift", [0, 100_000], ids=["by its id", "by its number"])
def test_no_page_is_replaced_by_inserting_over_it(side: Side, shift: int) -> None:
    """SQLite's INSERT OR REPLACE; PostgreSQL's ON CONFLICT DO UPDATE is an update like any other."""
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has it")
    with pytest.raises(DatabaseError, match="never changed"), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(REPLACED, [shift])
    assert Entry.objects.get(company=side.company, number=5).kind != "granted"


def test_a_guard_that_is_gone_is_named_and_put_back(side: Side, capsys: pytest.CaptureFixture[str]) -> None:
    triggers.remove(connection)
    with pytest.raises(CommandError):
        call_command("verify_register")
    assert "training_entry_no" in capsys.readouterr().err
    triggers.install(connection)
    call_command("verify_register")


def rewritten(company: Company) -> None:
    """What a careful tamperer does: one page changed, and every hash from there to the head reckoned anew."""
    triggers.remove(connection)
    before = ""
    for page in Entry.objects.filter(company=company).order_by("number"):
        if page.number == 5:
            page.by_name = "Somebody Else"
        page.previous, page.hash = before, entry_hash(before, body_of(page))
        page.save()
        before = page.hash
    RegisterHead.objects.filter(company=company).update(hash=before)
    triggers.install(connection)


def test_a_chain_reckoned_anew_to_its_head_lacks_the_seals_from_that_page_on(side: Side) -> None:
    last = RegisterHead.objects.get(company=side.company).number
    rewritten(side.company)
    faults = faults_of(side.company).faults
    assert [fault.partition(":")[0] for fault in faults] == [f"page {number}" for number in range(5, last + 1)]
    assert all("seal" in fault for fault in faults)


def test_what_an_earlier_secret_key_sealed_goes_on_counting(side: Side, settings: Any) -> None:
    earlier, settings.SECRET_KEY = settings.SECRET_KEY, "another key, fifty or more characters long, of our own making"
    assert faults_of(side.company).faults
    settings.SECRET_KEY_FALLBACKS = [earlier]
    assert faults_of(side.company).faults == []
