"""A person's path: where they stand, the one next step, and the way to it."""

import datetime
import json
from pathlib import Path

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

import training
from tests import factories as make
from training.actions.base import record
from training.actions.material import begin_again
from training.actions.rules import issue_qualification
from training.domain.register import EntryKind

pytestmark = pytest.mark.django_db

QUALIFICATION = Path(training.__file__).parent / "content/qualifications/tile_adhesive.json"


@pytest.fixture
def officer():
    """The officer of a company whose path is set up, three weeks ago, with two documents to read."""
    now = datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=21)
    actor = make.officer_of(make.CompanyFactory(), now=now)
    content = json.loads(QUALIFICATION.read_text(encoding="utf-8"))
    issue_qualification(by=actor, content=content, effective_on=actor.today)
    for slug in ("product-sheet", "safe-work"):
        make.issued_document(actor, slug)
    return actor


@pytest.fixture
def reader(officer):
    person = make.PersonFactory(company=officer.company)
    enter(officer, EntryKind.MEMBERSHIP_STARTED, person, starts=make.START.isoformat())
    return make.applicator(person, now=officer.now + datetime.timedelta(days=1))


def enter(by, kind, person, on=None, **data):
    with transaction.atomic():
        return record(by=by, kind=kind, person=person, happened_on=on, data=data)


def path(actor, language="en"):
    client = Client(headers={"accept-language": language})
    client.force_login(actor.user)
    return client.get(reverse("training:path"))


def read_all(officer, reader):
    for document in officer.company.documents.order_by("slug"):
        revision = document.revisions.get()
        make.read_through(reader, revision)
        reader = make.at(reader, reader.now + datetime.timedelta(hours=1))
    return reader


def test_a_new_person_starts_with_reading(reader):
    shown = path(reader)
    assert [str(step.state) for step in shown.context["steps"]] == ["not_started"] * 3
    assert shown.context["next"].url == reverse("training:read", args=["product-sheet"])
    assert "0 of 4 parts read" in shown.text and "not started" in shown.text


def test_the_button_leads_to_the_unfinished_document(officer, reader):
    make.read_through(reader, officer.company.documents.get(slug="product-sheet").revisions.get())
    shown = path(reader)
    assert shown.context["next"].url == reverse("training:read", args=["safe-work"])
    assert "2 of 4 parts read" in shown.text


def test_after_reading_comes_the_quiz_with_its_tries(officer, reader):
    read_all(officer, reader)
    shown = path(reader)
    assert shown.context["next"].url == reverse("training:quiz")
    assert "3 tries left" in shown.text


def test_an_evaluator_is_the_next_step_when_the_quiz_is_passed(officer, reader):
    later = read_all(officer, reader)
    enter(later, EntryKind.QUIZ_STARTED, reader.person, sitting=1)
    enter(later, EntryKind.QUIZ_MARKED, reader.person, sitting=1, passed=True, right=20, of=20, critical_missed=[])
    shown = path(reader)
    assert shown.context["next"].url == "" and shown.context["next"].text
    assert [str(step.state) for step in shown.context["steps"]] == ["qualified", "qualified", "not_started"]


def test_a_qualified_person_sees_scopes_and_days_left(officer, reader):
    later = read_all(officer, reader)
    evaluator = make.PersonFactory(company=officer.company)
    scopes = ["profile:low", "slope:s2"]
    enter(later, EntryKind.QUIZ_STARTED, reader.person, sitting=1)
    enter(later, EntryKind.QUIZ_MARKED, reader.person, sitting=1, passed=True, right=20, of=20, critical_missed=[])
    enter(
        later,
        EntryKind.SIGN_OFF_SIGNED,
        reader.person,
        sign_off=1,
        result="passed",
        scopes=scopes,
        asked=scopes,
        evaluator=evaluator.pk,
        evaluator_user=None,
    )
    until = reader.today + datetime.timedelta(days=730)
    enter(
        later,
        EntryKind.GRANTED,
        reader.person,
        qualification="tile-adhesive",
        scopes=scopes,
        until=until.isoformat(),
        decider=officer.user.pk,
        proofs=[],
    )
    shown = path(reader)
    assert shown.context["standing"].may_work and shown.context["next"] is None
    assert "days left" in shown.text and "Low profile" in shown.text
    spanish = path(reader, "es")
    assert "Perfil bajo" in spanish.text


def test_reading_is_offered_again_when_no_tries_are_left(officer, reader):
    later = read_all(officer, reader)
    for number in (1, 2, 3):
        later = make.at(later, later.now + datetime.timedelta(days=2))
        enter(later, EntryKind.QUIZ_STARTED, reader.person, sitting=number)
        enter(
            later,
            EntryKind.QUIZ_MARKED,
            reader.person,
            sitting=number,
            passed=False,
            right=3,
            of=20,
            critical_missed=[],
        )
    shown = path(reader)
    first = shown.context["next"].url
    assert first == reverse("training:read", args=["product-sheet"])
    client = Client()
    client.force_login(reader.user)
    assert "It is time to read it again." in client.get(first).text
    sheet = officer.company.documents.get(slug="product-sheet").revisions.get()
    later = make.at(later, later.now + datetime.timedelta(days=1))
    begin_again(by=later, revision=sheet)
    make.read_through(later, sheet)
    assert path(reader).context["next"].url == reverse("training:read", args=["safe-work"])


def test_a_company_without_a_qualification_is_told_so():
    reader = make.applicator(make.PersonFactory())
    shown = path(reader)
    assert shown.status_code == 200 and "not set up the path yet" in shown.text


def test_the_path_is_the_persons_own(officer):
    assert path(officer).status_code == 403
    assert Client().get(reverse("training:path")).status_code == 302
