"""The plan of the quiz: its chances are seen before it is issued, and an issued plan is a new revision."""

import pytest

from tests import factories as make
from tests.web.reading_room import browser
from training import content
from training.actions import rules
from training.models import Entry, QualificationRevision

pytestmark = pytest.mark.django_db
PLAN, CUT = "/quiz-plan/", "/quiz-plan/cut-score/"


@pytest.fixture
def officer():
    officer = make.officer_of(make.CompanyFactory())
    rules.issue_qualification(by=officer, content=content.starter_qualification(), effective_on=officer.today)
    rules.issue_rule_book(by=officer, slug="book", content=content.demo_rule_book(), effective_on=officer.today)
    return officer


def sent(client, **changes):
    """What the form sends unchanged, with some changes."""
    form = client.get(PLAN).context["form"]
    data = {name: form.initial.get(name) for name in form.fields}
    data["all_critical"] = "on"
    return {name: "" if value is None else value for name, value in (data | {"reason": "Judged"} | changes).items()}


def test_the_page_shows_the_chances_of_the_plan_in_force(officer):
    page = browser(officer).get(PLAN)
    assert page.status_code == 200
    assert [known for known, _one, _all in page.context["rows"]] == list(range(50, 100, 5))
    assert page.context["outlook"].guessing.most < 0.001


def test_looking_at_other_numbers_issues_nothing(officer):
    client = browser(officer)
    before = QualificationRevision.objects.count()
    page = client.post(PLAN, sent(client, pass_right=18, go="look"))
    assert page.context["plan"].pass_right == 18
    assert QualificationRevision.objects.count() == before


def test_more_needed_to_pass_is_less_passed(officer):
    client = browser(officer)
    easy = client.post(PLAN, sent(client, pass_right=14, go="look")).context["rows"]
    hard = client.post(PLAN, sent(client, pass_right=19, go="look")).context["rows"]
    assert all(one[1] > other[1] for one, other in zip(easy, hard, strict=True))


def test_an_issued_plan_is_the_next_revision_with_its_reason_in_the_register(officer):
    client = browser(officer)
    assert client.post(PLAN, sent(client, pass_right=17, tries=2, go="issue")).status_code == 302
    row = QualificationRevision.objects.order_by("-number").first()
    assert row.number == 2
    quiz = next(step for step in row.content["steps"] if step["kind"] == "quiz")
    assert (quiz["blueprint"]["pass_right"], quiz["tries"]) == (17, 2)
    assert Entry.objects.order_by("-number").first().data["reason"] == "Judged"


@pytest.mark.parametrize(
    "changes",
    [
        {"topic_weather": 60},
        {"pass_right": 40},
        {"critical_at_least": 59},
        {"effective_on": "2020-01-01"},
        {"reason": ""},
        {"tries": 0},
        {"topic_weather": "many"},
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_nothing_typed_is_lost(officer, changes):
    client = browser(officer)
    page = client.post(PLAN, sent(client, **changes, go="issue"))
    assert page.status_code == 200 and page.context["form"].errors
    name, value = next(iter(changes.items()))
    assert str(page.context["form"][name].value()) == str(value)
    assert QualificationRevision.objects.count() == 1


def test_judges_ratings_give_a_cut_with_its_error(officer):
    """Two judges over four questions, by hand: sums 3.0 and 2.6, mean 2.8, error 0.2 (s = 0.2828, over root 2)."""
    page = browser(officer).post(CUT, {"ratings": "80 70 90 60\n60 70 70 60"})
    assert page.context["score"] == pytest.approx(2.8)
    assert page.context["cut"].error == pytest.approx(0.2)
    assert page.context["cut"].pass_right == 3


@pytest.mark.parametrize("ratings", ["", "80 70", "80 70\n80", "80 x\n1 2", "180 20\n1 2", "1/0 2\n1 2"])
def test_ratings_that_cannot_be_read_are_told(officer, ratings):
    page = browser(officer).post(CUT, {"ratings": ratings})
    assert page.status_code == 200 and page.context["form"].errors
