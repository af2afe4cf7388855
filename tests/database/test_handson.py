"""Hands-on: no day is chosen to get round what was signed for another one."""

from __future__ import annotations

import pytest
from django.utils import timezone

from tests import factories as make
from tests.web.cast import DAYS, SCOPES, Builder
from training import facts
from training.actions import handson
from training.demo.acts import SETTING
from training.domain.errors import BadInput, Refused
from training.models import Person, SignOff

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Builder:
    built = Builder("Backdated Roofing", "yard-rules", timezone.now() - 30 * DAYS)
    built.set_up()
    return built


@pytest.fixture
def learner(office: Builder) -> Person:
    person = office.person("Ana", "Learner")
    office.read_and_sit(person, 1)
    return person


def failed(office: Builder, person: Person, day: float) -> None:
    everything = {item.key for item in facts.rule_book(office.book).checklist}
    assert office.hands_on(person, day, bad=everything).result in {"failed", "stopped"}


def opened(office: Builder, person: Person, day: float, happened: float) -> SignOff:
    """The evaluator opens a checklist on a day for what is said to have happened on another."""
    by = make.at(make.applicator(Person.objects.get(pk=office.evaluator.pk)), office.on(day))
    on = make.at(by, office.on(happened)).today
    setting = handson.Setting(happened_on=on, language="en", **SETTING)
    return handson.start_sign_off(by=by, person=person, scopes=SCOPES, setting=setting)


def test_a_hands_on_is_not_dated_before_one_that_failed(office: Builder, learner: Person) -> None:
    failed(office, learner, 5)
    with pytest.raises(Refused) as refusal:
        opened(office, learner, 6, 4)
    assert refusal.value.message.key == "handson.wait"
    assert opened(office, learner, 6, 6)


def test_used_up_tries_do_not_come_back_by_an_earlier_date(office: Builder, learner: Person) -> None:
    failed(office, learner, 5)
    failed(office, learner, 6)
    with pytest.raises(Refused) as refusal:
        opened(office, learner, 7, 4)
    assert refusal.value.message.key == "handson.no_tries_left"


def test_a_checklist_opened_before_a_failure_is_not_signed_for_a_day_before_it(
    office: Builder, learner: Person
) -> None:
    early = opened(office, learner, 4, 4)
    failed(office, learner, 5)
    by = make.at(make.applicator(Person.objects.get(pk=office.evaluator.pk)), office.on(6))
    with pytest.raises(Refused) as refusal:
        handson.sign(by=by, sign_off=early)
    assert refusal.value.message.key == "handson.wait"


def test_what_happened_some_days_ago_can_be_opened_and_signed_today(office: Builder, learner: Person) -> None:
    assert opened(office, learner, 8, 4)
    failed(office, learner, 9)
    assert opened(office, learner, 12, 10)


def test_nothing_is_dated_before_the_steps_it_needs_or_in_the_future(office: Builder, learner: Person) -> None:
    with pytest.raises(Refused) as refusal:
        opened(office, learner, 5, 0.5)
    assert refusal.value.message.key == "handson.step_first"
    with pytest.raises(BadInput):
        opened(office, learner, 5, 8)
