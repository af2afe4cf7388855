"""The officer's and the holder's card pages: issue, print, replace; nobody sees another company's cards."""

from __future__ import annotations

import pytest
from bs4 import BeautifulSoup
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from PIL import Image
from pytest_django import DjangoAssertNumQueries

from certificates.models import Card
from tests.cards import Cast
from tests.factories import applicator
from training.domain.register import EntryKind

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> Cast:
    return Cast()


@pytest.fixture
def office(client: Client, cast: Cast) -> Client:
    client.force_login(cast.officer.user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def sign_in(client: Client, card: Card) -> Client:
    client.force_login(applicator(card.person).user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def test_an_officer_issues_a_card_and_sees_it(office: Client, cast: Cast) -> None:
    person = cast.qualified(given_names="Ana", family_names="Li")
    assert b"Card for Ana Li" in office.get(reverse("certificates:cards")).content
    address = reverse("certificates:card_issue", args=[person.pk])
    assert office.get(address).status_code == 200
    card_page = office.post(address, follow=True)
    card = Card.objects.get(person=person)
    assert card_page.redirect_chain[-1][0] == reverse("certificates:card", args=[card.pk])
    assert card.shown in card_page.content.decode()
    assert len(BeautifulSoup(card_page.content, "html.parser").find_all("svg", class_="card-side")) == 2


def test_a_refusal_says_why_and_issues_nothing(office: Client, cast: Cast) -> None:
    address = reverse("certificates:card_issue", args=[cast.person().pk])
    assert "nothing has been done" in office.get(address).content.decode()
    refused = office.post(address)
    assert refused.status_code in {200, 409}
    assert not Card.objects.exists()


def test_a_double_click_issues_one_card(office: Client, cast: Cast) -> None:
    address = reverse("certificates:card_issue", args=[cast.qualified().pk])
    office.post(address)
    office.post(address)
    assert Card.objects.count() == 1


def test_an_officer_replaces_a_lost_card(office: Client, cast: Cast) -> None:
    card = cast.carded()
    address = reverse("certificates:card_replace", args=[card.pk])
    assert b"other" in office.get(address).content
    kept = office.post(address, {"why": "other", "note": ""})
    assert b"Say why the card is replaced." in kept.content
    office.post(address, {"why": "lost", "note": "left in the van"})
    fresh = Card.objects.get(replaced_on=None)
    assert fresh.entry.data["reason"] == "lost: left in the van"
    assert "Replaced on" in office.get(reverse("certificates:card", args=[card.pk])).content.decode()


def test_the_list_shows_who_is_valid_today_and_finds_by_name_and_number(office: Client, cast: Cast) -> None:
    good, bad = cast.carded(family_names="Zamora"), cast.carded(family_names="Ábrego")
    cast.decide(EntryKind.SUSPENDED, bad.person, scopes=[], reason="test")
    page = BeautifulSoup(office.get(reverse("certificates:cards")).content, "html.parser")
    rows = {row.find("th").get_text(strip=True): row.get_text(" ") for row in page.find("tbody").find_all("tr")}
    assert "valid today" in rows[good.name]
    assert "suspended" in rows[bad.name]
    for text in ("abrego", bad.shown.lower()):
        found = office.get(reverse("certificates:cards"), {"q": text}).content.decode()
        assert bad.shown in found
        assert good.shown not in found


def test_the_list_needs_the_same_queries_for_any_number_of_cards(
    office: Client, cast: Cast, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    def queries() -> int:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as caught:
            office.get(reverse("certificates:cards"))
        return len(caught)

    cast.carded()
    cast.qualified()
    few = queries()
    for _ in range(12):
        cast.carded()
        cast.qualified()
    assert queries() == few <= 16


def test_a_card_and_a_sheet_come_as_pdf(office: Client, cast: Cast) -> None:
    cards = [cast.carded() for _ in range(2)]
    one = office.get(reverse("certificates:card_pdf", args=[cards[0].pk]))
    sheet = office.get(reverse("certificates:cards_sheet"), {"card": [card.pk for card in cards]})
    for response in (one, sheet):
        assert response["Content-Type"] == "application/pdf"
        assert "no-store" in response["Cache-Control"]
        assert response.content.startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("query", "status"), [("", 400), ("card=x", 400), ("card=999999", 404), ("card=" + "9" * 30, 400)]
)
def test_a_sheet_of_nothing_or_of_strange_cards_is_refused(office: Client, query: str, status: int) -> None:
    assert office.get(f"{reverse('certificates:cards_sheet')}?{query}").status_code == status


def test_a_sheet_of_too_many_cards_is_refused(office: Client) -> None:
    chosen = "&".join(f"card={n}" for n in range(1, 100))
    assert office.get(f"{reverse('certificates:cards_sheet')}?{chosen}").status_code == 400


def test_the_holder_sees_and_prints_the_own_card(client: Client, cast: Cast) -> None:
    card = cast.carded()
    sign_in(client, card)
    assert card.shown in client.get(reverse("certificates:my_card")).content.decode()
    assert client.get(reverse("certificates:my_card_pdf")).content.startswith(b"%PDF-")
    assert client.get(reverse("certificates:card", args=[card.pk])).status_code == 403


def test_someone_without_a_card_is_told_how_to_get_one(client: Client, cast: Cast) -> None:
    person = cast.person()
    client.force_login(applicator(person).user, backend="django.contrib.auth.backends.ModelBackend")
    assert b"No card yet" in client.get(reverse("certificates:my_card")).content
    assert client.get(reverse("certificates:my_card_pdf")).status_code == 404


def test_another_companys_cards_and_people_do_not_exist(office: Client) -> None:
    stranger = Cast().carded()
    for name, pk in (
        ("card", stranger.pk),
        ("card_pdf", stranger.pk),
        ("card_replace", stranger.pk),
        ("card_issue", stranger.person.pk),
    ):
        assert office.get(reverse(f"certificates:{name}", args=[pk])).status_code == 404, name
        assert office.post(reverse(f"certificates:{name}", args=[pk])).status_code in {404, 405}, name
    assert office.get(reverse("certificates:cards_sheet"), {"card": stranger.pk}).status_code == 404
    assert stranger.shown not in office.get(reverse("certificates:cards")).content.decode()


def test_a_photo_is_shown_small_and_without_the_rest_of_its_file(office: Client, cast: Cast) -> None:
    import io

    card = cast.carded()
    out = io.BytesIO()
    Image.new("RGB", (480, 600), "#446688").save(out, "JPEG", comment=b"SECRETMARK")
    card.person.photo.save("face.jpg", ContentFile(out.getvalue()))
    page = office.get(reverse("certificates:check_card", args=[card.secret])).content.decode()
    assert 'src="data:image/jpeg;base64,' in page
    assert "Photo of" in page


def test_a_lost_photo_file_gives_initials(office: Client, cast: Cast) -> None:
    card = cast.carded()
    card.person.photo = "photos/gone.jpg"
    card.person.save()
    assert b"data:image" not in office.get(reverse("certificates:check_card", args=[card.secret])).content


def test_a_persons_page_shows_the_card_or_the_way_to_one(office: Client, cast: Cast) -> None:
    """The training package knows nothing of cards: its page asks the template tag of this package."""
    card, without = cast.carded(), cast.qualified()
    page = office.get(reverse("training:person", args=[card.person.pk])).content.decode()
    assert card.shown in page
    assert "valid today" in page
    page = office.get(reverse("training:person", args=[without.pk])).content.decode()
    assert reverse("certificates:card_issue", args=[without.pk]) in page
