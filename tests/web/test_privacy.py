"""What leaves the server: pages of people who are signed in are kept nowhere."""

from __future__ import annotations

import pytest

from tests.web.browsing import ask
from tests.web.cast import World
from tests.web.routes import ROUTES, Route
from training.models import User

pytestmark = pytest.mark.django_db

READERS = {"officer": "officer", "staff": "officer", "evaluator": "evaluator", "person": "holder"}
KEPT_SHORTLY = {"training:person_photo", "training:section_file"}


def reader(world: World, access: str) -> User:
    return world.ours.user(READERS.get(access, "holder"))


@pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
def test_no_page_of_somebody_signed_in_is_kept_by_a_browser_or_a_proxy(world: World, route: Route) -> None:
    answer = ask(reader(world, route.access), "get", route.path(world.ours))
    rule = answer["Cache-Control"]
    assert "private" in rule
    assert "no-store" in rule or (route.name in KEPT_SHORTLY and answer.status_code == 200)
