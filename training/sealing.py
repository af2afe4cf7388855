"""The seal on every page: only an installation that has the secret key can write one.

The chain of hashes shows what was changed; whoever can write to the database can also reckon a new chain. They cannot
seal it: the key stands in the settings, not in the database.
"""

from __future__ import annotations

import hmac

from django.conf import settings
from django.utils.crypto import salted_hmac

SALT = "training.register"


def seal(page_hash: str, key: str | None = None) -> str:
    """HMAC-SHA-256 (RFC 2104) in hex over a page's hash, which covers all that the page says."""
    return salted_hmac(SALT, page_hash, secret=key, algorithm="sha256").hexdigest()


def is_sealed(page_hash: str, found: str) -> bool:
    """Whether this installation wrote the page, with its present key or with one that it had before."""
    keys = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return any(hmac.compare_digest(seal(page_hash, key), found) for key in keys)
