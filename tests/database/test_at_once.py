"""Two people press the same button at the same moment: it happens once, and the register stays one chain."""

from __future__ import annotations

import datetime
import threading
from collections.abc import Callable, Iterator

import pytest
from django.db import connection
from django.utils import timezone

from certificates.actions import issue_card, replace_card
from certificates.models import Card
from tests import factories as make
from tests.web.cast import SCOPES, Builder
from training import content, facts
from training.actions import access, authority, decisions, handson, imports, material, people, quizzes, rules
from training.demo import acts
from training.domain.errors import HeadlapError
from training.domain.register import EntryKind
from training.models import Answer, Authority, Crew, Entry, Person, RuleBookRevision, Sitting
from training.models.register import last_page_about
from training.permissions import Actor
from training.verification import faults_of

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def office() -> Iterator[Builder]:
    """A company with everything set up ten days ago."""
    built = Builder("Twice Roofing", "yard-rules", timezone.now() - datetime.timedelta(days=10))
    built.set_up()
    yield built
    assert faults_of(built.company).faults == []


def at_once(*acts_to_do: Callable[[], object]) -> list[object]:
    """Everything started at the same moment, each in its own thread; what it gave or how it was refused."""
    gate = threading.Barrier(len(acts_to_do))
    found: list[object] = [None] * len(acts_to_do)

    def one(place: int, act: Callable[[], object]) -> None:
        try:
            gate.wait(timeout=10)
            found[place] = act()
        except HeadlapError as refusal:
            found[place] = refusal.message.key
        finally:
            connection.close()

    threads = [threading.Thread(target=one, args=pair) for pair in enumerate(acts_to_do)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in threads)
    return found


def pages(office: Builder, *kinds: EntryKind) -> int:
    return Entry.objects.of(office.company).filter(kind__in=kinds).count()


def now(office: Builder) -> Actor:
    return make.at(office.officer, timezone.now())


def ready(office: Builder) -> Person:
    """Somebody with all three proofs."""
    person = office.person("Ana", "Ready")
    office.read_and_sit(person, 1)
    office.hands_on(person, 2)
    return person


def test_a_decision_is_taken_once(office: Builder) -> None:
    person, by = ready(office), now(office)
    seen = last_page_about(person)

    def grant() -> object:
        return decisions.decide(by=by, person=person, kind=EntryKind.GRANTED, scopes=SCOPES, seen=seen)

    found = at_once(grant, grant, grant)
    assert sum(isinstance(one, Entry) for one in found) == 1
    assert {one for one in found if isinstance(one, str)} == {"decision.changed_meanwhile"}
    assert pages(office, EntryKind.GRANTED) == 1


def test_a_card_is_issued_once_and_replaced_once(office: Builder) -> None:
    person, by = ready(office), now(office)
    decisions.decide(by=by, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)
    first = at_once(*[lambda: issue_card(by=by, person=person)] * 3)
    assert len({card.pk for card in first if isinstance(card, Card)}) == 1
    card = Card.objects.get()
    at_once(*[lambda: replace_card(by=by, card=card, reason="lost")] * 3)
    assert Card.objects.count() == 2
    assert Card.objects.current().count() == 1
    assert pages(office, EntryKind.CARD_ISSUED, EntryKind.CARD_REPLACED) == 2


def test_a_quiz_is_started_once_and_marked_once(office: Builder) -> None:
    person = office.person("Luz", "Learner")
    acts.read_all(person, office.on(1))
    by = make.applicator(Person.objects.get(pk=person.pk))
    started = at_once(*[lambda: quizzes.start_sitting(by=by, person=person)] * 3)
    assert len({one.pk for one in started if isinstance(one, Sitting)}) == 1
    sitting = Sitting.objects.get()
    at_once(*[lambda: quizzes.hand_in(by=by, sitting=sitting)] * 3)
    assert pages(office, EntryKind.QUIZ_STARTED) == pages(office, EntryKind.QUIZ_MARKED) == 1


def test_an_answer_sent_while_the_quiz_is_handed_in_is_marked_or_refused(office: Builder) -> None:
    """Never kept without being marked: the fingerprint in the register, checked at the end, holds every answer."""
    person = office.person("Luz", "Learner")
    acts.read_all(person, office.on(1))
    by = make.applicator(Person.objects.get(pk=person.pk))
    sitting = quizzes.start_sitting(by=by, person=person)
    size = len(facts.questions_of(sitting))
    saves = [lambda n=n: quizzes.save_answer(by=by, sitting=sitting, position=n, sent="") for n in range(size)]
    found = at_once(lambda: quizzes.hand_in(by=by, sitting=sitting), *saves)
    kept = sum(isinstance(one, Answer) for one in found)
    assert Answer.objects.filter(sitting=sitting).count() == kept
    assert found.count("quiz.already_handed_in") == size - kept


