"""The officer's crews."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training.actions import people as actions
from training.forms.people import CrewForm
from training.models.people import crews_of
from training.requests import Request
from training.views.access import officer
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
def crews(request: Request) -> HttpResponse:
    actor = request.actor
    form = CrewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        crew = run(form, lambda: actions.create_crew(by=actor, name=form.cleaned_data["name"].strip()))
        if crew is not None:
            messages.success(request, _("Crew %(name)s is made.") % {"name": crew.name})
            return redirect("training:crews")
    return render(
        request,
        "training/crews/list.html",
        {"form": form, "crews": crews_of(actor.employer).with_size(actor.today)},
    )
