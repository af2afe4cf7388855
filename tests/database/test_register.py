"""The register: chained, append-only against any program, and able to name what was tampered with."""

import datetime

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, transaction
from django.utils import timezone

from tests import factories as make
from training.actions import people
from training.actions.base import record
from training.domain.errors import NotAllowed, NotFound, Refused
from training.domain.register import EntryKind
from training.models import Entry, Person, RegisterHead, triggers
from training.verification import faults_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def pages(officer):
    """A register of seven pages."""
    people.create_crew(by=officer, name="Ridge")
    for given in ("Ana", "Bo", "Cy"):
        people.add_person(by=officer, starts=make.START, details={"given_names": given, "family_names": "Vidal"})
    return Entry.objects.of(officer.company).in_order()


def tamper(sql, *values):
    """What someone with the database in hand could do, guards taken down first."""
    triggers.remove(connection)
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
    triggers.install(connection)


def test_every_act_is_one_page_chained_to_the_page_before(pages):
    rows = list(pages)
    assert [row.number for row in rows] == [1, 2, 3, 4, 5, 6, 7]
    assert [row.previous for row in rows[1:]] == [row.hash for row in rows[:-1]]


def test_a_sound_register_has_no_faults(officer, pages):
    assert faults_of(officer.company).faults == []


@pytest.mark.parametrize("change", ["UPDATE training_entry SET kind = 'granted'", "DELETE FROM training_entry"])
def test_the_database_itself_refuses_to_change_or_delete_a_page(pages, change):
    with pytest.raises(DatabaseError, match="never changed or deleted"), transaction.atomic(), connection.cursor() as c:
        c.execute(change)
    assert pages.count() == 7


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("kind", "granted"),
        ("happened_on", "2020-01-01"),
        ("language", "es"),
        ("by_name", "Somebody Else"),
        ("person_id", None),
        ("data", '{"x": 1}'),
    ],
)
def test_a_changed_page_is_named_whatever_column_was_changed(officer, pages, column, value):
    tamper(f"UPDATE training_entry SET {column} = %s WHERE number = 4", value)
    assert any("page 4" in fault for fault in faults_of(officer.company).faults)


def test_a_page_taken_out_of_the_middle_is_named(officer, pages):
    tamper("DELETE FROM training_entry WHERE number = 5")
    assert any("page 5" in fault for fault in faults_of(officer.company).faults)


def test_a_torn_out_end_shows_by_the_head_kept_apart(officer, pages):
    tamper("DELETE FROM training_entry WHERE number >= 6")
    assert any("page 6" in fault for fault in faults_of(officer.company).faults)


def test_a_chain_rewritten_to_its_end_shows_by_a_hash_noted_earlier(officer, pages):
    noted = RegisterHead.objects.get(company=officer.company).hash
    assert faults_of(officer.company, expect=noted).faults == []
    assert faults_of(officer.company, expect="0" * 64).faults != []


def test_the_command_fails_and_names_the_page(officer, pages, capsys):
    call_command("verify_register")
    tamper("UPDATE training_entry SET language = 'es' WHERE number = 3")
    with pytest.raises(CommandError):
        call_command("verify_register")
    assert "page 3" in capsys.readouterr().err


def test_nothing_is_recorded_as_having_happened_in_the_future(officer):
    tomorrow = officer.today + datetime.timedelta(days=1)
    with pytest.raises(Refused) as refusal, transaction.atomic():
        record(by=officer, kind=EntryKind.CREW_CREATED, happened_on=tomorrow)
    assert refusal.value.message.key == "register.future"


def test_a_clock_that_went_back_is_refused(officer, pages):
    earlier = make.at(officer, timezone.now() - datetime.timedelta(hours=2))
    with pytest.raises(Refused) as refusal:
        people.create_crew(by=earlier, name="Eave")
    assert refusal.value.message.key == "register.clock"


def test_an_action_that_fails_leaves_neither_row_nor_page(officer, pages):
    person = Person.objects.of(officer.company).first()
    with pytest.raises(Refused):
        people.start_membership(by=officer, person=person, starts=make.START)
    assert pages.count() == 7


def test_two_companies_have_chains_of_their_own(officer, pages):
    other = make.officer_of(make.CompanyFactory())
    people.create_crew(by=other, name="Ridge")
    assert Entry.objects.of(other.company).get().number == 1


def test_an_officer_of_another_company_finds_nobody_and_an_applicator_may_not(officer, pages):
    person = Person.objects.of(officer.company).first()
    with pytest.raises(NotFound):
        people.correct_person(by=make.officer_of(make.CompanyFactory()), person=person, details={"phone": "1"})
    with pytest.raises(NotAllowed):
        people.correct_person(by=make.applicator(person), person=person, details={"phone": "1"})
