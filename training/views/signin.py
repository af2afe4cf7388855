"""Signing in and out, and choosing one's own secret. Tries are counted by the throttle in the settings."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from training.actions.access import change_secret as change
from training.forms.signin import SecretForm, SignInForm
from training.requests import Request
from training.views.access import public, secret_page


def _next(request: Request) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    safe = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if safe else reverse("training:home")


@public
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@sensitive_post_parameters("password")
def sign_in(request: Request) -> HttpResponse:
    if request.user.is_authenticated and request.method == "GET":
        return redirect(_next(request))
    form = SignInForm(request, request.POST or None)
    if request.method == "POST" and form.is_valid() and form.user is not None:
        login(request, form.user)
        response = redirect(_next(request))
        if settings.LANGUAGE_COOKIE_NAME not in request.COOKIES:
            remember_language(response, form.user.language)
        return response
    return render(request, "training/signin/sign_in.html", {"form": form, "next": _next(request)})


def remember_language(response: HttpResponse, language: str) -> None:
    response.set_cookie(
        settings.LANGUAGE_COOKIE_NAME,
        language,
        max_age=settings.LANGUAGE_COOKIE_AGE,
        secure=settings.LANGUAGE_COOKIE_SECURE,
        httponly=settings.LANGUAGE_COOKIE_HTTPONLY,
        samesite=settings.LANGUAGE_COOKIE_SAMESITE,
    )


@public
@require_POST
def sign_out(request: Request) -> HttpResponse:
    logout(request)
    return redirect("training:sign_in")


@secret_page
@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@sensitive_post_parameters("secret", "again")
def change_secret(request: Request) -> HttpResponse:
    is_pin = request.actor.person is not None and not request.actor.is_officer
    form = SecretForm(request.actor.account, request.POST or None, is_pin=is_pin)
    if request.method == "POST" and form.is_valid():
        user = change(by=request.actor, secret=form.cleaned_data["secret"])
        update_session_auth_hash(request, user)
        messages.success(request, _("Saved. Use it the next time you sign in."))
        return redirect(_next(request))
    return render(
        request,
        "training/signin/change_secret.html",
        {"form": form, "is_pin": is_pin, "next": _next(request)},
    )
