"""The public check: a scanned code or a typed number, the answer for today, and the least that may be told."""

from __future__ import annotations

import datetime
import zoneinfo
from collections.abc import Callable
from functools import wraps

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import get_language
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from certificates import facts, photos
from certificates.actions import address_key, count_miss
from certificates.domain.gate import MOST_MISSES, wait, window_of
from certificates.domain.verify import Reason, Show, mistyped, verdict
from certificates.forms import NumberForm
from certificates.models import Card, card_by_number, card_by_secret, misses_in
from certificates.texts import ADVICE, ANSWERS
from training.config.throttle import subscriber
from training.requests import Request
from training.views.access import public

View = Callable[..., HttpResponse]


def unlisted(view: View) -> View:
    """An answer for this reader at this moment: never kept, never found by a search engine."""

    @wraps(view)
    @never_cache
    def answered(request: Request, *args: object, **kwargs: object) -> HttpResponse:
        response = view(request, *args, **kwargs)
        response["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        return response

    return answered


@public
@require_safe
@unlisted
def check(request: Request) -> HttpResponse:
    """The form for a number, and the answer for a typed one."""
    form = NumberForm(request.GET if "number" in request.GET else None)
    if not form.is_bound:
        return _page(request, form=form)
    if not form.is_valid():
        if not form["number"].value().strip():
            return _page(request, form=form)
        return _answer(request, mistyped(timezone.now().date()).reason, form=form)
    if _stopped(request):
        return _wait(request)
    card = card_by_number(form.cleaned_data["number"])
    return _show(request, card) if card else _miss(request)


@public
@require_safe
@unlisted
def check_card(request: Request, secret: str) -> HttpResponse:
    """The address in a card's code. A good card is never made to wait, whoever else guesses at the same gate."""
    card = card_by_secret(secret)
    if card is not None:
        return _show(request, card)
    return _wait(request) if _stopped(request) else _miss(request)


def _show(request: Request, card: Card) -> HttpResponse:
    zone = zoneinfo.ZoneInfo(card.company.timezone)
    now = timezone.now()
    with timezone.override(zone):
        found = facts.check(card, now.astimezone(zone).date(), (get_language() or "en"))
        return _answer(
            request,
            found.verdict.reason,
            card=card,
            found=found,
            shows={show.value: True for show in found.verdict.shows},
            photo=photos.inline(card.person) if Show.SCOPES in found.verdict.shows else "",
            now=now,
            zone=f"{now.astimezone(zone):%Z}",
        )


def _miss(request: Request) -> HttpResponse:
    count_miss(address=subscriber(request), now=timezone.now())
    found = verdict(on=timezone.now().date(), card=None, standing=None)
    return _answer(request, found.reason, status=404)


def _answer(request: Request, reason: Reason | None, *, status: int = 200, **context: object) -> HttpResponse:
    tone = "yes" if reason is None else "due" if reason is Reason.MISTYPED else "no"
    words = {"tone": tone, "word": ANSWERS[tone], "advice": ADVICE[reason] if reason else None}
    context = {"form": NumberForm(), "reason": reason, "answered": True, **words, **context}
    return _page(request, status=status, **context)


def _page(request: Request, *, status: int = 200, **context: object) -> HttpResponse:
    return render(request, "certificates/check.html", context, status=status)


def _stopped(request: Request) -> bool:
    key = address_key(subscriber(request))
    return misses_in(key, window_of(timezone.now())) >= MOST_MISSES


def _wait(request: Request) -> HttpResponse:
    left: datetime.timedelta = wait(timezone.now())
    seconds = max(1, round(left.total_seconds()))
    page = render(request, "certificates/check_wait.html", {"minutes": -(-seconds // 60)}, status=429)
    page["Retry-After"] = str(seconds)
    return page
