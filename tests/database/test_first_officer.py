"""The first company of an empty installation: one officer, one sign-in, shown once."""

from __future__ import annotations

import io
import re
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from training.models import Company, Entry, User

ANSWERS = {"company": "Sandrell Roofing", "officer": "Ida Brenk", "sign_in": "Ida@Example.com", "place": "Ossing"}


@pytest.mark.django_db
def test_the_printed_sign_in_opens_the_officers_door_once_and_must_be_changed(client: Any) -> None:
    out = io.StringIO()
    call_command("first_officer", **ANSWERS, stdout=out)
    secret = re.search(r"One-time password: (\S+)", out.getvalue())[1]
    user = User.objects.get(login="ida@example.com")
    assert user.check_password(secret)
    assert user.must_change_secret
    assert secret not in user.password
    answer = client.post("/sign-in/", {"username": "ida@example.com", "password": secret})
    assert answer.status_code == 302
    assert user.appointments.get().company.name == "Sandrell Roofing"


@pytest.mark.django_db
def test_each_step_stands_in_the_register() -> None:
    call_command("first_officer", **ANSWERS, stdout=io.StringIO())
    assert list(Entry.objects.order_by("number").values_list("kind", flat=True)) == [
        "company_created",
        "access_given",
        "officer_appointed",
        "qualification_issued",
    ]


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["company", "officer", "sign_in"])
def test_a_missing_answer_is_told_and_nothing_is_made(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO())
    with pytest.raises(CommandError, match=f"Add it: --{name.replace('_', '-')}"):
        call_command("first_officer", **{**ANSWERS, name: " "}, stdout=io.StringIO())
    assert not Company.objects.exists()


@pytest.mark.django_db
def test_a_time_zone_that_is_none_is_told() -> None:
    with pytest.raises(CommandError, match="is no time zone"):
        call_command("first_officer", **ANSWERS, time_zone="Mars/Base", stdout=io.StringIO())
