"""The rule book and the qualification, for reading; and issuing a book from a file."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from training import facts
from training.actions import rules as actions
from training.forms.rules import RuleBookForm
from training.models.rules import qualification_in_force, rule_book_revision_of, rule_books_of
from training.requests import Request
from training.views.access import officer, staff
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
def rule_books(request: Request) -> HttpResponse:
    actor = request.actor
    form = RuleBookForm(request.POST or None, request.FILES or None, initial={"effective_on": actor.today})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        revision = run(
            form,
            lambda: actions.issue_rule_book(
                by=actor, slug=data["slug"], content=data["file"], effective_on=data["effective_on"]
            ),
        )
        if revision is not None:
            messages.success(request, _("Issued. It can no longer be changed, only followed by a new revision."))
            return redirect("training:rule_book_revision", revision.pk)
    revisions = rule_books_of(actor.employer)
    return render(request, "training/rule_book/list.html", {"form": form, "revisions": revisions})


@staff
@require_GET
def rule_book_revision(request: Request, pk: int) -> HttpResponse:
    revision = rule_book_revision_of(request.actor.employer, pk)
    return render(
        request, "training/rule_book/revision.html", {"revision": revision, "book": facts.rule_book(revision)}
    )


@staff
@require_GET
def qualification(request: Request) -> HttpResponse:
    actor = request.actor
    row = qualification_in_force(actor.employer, actor.today)
    return render(request, "training/qualification/page.html", {"row": row, "qualification": facts.qualification(row)})
