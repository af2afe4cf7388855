"""With a proof missing or out of date nothing leads to a decision or a card: no action, form, address or command."""

from __future__ import annotations

import ast
import datetime
from collections.abc import Callable
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import get_commands, load_command_class
from django.db import transaction
from django.urls import reverse

import certificates
import training
from certificates.actions import issue_card
from certificates.models import Card
from tests import factories as make
from tests.cards import SCOPES, Cast
from tests.web.browsing import browser
from training.actions import decisions
from training.actions.base import record
from training.domain.errors import HeadlapError, NotAllowed, NotFound, Refused
from training.domain.register import EntryKind
from training.models import Appointment, Entry, Person
from training.models.register import last_page_about
from training.permissions import Actor, actor_for

pytestmark = pytest.mark.django_db

DECIDING = (EntryKind.GRANTED, EntryKind.RENEWED, EntryKind.WIDENED)
LONG_AGO = -800
"""More than the 24 months that a proof lasts."""


@pytest.fixture
def cast() -> Cast:
    return Cast()


def shown(cast: Cast, person: Person, on: int, result: str = "passed", **data: object) -> None:
    said = {"sign_off": 1, "asked": list(SCOPES), "evaluator": cast.evaluator.pk, "evaluator_user": 0, **data}
    scopes = list(SCOPES) if result == "passed" else []
    cast.enter(EntryKind.SIGN_OFF_SIGNED, person, cast.days(on), result=result, scopes=scopes, **said)


def sat(cast: Cast, person: Person, on: int, *, passed: bool = True, missed: tuple[str, ...] = ()) -> None:
    data = {"sitting": 1, "passed": passed, "right": 19 if passed else 9, "of": 20, "critical_missed": list(missed)}
    cast.enter(EntryKind.QUIZ_MARKED, person, cast.days(on), **data)


def read(cast: Cast, person: Person, on: int, *documents: str) -> None:
    for document in documents or ("product-sheet", "safe-work"):
        data = {"document": document, "revision": 1, "language": "en", "sections": 4}
        cast.enter(EntryKind.READING_COMPLETED, person, cast.days(on), **data)


def proofs(cast: Cast, person: Person, reading: int = -30, quiz: int = -20, hands_on: int = -10) -> None:
    read(cast, person, reading)
    sat(cast, person, quiz)
    shown(cast, person, hands_on)


def newer_sheet(cast: Cast, person: Person) -> None:
    proofs(cast, person)
    dates = {"effective_on": cast.days(-9).isoformat(), "due_on": cast.days(-1).isoformat()}
    cast.enter(EntryKind.DOCUMENT_ISSUED, None, cast.days(-9), document="product-sheet", revision=2, **dates)


def void_last(cast: Cast, person: Person) -> None:
    proofs(cast, person)
    last = Entry.objects.filter(person=person).order_by("-number")[0]
    with transaction.atomic():
        record(by=cast.officer, kind=EntryKind.ENTRY_VOIDED, person=person, voids=last, data={"reason": "test"})


def leave(cast: Cast, person: Person) -> None:
    proofs(cast, person)
    cast.enter(EntryKind.MEMBERSHIP_ENDED, person, cast.days(-1), ends=cast.days(-1).isoformat())
    person.memberships.update(ends=cast.days(-1))


LACKS: dict[str, Callable[[Cast, Person], object]] = {
    "everything": lambda cast, person: None,
    "one of the two documents": lambda cast, person: (
        read(cast, person, -30, "safe-work"), sat(cast, person, -20), shown(cast, person, -10)
    ),
    "the reading": lambda cast, person: (sat(cast, person, -20), shown(cast, person, -10)),
    "the quiz": lambda cast, person: (read(cast, person, -30), shown(cast, person, -10)),
    "the hands-on": lambda cast, person: (read(cast, person, -30), sat(cast, person, -20)),
    "enough right answers": lambda cast, person: (
        read(cast, person, -30), sat(cast, person, -20, passed=False), shown(cast, person, -10)
    ),
    "a critical answer": lambda cast, person: (
        read(cast, person, -30), sat(cast, person, -20, passed=False, missed=("fall-height",)), shown(cast, person, -10)
    ),
    "a good hands-on": lambda cast, person: (
        read(cast, person, -30), sat(cast, person, -20), shown(cast, person, -10, "failed")
    ),
    "a hands-on to its end": lambda cast, person: (
        read(cast, person, -30), sat(cast, person, -20), shown(cast, person, -10, "stopped")
    ),
    "a reading in date": lambda cast, person: proofs(cast, person, reading=LONG_AGO),
    "a quiz in date": lambda cast, person: proofs(cast, person, reading=-100, quiz=LONG_AGO),
    "a hands-on in date": lambda cast, person: proofs(cast, person, hands_on=LONG_AGO),
    "the newer sheet": newer_sheet,
    "the hands-on that was made void": void_last,
    "employment": leave,
}  # fmt: skip

