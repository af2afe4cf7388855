"""The rule book and the qualification, for reading; and a draft brought in as a file."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from training import facts
from training.actions import rule_books as actions
from training.domain.json_reading import FileFaults
from training.forms.rules import RuleBookForm
from training.models import RuleBookRevision
from training.models.rules import (
    qualification_in_force,
    revision_before,
    rule_book_drafts_of,
    rule_book_revision_of,
    rule_books_of,
)
from training.permissions import Actor
from training.requests import Request
from training.texts import say
from training.views.access import officer, staff
from training.views.helpers import run
from training.views.rule_books import draft_context

FAULTS_SHOWN = 10


@officer
@require_http_methods(["GET", "POST"])
def rule_books(request: Request) -> HttpResponse:
    actor = request.actor
    form = RuleBookForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        draft = run(form, lambda: _from_file(actor, form))
        if draft is not None:
            messages.success(request, _("The file is a draft now. A second person reviews it, then it can be issued."))
            return redirect("training:rule_book_revision", draft.pk)
    context = {
        "form": form,
        "revisions": rule_books_of(actor.employer),
        "drafts": rule_book_drafts_of(actor.employer),
    }
    return render(request, "training/rule_book/list.html", context)


def _from_file(actor: Actor, form: RuleBookForm) -> RuleBookRevision | None:
    """The file as a draft; the form shows its first faults, each with its place."""
    data = form.cleaned_data
    try:
        return actions.draft_rule_book(by=actor, slug=data["slug"], content=data["file"])
    except FileFaults as refused:
        for fault in refused.faults[:FAULTS_SHOWN]:
            form.add_error("file", f"{fault.place}: {say(fault.message)}")
    return None


@staff
@require_GET
def rule_book_revision(request: Request, pk: int) -> HttpResponse:
    """An issued revision to read, or a draft with what it still needs."""
    revision = rule_book_revision_of(request.actor.employer, pk)
    book = facts.rule_book(revision)
    if revision.is_draft:
        return render(request, "training/rule_book/draft.html", draft_context(revision, book))
    context = {"revision": revision, "book": book, "before": revision_before(revision)}
    return render(request, "training/rule_book/revision.html", context)


@staff
@require_GET
def qualification(request: Request) -> HttpResponse:
    actor = request.actor
    row = qualification_in_force(actor.employer, actor.today)
    return render(request, "training/qualification/page.html", {"row": row, "qualification": facts.qualification(row)})
