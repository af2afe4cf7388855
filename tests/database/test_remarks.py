"""A wrong rule is corrected: sittings are marked again as a proposal; the officer decides; both results are kept."""

import copy
import datetime

import pytest
from django.urls import reverse
from django.utils import timezone

from tests import factories as make
from tests.web.reading_room import browser
from training import content, facts
from training.actions import access, people, remarks, rules
from training.demo import acts
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.register import EntryKind
from training.models import Entry, Person, QualificationRevision, RuleBookRevision, Sitting
from training.verification import faults_of

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def officer():
    officer = make.officer_of(make.CompanyFactory(), now=timezone.now() - 5 * DAY)
    rules.issue_qualification(by=officer, content=content.starter_qualification(), effective_on=officer.today)
    rules.issue_rule_book(by=officer, slug="book", content=content.demo_rule_book(), effective_on=officer.today)
    for folder, document in content.demo_documents():
        acts.issue_document(by=officer, folder=folder, content=document, number=1, effective_on=officer.today)
    return officer


@pytest.fixture
def failed(officer):
    """A sitting that missed by one: five ordinary questions wrong, none critical."""
    row = people.add_person(by=officer, starts=officer.today, details={"given_names": "Ana", "family_names": "Vidal"})
    access.give_access(by=officer, person=row, pin="407193")
    person = Person.objects.get(pk=row.pk)
    acts.read_all(person, officer.now + datetime.timedelta(hours=1))
    sitting = acts.sit_quiz(person, officer.now + DAY, wrong=range(5))
    assert not facts.result_of(sitting).passed
    return sitting


def corrected(officer, sitting, places=1):
    """The book without the rules that were missed first: those questions become void, so they count as right."""
    gone = [miss.rule.key for miss in facts.result_of(sitting).misses[:places]]
    book = copy.deepcopy(content.demo_rule_book())
    book["rules"] = [rule for rule in book["rules"] if rule["key"] not in gone]
    book["checklist"] = [item for item in book["checklist"] if item.get("rule") not in gone]
    for rule in book["rules"]:
        rule["confused_with"] = [key for key in rule.get("confused_with", []) if key not in gone]
        if not rule["confused_with"]:
            rule.pop("confused_with")
    later = make.at(officer, officer.now + 2 * DAY)
    return rules.issue_rule_book(by=later, slug="book", content=book, effective_on=later.today)


def again(officer, sitting, revision, **changes):
    later = make.at(officer, officer.now + 3 * DAY)
    old = RuleBookRevision.objects.get(number=1)
    given = {"wrong": old, "corrected": revision, "sittings": [sitting.pk], "reason": "The sheet was misread"}
    return remarks.mark_again(by=later, **(given | changes))


def test_a_result_that_turns_is_written_beside_the_old_one(officer, failed):
    entries = again(officer, failed, corrected(officer, failed))
    assert [entry.data["passed"] for entry in entries] == [True]
    pages = Entry.objects.filter(kind=EntryKind.QUIZ_MARKED).order_by("number")
    assert [page.data["passed"] for page in pages] == [False, True]
    assert Entry.objects.get(kind=EntryKind.ENTRY_VOIDED).voids == pages[0]
    assert pages[0].happened_on == pages[1].happened_on


def test_standing_follows_the_new_result_from_the_day_of_the_old_one(officer, failed):
    again(officer, failed, corrected(officer, failed))
    found = facts.standing_of(failed.person, QualificationRevision.objects.get(), officer.today + 4 * DAY)
    assert found.step("quiz").done


def test_what_was_known_before_stays_what_was_known(officer, failed):
    before = officer.now + 2 * DAY
    again(officer, failed, corrected(officer, failed))
    row = QualificationRevision.objects.get()
    assert not facts.standing_of(failed.person, row, officer.today + 2 * DAY, before).step("quiz").done


def test_asked_twice_it_happens_once(officer, failed):
    revision = corrected(officer, failed)
    again(officer, failed, revision)
    assert again(officer, failed, revision) == []
    assert Entry.objects.filter(kind=EntryKind.ENTRY_VOIDED).count() == 1


def test_the_result_page_and_the_check_of_the_register_agree(officer, failed):
    again(officer, failed, corrected(officer, failed))
    assert facts.result_of(Sitting.objects.with_all().get(pk=failed.pk)).passed
    assert faults_of(officer.company).faults == []


def test_a_reason_a_sitting_and_a_later_revision_are_needed(officer, failed):
    revision = corrected(officer, failed)
    with pytest.raises(BadInput):
        again(officer, failed, revision, reason=" ")
    with pytest.raises(BadInput):
        again(officer, failed, revision, sittings=[])
    with pytest.raises(Refused):
        again(officer, failed, revision, wrong=revision, corrected=RuleBookRevision.objects.get(number=1))


def test_another_companys_officer_finds_nothing_to_mark(officer, failed):
    revision = corrected(officer, failed)
    stranger = make.officer_of(make.CompanyFactory())
    with pytest.raises(NotFound):
        remarks.mark_again(
            by=stranger,
            wrong=RuleBookRevision.objects.get(number=1),
            corrected=revision,
            sittings=[failed.pk],
            reason="x",
        )


def test_the_officer_sees_the_proposal_and_ticks_it(officer, failed):
    revision = corrected(officer, failed)
    client = browser(officer)
    address = reverse("training:mark_again", args=[revision.pk])
    page = client.get(address)
    assert [(sitting.pk, one.changes) for sitting, one in page.context["rows"]] == [(failed.pk, True)]
    assert client.post(address, {"sittings": [failed.pk], "reason": ""}).context["form"].errors
    assert client.post(address, {"sittings": [failed.pk], "reason": "Misread"}).status_code == 302
    assert client.get(address).context["rows"] == []
