"""Two error pages that Django would render without the request; the others are Django's own views on our templates."""

from __future__ import annotations

import logging

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

log = logging.getLogger(__name__)


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: the address or the form could not be read."""
    return render(request, "400.html", status=400)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: our fault. Falls back to one plain sentence when even the page fails, as it may without a database."""
    try:
        return render(request, "500.html", status=500)
    except Exception:
        log.exception("The page for errors failed too")
        words = _("Something broke on our side. Wait a minute and try again.")
        return HttpResponse(words, status=500, content_type="text/plain; charset=utf-8")
