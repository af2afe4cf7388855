"""The holder's own card on the phone and on paper."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from certificates.models import current_card_of
from certificates.views.cards import card_context, send_pdf
from training.domain.errors import NotFound
from training.requests import Request
from training.views.access import person


@person
@require_GET
@never_cache
def my_card(request: Request) -> HttpResponse:
    found = current_card_of(request.actor.me)
    context = card_context(request, found) if found else {}
    return render(request, "certificates/my_card.html", context)


@person
@require_GET
def my_card_pdf(request: Request) -> HttpResponse:
    found = current_card_of(request.actor.me)
    if found is None:
        raise NotFound("access.not_found")
    return send_pdf(found)
