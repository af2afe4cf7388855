"""Where unguessable codes come from: the system's random source, or a seeded one while a demo is made."""

from __future__ import annotations

import random
import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

T = TypeVar("T")
_seeded: ContextVar[random.Random | None] = ContextVar("seeded", default=None)


@contextmanager
def seeded(seed: str) -> Iterator[None]:
    """Inside, the same seed gives the same codes. Only for demos and tests: such codes can be guessed."""
    token = _seeded.set(random.Random(seed))
    try:
        yield
    finally:
        _seeded.reset(token)


def random_bytes(count: int) -> bytes:
    """That many unguessable bytes."""
    source = _seeded.get()
    return source.randbytes(count) if source else secrets.token_bytes(count)


def token_hex(count: int) -> str:
    """Unguessable text of 2 x `count` hexadecimal characters."""
    return random_bytes(count).hex()


def pick(options: Sequence[T]) -> T:
    """One of the options, each as likely as the others."""
    source = _seeded.get()
    return source.choice(options) if source else secrets.choice(options)