def test_a_hands_on_is_signed_once(office: Builder) -> None:
    person = office.person("Noa", "Shown")
    office.read_and_sit(person, 1)
    opened = office.hands_on(person, 2, sign=False)
    by = make.applicator(Person.objects.get(pk=office.evaluator.pk))
    at_once(*[lambda: handson.sign(by=by, sign_off=opened)] * 3)
    assert pages(office, EntryKind.SIGN_OFF_SIGNED) == 1


def test_a_crew_list_is_brought_in_once(office: Builder) -> None:
    by = now(office)
    uploaded = office.crew_list(by, "Iris", "Imported")
    at_once(*[lambda: imports.confirm_import(by=by, crew_import=uploaded)] * 3)
    assert Person.objects.filter(source=uploaded).count() == 1
    at_once(*[lambda: imports.undo_import(by=by, crew_import=uploaded)] * 3)
    assert pages(office, EntryKind.IMPORT_CONFIRMED) == pages(office, EntryKind.IMPORT_UNDONE) == 1


def test_somebody_leaves_once(office: Builder) -> None:
    person, by = office.person("Max", "Gone"), now(office)
    found = at_once(*[lambda: people.end_membership(by=by, person=person, ends=by.today)] * 3)
    assert found.count("people.not_employed") == 2
    assert pages(office, EntryKind.MEMBERSHIP_ENDED) == 1


def test_a_crew_is_made_once(office: Builder) -> None:
    by = now(office)
    at_once(*[lambda: people.create_crew(by=by, name="Ridge")] * 3)
    assert Crew.objects.filter(company=office.company, name="Ridge").count() == 1


def test_many_writers_make_one_chain(office: Builder) -> None:
    by, before = now(office), Entry.objects.of(office.company).count()
    found = at_once(*[lambda name=f"Crew {n}": people.create_crew(by=by, name=name) for n in range(8)])
    assert all(isinstance(one, Crew) for one in found)
    numbers = list(Entry.objects.of(office.company).in_order().values_list("number", flat=True))
    assert numbers == list(range(1, before + 9))


def test_a_sign_in_is_given_twice_without_harm(office: Builder) -> None:
    by = now(office)
    person = people.add_person(by=by, starts=by.today, details={"given_names": "Pia", "family_names": "Twice"})
    given = at_once(*[lambda: access.give_access(by=by, person=person)] * 2)
    assert all(isinstance(one, access.SignIn) for one in given)
    assert Person.objects.get(pk=person.pk).user is not None


def test_ties_are_made_once(office: Builder) -> None:
    by, person = now(office), office.person("Ola", "Tied")
    crew = people.create_crew(by=by, name="Ridge")
    at_once(*[lambda: people.join_crew(by=by, person=person, crew=crew, starts=by.today)] * 3)
    assert person.crew_memberships.filter(ends=None).count() == 1
    people.end_membership(by=by, person=person, ends=by.today - datetime.timedelta(days=1))
    at_once(*[lambda: people.start_membership(by=by, person=person, starts=by.today)] * 3)
    assert person.memberships.filter(ends=None).count() == 1


def test_revisions_and_authorities_are_made_once(office: Builder) -> None:
    by = now(office)
    given = {"scopes": SCOPES, "starts": by.today, "basis": "Ten years"}
    held = at_once(*[lambda: authority.grant_authority(by=by, person=office.evaluator, **given)] * 3)
    assert len({one.pk for one in held if isinstance(one, Authority)}) == 1
    book = {"slug": "quendril-one", "content": content.demo_rule_book(), "effective_on": by.today}
    issued = at_once(*[lambda: rules.issue_rule_book(by=by, **book)] * 2)
    assert sorted(one.number for one in issued if isinstance(one, RuleBookRevision)) == [2, 3]
    named = {"slug": "ladders", "title_en": "Ladders", "title_es": "Escaleras"}
    found = at_once(*[lambda: material.create_document(by=by, **named)] * 3)
    assert found.count("material.slug_taken") == 2
