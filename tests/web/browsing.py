"""Browsers for the web tests: signed in as somebody, each answer taken back as if it had never been asked for."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from django.db import transaction
from django.test import Client

from training.models import User

BACKEND = "django.contrib.auth.backends.ModelBackend"


def browser(user: User | None = None, **options: Any) -> Client:
    """A browser of somebody signed in, or of anybody."""
    client = Client(**options)
    if user is not None:
        client.force_login(user, backend=BACKEND)
    return client


@contextmanager
def undone() -> Iterator[None]:
    """Whatever is done inside leaves no trace."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def ask(user: User | None, method: str, path: str, data: Mapping[str, Any] | None = None) -> Any:
    """The answer to one request by somebody; nothing of it stays. A crash in the view is raised here."""
    with undone():
        return whole(getattr(browser(user), method)(path, data or {}))


def whole(answer: Any) -> Any:
    """The answer with all its bytes in `body`; a file behind it is closed by reading it to its end."""
    answer.body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return answer
