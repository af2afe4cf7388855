"""A rule book from draft to issue: who may do what, what is refused, what is kept, what the register says."""

import copy
import datetime

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from tests import factories as make
from tests.domain.test_rule_draft import SOURCE, filled, filling
from training import content, facts
from training.actions import rule_books as actions
from training.actions.remarks import mark_again
from training.actions.rules import issue_rule_book
from training.domain import rule_draft
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.domain.register import EntryKind
from training.domain.rule_draft import Filling, numbers_of
from training.domain.rule_json import BookFaults
from training.domain.rules import RuleBook as Book
from training.domain.units import measure
from training.models import Entry, RuleBook, RuleBookRevision
from training.verification import faults_of

pytestmark = pytest.mark.django_db
DAY = datetime.timedelta(days=1)


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def second(officer):
    return make.officer_of(officer.company)


@pytest.fixture
def draft(officer):
    """A draft with every number filled and the unusual ones confirmed."""
    made = actions.draft_rule_book(by=officer, slug="new-foam", content=filled())
    gaps = rule_draft.progress(Book.parse(made.content, draft=True), {}).gaps
    RuleBookRevision.objects.filter(pk=made.pk).update(confirmed={gap.rule.key: numbers_of(gap.rule) for gap in gaps})
    return fresh(made)


def fresh(revision):
    return RuleBookRevision.objects.select_related("book").get(pk=revision.pk)


def refused(fault, act, /, **values):
    with pytest.raises((Refused, BadInput, NotFound)) as caught:
        act(**values)
    assert caught.value.message.key == fault
    return caught.value


def headlap(inches="3"):
    return Filling(SOURCE, {"value": measure(inches, "in")})


# --- beginning ----------------------------------------------------------------------------------------------------


def test_the_first_draft_is_the_starter_with_the_product_s_name(officer):
    draft = actions.draft_rule_book(by=officer, slug="new-foam", product=" New Foam ")
    assert (draft.number, draft.book.product, draft.content["product"]["name"]) == (1, "New Foam", "New Foam")
    assert (draft.drafted_by, draft.editors, draft.is_draft) == (officer.user, [officer.user.pk], True)
    assert len(facts.rule_book(draft).rules) >= 120
    assert not Entry.objects.of(officer.company).exists()


def test_a_new_book_needs_the_name_of_its_product(officer):
    assert refused("rule_draft.no_product", actions.draft_rule_book, by=officer, slug="new-foam").field == "product"


def test_a_book_has_one_draft_at_a_time_also_in_the_database(officer):
    draft = actions.draft_rule_book(by=officer, slug="new-foam", product="New Foam")
    refused("rule_draft.open", actions.draft_rule_book, by=officer, slug="new-foam", product="Again")
    with pytest.raises(IntegrityError), transaction.atomic():
        RuleBookRevision.objects.create(
            book=draft.book, number=2, drafted_at=officer.now, drafted_by=officer.user, content={}
        )


def test_the_next_draft_starts_from_the_last_revision(officer):
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    draft = actions.draft_rule_book(by=officer, slug="q")
    assert (draft.number, draft.content) == (2, issued.content)


def test_a_draft_can_come_from_a_file_and_a_broken_file_is_refused_with_its_faults(officer):
    draft = actions.draft_rule_book(by=officer, slug="q", content=content.demo_rule_book())
    assert facts.rule_book(draft) == Book.parse(content.demo_rule_book())
    broken = content.demo_rule_book()
    broken["rules"][0]["topic"] = "nowhere"
    with pytest.raises(BookFaults) as caught:
        actions.draft_rule_book(by=officer, slug="other", content=broken)
    assert caught.value.faults[0].place == "rules.air-temperature.topic"
    assert not RuleBook.objects.filter(slug="other").exists()


# --- filling --------------------------------------------------------------------------------------------------------


def test_a_rule_is_filled_and_a_review_made_before_no_longer_counts(officer, second, draft):
    actions.review_draft(by=second, revision=draft)
    changed = actions.set_rule(by=officer, revision=draft, key="headlap", filling=headlap("2 1/2"))
    assert facts.rule_book(fresh(changed)).rule("headlap").value == measure("2 1/2", "in")
    assert (fresh(changed).reviewed_by, fresh(changed).reviewed_at) == (None, None)


