"""The board narrowed to a scope says so, and says why somebody who may work may not do that work."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from tests.cards import Cast
from tests.web.test_check import words

pytestmark = pytest.mark.django_db


def test_a_board_for_one_scope_names_it_and_says_what_is_not_held(client: Client) -> None:
    cast = Cast()
    cast.qualified(given_names="Ada", family_names="Low", scopes=["profile:low"])
    client.force_login(cast.officer.user, backend="django.contrib.auth.backends.ModelBackend")
    text = words(client.get(reverse("training:board"), {"scope": "profile:high"}).content)
    assert "High profile (S-shaped) tile · 0 may, 2 may not." in text
    assert "May work, but not in this: High profile. Show hands-on: High profile." in text
    assert "High profile (S-shaped) tile ·" not in words(client.get(reverse("training:board")).content)


def test_somebody_like_a_person_in_the_record_is_only_added_when_said_to_be_another(client: Client) -> None:
    cast = Cast()
    cast.person(given_names="Luis Alberto", family_names="Méndez Chocón", phone="+13055550110")
    client.force_login(cast.officer.user, backend="django.contrib.auth.backends.ModelBackend")
    typed = {"given_names": "Luis", "family_names": "Mendez Chocon", "language": "es", "phone": "305 555 0110"}
    typed |= {"starts": "2026-03-02"}
    asked = client.post(reverse("training:person_new"), typed)
    text = words(asked.content)
    assert asked.status_code == 200
    assert "Luis Alberto Méndez Chocón : part of the same name, same telephone" in text
    assert client.post(reverse("training:person_new"), typed | {"another": "on"}).status_code == 302
