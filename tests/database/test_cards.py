"""Cards are issued only to those who may work today, once, and a replaced one is void at once."""

from __future__ import annotations

import datetime

import pytest
from django.db import IntegrityError, transaction

from certificates.actions import count_miss, issue_card, replace_card
from certificates.domain.gate import MOST_MISSES, window_of
from certificates.domain.number import read
from certificates.domain.verify import Reason
from certificates.facts import check, check_link, content_of, printable
from certificates.models import Card, CheckMiss, card_of, current_card_of
from tests.cards import SCOPES, Cast, moment
from tests.factories import applicator
from training.domain.errors import BadInput, NotAllowed, NotFound, Refused
from training.domain.register import EntryKind
from training.models import Entry

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return Cast()


def key_of(error: pytest.ExceptionInfo[Refused]) -> str:
    return error.value.message.key


def cards_in_register(cast: Cast) -> list[str]:
    kinds = [EntryKind.CARD_ISSUED, EntryKind.CARD_REPLACED]
    return list(Entry.objects.of(cast.company).filter(kind__in=kinds).values_list("kind", flat=True))


def test_a_card_says_what_the_person_holds_today(cast: Cast) -> None:
    card = cast.carded(given_names="Guadalupe", family_names="Hernández Ortiz")
    assert card.name == "Guadalupe Hernández Ortiz"
    assert card.issuer == cast.company.name
    assert set(SCOPES) <= set(card.scopes)
    assert card.issued_on == cast.today
    assert card.expires_on == cast.days(-30 + 700)
    assert read(card.number).number == card.number


def test_a_card_is_one_register_entry_that_does_not_hold_the_secret(cast: Cast) -> None:
    card = cast.carded()
    assert cards_in_register(cast) == ["card_issued"]
    assert card.entry.data["card"] == card.number
    assert card.entry.person_id == card.person_id
    assert card.secret not in str(card.entry.data)


def test_the_secret_has_128_random_bits(cast: Cast) -> None:
    """OWASP ASVS 5.0, 11.5.1: at least 128 bits of entropy from a secure generator; 22 base64 characters hold 132."""
    secrets = {cast.carded().secret for _ in range(3)}
    assert len(secrets) == 3
    assert all(len(secret) == 22 for secret in secrets)


def test_asked_twice_a_card_is_issued_once(cast: Cast) -> None:
    person = cast.qualified()
    assert issue_card(by=cast.officer, person=person) == issue_card(by=cast.officer, person=person)
    assert cards_in_register(cast) == ["card_issued"]


def test_a_changed_record_takes_a_new_card_and_voids_the_old_one(cast: Cast) -> None:
    card = cast.carded()
    cast.decide(EntryKind.NARROWED, card.person, scopes=["eave:metal"])
    fresh = issue_card(by=cast.officer, person=card.person)
    card.refresh_from_db()
    assert fresh.number != card.number
    assert "eave:metal" not in fresh.scopes
    assert card.replaced_by == fresh
    assert cards_in_register(cast) == ["card_issued", "card_replaced"]


@pytest.mark.parametrize(("kind", "state"), [(EntryKind.SUSPENDED, "suspended"), (EntryKind.WITHDRAWN, "withdrawn")])
def test_no_card_while_suspended_or_withdrawn(cast: Cast, kind: EntryKind, state: str) -> None:
    person = cast.qualified()
    cast.decide(kind, person, scopes=[], reason="test")
    with pytest.raises(Refused) as refused:
        issue_card(by=cast.officer, person=person)
    assert key_of(refused) == f"card.state.{state}"
    assert not Card.objects.exists()


def test_no_card_before_the_decision(cast: Cast) -> None:
    person = cast.person()
    with pytest.raises(Refused, match=r"card\.state\.not_started"):
        issue_card(by=cast.officer, person=person)
    cast.prove(person, cast.days(-3))
    with pytest.raises(Refused, match=r"card\.state\.waiting_for_decision"):
        issue_card(by=cast.officer, person=person)


def test_no_card_once_the_qualification_has_run_out(cast: Cast) -> None:
    person = cast.qualified(since=-800)
    with pytest.raises(Refused, match=r"card\.state\.lapsed"):
        issue_card(by=cast.officer, person=person)


def test_no_card_for_someone_who_has_left(cast: Cast) -> None:
    person = cast.qualified()
    person.memberships.update(ends=cast.days(-1))
    with pytest.raises(Refused, match=r"card\.not_employed"):
        issue_card(by=cast.officer, person=person)


