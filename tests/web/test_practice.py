"""Practice: explained at once, in the reader's language, and never counted."""

from urllib.parse import parse_qs, urlsplit

import pytest
from django.urls import reverse

from tests import factories as make
from tests.web.reading_room import browser
from training import content
from training.actions import rules
from training.domain.answers import is_right
from training.models import Entry, QualificationRevision, RuleBookRevision, Sitting
from training.views import practice as view

pytestmark = pytest.mark.django_db
ADDRESS = "/practice/"


@pytest.fixture
def officer():
    officer = make.officer_of(make.CompanyFactory())
    rules.issue_qualification(by=officer, content=content.starter_qualification(), effective_on=officer.today)
    rules.issue_rule_book(by=officer, slug="book", content=content.demo_rule_book(), effective_on=officer.today)
    return officer


@pytest.fixture
def learner(officer):
    return make.applicator(make.PersonFactory(company=officer.company))


def opened(learner, language="en"):
    """The address of a fresh question, and the browser that has it open."""
    client = browser(learner, language)
    return client, client.get(ADDRESS).url


def asked_at(learner, address):
    from training import facts
    from training.models.rules import rule_book_in_force

    book = facts.rule_book(rule_book_in_force(learner.company, learner.today))
    return view._asked(book, parse_qs(urlsplit(address).query)["q"][0])


def test_a_question_is_asked_without_its_key(learner):
    for _ in range(15):
        client, address = opened(learner)
        page = client.get(address)
        asked = asked_at(learner, address)
        assert page.status_code == 200
        assert all(str(option.error_name["en"]) not in page.text for option in asked.options if option.error_name)


def test_a_right_answer_is_called_right_and_a_wrong_one_explained(learner):
    for _ in range(15):
        client, address = opened(learner)
        asked = asked_at(learner, address)
        if asked.answer != "one":
            continue
        wrong = next(option.letter for option in asked.options if not option.right)
        assert client.post(address, {"answer": asked.right}).context["right"] is True
        answer = client.post(address, {"answer": wrong})
        assert answer.context["right"] is False and is_right(asked, asked.right)
        assert answer.context["error"]


def test_nothing_is_kept_however_often_somebody_practises(learner):
    before = Entry.objects.count()
    for _ in range(5):
        client, address = opened(learner)
        client.post(address, {"answer": "a"})
    assert Entry.objects.count() == before and not Sitting.objects.exists()


def test_a_change_of_language_keeps_the_question(learner):
    client, address = opened(learner)
    client.post(reverse("set_language"), {"language": "es", "next": address})
    asked = asked_at(learner, address)
    assert client.get(address).context["question"].stem == asked.stem["es"]


def test_a_topic_narrows_the_questions(learner):
    for _ in range(5):
        address = browser(learner).get(ADDRESS, {"topic": "weather"}).url
        assert asked_at(learner, address).topic == "weather"


@pytest.mark.parametrize("query", ["q=x", "q=", "q=a:b:c", "q=%00", "topic=nothing"])
def test_a_mangled_address_gets_a_sentence(learner, query):
    assert browser(learner).get(f"{ADDRESS}?{query}").status_code in (400, 404)


def test_practice_waits_while_a_quiz_is_open(learner):
    qualification = QualificationRevision.objects.get()
    book = RuleBookRevision.objects.get()
    Sitting.objects.create(
        person=learner.person,
        qualification=qualification,
        rule_book=book,
        seed="s",
        paper={},
        language="en",
        started_at=learner.now,
    )
    assert browser(learner).get(ADDRESS).status_code == 409