def test_an_unusual_number_is_kept_only_when_confirmed(officer, draft):
    given = {"by": officer, "revision": draft, "key": "headlap", "filling": headlap("6")}
    fault = refused("rule_draft.unusual", actions.set_rule, **given)
    assert (fault.field, fault.message.values["low"]) == ("confirm", measure("2", "in"))
    assert facts.rule_book(fresh(draft)).rule("headlap").value != measure("6", "in")
    assert actions.set_rule(**given, confirm=True).confirmed["headlap"] == "6 in"
    actions.set_rule(**given)  # the same number again needs no second word
    actions.set_rule(by=officer, revision=draft, key="headlap", filling=headlap())
    assert "headlap" not in fresh(draft).confirmed


def test_a_rule_can_be_left_out(officer, draft):
    actions.leave_out_rule(by=officer, revision=draft, key="open-time-hot")
    assert not facts.rule_book(fresh(draft)).has("open-time-hot")
    refused("rule_book.no_such_rule", actions.leave_out_rule, by=officer, revision=draft, key="open-time-hot")


# --- reviewing and issuing --------------------------------------------------------------------------------------------


def test_who_wrote_in_a_draft_does_not_review_it(officer, second, draft):
    refused("rule_draft.own_review", actions.review_draft, by=officer, revision=draft)
    actions.set_rule(by=second, revision=draft, key="headlap", filling=headlap())
    refused("rule_draft.own_review", actions.review_draft, by=second, revision=draft)
    refused("rule_draft.own_review", actions.review_draft, by=officer, revision=fresh(draft))


def test_an_evaluator_may_review_where_there_is_one_officer(officer, draft):
    evaluator = make.evaluator_of(officer.company, ["profile:low"])
    assert actions.review_draft(by=evaluator, revision=draft).reviewed_by == evaluator.user


def test_others_may_not_review_or_write(officer, draft):
    person = make.applicator(make.PersonFactory(company=officer.company))
    evaluator = make.evaluator_of(officer.company, ["profile:low"])
    stranger = make.officer_of(make.CompanyFactory())
    with pytest.raises(NotAllowed):
        actions.review_draft(by=person, revision=draft)
    for by, error in ((evaluator, NotAllowed), (stranger, NotFound)):
        with pytest.raises(error):
            actions.set_rule(by=by, revision=draft, key="headlap", filling=headlap())
        with pytest.raises(error):
            actions.issue_draft(by=by, revision=draft, effective_on=officer.today)
        with pytest.raises(error):
            actions.discard_draft(by=by, revision=draft)


def test_the_database_refuses_a_reviewer_who_drafted(officer, draft):
    with pytest.raises(IntegrityError), transaction.atomic():
        RuleBookRevision.objects.filter(pk=draft.pk).update(reviewed_by=officer.user, reviewed_at=officer.now)


@pytest.mark.parametrize("half", ["reviewed_at", "issued_at", "effective_on", "drafted_by"])
def test_the_database_keeps_who_and_when_together(draft, half):
    values = {"reviewed_at": timezone.now(), "issued_at": timezone.now(), "effective_on": timezone.now().date(),
              "drafted_by": None}  # fmt: skip
    with pytest.raises(IntegrityError), transaction.atomic():
        RuleBookRevision.objects.filter(pk=draft.pk).update(**{half: values[half]})


def test_an_incomplete_draft_is_neither_reviewed_nor_issued_and_its_rules_are_named(officer, second):
    draft = actions.draft_rule_book(by=officer, slug="new-foam", product="New Foam")
    for act, more in ((actions.review_draft, {}), (actions.issue_draft, {"effective_on": officer.today})):
        fault = refused("rule_draft.no_value", act, by=second, revision=draft, **more)
        names = [rule["en"] for rule in fault.message.values["rules"]]
        assert fault.message.values["count"] > len(names) == rule_draft.MOST_NAMED
    content_ = filled()
    for rule in content_["rules"]:
        if rule["key"] == "headlap":
            del rule["source"]
    other = actions.draft_rule_book(by=officer, slug="other", content=content_)
    assert refused("rule_draft.no_source", actions.review_draft, by=second, revision=other).message.values["count"] == 1


