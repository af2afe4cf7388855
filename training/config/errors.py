"""Error pages. Each says what happened and what to do next; the last one needs nothing that could fail again."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import TemplateDoesNotExist, TemplateSyntaxError
from django.utils.translation import gettext as _


def bad_request(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400: the address or the form could not be read."""
    return render(request, "errors/400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403: a known person without the right."""
    return render(request, "errors/403.html", status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404: nothing here, or nothing that this person may know of."""
    return render(request, "errors/404.html", status=404)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: the form is too old or cookies are off."""
    return render(request, "errors/csrf.html", status=403)


def server_error(request: HttpRequest) -> HttpResponse:
    """500: our fault. Falls back to one plain sentence when even the page fails."""
    try:
        return render(request, "errors/500.html", status=500)
    except (TemplateDoesNotExist, TemplateSyntaxError, AttributeError, LookupError):
        return HttpResponse(_("Something broke here. Nothing was saved. Please try again."), status=500)
