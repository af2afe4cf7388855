"""Every kind of question can be answered in a plain form, and is explained with its drawing afterwards."""

import datetime
import json
import re
from pathlib import Path

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse

import training
from tests import factories as make
from training import facts
from training.actions.rules import issue_qualification, issue_rule_book
from training.content import demo_rule_book
from training.domain.papers import Paper, PaperItem
from training.models import Answer, Sitting
from training.models.rules import qualification_in_force, rule_book_in_force

pytestmark = pytest.mark.django_db

QUALIFICATION = Path(training.__file__).parent / "content/qualifications/tile_adhesive.json"
KINDS = {
    "choose-all": "open-time", "pick-drawing": "headlap", "judge-area": "contact-area", "compute": "field-check",
    "find-fault": "product-temperature", "judge-slope": "adhesive-slope-limit", "choose-slope": "lowest-slope",
    "put-in-order": "connect-order", "choose-value": "open-time", "type-value": "walk-wait",
}  # fmt: skip


@pytest.fixture
def sitting():
    """An open sitting with one question of each kind."""
    now = datetime.datetime.now(datetime.UTC) - datetime.timedelta(days=2)
    officer = make.officer_of(make.CompanyFactory(), now=now)
    content = json.loads(QUALIFICATION.read_text(encoding="utf-8"))
    issue_qualification(by=officer, content=content, effective_on=officer.today)
    issue_rule_book(by=officer, slug="foam", content=demo_rule_book(), effective_on=officer.today)
    reader = make.applicator(make.PersonFactory(company=officer.company), now=now)
    paper = Paper("kinds", tuple(PaperItem(pattern, rule, "1") for pattern, rule in KINDS.items()))
    return Sitting.objects.create(
        person=reader.person, qualification=qualification_in_force(officer.company, officer.today),
        rule_book=rule_book_in_force(officer.company, officer.today), seed="kinds", paper=paper.to_json(),
        language="en", started_at=now,
    )  # fmt: skip


def client_of(sitting, language="en"):
    client = Client(headers={"accept-language": language})
    client.force_login(sitting.person.user)
    return client


def address(sitting, pattern):
    return reverse("training:question", args=[sitting.pk, list(KINDS).index(pattern) + 1])


def page(sitting, pattern, language="en"):
    shown = client_of(sitting, language).get(address(sitting, pattern))
    assert shown.status_code == 200
    return BeautifulSoup(shown.text, "html.parser")


def kept(sitting, pattern):
    return Answer.objects.get(sitting=sitting, position=list(KINDS).index(pattern)).value["kept"]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("pattern", list(KINDS))
def test_every_kind_is_shown_without_its_key(sitting, pattern, language):
    soup = page(sitting, pattern, language)
    made = facts.questions_of(sitting)[list(KINDS).index(pattern)]
    assert soup.select_one(".stem").get_text(strip=True) == made.stem[language]
    assert soup.select("[checked], [selected]") == []
    for option in made.options:
        assert option.error_name is None or option.error_name[language] not in str(soup)


def test_several_answers_are_ticked_kept_and_shown_again(sitting):
    assert {box["type"] for box in page(sitting, "choose-all").select("input[name=answer]")} == {"checkbox"}
    client_of(sitting).post(address(sitting, "choose-all"), {"answer": ["c", "a"], "go": "next"})
    assert kept(sitting, "choose-all") == "a,c"
    ticked = page(sitting, "choose-all").select("input[name=answer][checked]")
    assert [box["value"] for box in ticked] == ["a", "c"]


def test_a_drawing_is_chosen_by_its_spoken_name(sitting):
    soup = page(sitting, "pick-drawing")
    for label in soup.select("label.choice"):
        assert label.select_one("svg[role=img]")["aria-label"].startswith("Upper tile over the lower one by")
        assert not label.select("[style]")
    client_of(sitting).post(address(sitting, "pick-drawing"), {"answer": "b", "go": "next"})
    assert kept(sitting, "pick-drawing") == "b"


def test_a_pad_to_measure_is_drawn_beside_the_question(sitting):
    spoken = page(sitting, "judge-area", "es").select_one(".stem-figure svg")["aria-label"]
    assert re.fullmatch(r"Teja levantada con una porción de .+ por .+", spoken)


def test_a_sum_is_typed_with_its_unit(sitting):
    made = facts.questions_of(sitting)[list(KINDS).index("compute")]
    client_of(sitting).post(address(sitting, "compute"), {"answer": made.right.replace("tile", "tiles"), "go": "next"})
    assert kept(sitting, "compute") == made.right


def test_misses_are_explained_with_what_was_drawn_and_what_is_right(sitting):
    client = client_of(sitting)
    for pattern, made in zip(KINDS, facts.questions_of(sitting), strict=True):
        wrong = next((option.letter for option in made.options if not option.right), "99")
        if made.answer in ("one", "many"):
            client.post(address(sitting, pattern), {"answer": wrong, "go": "next"})
    client.post(reverse("training:quiz_hand_in", args=[sitting.pk]))
    soup = BeautifulSoup(client.get(reverse("training:quiz_result", args=[sitting.pk])).text, "html.parser")
    misses = soup.select(".miss")
    assert len(misses) == len(KINDS)
    drawing = misses[list(KINDS).index("pick-drawing")]
    assert len(drawing.select("svg.figure")) == 2
    assert "Right is" in drawing.get_text()
    assert "Right is" in misses[0].get_text()
    log = misses[list(KINDS).index("find-fault")]
    assert "keeps its limit" in log.get_text()