def test_an_unconfirmed_unusual_number_is_in_the_way(officer, second):
    content_ = rule_draft.fill(filled(), "headlap", headlap("6"))
    draft = actions.draft_rule_book(by=officer, slug="new-foam", content=content_)
    fault = refused("rule_draft.unconfirmed", actions.review_draft, by=second, revision=draft)
    assert Book.parse(content_).rule("headlap").quantity in fault.message.values["rules"]


def test_a_draft_is_issued_only_after_review_and_then_never_changes(officer, second, draft):
    refused("rule_draft.not_reviewed", actions.issue_draft, by=officer, revision=draft, effective_on=officer.today)
    actions.review_draft(by=second, revision=draft)
    assert RuleBookRevision.objects.in_force(officer.company, officer.today) is None
    issued = actions.issue_draft(by=officer, revision=draft, effective_on=officer.today)
    assert RuleBookRevision.objects.in_force(officer.company, officer.today) == issued
    later = {"by": officer, "revision": issued}
    refused("rule_draft.issued", actions.set_rule, **later, key="headlap", filling=headlap())
    refused("rule_draft.issued", actions.leave_out_rule, **later, key="headlap")
    refused("rule_draft.issued", actions.review_draft, **later)
    refused("rule_draft.issued", actions.issue_draft, **later, effective_on=officer.today)
    refused("rule_draft.issued", actions.discard_draft, **later)


def test_the_register_says_who_drafted_and_who_reviewed(officer, second, draft):
    actions.review_draft(by=second, revision=draft)
    actions.issue_draft(by=officer, revision=draft, effective_on=officer.today + 3 * DAY)
    (entry,) = Entry.objects.of(officer.company)
    assert (entry.kind, entry.person, entry.data["book"], entry.data["revision"]) == (
        EntryKind.RULE_BOOK_ISSUED, None, "new-foam", 1,
    )  # fmt: skip
    assert faults_of(officer.employer).faults == []
    assert (entry.data["drafted_by"], entry.data["reviewed_by"]) == (officer.user.pk, second.user.pk)
    assert entry.data["effective_on"] == (officer.today + 3 * DAY).isoformat() and len(entry.data["content"]) == 64


def test_a_revision_does_not_count_from_before_the_one_before_it(officer, second):
    issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    draft = actions.draft_rule_book(by=officer, slug="q")
    actions.review_draft(by=second, revision=draft)
    early = officer.today - DAY
    fault = refused(
        "rule_draft.effective_before_last", actions.issue_draft, by=officer, revision=draft, effective_on=early
    )
    assert fault.field == "effective_on"


def test_what_was_issued_straight_is_whole_too_and_a_draft_never_counts(officer):
    first = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    actions.draft_rule_book(by=officer, slug="q")
    assert RuleBookRevision.objects.in_force(officer.company, officer.today + 900 * DAY) == first


def test_nothing_is_marked_by_a_draft(officer):
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    draft = actions.draft_rule_book(by=officer, slug="q")
    refused("remark.not_later", mark_again, by=officer, wrong=issued, corrected=draft, sittings=[1], reason="Typo")


def test_a_draft_thrown_away_takes_a_book_without_revisions_with_it(officer):
    issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    actions.discard_draft(by=officer, revision=actions.draft_rule_book(by=officer, slug="q"))
    actions.discard_draft(by=officer, revision=actions.draft_rule_book(by=officer, slug="n", product="New Foam"))
    assert [book.slug for book in RuleBook.objects.all()] == ["q"]
    again = copy.deepcopy(content.demo_rule_book())
    assert actions.draft_rule_book(by=officer, slug="q", content=again).number == 2


def test_filling_the_starter_rule_by_rule_leads_to_a_book_without_gaps(officer):
    draft = actions.draft_rule_book(by=officer, slug="new-foam", product="New Foam")
    gaps = rule_draft.progress(facts.rule_book(draft), {}).gaps
    for gap in gaps[:9]:
        draft = actions.set_rule(by=officer, revision=draft, key=gap.rule.key, filling=filling(gap.rule), confirm=True)
    left = rule_draft.progress(facts.rule_book(fresh(draft)), fresh(draft).confirmed).gaps
    assert [gap.rule.key for gap in left] == [gap.rule.key for gap in gaps[9:]]
