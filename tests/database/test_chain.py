"""From an empty database to a card that a stranger can check: every link, through the actions."""

import datetime

import pytest
from django.utils import timezone

from certificates.actions import issue_card
from tests import factories as make
from training import content, facts
from training.actions import access, authority, decisions, people, rules
from training.demo import acts
from training.domain.outcome import State
from training.domain.register import EntryKind
from training.models import Person, QualificationRevision
from training.verification import faults_of

pytestmark = pytest.mark.django_db


def test_from_an_empty_database_to_a_card():
    day = timezone.now() - datetime.timedelta(days=10)
    officer = make.officer_of(make.CompanyFactory(), now=day)
    company = officer.company
    rules.issue_qualification(by=officer, content=content.starter_qualification(), effective_on=officer.today)
    rules.issue_rule_book(by=officer, slug="quendril-one", content=content.demo_rule_book(), effective_on=officer.today)
    for folder, document in content.demo_documents():
        acts.issue_document(by=officer, folder=folder, content=document, number=1, effective_on=officer.today)
    people.create_crew(by=officer, name="Ridge")
    ana = people.add_person(
        by=officer, starts=officer.today, details={"given_names": "Ana", "family_names": "Vidal Soto"}
    )
    eva = people.add_person(by=officer, starts=officer.today, details={"given_names": "Eva", "family_names": "Roth"})
    for person in (ana, eva):
        access.give_access(by=officer, person=person, pin="407193")
    everything = sorted(facts.qualification(QualificationRevision.objects.get()).scopes.scopes)
    authority.grant_authority(
        by=officer, person=eva, scopes=everything, starts=officer.today, basis="Ten years on the gun"
    )
    row = QualificationRevision.objects.get()
    ana = Person.objects.get(pk=ana.pk)
    acts.read_all(ana, day + datetime.timedelta(hours=2))
    sitting = acts.sit_quiz(ana, day + datetime.timedelta(days=1), wrong={0, 1})
    assert facts.result_of(sitting).passed
    signed = acts.do_hands_on(eva, ana, ["profile:low"], day + datetime.timedelta(days=2))
    assert signed.result == "passed"
    later = make.at(officer, day + datetime.timedelta(days=3))
    assert facts.standing_of(ana, row, later.today).state is State.WAITING_FOR_DECISION
    ready = facts.standing_of(ana, row, later.today).ready
    decisions.decide(by=later, person=ana, kind=EntryKind.GRANTED, scopes=ready)
    held = facts.standing_of(ana, row, later.today)
    assert held.state is State.QUALIFIED
    assert held.may_work_in(["profile:low"])
    card = issue_card(by=later, person=ana)
    assert issue_card(by=later, person=ana) == card
    assert faults_of(company).faults == []
