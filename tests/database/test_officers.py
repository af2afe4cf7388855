"""Officers: appointed by name, ended by another officer, never by themselves; a sign-in of their own each."""

import datetime

import pytest

from tests import factories as make
from training.actions import access, people
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.models import Appointment, Entry
from training.permissions import actor_for

pytestmark = pytest.mark.django_db


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def second(officer):
    given = access.add_officer(by=officer, login="Second@Example.com", name="Sigrid Second")
    return given.user


def appointment_of(user):
    return Appointment.objects.get(user=user)


def test_a_second_officer_can_decide_from_today_on(officer, second):
    assert actor_for(second, now=officer.now).is_officer


def test_the_one_time_password_must_be_changed_and_is_kept_only_as_a_hash(officer):
    given = access.add_officer(by=officer, login="third", name="Third Officer")
    assert given.user.must_change_secret
    assert given.secret not in given.user.password
    assert all(given.secret not in str(entry.data) for entry in Entry.objects.all())


def test_a_sign_in_name_is_given_once_whatever_its_capitals(officer, second):
    with pytest.raises(BadInput):
        access.add_officer(by=officer, login="second@example.com", name="Somebody Else")


def test_an_ended_officer_has_no_rights_the_day_after(officer, second):
    people.end_appointment(by=officer, appointment=appointment_of(second), ends=officer.today)
    assert actor_for(second, now=officer.now).is_officer
    assert not actor_for(second, now=officer.now + datetime.timedelta(days=1)).is_officer


def test_nobody_ends_their_own_appointment(officer):
    with pytest.raises(Refused) as refusal:
        people.end_appointment(by=officer, appointment=appointment_of(officer.user), ends=officer.today)
    assert refusal.value.message.key == "officers.own"


def test_another_companys_officer_finds_no_such_appointment(officer, second):
    stranger = make.officer_of(make.CompanyFactory())
    with pytest.raises(NotFound):
        people.end_appointment(by=stranger, appointment=appointment_of(second), ends=officer.today)


def test_only_an_officer_appoints_officers(officer):
    person = make.applicator(make.PersonFactory(company=officer.company))
    with pytest.raises(NotAllowed):
        access.add_officer(by=person, login="me", name="Myself")
