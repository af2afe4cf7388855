"""The public check: a plain answer for today, the least that may be told, and no way to search for cards."""

from __future__ import annotations

import datetime
import re

import pytest
from bs4 import BeautifulSoup
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoAssertNumQueries

from certificates.actions import replace_card
from certificates.domain.gate import MOST_MISSES, WINDOW
from certificates.domain.number import check_characters, shown
from certificates.models import Card, CheckMiss
from tests.cards import Cast
from training.domain.register import EntryKind

pytestmark = pytest.mark.django_db

UNKNOWN = "01234567" + check_characters("01234567")


@pytest.fixture
def cast() -> Cast:
    return Cast(name="Tolvane Roofing", phone="+13055550142")


@pytest.fixture
def card(cast: Cast) -> Card:
    return cast.carded(given_names="Guadalupe", family_names="Hernández Ortiz")


def scan(client: Client, card: Card, language: str = "en") -> str:
    response = client.get(reverse("certificates:check_card", args=[card.secret]), headers={"accept-language": language})
    return words(response.content)


def typed(client: Client, number: str, **extra: str):
    return client.get(reverse("certificates:check"), {"number": number}, **extra)


def words(html: bytes) -> str:
    page = BeautifulSoup(html, "html.parser").find("main")
    return re.sub(r"\s+", " ", page.get_text(" ")).strip()


def verdict_of(text: str) -> str:
    return "no" if text.startswith("Not valid") else "mistyped" if text.startswith("Mistyped") else text.split()[0]


def test_a_scanned_card_says_valid_today_with_all_a_gate_needs(client: Client, card: Card) -> None:
    text = scan(client, card)
    assert text.startswith("Valid today, ")
    for part in (
        "Guadalupe Hernández Ortiz",
        "GH",
        card.shown,
        "Tolvane Roofing",
        "Metal eave closure",
        "Confirmed at",
    ):
        assert part in text
    assert "Record last changed" in text
    assert "employer’s record. It is not a government licence" in text


def test_a_typed_number_gives_the_same_answer_as_the_code(client: Client, card: Card) -> None:
    sloppy = card.shown.lower().replace("-", " ").replace("0", "o").replace("1", "l")
    strip = re.compile(r"Confirmed at .*? Record")
    assert strip.sub("", words(typed(client, sloppy).content)) == strip.sub("", scan(client, card))


def test_the_answer_is_in_the_readers_language(client: Client, card: Card) -> None:
    response = client.get(reverse("certificates:check"), headers={"accept-language": "es-MX,es;q=0.9"})
    assert b'<html lang="es"' in response.content


def test_a_call_button_calls_the_employer(client: Client, card: Card) -> None:
    response = client.get(reverse("certificates:check_card", args=[card.secret]))
    assert b'href="tel:+13055550142"' in response.content


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        (EntryKind.SUSPENDED, "This card is suspended."),
        (EntryKind.WITHDRAWN, "This card was withdrawn."),
    ],
)
def test_a_stopped_card_says_so_at_once_and_gives_no_reason_and_no_name(
    client: Client, cast: Cast, card: Card, kind: EntryKind, sentence: str
) -> None:
    cast.decide(kind, card.person, scopes=[], reason="Quarrel about foam")
    text = scan(client, card)
    assert text.startswith("Not valid")
    assert sentence in text
    for secret in ("Quarrel", "Guadalupe", "GH", "Metal eave", "Record last changed"):
        assert secret not in text


def test_a_replaced_card_says_so(client: Client, cast: Cast, card: Card) -> None:
    fresh = replace_card(by=cast.officer, card=card, reason="lost")
    text = scan(client, card)
    assert text.startswith("Not valid This card was replaced")
    assert fresh.shown not in text
    assert scan(client, fresh).startswith("Valid today")


def test_a_lapsed_card_says_so(client: Client, cast: Cast) -> None:
    card = cast.carded()
    Card.objects.filter(pk=card.pk).update(issued_on=cast.days(-40), expires_on=cast.days(-1))
    text = scan(client, card)
    assert text.startswith("Not valid This card has run out.")
    assert "Metal eave" not in text


def test_a_scope_taken_away_is_shown_as_printed_but_not_valid(client: Client, cast: Cast, card: Card) -> None:
    cast.decide(EntryKind.SUSPENDED, card.person, scopes=["eave:metal"], reason="test")
    text = scan(client, card)
    assert re.search(r"May do today .*Printed on the card, but not valid today Metal eave closure", text)


def test_a_scope_that_another_one_includes_is_named_too(client: Client, cast: Cast) -> None:
    card = cast.carded(scopes=["profile:medium", "slope:s2", "eave:metal"])
    text = scan(client, card)
    for scope in ("Low profile (flat) tile", "Slope from 2.5:12 to less than 4:12", "Slope from 4:12 to 6:12"):
        assert scope in text


