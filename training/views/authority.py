"""The officer's evaluators: who may sign off what, and until when."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from training import facts
from training.actions import authority as actions
from training.forms.authority import AuthorityForm, EndAuthorityForm
from training.models.people import authorities_of, authority_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.views.access import officer
from training.views.helpers import run

PAGE = 50


@officer
@require_http_methods(["GET", "POST"])
def authorities(request: Request) -> HttpResponse:
    actor = request.actor
    book = facts.qualification(qualification_in_force(actor.employer, actor.today)).scopes
    form = AuthorityForm(
        request.POST or None, company=actor.employer, today=actor.today, book=book, initial={"starts": actor.today}
    )
    if request.method == "POST" and form.is_valid():
        done = run(form, lambda: actions.grant_authority(by=actor, **form.cleaned_data))
        if done is not None:
            messages.success(request, _("Authority given. It is in the register."))
            return redirect("training:authorities")
    page: Page[Any] = Paginator(authorities_of(actor.employer), PAGE).get_page(request.GET.get("page"))
    for row in page:
        row.words, row.counts_today = book.words(book.shortest(row.scopes)), row.holds(actor.today)
    return render(request, "training/authorities/list.html", {"form": form, "page": page})


@officer
@require_http_methods(["GET", "POST"])
def authority_end(request: Request, pk: int) -> HttpResponse:
    actor = request.actor
    row = authority_of(actor.employer, pk)
    form = EndAuthorityForm(request.POST or None, initial={"ends": actor.today})
    if request.method == "POST" and form.is_valid():
        done = run(form, lambda: actions.end_authority(by=actor, authority=row, **form.cleaned_data))
        if done is not None:
            messages.success(request, _("Authority ended. What was signed before stays signed."))
            return redirect("training:authorities")
    return render(request, "training/authorities/end.html", {"form": form, "row": row})
