"""One person's standing on a day with its reasons, and the officer's decisions."""

from __future__ import annotations

import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from training import facts
from training.actions import decisions as actions
from training.domain.decision import DECISIONS, Option, allowed_decisions
from training.domain.errors import NotFound
from training.domain.outcome import Standing
from training.domain.register import EntryKind
from training.forms.decisions import DecisionForm
from training.forms.people import DayField
from training.kinds import DECISION_WORDS
from training.models import Person, QualificationRevision
from training.models.people import person_of
from training.models.register import last_page_about, pages_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.views.access import officer
from training.views.helpers import run


def _day(request: Request) -> datetime.date:
    """The day asked for; anything unreadable is today."""
    text = request.GET.get("on", "")
    field = DayField(required=False)
    try:
        return field.clean(text) or request.actor.today
    except Exception:
        return request.actor.today


def _options(request: Request, person: Person, row: QualificationRevision, found: Standing) -> tuple[Option, ...]:
    decider = actions.decider(request.actor)
    return allowed_decisions(facts.qualification(row), found, person=person.pk, decider=decider)


@officer
@require_GET
@never_cache
def standing(request: Request, pk: int) -> HttpResponse:
    """What a person holds on a day, why, down to the register's pages, and what repairs it."""
    actor, on = request.actor, _day(request)
    person = person_of(actor.employer, pk)
    row = qualification_in_force(actor.employer, max(on, actor.today))
    found = facts.standing_of(person, row, on)
    entries = {e for reason in found.reasons for e in reason.entries} | {s.entry for s in found.steps if s.entry}
    context = {
        "person": person,
        "standing": found,
        "qualification": facts.qualification(row),
        "on": on,
        "is_today": on == actor.today,
        "is_past": on < actor.today,
        "pages": pages_of(actor.employer, entries),
        "options": [(o, DECISION_WORDS[o.kind]) for o in _options(request, person, row, found)]
        if on == actor.today
        else [],
        "crew": person.crew_on(on),
    }
    return render(request, "training/standing/page.html", context)


@officer
@require_http_methods(["GET", "POST"])
@never_cache
def decide(request: Request, pk: int, kind: str) -> HttpResponse:
    """One decision on one page: what it does, the scopes, the reason, and the button."""
    actor = request.actor
    if kind not in DECISIONS:
        raise NotFound("access.not_found")
    person = person_of(actor.employer, pk)
    row = qualification_in_force(actor.employer, actor.today)
    found = facts.standing_of(person, row, actor.today)
    option = next(o for o in _options(request, person, row, found) if o.kind == kind)
    book = facts.qualification(row).scopes
    form = DecisionForm(
        request.POST or None, kind=EntryKind(kind), book=book, choices=option.scopes, seen=last_page_about(person)
    )
    if request.method == "POST" and form.is_valid():
        entry = run(form, lambda: actions.decide(by=actor, person=person, kind=EntryKind(kind), **form.cleaned_data))
        if entry is not None:
            messages.success(request, _("Decided, and written on page %(n)s of the register.") % {"n": entry.number})
            return redirect("training:standing", pk)
    context = {"person": person, "kind": kind, "word": DECISION_WORDS[EntryKind(kind)], "option": option, "form": form}
    status = 409 if request.method == "POST" else 200
    return render(request, "training/standing/decide.html", context, status=status)
