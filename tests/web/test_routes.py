"""Every address times every role: who gets in, who is sent away and how; other companies' rows do not exist."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.urls import URLPattern, URLResolver, get_resolver

from tests.web.browsing import ask, browser
from tests.web.cast import World
from tests.web.routes import ARGUMENTS, ROUTES, Route
from training.models import User

pytestmark = pytest.mark.django_db

BY_NAME = {route.name: route for route in ROUTES}
WITH_ROWS = [route for route in ROUTES if route.arguments]
NOT_OURS = {"set_language"}  # Django's own view
each = pytest.mark.parametrize("route", ROUTES, ids=lambda route: route.name)
each_with_rows = pytest.mark.parametrize("route", WITH_ROWS, ids=lambda route: route.name)


def patterns(resolver: URLResolver | None = None, prefix: str = "") -> Iterator[tuple[str, URLPattern]]:
    """Every address of the project by its full name."""
    for found in (resolver or get_resolver()).url_patterns:
        if isinstance(found, URLResolver):
            yield from patterns(found, f"{found.namespace}:" if found.namespace else prefix)
        else:
            yield f"{prefix}{found.name}", found


def actor(world: World, route: Route, role: str) -> User | None:
    """Who asks, for a role of the table."""
    own = {"officer": "officer", "evaluator": "evaluator", "person": "holder", "staff": "officer"}
    match role:
        case "nobody":
            return None
        case "person":
            return world.ours.user(route.own)
        case "colleague":
            return world.ours.user("newcomer")
        case "stranger":
            return world.theirs.user(own.get(route.access, "officer"))
        case _:
            return world.ours.user(role)


def test_every_address_is_in_the_table_and_says_who_may_open_it() -> None:
    found = dict(patterns())
    assert set(found) == set(BY_NAME)
    for name, pattern in found.items():
        if name not in NOT_OURS:
            assert getattr(pattern.callback, "access", None) == BY_NAME[name].access, name


@each
@pytest.mark.parametrize("method", ["get", "post"])
def test_every_role_is_answered_as_the_table_says(world: World, route: Route, method: str) -> None:
    path = route.path(world.ours)
    found = {role: ask(actor(world, route, role), method, path) for role in route.expected(method)}
    assert {role: answer.status_code for role, answer in found.items()} == route.expected(method)
    for role, answer in found.items():
        if role == "nobody" and route.access != "public":
            assert answer["Location"].startswith("/sign-in/?next=/"), route.name
        if role == "stranger" and route.access != "public":
            assert world.ours.company.name.encode() not in answer.body
            assert world.ours.holder.full_name.encode() not in answer.body


@each_with_rows
def test_no_role_of_another_company_gets_at_a_row(world: World, route: Route) -> None:
    if route.access == "public":
        pytest.skip("the card's own page is for anybody")
    path = route.path(world.ours)
    for role in ("officer", "evaluator", "holder"):
        for method in ("get", "post"):
            assert ask(world.theirs.user(role), method, path).status_code in {403, 404, 405}, (role, method)


@each_with_rows
def test_absurd_ids_are_unknown_and_never_a_crash(world: World, route: Route) -> None:
    user = None if route.access == "public" else actor(world, route, "officer")
    if route.access in {"person", "evaluator"}:
        user = world.ours.user("evaluator" if route.access == "evaluator" else route.own)
    client = browser(user)
    for path in absurd_paths(route, world):
        for method in (client.get, client.post):
            assert method(path).status_code in ({404, 405} if "%" in path else {301, 404, 405}), path


def absurd_paths(route: Route, world: World) -> Iterator[str]:
    """The address with each of its ids put wrong, one at a time."""
    real = [str(part) for part in ARGUMENTS[route.arguments](world.ours)]
    pieces = route.path(world.ours).split("/")
    for place in (place for place, piece in enumerate(pieces) if piece in real):
        for absurd in ("0", str(10**18), str(10**30), "-1", "x", "%00", "ñ", "1%27%20OR%201=1", "a" * 300):
            yield "/".join([*pieces[:place], absurd, *pieces[place + 1 :]])


@each
def test_other_methods_are_refused(world: World, route: Route) -> None:
    if route.name in NOT_OURS:
        pytest.skip("Django's own view")
    user = actor(world, route, {"evaluator": "evaluator", "person": "person"}.get(route.access, "officer"))
    for method in ("put", "patch", "delete"):
        assert ask(user, method, route.path(world.ours)).status_code == 405, method
