"""The officer reads the register: everything that happened, newest first, page by page."""

from __future__ import annotations

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from training.kinds import KIND_WORDS
from training.models.people import Person, person_of
from training.models.register import entries_of, entry_of, pages_of
from training.requests import Request
from training.views.access import officer

PAGE = 50


@officer
@require_GET
def register(request: Request) -> HttpResponse:
    company = request.actor.employer
    kind, person = request.GET.get("kind", ""), _person(request)
    found = entries_of(company)
    if kind in KIND_WORDS:
        found = found.filter(kind=kind)
    if person:
        found = found.filter(person=person)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    query = f"kind={kind if kind in KIND_WORDS else ''}&person={person.pk if person else ''}&"
    context = {"page": page, "entries": page, "kinds": KIND_WORDS, "kind": kind, "person": person, "query": query}
    return render(request, "training/register/list.html", context)


def _person(request: Request) -> Person | None:
    text = request.GET.get("person", "")
    return person_of(request.actor.employer, int(text)) if text.isdecimal() and len(text) < 12 else None


@officer
@require_GET
def entry(request: Request, number: int) -> HttpResponse:
    row = entry_of(request.actor.employer, number)
    proofs = row.data.get("proofs")
    rests_on = sorted(pages_of(request.actor.employer, proofs).values()) if isinstance(proofs, list) else []
    context = {"entry": row, "facts": sorted(row.data.items()), "rests_on": rests_on}
    return render(request, "training/register/entry.html", context)
