"""A form that was sent after the session had ended: what was typed is kept, and sent again by one touch."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from training.requests import Request

KEY = "kept_form"
MOST = 20_000
"""Characters. Whoever is not signed in may not fill the table of sessions."""
SECRETS = frozenset({"password", "secret", "again"})

Kept = dict[str, Any]


def came_from(request: Request) -> str:
    """The page whose form was sent, when it is one of ours; else the first page."""
    page, here = request.headers.get("Referer", ""), request.build_absolute_uri("/")
    return page.removeprefix(here.rstrip("/")) if page.startswith(here) else reverse("training:home")


def typed(request: Request) -> Kept | None:
    """What was sent, where to, and from which page; nothing when it holds files, a secret or very much."""
    fields = [(name, value) for name, values in request.POST.lists() for value in values]
    fields = [(name, value) for name, value in fields if name != "csrfmiddlewaretoken"]
    secret = SECRETS.intersection(name for name, _ in fields)
    if request.method != "POST" or request.FILES or secret or sum(map(len, sum(fields, ()))) > MOST:
        return None
    return {"to": request.get_full_path(), "at": came_from(request), "fields": fields}


def keep(request: Request) -> None:
    """Beside the session, until the page it came from opens again."""
    if found := typed(request):
        request.session[KEY] = found


def waiting(request: Request) -> HttpResponse | None:
    """The page that sends it again, once, where the form stood."""
    found = request.session.get(KEY) if request.method == "GET" else None
    if not found or found["at"] != request.get_full_path():
        return None
    del request.session[KEY]
    return render(request, "training/signin/send_again.html", {"kept": found})


def csrf_failure(request: Request, reason: str = "") -> HttpResponse:
    """The form's token ran out. A form of our own pages (the browser says so) may be sent again as it was."""
    ours = request.headers.get("Origin") == request.build_absolute_uri("/").rstrip("/")
    found = typed(request) if ours else None
    if found and request.htmx:
        keep(request)
        return HttpResponseClientRedirect(found["at"])
    template = "training/signin/send_again.html" if found else "403_csrf.html"
    return render(request, template, {"kept": found}, status=403)
