"""Lists stay as cheap at 1,000 people as at 10: the same number of queries, and pages that a phone can load."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.web import crowd
from tests.web.browsing import browser, undone
from tests.web.cast import World

pytestmark = pytest.mark.django_db

FEW, MANY = 10, 1000
LARGEST_PAGE = 300_000
MOST_QUERIES = 20

LISTS = {
    "/board/": "officer",
    "/board/export/": "officer",
    "/people/": "officer",
    "/people/?q=nunez": "officer",
    "/crews/": "officer",
    "/imports/": "officer",
    "/evaluators/": "officer",
    "/evaluate/": "evaluator",
    "/documents/": "officer",
    "/documents/yard-rules/1/readers/": "officer",
    "/documents/yard-rules/1/readers/?show=unread": "officer",
    "/register/": "officer",
    "/register/?kind=granted": "officer",
    "/cards/": "officer",
    "/cards/?show=all": "officer",
    "/rule-book/": "officer",
}


@dataclass(frozen=True)
class Cost:
    """What one page takes."""

    queries: int
    size: int
    seconds: float


def costs_with(world: World, people: int) -> dict[str, Cost]:
    """What every list takes with so many people more."""
    with undone():
        crowd.add(world.ours, people)
        clients = {role: browser(world.ours.user(role)) for role in ("officer", "evaluator")}
        return {path: cost_of(clients[role], path) for path, role in LISTS.items()}


def cost_of(client: Client, path: str) -> Cost:
    client.get("/style/")  # what is kept between requests is there from here on
    started = time.perf_counter()
    with CaptureQueriesContext(connection) as caught:
        answer = client.get(path)
    assert answer.status_code == 200
    return Cost(len(caught), len(answer.content), time.perf_counter() - started)


@pytest.fixture(scope="module")
def costs(world: World, django_db_blocker: Any) -> dict[str, tuple[Cost, Cost]]:
    with django_db_blocker.unblock():
        few, many = costs_with(world, FEW), costs_with(world, MANY)
    return {path: (few[path], many[path]) for path in LISTS}


@pytest.mark.parametrize("path", LISTS)
def test_a_list_costs_the_same_queries_at_10_and_at_1000_people(
    costs: dict[str, tuple[Cost, Cost]], path: str, record_property: Callable[[str, object], None]
) -> None:
    few, many = costs[path]
    told = f"{many.queries} queries, {many.size // 1000} kB, {many.seconds:.2f} s at {MANY} people"
    record_property("cost", f"{path}: {few.queries} queries at {FEW} people, {told}")
    assert few.queries == many.queries <= MOST_QUERIES
    assert many.size < LARGEST_PAGE