def test_an_unknown_number_and_an_unknown_code_say_there_is_no_such_card(client: Client, card: Card) -> None:
    by_number = typed(client, UNKNOWN)
    by_code = client.get(reverse("certificates:check_card", args=["A" * 22]))
    assert by_number.status_code == by_code.status_code == 404
    assert "There is no such card." in words(by_number.content)
    assert words(by_number.content) == words(by_code.content)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("K7QM", "You typed 4."),
        ("0123U56799", "“U” is in no card number."),
        ("0123456700", "This number is mistyped."),
        ("<script>alert(1)</script>", "is in no card number."),
        ("9" * 41, "at most 40"),
        ("\x00", ""),
    ],
)
def test_a_mistyped_number_is_told_from_an_unknown_one_and_kept(client: Client, text: str, sentence: str) -> None:
    response = typed(client, text)
    assert response.status_code == 200
    said = words(response.content)
    assert said.startswith("Mistyped")
    assert sentence in said
    kept = BeautifulSoup(response.content, "html.parser").find(id="id_number")["value"]
    assert kept == text.replace("\x00", "\ufffd") or "\x00" in text
    assert not CheckMiss.objects.exists()


def test_an_empty_number_is_asked_for_and_not_called_mistyped(client: Client) -> None:
    said = words(typed(client, " ").content)
    assert said.startswith("Check a card")
    assert "Type the number" in said


def test_an_answer_is_never_kept_indexed_or_sent_on(client: Client, card: Card) -> None:
    for response in (
        client.get(reverse("certificates:check_card", args=[card.secret])),
        typed(client, card.number),
        client.get(reverse("certificates:check")),
    ):
        assert "no-store" in response["Cache-Control"]
        assert "noindex" in response["X-Robots-Tag"]
        assert response["Referrer-Policy"] == "same-origin"
        assert b'name="robots" content="noindex' in response.content
        assert not response.cookies.get("sessionid")


def test_the_page_fetches_nothing_from_elsewhere_and_needs_no_script(client: Client, card: Card) -> None:
    page = BeautifulSoup(client.get(reverse("certificates:check_card", args=[card.secret])).content, "html.parser")
    links = [tag.get("src") or tag.get("href") for tag in page.find_all(["img", "script", "link", "a"])]
    assert all(link.startswith(("/", "data:", "tel:", "#")) for link in links if link)
    assert page.find("form", action=reverse("certificates:check"))["method"] == "get"


def test_a_check_needs_the_same_few_queries_whatever_the_history(
    client: Client, cast: Cast, card: Card, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for _ in range(30):
        cast.decide(EntryKind.SUSPENDED, card.person, scopes=[], reason="test")
        cast.decide(EntryKind.RESTORED, card.person, scopes=[])
    with django_assert_num_queries(4):
        scan(client, card)
    with django_assert_num_queries(5):
        typed(client, card.number)


def test_guessing_stops_with_a_plain_429(client: Client, card: Card) -> None:
    """RFC 6585 section 4: 429 Too Many Requests, with Retry-After."""
    for _ in range(MOST_MISSES):
        assert typed(client, UNKNOWN).status_code == 404
    stopped = typed(client, UNKNOWN)
    assert stopped.status_code == 429
    assert 1 <= int(stopped["Retry-After"]) <= WINDOW.total_seconds()
    # Once stopped, a right guess is not told from a wrong one.
    assert words(typed(client, card.number).content) == words(stopped.content)


def test_a_crew_of_200_with_good_cards_is_never_stopped_even_beside_a_guesser(client: Client, card: Card) -> None:
    assert all(typed(client, card.number).status_code == 200 for _ in range(100))
    for _ in range(MOST_MISSES + 1):
        client.get(reverse("certificates:check_card", args=["B" * 22]))
    assert all(scan(client, card).startswith("Valid") for _ in range(100))


def test_misses_count_for_one_address_and_one_stretch_of_time(client: Client) -> None:
    for _ in range(MOST_MISSES):
        typed(client, UNKNOWN, REMOTE_ADDR="198.51.100.7")
    assert typed(client, UNKNOWN, REMOTE_ADDR="198.51.100.7").status_code == 429
    assert typed(client, UNKNOWN, REMOTE_ADDR="198.51.100.8").status_code == 404
    CheckMiss.objects.update(window=timezone.now() - 2 * WINDOW)
    assert typed(client, UNKNOWN, REMOTE_ADDR="198.51.100.7").status_code == 404


def test_one_ipv6_subscriber_is_one_guesser(client: Client) -> None:
    """RFC 6177: a site holds at least a /64, so its addresses count together."""
    for host in range(MOST_MISSES):
        typed(client, UNKNOWN, REMOTE_ADDR=f"2001:db8::{host:x}")
    assert typed(client, UNKNOWN, REMOTE_ADDR="2001:db8::ffff").status_code == 429
    assert typed(client, UNKNOWN, REMOTE_ADDR="2001:db8:1::1").status_code == 404


def test_the_day_is_the_companys_own(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """23:30 in Honolulu is already the next day in UTC: a card's last day lasts until midnight where its company is."""
    cast = Cast(timezone="Pacific/Honolulu")
    card = cast.carded()
    Card.objects.filter(pk=card.pk).update(expires_on=cast.today)
    late = datetime.datetime.combine(cast.days(1), datetime.time(9, 30), tzinfo=datetime.UTC)
    monkeypatch.setattr(timezone, "now", lambda: late)
    assert scan(client, card).startswith("Valid today")
    monkeypatch.setattr(timezone, "now", lambda: late + datetime.timedelta(hours=1))
    assert scan(client, card).startswith("Not valid")


def test_numbers_shown_on_the_page_can_be_typed_back(client: Client, card: Card) -> None:
    assert shown(card.number) in scan(client, card)
    assert typed(client, shown(card.number)).status_code == 200
