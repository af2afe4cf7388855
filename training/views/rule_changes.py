"""What changed between two revisions of a rule book, what rests on it, and what an officer asks of people."""

from __future__ import annotations

import datetime

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from training import facts
from training.actions import rule_impact as actions
from training.domain.demands import Demand, demands_of
from training.domain.errors import NotFound
from training.domain.impact import grave_first, impact
from training.domain.messages import Message
from training.domain.rule_diff import by_part, diff
from training.domain.rules import RuleBook
from training.domain.text import Text
from training.forms.rules import ImpactForm
from training.impact_facts import impact_facts
from training.models import Entry, RuleBookRevision
from training.models.register import asked_after
from training.models.rules import revision_before, rule_book_revision_of, rule_books_of
from training.requests import Request
from training.views.access import officer, staff
from training.views.helpers import run

USUAL_TIME = datetime.timedelta(days=30)


@staff
@require_GET
def rule_book_changes(request: Request, pk: int) -> HttpResponse:
    """Every difference from another revision; the one before unless another is asked for."""
    revision = rule_book_revision_of(request.actor.employer, pk)
    others = [one for one in rule_books_of(request.actor.employer) if one.pk != revision.pk]
    before = _before(request, revision, others)
    parts = by_part(diff(facts.rule_book(before), facts.rule_book(revision))) if before else ()
    context = {
        "revision": revision,
        "before": before,
        "others": others,
        "grave": [part for part in parts if part.grave],
        "wording": [part for part in parts if not part.grave],
    }
    return render(request, "training/rule_book/changes.html", context)


def _before(request: Request, revision: RuleBookRevision, others: list[RuleBookRevision]) -> RuleBookRevision | None:
    asked = request.GET.get("from", "")
    if not asked:
        return revision_before(revision)
    found = [one for one in others if str(one.pk) == asked]
    if not found:
        raise NotFound("access.not_found")
    return found[0]


@officer
@require_http_methods(["GET", "POST"])
def rule_book_impact(request: Request, pk: int) -> HttpResponse:
    """What rests on each change, and the officer's choice for it: nothing, reading, a short quiz, everything."""
    actor = request.actor
    revision = rule_book_revision_of(actor.employer, pk)
    before = revision_before(revision)
    if revision.effective_on is None or before is None:
        notice = Message("impact.nothing_before") if revision.effective_on else Message("impact.not_issued")
        return render(request, "training/rule_book/impact_none.html", {"revision": revision, "notice": notice})
    found = impact_facts(revision, actor.today)
    lines = grave_first(impact(facts.rule_book(before), facts.rule_book(revision), found))
    due = max(actor.today, revision.effective_on) + USUAL_TIME
    named = sorted({one.slug for line in lines for one in line.rests.documents})
    form = ImpactForm(
        request.POST or None, lines=lines, documents=found.documents, initial={"due_on": due, "documents": named}
    )
    if request.method == "POST" and form.is_valid() and _ask(request, revision, before, form):
        return redirect("training:rule_book_impact", pk)
    decided = asked_after(actor.employer, revision.book.slug, revision.number)
    context = {
        "revision": revision,
        "before": before,
        "lines": lines,
        "facts": found,
        "form": form,
        "decided": decided,
        "demands": _named(decided, facts.rule_book(revision)) if decided else [],
    }
    return render(request, "training/rule_book/impact.html", context)


def _named(decided: Entry, book: RuleBook) -> list[tuple[Demand, list[Text]]]:
    """What was asked, with the rules in words; those that the book no longer has are left out."""
    asked = demands_of(facts.entry_value(decided))
    return [(one, [book.rule(key).quantity for key in one.rules if book.has(key)]) for one in asked]


def _ask(request: Request, revision: RuleBookRevision, before: RuleBookRevision, form: ImpactForm) -> bool:
    data = form.cleaned_data
    asked = run(
        form,
        lambda: actions.ask_after_change(
            by=request.actor,
            revision=revision,
            before=before,
            choices=form.choices,
            due_on=data["due_on"],
            documents=data["documents"],
        ),
    )
    if asked is not None:
        messages.success(request, _("Written into the register. It is on people's paths from now on."))
    return asked is not None