lacking = pytest.mark.parametrize("lack", LACKS)


def decided(person: Person) -> list[str]:
    kinds = [*DECIDING, EntryKind.CARD_ISSUED, EntryKind.CARD_REPLACED]
    return list(Entry.objects.filter(person=person, kind__in=kinds).values_list("kind", flat=True))


def test_with_all_three_proofs_there_is_a_way(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    decisions.decide(by=cast.officer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)
    assert issue_card(by=cast.officer, person=person).person == person


@lacking
def test_no_action_decides_or_issues(cast: Cast, lack: str) -> None:
    person = cast.person()
    LACKS[lack](cast, person)
    for kind in (*DECIDING, EntryKind.RESTORED):
        for scopes in (SCOPES, SCOPES[:1], ()):
            with pytest.raises(HeadlapError):
                decisions.decide(by=cast.officer, person=person, kind=kind, scopes=scopes, reason="because")
    with pytest.raises(Refused):
        issue_card(by=cast.officer, person=person)
    assert decided(person) == []


@lacking
def test_no_form_and_no_address_decides_or_issues(cast: Cast, lack: str) -> None:
    person = cast.person()
    LACKS[lack](cast, person)
    client = browser(cast.officer.user)
    until = cast.days(10).isoformat()
    sent = {"scopes": SCOPES, "until": until, "reason": "because", "seen": last_page_about(person)}
    for kind in DECIDING:
        answer = client.post(reverse("training:decide", args=[person.pk, kind]), sent)
        assert answer.status_code == 409
        assert "form-errors" in answer.content.decode()
    assert client.post(reverse("certificates:card_issue", args=[person.pk])).status_code == 409
    assert decided(person) == []


@lacking
def test_a_card_issued_before_cannot_be_printed_anew_for_somebody_who_may_not_work(cast: Cast, lack: str) -> None:
    card = cast.carded()
    cast.decide(EntryKind.WITHDRAWN, card.person, reason="test")
    LACKS[lack](cast, card.person)
    before = Card.objects.count()
    address = reverse("certificates:card_replace", args=[card.pk])
    browser(cast.officer.user).post(address, {"why": "lost", "note": ""})
    assert Card.objects.count() == before


def test_only_what_was_shown_can_be_granted(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    with pytest.raises(Refused):
        decisions.decide(by=cast.officer, person=person, kind=EntryKind.GRANTED, scopes=[*SCOPES, "profile:high"])
    address = reverse("training:decide", args=[person.pk, "granted"])
    sent = {"scopes": ["profile:high"], "seen": last_page_about(person)}
    assert browser(cast.officer.user).post(address, sent).status_code == 409
    assert decided(person) == []


def test_a_decision_cannot_outlast_its_proofs(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    for until in (cast.days(731), cast.days(-1), datetime.date.max):
        with pytest.raises(HeadlapError):
            decisions.decide(by=cast.officer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES, until=until)
    assert decided(person) == []


def officer_who_is(cast: Cast, person: Person) -> Actor:
    """The person, appointed as safety officer as well."""
    user = make.applicator(person).user
    assert user is not None
    Appointment.objects.create(user=user, company=cast.company, starts=make.START)
    return actor_for(user, now=cast.officer.now)


@pytest.mark.parametrize("known_by", ["person", "sign-in"])
def test_who_signed_the_hands_on_does_not_decide(cast: Cast, known_by: str) -> None:
    """ISO/IEC 17024:2012, 9.4 (from memory): who decides has had no part in the examination."""
    person, signer = cast.person(), officer_who_is(cast, cast.evaluator)
    read(cast, person, -30)
    sat(cast, person, -20)
    assert signer.user is not None
    signed = {"evaluator": cast.evaluator.pk, "evaluator_user": 0}
    shown(cast, person, -10, **(signed if known_by == "person" else {"evaluator": 0, "evaluator_user": signer.user.pk}))
    with pytest.raises(Refused, match=r"decision\.evaluator_decides"):
        decisions.decide(by=signer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)
    address = reverse("training:decide", args=[person.pk, "granted"])
    answer = browser(signer.user).post(address, {"scopes": SCOPES, "seen": last_page_about(person)})
    assert answer.status_code == 409
    assert decided(person) == []
    decisions.decide(by=cast.officer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)


@pytest.mark.parametrize("kind", [*DECIDING, EntryKind.RESTORED])
def test_nobody_decides_for_themself(cast: Cast, kind: EntryKind) -> None:
    person = cast.person()
    proofs(cast, person)
    himself = officer_who_is(cast, person)
    with pytest.raises(Refused, match=r"decision\.own"):
        decisions.decide(by=himself, person=person, kind=kind, scopes=SCOPES, reason="because")
    assert decided(person) == []


def test_only_an_officer_of_the_company_decides(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    for actor in (make.applicator(person), make.evaluator_of(cast.company, list(SCOPES))):
        with pytest.raises(NotAllowed):
            decisions.decide(by=actor, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)
    with pytest.raises(NotFound):
        decisions.decide(by=Cast().officer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES)


def test_sent_twice_a_decision_is_taken_once(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    client, address = browser(cast.officer.user), reverse("training:decide", args=[person.pk, "granted"])
    sent = {"scopes": SCOPES, "seen": last_page_about(person)}
    assert [client.post(address, sent).status_code for _ in range(2)] == [302, 409]
    assert decided(person) == ["granted"]


def test_a_decision_on_an_old_picture_is_refused(cast: Cast) -> None:
    person = cast.person()
    proofs(cast, person)
    seen = last_page_about(person)
    shown(cast, person, 0, "failed")
    with pytest.raises(Refused, match=r"decision\.changed_meanwhile"):
        decisions.decide(by=cast.officer, person=person, kind=EntryKind.GRANTED, scopes=SCOPES, seen=seen)


# --- No other door ------------------------------------------------------------------------------------------------

PACKAGES = [Path(package.__file__).parent for package in (training, certificates)]
ONLY_HERE = {"decisions.py": {"decide"}, "actions.py": {"issue_card", "replace_card", "_issued", "_put_in_place"}}


def sources() -> list[Path]:
    found = [path for package in PACKAGES for path in package.rglob("*.py")]
    return [path for path in found if "migrations" not in path.parts]


def test_pages_of_the_register_are_made_in_one_place_only() -> None:
    for path in sources():
        text = path.read_text("utf-8")
        if path.parts[-2:] != ("actions", "base.py"):
            made = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Call) and _is_entry(node)]
            assert made == [] or "domain" in path.parts or path.name == "facts.py", path


def _is_entry(call: ast.Call) -> bool:
    called = ast.unparse(call.func)
    return called in {"Entry", "models.Entry"} or (called.startswith("Entry.objects.") and called.endswith("create"))


def test_decisions_are_written_by_the_decision_only() -> None:
    """Whoever calls `record` names the kind; only `decide` passes one on, after the core has allowed it."""
    kinds = {f"EntryKind.{kind.name}" for kind in DECIDING}
    computed = {
        "decisions.py",
        "material.py",
        "quizzes.py",
        "remarks.py",
    }  # looked at: one of two kinds of reading or quiz
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Call) and ast.unparse(node.func) == "record":
                kind = next(ast.unparse(word.value) for word in node.keywords if word.arg == "kind")
                assert kind not in kinds, path
                assert kind.startswith("EntryKind.") or path.name in computed, (path, kind)


def test_there_is_no_admin_and_no_command_that_decides() -> None:
    assert not apps.is_installed("django.contrib.admin")
    ours = {name: app for name, app in get_commands().items() if app in {"training", "certificates"}}
    del ours["load_demo"]  # plays the demo through the actions, which refuse it what they refuse everybody
    for name, app in ours.items():
        module = load_command_class(app, name).__module__
        text = Path(__import__(module, fromlist=["Command"]).__file__).read_text("utf-8")
        assert "decide(" not in text and "issue_card" not in text, name