def test_only_an_officer_of_the_same_company_issues_and_replaces(cast: Cast) -> None:
    person, stranger = cast.qualified(), Cast()
    with pytest.raises(NotFound):
        issue_card(by=stranger.officer, person=person)
    with pytest.raises(NotAllowed):
        issue_card(by=applicator(person), person=person)
    card = issue_card(by=cast.officer, person=person)
    with pytest.raises(NotFound):
        replace_card(by=stranger.officer, card=card, reason="lost")
    with pytest.raises(NotAllowed):
        replace_card(by=applicator(person), card=card, reason="lost")
    with pytest.raises(NotFound):
        card_of(stranger.company, card.pk)


def test_a_replaced_card_is_void_and_the_reason_is_kept(cast: Cast) -> None:
    card = cast.carded()
    fresh = replace_card(by=cast.officer, card=card, reason="  lost \n on site ")
    assert fresh.entry.kind == EntryKind.CARD_REPLACED
    data = fresh.entry.data
    assert (data["old"], data["new"], data["reason"]) == (card.number, fresh.number, "lost on site")
    card.refresh_from_db()
    assert check(card, cast.today, "en").verdict.reason is Reason.REPLACED
    assert check(fresh, cast.today, "en").verdict.valid
    assert current_card_of(card.person) == fresh


def test_asked_twice_a_card_is_replaced_once(cast: Cast) -> None:
    card = cast.carded()
    fresh = replace_card(by=cast.officer, card=card, reason="lost")
    card.refresh_from_db()
    assert replace_card(by=cast.officer, card=card, reason="lost") == fresh
    assert Card.objects.count() == 2


def test_a_card_is_not_replaced_without_a_reason(cast: Cast) -> None:
    with pytest.raises(BadInput, match=r"card\.reason_missing"):
        replace_card(by=cast.officer, card=cast.carded(), reason="  ")


def test_the_database_allows_one_current_card_for_a_person(cast: Cast) -> None:
    card = cast.carded()
    with pytest.raises(IntegrityError), transaction.atomic():
        Card.objects.create(
            company=card.company,
            person=card.person,
            qualification=card.qualification,
            name=card.name,
            issuer=card.issuer,
            language="en",
            issued_on=card.issued_on,
            entry=card.entry,
        )


@pytest.mark.parametrize(
    ("kind", "reason"),
    [(EntryKind.SUSPENDED, Reason.SUSPENDED), (EntryKind.WITHDRAWN, Reason.WITHDRAWN)],
)
def test_a_stopped_holder_stops_the_card_at_once(cast: Cast, kind: EntryKind, reason: Reason) -> None:
    card = cast.carded()
    cast.decide(kind, card.person, scopes=[], reason="test")
    assert check(card, cast.today, "en").verdict.reason is reason


def test_a_restored_holder_has_the_card_back(cast: Cast) -> None:
    card = cast.carded()
    cast.decide(EntryKind.SUSPENDED, card.person, scopes=[], reason="test")
    cast.decide(EntryKind.RESTORED, card.person, scopes=[])
    assert check(card, cast.today, "en").verdict.valid


def test_a_scope_suspended_alone_is_named_as_not_valid(cast: Cast) -> None:
    card = cast.carded()
    cast.decide(EntryKind.SUSPENDED, card.person, scopes=["eave:metal"], reason="test")
    found = check(card, cast.today, "en")
    assert found.verdict.valid
    assert found.verdict.lost == ("eave:metal",)


def test_a_card_lapses_the_day_after_its_last_day(cast: Cast) -> None:
    card = cast.carded()
    assert check(card, card.expires_on, "en").verdict.valid
    assert check(card, card.expires_on + datetime.timedelta(days=1), "en").verdict.reason is Reason.LAPSED


def test_someone_who_has_left_has_no_valid_card(cast: Cast) -> None:
    card = cast.carded()
    card.person.memberships.update(ends=cast.days(-1))
    assert check(card, cast.today, "en").verdict.reason is Reason.NO_LONGER_EMPLOYED


def test_the_card_is_written_in_the_holders_language(cast: Cast) -> None:
    card = cast.carded(language="es")
    content = content_of(card)
    assert content.language == "es"
    assert content.qualification == cast.row.content["title"]["es"]


def test_the_code_leads_to_the_cards_own_secret(cast: Cast) -> None:
    card = cast.carded()
    assert check_link(card).endswith(f"/c/{card.secret}/")
    assert printable(card).symbol.text == check_link(card)


def test_misses_are_counted_by_address_and_old_ones_forgotten() -> None:
    now = moment()
    CheckMiss.objects.create(address="old", window=window_of(now) - datetime.timedelta(days=2), count=5)
    for _ in range(3):
        count_miss(address="192.0.2.7", now=now)
    row = CheckMiss.objects.get()
    assert row.count == 3 < MOST_MISSES
    assert "192.0.2.7" not in row.address
