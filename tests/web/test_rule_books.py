"""Pages of a rule book: started, filled with nothing typed lost, reviewed, issued, compared; what it asks of people."""

import copy
import datetime
import json

import pytest
from bs4 import BeautifulSoup
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from tests import factories as make
from tests.domain.test_rule_draft import filled
from tests.web.browsing import browser
from tests.web.cast import Builder
from training import content, facts
from training.actions import rule_books as drafts
from training.actions.rules import issue_rule_book
from training.domain.register import EntryKind
from training.domain.rule_draft import numbers_of, progress
from training.domain.rules import RuleBook
from training.domain.units import measure
from training.models import Entry, RuleBookRevision

pytestmark = pytest.mark.django_db
SHEET = {"kind": "product sheet", "revision": "3", "page": "4", "citation": ""}


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def office(officer):
    return browser(officer.user)


@pytest.fixture
def draft(officer):
    return drafts.draft_rule_book(by=officer, slug="new-foam", product="New Foam")


@pytest.fixture
def whole(officer):
    """A draft that lacks nothing."""
    made = drafts.draft_rule_book(by=officer, slug="new-foam", content=filled())
    gaps = progress(RuleBook.parse(made.content, draft=True), {}).gaps
    RuleBookRevision.objects.filter(pk=made.pk).update(confirmed={gap.rule.key: numbers_of(gap.rule) for gap in gaps})
    return made


def address(name, *args):
    return reverse(f"training:{name}", args=args)


def page(answer):
    return BeautifulSoup(answer.content, "html.parser")


def text(answer):
    return " ".join(page(answer).main.get_text(" ").split())


def rule_of(revision, key):
    return facts.rule_book(RuleBookRevision.objects.get(pk=revision.pk)).rule(key)


# --- beginning ----------------------------------------------------------------------------------------------------


def test_a_book_is_started_and_its_page_counts_what_is_done(office):
    assert "No rule book yet" in text(office.get(address("rule_book")))
    answer = office.post(address("rule_draft_new"), {"product": "New Foam", "slug": "new-foam"}, follow=True)
    assert "of 126 rules are done" in text(answer)
    assert "number missing" in text(answer) and "draft of revision 1" in text(answer)
    assert "New Foam draft" in text(office.get(address("rule_book")))


def test_a_second_draft_of_a_book_is_refused_beside_the_form(office, draft):
    answer = office.post(address("rule_draft_new"), {"product": "New Foam", "slug": "new-foam"})
    assert "still a draft" in text(answer)


def test_a_file_becomes_a_draft_and_a_broken_one_is_told_place_by_place(office):
    book = content.demo_rule_book()
    send = lambda data: SimpleUploadedFile("book.json", json.dumps(data).encode())  # noqa: E731
    answer = office.post(address("rule_book"), {"slug": "q", "file": send(book)}, follow=True)
    assert "126 of 126 rules are done" in text(answer)
    book["rules"][0]["unit"] = "furlong"
    book["rules"][1]["value"] = "a lot"
    answer = office.post(address("rule_book"), {"slug": "other", "file": send(book)})
    assert answer.status_code == 200
    assert "rules.air-temperature.unit" in text(answer) and "rules.wind-stop.value" in text(answer)
    assert RuleBookRevision.objects.count() == 1


# --- filling --------------------------------------------------------------------------------------------------------


def test_the_page_of_a_rule_shows_blanks_the_usual_range_and_goes_on_to_the_next_gap(office, draft):
    first = office.get(address("rule_fill", draft.pk, "air-temperature"))
    assert "Set tile only when the air is from ___ to ___" in text(first)
    assert "32 °F – 115 °F" in text(first).replace("\xa0", " ")
    answer = office.post(address("rule_fill", draft.pk, "air-temperature"), {**SHEET, "low": "45 F", "high": "40 °C"})
    assert answer["Location"] == address("rule_fill", draft.pk, "wind-stop")
    rule = rule_of(draft, "air-temperature")
    assert (rule.low, rule.high) == (measure("45", "degF"), measure("104", "degF"))
    assert 'value="3"' in office.get(answer["Location"]).content.decode()  # the sheet's revision is typed once


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        ({"low": "90 F", "high": "45 F"}, "not below the highest"),
        ({"low": "warm", "high": "90 F"}, "“warm” is not a measure we can read"),
        ({"low": "3 in", "high": "90 F"}, "a unit of another kind"),
    ],
)
def test_nothing_typed_is_lost_when_a_number_cannot_stand(office, draft, typed, fault):
    answer = office.post(address("rule_fill", draft.pk, "air-temperature"), {**SHEET, **typed})
    assert answer.status_code == 200 and fault in text(answer)
    kept = {tag["name"]: tag.get("value") for tag in page(answer).main.find_all("input") if tag.get("name")}
    assert kept["low"] == typed["low"] and kept["page"] == "4"
    assert rule_of(draft, "air-temperature").low is None


