"""The actor of each request, and the one place where the core's refusals become HTTP answers."""

from __future__ import annotations

import logging
import zoneinfo
from collections.abc import Callable
from typing import Any

from django.core.exceptions import ObjectDoesNotExist
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed
from django.shortcuts import render
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.functional import SimpleLazyObject
from django.utils.translation import get_language

from training.domain.errors import BadInput, HeadlapError, NotAllowed, NotFound, Refused
from training.domain.messages import Message
from training.permissions import Actor, actor_for
from training.texts import say

STATUS = {BadInput: 400, NotAllowed: 403, NotFound: 404, Refused: 409}
log = logging.getLogger(__name__)
Next = Callable[[HttpRequest], HttpResponse]


def _actor(request: HttpRequest) -> Actor:
    now, language = timezone.now(), (get_language() or "en").split("-")[0]
    if not request.user.is_authenticated:
        return Actor(now=now, language=language)
    return actor_for(request.user, now=now, language=language)


class ActorMiddleware:
    """Sets `request.actor` and the company's time zone for the request; what people see signed in is never kept."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: Any) -> HttpResponse:
        request.actor = SimpleLazyObject(lambda: _actor(request))
        with timezone.override(None):
            response = self.get_response(request)
        if request.user.is_authenticated and not response.has_header("Cache-Control"):
            # Phones and site computers are shared: after signing out, no page comes back.
            patch_cache_control(response, private=True, no_store=True)
        return response

    def process_view(self, request: Any, *_args: object) -> None:
        company = request.actor.company if request.user.is_authenticated else None
        if company is not None:
            timezone.activate(zoneinfo.ZoneInfo(company.timezone))


class ErrorMiddleware:
    """Turns a refusal that no form has caught into a page that says what to do.

    An act on a row that went, or came, since it was looked at is such a refusal: somebody else was faster.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if isinstance(response, HttpResponseNotAllowed):  # Django's own is an empty page
            page = render(request, "404.html", {"reason": say(Message("access.not_found"))}, status=405)
            page["Allow"] = response["Allow"]
            return page
        return response

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        if request.method == "POST" and isinstance(error, ObjectDoesNotExist | IntegrityError):
            log.warning("Two at once on %s", request.path, exc_info=error)
            error = Refused("access.meanwhile")
        if not isinstance(error, HeadlapError):
            return None
        status = next((code for kind, code in STATUS.items() if isinstance(error, kind)), 400)
        return render(request, f"{status}.html", {"reason": say(error.message)}, status=status)
