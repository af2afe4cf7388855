"""The officer's people: list, one person's record, their ties, photo and sign-in."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.forms import BaseForm
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import permissions
from training.actions import access as access_actions
from training.actions import people as actions
from training.domain.errors import NotFound
from training.forms import people as forms
from training.models.people import Person, people_of, person_of
from training.models.register import entries_about
from training.requests import Request
from training.views.access import officer, signed_in
from training.views.helpers import run

PAGE = 50


@officer
@require_GET
def people(request: Request) -> HttpResponse:
    actor, text = request.actor, request.GET.get("q", "")[:80]
    found = people_of(actor.employer).with_ties().by_name()
    page = Paginator(found.matching(text) if text else found, PAGE).get_page(request.GET.get("page"))
    shown: Any
    for shown in page:
        shown.crew_today, shown.here_today = shown.crew_on(actor.today), shown.employed_on(actor.today)
    return render(request, "training/people/list.html", {"page": page, "q": text})


@officer
@require_http_methods(["GET", "POST"])
def person_new(request: Request) -> HttpResponse:
    actor = request.actor
    form = forms.NewPersonForm(request.POST or None, company=actor.employer, today=actor.today)
    if request.method == "POST" and form.is_valid():
        person = run(form, lambda: _add(request, form))
        if person is not None:
            messages.success(request, _("%(name)s is in the record.") % {"name": person})
            return redirect("training:person", person.pk)
    return render(request, "training/people/new.html", {"form": form})


def _add(request: Request, form: forms.NewPersonForm) -> Person:
    return actions.add_person_to_crew(
        by=request.actor,
        starts=form.cleaned_data["starts"],
        crew=form.cleaned_data["crew"],
        details=form.cleaned_data,
    )


@officer
@require_GET
def person(request: Request, pk: int) -> HttpResponse:
    return _page(request, person_of(request.actor.employer, pk))


def _page(request: Request, found: Person, *, status: int = 200, **filled: BaseForm) -> HttpResponse:
    """A person's record with the small forms beside it; `filled` are those that were sent and need mending."""
    actor = request.actor
    context = {
        "person": found,
        "crew": found.crew_on(actor.today),
        "here_today": found.employed_on(actor.today),
        "crew_form": forms.CrewMoveForm(company=actor.employer, initial={"starts": actor.today}),
        "end_form": forms.EndForm(initial={"ends": actor.today}),
        "start_form": forms.StartForm(initial={"starts": actor.today}),
        "photo_form": forms.PhotoForm(),
        "entries": entries_about(found)[:20],
        "here": reverse("training:person", args=[found.pk]),
    }
    return render(request, "training/people/person.html", context | filled, status=status)


@officer
@require_http_methods(["GET", "POST"])
def person_edit(request: Request, pk: int) -> HttpResponse:
    actor = request.actor
    found = person_of(actor.employer, pk)
    form = forms.PersonForm(request.POST or None, instance=found, company=actor.employer, today=actor.today)
    if request.method == "POST" and form.is_valid():
        fresh = person_of(actor.employer, pk)
        done = run(form, lambda: (actions.correct_person(by=actor, person=fresh, details=form.cleaned_data), True))
        if done:
            messages.success(request, _("Saved. The register keeps what was there before."))
            return redirect("training:person", pk)
    return render(request, "training/people/edit.html", {"form": form, "person": person_of(actor.employer, pk)})


def _one_form(
    request: Request, found: Person, name: str, form: BaseForm, act: Callable[[], object], done: str
) -> HttpResponse:
    """A small form on the person's page: do it and go back, or show the page with what was typed and what is wrong."""
    if form.is_valid() and run(form, act) is not None:
        messages.success(request, done)
        return redirect("training:person", found.pk)
    if found.employed_on(request.actor.today) == (name == "start_form"):  # this form no longer stands on the page
        for errors in form.errors.values():
            messages.error(request, " ".join(str(error) for error in errors))
    return _page(request, found, status=400, **{name: form})


@officer
@require_POST
def person_crew(request: Request, pk: int) -> HttpResponse:
    actor, found = request.actor, person_of(request.actor.employer, pk)
    form = forms.CrewMoveForm(request.POST, company=actor.employer)
    done = _("Moved. The crew before stays in the record with its dates.")
    return _one_form(
        request, found, "crew_form", form, lambda: actions.join_crew(by=actor, person=found, **form.cleaned_data), done
    )


@officer
@require_POST
def person_leave(request: Request, pk: int) -> HttpResponse:
    actor, found = request.actor, person_of(request.actor.employer, pk)
    form = forms.EndForm(request.POST)
    done = _("Employment ends on that day. The record stays.")
    return _one_form(
        request,
        found,
        "end_form",
        form,
        lambda: actions.end_membership(by=actor, person=found, **form.cleaned_data),
        done,
    )


@officer
@require_POST
def person_return(request: Request, pk: int) -> HttpResponse:
    actor, found = request.actor, person_of(request.actor.employer, pk)
    form = forms.StartForm(request.POST)
    done = _("Employed again. Earlier proofs count if they are still in date.")
    return _one_form(
        request,
        found,
        "start_form",
        form,
        lambda: actions.start_membership(by=actor, person=found, **form.cleaned_data),
        done,
    )


@officer
@require_POST
def person_photo_set(request: Request, pk: int) -> HttpResponse:
    actor, found = request.actor, person_of(request.actor.employer, pk)
    form = forms.PhotoForm(request.POST, request.FILES)
    done = _("Photo saved. New cards show it.")
    return _one_form(
        request,
        found,
        "photo_form",
        form,
        lambda: actions.set_photo(by=actor, person=found, picture=form.cleaned_data["photo"]),
        done,
    )


@officer
@require_POST
@never_cache
def person_access(request: Request, pk: int) -> HttpResponse:
    """A slip with the code and a fresh PIN, shown this once."""
    found = person_of(request.actor.employer, pk)
    slip = access_actions.give_access(by=request.actor, person=found)
    context = {
        "person": found,
        "slip": slip,
        "address": request.build_absolute_uri(reverse("training:sign_in")),
        "here": reverse("training:person", args=[pk]),
    }
    return render(request, "training/people/slip.html", context)


@signed_in
@require_GET
@cache_control(private=True, max_age=600)
def person_photo(request: Request, pk: int) -> FileResponse:
    """The photo, for the person and for the company's officers and evaluators."""
    found = person_of(request.actor.company, pk)
    permissions.check_sees_person(request.actor, found)
    if not found.photo:
        raise NotFound("access.not_found")
    response = FileResponse(found.photo.open("rb"), content_type="image/jpeg")
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return response
