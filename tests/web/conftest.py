"""The world that web tests walk through: built once per module, and every test on top of it undone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import transaction

from tests.web.cast import World, build


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: Any) -> Iterator[World]:
    """Both companies. The rows go when the module is done; look rows up again before you rely on their state."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield build()
        transaction.set_rollback(True)
