"""Growing waits after failed sign-ins, counted for one name at one network address.

A name that fails a hundred times in a day, from wherever, leaves one free try to each address: a search from many
addresses ends (NIST SP 800-63B-4, 3.2.2, stops at a hundred), and whoever types the right secret still gets in.
"""

from __future__ import annotations

import ipaddress
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from django.http import HttpRequest, HttpResponse

FREE_TRIES = 5
MANY_FAILURES = 100
FREE_TRIES_THEN = 1
FIRST_WAIT = timedelta(minutes=1)
LONGEST_WAIT = timedelta(hours=4)
REMEMBER_FAILURES = timedelta(days=1)  # since the last failure; longer than LONGEST_WAIT, so that waits can grow


def wait_after(failures: int) -> timedelta:
    """The wait after that many failures in a row: none up to 4, then one minute, doubled each time, at most 4 hours."""
    if failures < FREE_TRIES:
        return timedelta(0)
    doublings = min(failures - FREE_TRIES, 20)
    return min(FIRST_WAIT * (1 << doublings), LONGEST_WAIT)


def failure_limit(request: HttpRequest, credentials: dict[str, Any] | None) -> int:
    """The number of failures at which this name and address are shut out now. One try is free after each wait."""
    failures, until = _failures_and_wait(request, credentials)
    free = _free_tries(request, credentials)
    if failures < free:
        return free
    return failures if request.axes_attempt_time < until else failures + 1  # type: ignore[attr-defined]


def subscriber(request: HttpRequest) -> str:
    """The visitor's address without what one subscriber can choose freely: the last 64 bits of IPv6 (RFC 6177)."""
    address = client_ip(request)
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(parsed, ipaddress.IPv4Address):
        return str(parsed)
    mapped = parsed.ipv4_mapped
    return str(mapped or ipaddress.ip_network((parsed, 64), strict=False).network_address)


def client_ip(request: HttpRequest) -> str:
    """The visitor's address, as the outermost of HEADLAP_PROXIES trusted proxies wrote it down."""
    from django.conf import settings

    direct = str(request.META.get("REMOTE_ADDR", ""))
    if not settings.PROXIES:
        return direct
    forwarded = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    return _address(forwarded[-settings.PROXIES]) if len(forwarded) >= settings.PROXIES else direct


def too_many_tries(
    request: HttpRequest, response: HttpResponse | None = None, credentials: dict[str, Any] | None = None
) -> HttpResponse:
    """The page that says how long to wait, as a 429 with Retry-After in seconds (RFC 6585 section 4)."""
    from django.shortcuts import render

    _failures, until = _failures_and_wait(request, credentials)
    seconds = max(1, round((until - request.axes_attempt_time).total_seconds()))  # type: ignore[attr-defined]
    page = render(request, "429.html", {"minutes": -(-seconds // 60)}, status=429)
    page["Retry-After"] = str(seconds)
    return page


def _failures_and_wait(request: HttpRequest, credentials: dict[str, Any] | None) -> tuple[int, datetime]:
    """Failures so far, and the moment when the next try is free. Looks at every device behind the same address."""
    from axes.handlers.proxy import AxesProxyHandler

    AxesProxyHandler.update_request(request)
    attempts = [
        attempt
        for group in AxesProxyHandler.get_implementation().get_user_attempts(request, credentials)
        for attempt in group
    ]
    failures = sum(attempt.failures_since_start for attempt in attempts)
    last = max((attempt.attempt_time for attempt in attempts), default=request.axes_attempt_time)  # type: ignore[attr-defined]
    used = failures + FREE_TRIES - _free_tries(request, credentials)
    return failures, last + wait_after(used if failures else 0)


def _free_tries(request: HttpRequest, credentials: dict[str, Any] | None) -> int:
    """How many failures at this address cost no wait: fewer for a name that fails all over the world."""
    from axes.helpers import get_client_username
    from axes.models import AccessAttempt
    from django.db.models import Sum

    since = request.axes_attempt_time - REMEMBER_FAILURES  # type: ignore[attr-defined]
    name = get_client_username(request, credentials)
    found = AccessAttempt.objects.filter(username=name, attempt_time__gt=since)
    everywhere = found.aggregate(total=Sum("failures_since_start"))["total"] or 0
    return FREE_TRIES if everywhere < MANY_FAILURES else FREE_TRIES_THEN


def _address(text: str) -> str:
    """An address without a port: 192.0.2.1:80 and [2001:db8::1]:80 lose theirs."""
    if text.startswith("["):
        return text[1:].partition("]")[0]
    return text.partition(":")[0] if text.count(":") == 1 else text
