"""Nothing that anybody types, uploads or imports becomes markup: every text of the record bent, every page read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, models, transaction

from tests.web.browsing import ask
from tests.web.cast import World
from tests.web.routes import ROUTES
from training import facts
from training.models import CrewImport, Entry, QualificationRevision, RuleBookRevision, triggers

pytestmark = pytest.mark.django_db

MARKUP = "\"'><img src=x onerror=alert(1)>"
MACHINE = {
    "User": {"login", "password", "language"},
    "Person": {"language", "code", "photo"},
    "Entry": {"kind", "previous", "hash", "seal", "language"},
    "Company": {"timezone", "language", "region"},
    "SignOff": {"language", "result", "scopes"},
    "Observation": {"item", "kept"},
    "Section": {"key", "picture", "file_en", "file_es"},
    "Document": {"slug"},
    "RuleBook": {"slug"},
    "RuleBookRevision": {"editors", "confirmed"},
    "QualificationRevision": {"key"},
    "Authority": {"scopes"},
    "Card": {"number", "secret", "scopes", "language"},
    "CrewImport": {"columns", "choices"},
    "Crew": set(),
}
"""Tables with texts that people write, and in each the columns that only machines do."""


def bent(value: Any) -> Any:
    """Every sentence in both languages begins with markup."""
    if isinstance(value, dict):
        both = value.keys() == {"en", "es"}
        return {name: MARKUP + text if both else bent(text) for name, text in value.items()}
    return [bent(one) for one in value] if isinstance(value, list) else value


def bent_cells(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: bent_cells(one) for name, one in value.items()}
    if isinstance(value, list):
        return [bent_cells(one) for one in value]
    return MARKUP if isinstance(value, str) else value


def bent_json(row: models.Model, value: Any) -> Any:
    if isinstance(row, Entry):
        free = ("name", "reason", "place", "weather", "lot", "basis", "file")
        words = {name: MARKUP for name in free if isinstance(value.get(name), str)}
        return {**value, **words, "more": MARKUP, "list": [MARKUP], "inner": {MARKUP: MARKUP}}
    if isinstance(row, CrewImport):
        return bent_cells(value)
    return bent(value) if isinstance(row, QualificationRevision | RuleBookRevision) else value


def bend(row: models.Model) -> None:
    for column in row._meta.concrete_fields:
        if column.name in MACHINE[type(row).__name__]:
            continue
        if isinstance(column, models.JSONField):
            setattr(row, column.name, bent_json(row, getattr(row, column.name)))
        elif isinstance(column, models.CharField | models.TextField) and not column.unique:
            setattr(row, column.name, MARKUP[: column.max_length])
    row.save()


@pytest.fixture
def bent_world(world: World) -> Iterator[World]:
    """The whole record with markup in every text; the caches forget it again."""
    caches = (facts._parsed_book, facts._parsed_qualification)
    with transaction.atomic():
        triggers.remove(connection)
        for model in apps.get_models():
            for row in model._default_manager.all() if model.__name__ in MACHINE else ():
                bend(row)
        for cache in caches:
            cache.cache_clear()
        yield world
        transaction.set_rollback(True)
    for cache in caches:
        cache.cache_clear()


def test_no_text_of_the_record_becomes_markup_on_any_page(bent_world: World) -> None:
    escaped = 0
    for role in (None, "officer", "evaluator", "holder", "learner"):
        user = bent_world.ours.user(role) if role else None
        for route in ROUTES:
            answer = ask(user, "get", route.path(bent_world.ours))
            assert answer.status_code < 500, (route.name, role)
            if answer["Content-Type"].startswith("text/html"):
                page = answer.body.decode()
                assert "<img src=x" not in page, (route.name, role)
                escaped += "&lt;img src=x" in page
    assert escaped > 60