def test_an_unusual_number_asks_once_more(office, draft):
    url, typed = address("rule_fill", draft.pk, "headlap"), {**SHEET, "value": "6 in"}
    assert 'name="confirm"' not in office.get(url).content.decode()
    asked = office.post(url, typed)
    assert "outside the usual range" in text(asked) and 'name="confirm"' in asked.content.decode()
    assert office.post(url, {**typed, "confirm": "on"}).status_code == 302
    assert rule_of(draft, "headlap").value == measure("6", "in")


def test_bands_and_practices_are_filled_too(office, draft):
    ends = {"bands_1_from": "2:12", "bands_1_upto": "5:12", "bands_2_upto": "6 1/2", "bands_3_upto": "9/12"}
    assert office.post(address("rule_fill", draft.pk, "extra-fastening"), {**SHEET, **ends}).status_code == 302
    assert [band.upto for band in rule_of(draft, "extra-fastening").bands[:3]] == [
        measure(n, "pitch") for n in ("5", "6 1/2", "9")
    ]
    said = {"right_en": "Stop and cover the work", "right_es": "Pare y cubra el trabajo"}
    assert office.post(address("rule_fill", draft.pk, "rain-stop"), {**SHEET, **said}).status_code == 302
    right = rule_of(draft, "rain-stop").right
    assert right is not None and (right.en, right.es) == (said["right_en"], said["right_es"])
    wrong = office.post(address("rule_fill", draft.pk, "rain-stop"), {**SHEET, **said, "right_en": "Wait 5 minutes"})
    assert wrong.status_code == 200 and "Wait 5 minutes" in text(wrong)


def test_a_rule_that_the_sheet_does_not_know_is_taken_out(office, draft):
    answer = office.post(address("rule_leave_out", draft.pk, "open-time-hot"), follow=True)
    assert "of 125 rules are done" in text(answer)


# --- review and issue -------------------------------------------------------------------------------------------------


def test_who_drafted_cannot_review_and_a_second_person_can(office, officer, whole):
    own = office.get(address("rule_draft_review", whole.pk))
    assert "Somebody else has to review it" in text(own) and page(own).main.find("form") is None
    second = browser(make.officer_of(officer.company).user)
    assert "I held every number against the sheet" in text(second.get(address("rule_draft_review", whole.pk)))
    answer = second.post(address("rule_draft_review", whole.pk), follow=True)
    assert "reviewed it on" in text(answer)
    issued = office.post(address("rule_draft_issue", whole.pk), {"effective_on": officer.today}, follow=True)
    assert "In force from".lower() in text(issued).lower()
    assert Entry.objects.filter(kind=EntryKind.RULE_BOOK_ISSUED).count() == 1


def test_an_evaluator_reviews_too_and_changes_nothing(officer, whole):
    evaluator = browser(make.evaluator_of(officer.company, ["profile:low"]).user)
    seen = evaluator.get(address("rule_book_revision", whole.pk))
    assert seen.status_code == 200 and "/rules/" not in seen.content.decode()
    assert "reviewed it on" in text(evaluator.post(address("rule_draft_review", whole.pk), follow=True))


def test_an_unfinished_or_unreviewed_draft_is_not_issued_and_says_why(office, officer, draft):
    answer = office.post(address("rule_draft_issue", draft.pk), {"effective_on": officer.today})
    assert answer.status_code == 200 and "A number is missing for" in text(answer)
    assert "A number is missing for" in text(office.get(address("rule_draft_review", draft.pk)))


def test_an_issued_revision_has_no_draft_pages(office, officer):
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    for name, *args in (("rule_fill", "headlap"), ("rule_draft_review",), ("rule_draft_issue",)):
        assert office.get(address(name, issued.pk, *args)).status_code == 409


def test_the_next_revision_starts_from_the_last_and_a_second_click_shows_the_draft(office, officer):
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    assert "126 of 126" in text(office.post(address("rule_draft_next", issued.pk), follow=True))
    assert "still a draft" in text(office.post(address("rule_draft_next", issued.pk), follow=True))


def test_a_draft_is_thrown_away(office, draft):
    assert "thrown away" in text(office.post(address("rule_draft_discard", draft.pk), follow=True))
    assert not RuleBookRevision.objects.exists()


