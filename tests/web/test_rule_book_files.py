"""A rule book file that would break a page, or hang it, is refused on the form: nothing of it is kept."""

import copy
import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from tests import factories as make
from tests.web.reading_room import browser
from training import content
from training.models import RuleBookRevision

pytestmark = pytest.mark.django_db


def spoiled(change):
    book = copy.deepcopy(content.demo_rule_book())
    change(book)
    return json.dumps(book)


def _text(words):
    def change(book):
        rule = next(rule for rule in book["rules"] if rule["key"] == "wind-stop")
        rule["text"] = {"en": words, "es": words}

    return change


def _item(**values):
    return lambda book: book["checklist"][0].update(values)


FILES = {
    "a value used as its own format": spoiled(_text("{value:{value}}")),
    "a width of a hundred megabytes": spoiled(_text("{value!r:>99999999}")),
    "a million readings": spoiled(_item(repeat=10**6)),
    "a number of 4,000 digits": spoiled(_item(repeat=10**4000 - 1)),
    "a product of 2,000 characters": spoiled(lambda book: book["product"].update(name="Q" * 2000)),
    "a name that stands twice": spoiled(lambda book: None).replace('"rules":', '"rules": [], "rules":', 1),
}


@pytest.mark.parametrize("file", FILES.values(), ids=FILES.keys())
def test_a_file_that_would_break_a_page_is_refused_on_the_form(file):
    client = browser(make.officer_of(make.CompanyFactory()))
    upload = SimpleUploadedFile("book.json", file.encode(), content_type="application/json")
    answer = client.post(reverse("training:rule_book"), {"slug": "book", "file": upload})
    assert 200 <= answer.status_code < 500 and answer.status_code != 302
    assert answer.context["form"].errors
    assert not RuleBookRevision.objects.exists()


def test_the_unspoiled_file_is_taken_as_a_draft():
    client = browser(make.officer_of(make.CompanyFactory()))
    upload = SimpleUploadedFile("book.json", spoiled(lambda book: None).encode(), content_type="application/json")
    answer = client.post(reverse("training:rule_book"), {"slug": "book", "file": upload})
    assert answer.status_code == 302
    assert RuleBookRevision.objects.get().issued_at is None
