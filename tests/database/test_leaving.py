"""Who leaves takes nothing along: authority ends with the employment, and stays ended after a return."""

from __future__ import annotations

import datetime

import pytest
from django.utils import timezone

from tests import factories as make
from training import facts
from training.actions import authority, people
from training.domain.errors import Refused
from training.domain.register import EntryKind
from training.models import Authority, Entry, Person
from training.permissions import Actor

pytestmark = pytest.mark.django_db

DAY = datetime.timedelta(days=1)


@pytest.fixture
def officer() -> Actor:
    return make.officer_of(make.CompanyFactory(), now=timezone.now() - 20 * DAY)


@pytest.fixture
def evaluator(officer: Actor) -> Person:
    details = {"given_names": "Eva", "family_names": "Roth"}
    return people.add_person(by=officer, starts=officer.today, details=details)


@pytest.mark.parametrize(("starts", "ends"), [(0, None), (0, 400), (9, None), (9, 400)])
def test_authority_ends_with_employment_and_does_not_come_back(
    officer: Actor, evaluator: Person, starts: int, ends: int | None
) -> None:
    last = officer.today + ends * DAY if ends else None
    given = authority.grant_authority(
        by=officer, person=evaluator, scopes=["profile:low"], starts=officer.today + starts * DAY, ends=last, basis="b"
    )
    people.end_membership(by=officer, person=evaluator, ends=officer.today)
    later = make.at(officer, officer.now + 15 * DAY)
    people.start_membership(by=later, person=evaluator, starts=later.today)
    assert not make.applicator(Person.objects.get(pk=evaluator.pk), now=later.now).is_evaluator
    assert not any(one.covers_day(later.today) for one in facts.authorities_of(evaluator))
    assert Entry.objects.get(kind=EntryKind.AUTHORITY_ENDED).data["authority"] == given.pk


def test_authority_that_had_ended_before_is_left_as_it_was(officer: Actor, evaluator: Person) -> None:
    authority.grant_authority(
        by=officer, person=evaluator, scopes=["profile:low"], starts=officer.today, ends=officer.today, basis="b"
    )
    people.end_membership(by=officer, person=evaluator, ends=officer.today + 3 * DAY)
    assert Authority.objects.get().ends == officer.today
    assert not Entry.objects.filter(kind=EntryKind.AUTHORITY_ENDED).exists()


def test_who_was_to_leave_later_can_leave_sooner(officer: Actor, evaluator: Person) -> None:
    """A slip of the finger in the year must not keep somebody in, with their sign-in, for good."""
    crew = people.create_crew(by=officer, name="Ridge")
    people.join_crew(by=officer, person=evaluator, crew=crew, starts=officer.today)
    people.end_membership(by=officer, person=evaluator, ends=officer.today + 9999 * DAY)
    people.end_membership(by=officer, person=evaluator, ends=officer.today)
    fresh = Person.objects.get(pk=evaluator.pk)
    assert not fresh.employed_on(officer.today + DAY)
    assert fresh.crew_on(officer.today + DAY) is None
    with pytest.raises(Refused):
        people.end_membership(by=officer, person=evaluator, ends=officer.today + DAY)
