"""Every view says who may open it; a view without such a word fails the route test."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.http.response import HttpResponseBase
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect

from training import permissions
from training.permissions import Actor
from training.requests import Request
from training.views import kept

View = Callable[..., HttpResponseBase]


def _guard(role: str, check: Callable[[Actor], None] | None, *, secret_page: bool = False) -> Callable[[View], View]:
    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: Request, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if check is None:
                return view(request, *args, **kwargs)
            if not request.user.is_authenticated:
                if not secret_page:
                    kept.keep(request)
                return _to_sign_in(request)
            if request.user.must_change_secret and not secret_page:
                return redirect_to_login(_back(request), reverse("training:change_secret"))
            check(request.actor)
            return kept.waiting(request) or view(request, *args, **kwargs)

        guarded.access = role  # type: ignore[attr-defined]
        return guarded

    return decorate


def _back(request: Request) -> str:
    """Where to go on after signing in: the page asked for, or the page whose form was sent."""
    return request.get_full_path() if request.method in ("GET", "HEAD") else kept.came_from(request)


def _to_sign_in(request: Request) -> HttpResponseBase:
    """To the sign-in page; a part of a page that htmx asked for must not take that page in, so all of it goes."""
    answer = redirect_to_login(_back(request), reverse("training:sign_in"))
    return HttpResponseClientRedirect(answer.url) if request.htmx else answer


def _anyone_signed_in(actor: Actor) -> None:
    """Signing in is all that is asked."""


def _staff(actor: Actor) -> None:
    if not actor.is_officer:
        permissions.check_evaluator(actor)


public = _guard("public", None)
signed_in = _guard("signed_in", _anyone_signed_in)
secret_page = _guard("signed_in", _anyone_signed_in, secret_page=True)
officer = _guard("officer", permissions.check_officer)
evaluator = _guard("evaluator", permissions.check_evaluator)
staff = _guard("staff", _staff)
person = _guard("person", permissions.check_person)
