"""Who decides: the company's safety officers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from training.actions import access, people
from training.forms.officers import EndAppointmentForm, OfficerForm
from training.models.people import appointment_of, appointments_of
from training.requests import Request
from training.views.access import officer
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
@never_cache
def officers(request: Request) -> HttpResponse:
    actor = request.actor
    form = OfficerForm(request.POST or None, initial={"language": actor.language})
    if request.method == "POST" and form.is_valid():
        given = run(form, lambda: access.add_officer(by=actor, **form.cleaned_data))
        if given is not None:
            address = request.build_absolute_uri(reverse("training:sign_in"))
            return render(request, "training/officers/slip.html", {"given": given, "address": address})
    rows = [(row, row.user_id != actor.account.pk and row.on(actor.today)) for row in appointments_of(actor.employer)]
    return render(request, "training/officers/list.html", {"form": form, "rows": rows})


@officer
@require_http_methods(["GET", "POST"])
def officer_end(request: Request, pk: int) -> HttpResponse:
    actor = request.actor
    row = appointment_of(actor.employer, pk)
    form = EndAppointmentForm(request.POST or None, initial={"ends": actor.today})
    if request.method == "POST" and form.is_valid():
        done = run(form, lambda: people.end_appointment(by=actor, appointment=row, ends=form.cleaned_data["ends"]))
        if done is not None:
            messages.success(request, _("The appointment ends on that day. Past decisions stay."))
            return redirect("training:officers")
    return render(request, "training/officers/end.html", {"form": form, "row": row})
