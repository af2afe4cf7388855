"""The pocket sheet: the day's limits on one printed page, for everybody in the company."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from training import facts
from training.domain.pocket import pocket_sheet
from training.models.rules import rule_book_in_force
from training.requests import Request
from training.views.access import signed_in


@signed_in
@require_GET
def pocket(request: Request) -> HttpResponse:
    """The limits of the rule book in force today, English and Spanish side by side."""
    revision = rule_book_in_force(request.actor.employer, request.actor.today)
    context = {"revision": revision, "chapters": pocket_sheet(facts.rule_book(revision)), "today": request.actor.today}
    return render(request, "training/rule_book/pocket.html", context)
