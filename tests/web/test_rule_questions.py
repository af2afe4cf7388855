"""The officer sees a rule's questions with their keys; nobody else does."""

import pytest
from django.urls import reverse

from tests import factories as make
from tests.web.reading_room import browser
from training import content
from training.actions import rules
from training.domain.lint import RULES
from training.domain.patterns import PATTERNS
from training.lint_texts import LINT_WORDS, PATTERN_WORDS

pytestmark = pytest.mark.django_db


@pytest.fixture
def officer():
    return make.officer_of(make.CompanyFactory())


@pytest.fixture
def book(officer):
    return rules.issue_rule_book(by=officer, slug="book", content=content.demo_rule_book(), effective_on=officer.today)


def test_every_finding_of_the_linter_has_words():
    assert LINT_WORDS.keys() == RULES.keys()


def test_every_kind_of_question_has_words():
    assert PATTERN_WORDS.keys() == PATTERNS.keys()


def test_every_rule_of_the_demo_book_shows_its_questions_in_both_languages(officer, book):
    client = browser(officer)
    for rule in book.content["rules"][::10]:
        page = client.get(reverse("training:rule_questions", args=[book.pk, rule["key"]]))
        assert page.status_code == 200
        assert page.context["shown"], rule["key"]
        assert page.text.count('lang="es"') >= len(page.context["shown"])


def test_other_numbers_are_other_questions(officer, book):
    address = reverse("training:rule_questions", args=[book.pk, "product-temperature"])
    stems = [
        [one.question.stem["en"] for one in browser(officer).get(address, {"seed": seed}).context["shown"]]
        for seed in (0, 3)
    ]
    assert stems[0] != stems[1]


def test_an_unknown_rule_is_not_there(officer, book):
    assert browser(officer).get(reverse("training:rule_questions", args=[book.pk, "nothing"])).status_code == 404