# --- files and changes ------------------------------------------------------------------------------------------------


def test_a_revision_leaves_as_a_file_that_can_come_back(office, officer):
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    answer = office.get(address("rule_book_export", issued.pk))
    assert answer["Content-Disposition"] == 'attachment; filename="q-1.json"'
    assert RuleBook.parse(json.loads(answer.content)) == RuleBook.parse(content.demo_rule_book())


def changed_book():
    book = copy.deepcopy(content.demo_rule_book())
    rules = {rule["key"]: rule for rule in book["rules"]}
    rules["headlap"]["value"] = "3 1/2"
    rules["frost"]["why"]["en"] = "Foam holds to the ice, and the ice melts later."
    rules["extra-fastening"]["bands"][0]["upto"] = "4 1/2"
    book["checklist"][0]["weight"] = "critical" if book["checklist"][0].get("weight") != "critical" else "stop"
    book["rules"] = [rule for rule in book["rules"] if rule["key"] != "area-map"]
    return book


def test_changes_are_shown_grave_first_between_any_two_revisions(office, officer):
    first = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    second = issue_rule_book(by=officer, slug="q", content=changed_book(), effective_on=officer.today)
    said = text(office.get(address("rule_book_changes", second.pk))).replace("\xa0", " ")
    assert "value grave 3 1/4 in (83 mm) 3 1/2 in (89 mm)" in said
    assert "why it matters in English Foam grips the ice" in said
    assert "≤ 5:12: Pads alone hold the tile; ≤ 6 1/2:12" in said and "taken out grave" in said
    assert said.index("3 1/2 in") < said.index("Foam grips the ice")
    back = text(office.get(address("rule_book_changes", first.pk), {"from": second.pk})).replace("\xa0", " ")
    assert "value grave 3 1/2 in (89 mm) 3 1/4 in (83 mm)" in back
    assert office.get(address("rule_book_changes", second.pk), {"from": "999"}).status_code == 404


# --- what it asks of people -------------------------------------------------------------------------------------------


@pytest.fixture
def builder():
    made = Builder("Tested Roofing", "yard-rules", timezone.now() - datetime.timedelta(days=40))
    made.made = made.side()
    by = made.boss(30)
    made.new = issue_rule_book(by=by, slug="quendril-one", content=changed_book(), effective_on=by.today)
    return made


def test_the_officer_chooses_for_each_change_and_it_reaches_the_person_s_path(builder):
    office = browser(builder.made.officer)
    url = address("rule_book_impact", builder.new.pk)
    shown = page(office.get(url))
    assert "1 person works on proofs made before" in " ".join(shown.main.get_text(" ").split())
    proposed = {tag["name"]: tag.find("option", selected=True)["value"] for tag in shown.main.find_all("select")}
    assert proposed["rule:headlap"] == "quiz" and proposed["rule:frost"] == ""
    assert proposed["rule:area-map"] == ""
    due = (timezone.now() + datetime.timedelta(days=20)).date()
    wrong = office.post(url, {**proposed, "rule:frost": "reread", "due_on": "2020-01-01"})
    assert wrong.status_code == 200 and "Give" in text(wrong)
    kept = {tag["name"]: tag.find("option", selected=True)["value"] for tag in page(wrong).main.find_all("select")}
    assert kept["rule:frost"] == "reread"
    answer = office.post(url, {"rule:headlap": "quiz", "due_on": due.isoformat()}, follow=True)
    assert "Written into the register" in text(answer) and "headlap" in text(answer)
    assert page(answer).main.find("select") is None
    assert office.post(url, {"rule:headlap": "quiz", "due_on": due.isoformat()}).status_code == 200
    assert Entry.objects.filter(kind=EntryKind.REVISION_REQUIRED).count() == 1
    holder = browser(builder.made.user("holder"))
    assert "short quiz on the changed rules" in text(holder.get(address("path")))
    start = text(holder.get(address("quiz")))
    assert "One rule has changed" in start and "Every answer must be right" in start
    assert holder.post(address("quiz_start")).status_code == 302


def test_the_impact_of_a_draft_or_a_first_revision_is_not_asked(office, officer, draft):
    assert "Issue the revision first" in text(office.get(address("rule_book_impact", draft.pk)))
    issued = issue_rule_book(by=officer, slug="q", content=content.demo_rule_book(), effective_on=officer.today)
    assert "This is the first revision" in text(office.post(address("rule_book_impact", issued.pk)))
    assert not Entry.objects.filter(kind=EntryKind.REVISION_REQUIRED).exists()
