"""Somebody else was faster: the row is gone, or is there already, when the button is pressed."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import IntegrityError

from tests.web.browsing import ask, undone
from tests.web.cast import World
from training.actions import access, handson, people
from training.domain.errors import BadInput
from training.models import Person, SignOff
from training.permissions import actor_for

pytestmark = pytest.mark.django_db


def test_a_checklist_thrown_away_meanwhile_is_a_refusal_and_no_crash(world: World, monkeypatch: Any) -> None:
    opened = world.ours.open_sign_off
    discard = handson.discard

    def twice(**given: Any) -> None:
        discard(**given)
        discard(**given)

    monkeypatch.setattr(handson, "discard", twice)
    answer = ask(world.ours.user("evaluator"), "post", f"/sign-off/{opened.pk}/discard/")
    assert answer.status_code == 409
    assert "look again" in answer.body.decode()
    assert SignOff.objects.filter(pk=opened.pk).exists()


def test_a_row_that_is_there_already_is_a_refusal_and_no_crash(world: World, monkeypatch: Any) -> None:
    def too_late(**_given: Any) -> None:
        raise IntegrityError

    monkeypatch.setattr(people, "create_crew", too_late)
    assert ask(world.ours.officer, "post", "/crews/", {"name": "Ridge"}).status_code == 409


def test_a_person_code_is_nobody_elses_sign_in_name(world: World) -> None:
    """A company that took another's code as a sign-in name would keep its owner from ever getting one."""
    newcomer = Person.objects.get(pk=world.ours.people["newcomer"].pk)
    stranger = actor_for(world.theirs.officer, now=newcomer.company.entries.latest("recorded_at").recorded_at)
    with undone():
        Person.objects.filter(pk=newcomer.pk).update(user=None)
        newcomer.user.delete()
        with pytest.raises(BadInput):
            access.add_officer(by=stranger, login=f" {newcomer.code} ", name="Thief of codes")
