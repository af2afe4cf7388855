"""The officer's documents: revisions, the draft and its sections, issuing, and who has read what."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training.actions import material as actions
from training.domain.errors import Refused
from training.domain.material import numbers_that_differ
from training.forms import material as forms
from training.models import DocumentRevision, Section
from training.models.material import (
    Document,
    document_of,
    documents_of,
    in_force_of,
    last_acknowledgements,
    readers_done,
    readers_of,
    revision_of,
    section_in,
)
from training.models.people import people_of
from training.requests import Request
from training.texts import say
from training.views.access import officer
from training.views.helpers import run

PAGE = 50


@officer
@require_GET
def documents(request: Request) -> HttpResponse:
    company, today = request.actor.employer, request.actor.today
    current = {revision.document_id: revision for revision in in_force_of(company, today)}
    done = readers_done(list(current.values()), today)
    people = people_of(company).employed_on(today).count()
    rows = []
    for document in documents_of(company):
        revision = current.get(document.pk)
        newest = next(iter(document.revisions.all()), None)
        coming = newest if newest and newest != revision else None
        rows.append((document, revision, coming, done.get(revision.pk, 0) if revision else 0))
    return render(request, "training/material/documents.html", {"rows": rows, "people": people})


@officer
@require_http_methods(["GET", "POST"])
def document_new(request: Request) -> HttpResponse:
    form = forms.DocumentForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = run(form, lambda: actions.create_document(by=request.actor, **form.cleaned_data))
        if made is not None:
            return redirect("training:document", made.slug)
    return render(request, "training/material/document_new.html", {"form": form})


@officer
@require_GET
def document(request: Request, slug: str) -> HttpResponse:
    found = document_of(request.actor.employer, slug)
    current = [one for one in in_force_of(request.actor.employer, request.actor.today) if one.document_id == found.pk]
    context = {"document": found, "current": current[0] if current else None, "has_draft": _has_draft(found)}
    return render(request, "training/material/document.html", context)


def _has_draft(found: Document) -> bool:
    return any(one.is_draft for one in found.revisions.all())


@officer
@require_POST
def revision_draft(request: Request, slug: str) -> HttpResponse:
    found = document_of(request.actor.employer, slug)
    try:
        draft = actions.draft_revision(by=request.actor, document=found)
    except Refused as refusal:  # somebody else, or a second click, was first: show that draft
        messages.info(request, say(refusal.message))
        return redirect("training:document", slug)
    return redirect("training:revision", slug, draft.number)


@officer
@require_GET
def revision(request: Request, slug: str, number: int) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    parts = [(section, numbers_that_differ(section.body_en, section.body_es)) for section in found.sections.all()]
    context = {"revision": found, "document": found.document, "parts": parts}
    return render(request, "training/material/revision.html", context)


@officer
@require_http_methods(["GET", "POST"])
def revision_issue(request: Request, slug: str, number: int) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    form = forms.IssueForm(request.POST or None, initial={"effective_on": request.actor.today})
    if request.method == "POST" and form.is_valid():
        issued = run(form, lambda: actions.issue_revision(by=request.actor, revision=found, **form.cleaned_data))
        if issued is not None:
            messages.success(request, _("Issued. It is in the register now and never changes."))
            return redirect("training:document", slug)
    differing = [(one, numbers_that_differ(one.body_en, one.body_es)) for one in found.sections.all()]
    context = {
        "form": form,
        "revision": found,
        "document": found.document,
        "differing": [(section, numbers) for section, numbers in differing if numbers],
    }
    return render(request, "training/material/issue.html", context)


@officer
@require_http_methods(["GET", "POST"])
def section_new(request: Request, slug: str, number: int) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    form = forms.SectionForm(request.POST or None, request.FILES or None)
    return _section_form(request, found, None, form)


@officer
@require_http_methods(["GET", "POST"])
def section_edit(request: Request, slug: str, number: int, key: str) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    section = section_in(found, key)
    form = forms.SectionForm(request.POST or None, request.FILES or None, section=section)
    return _section_form(request, found, section, form)


def _section_form(
    request: Request, found: DocumentRevision, section: Section | None, form: forms.SectionForm
) -> HttpResponse:
    """Save and go back to the draft, or show the form: with what is wrong, or with a preview."""
    preview = request.method == "POST" and "preview" in request.POST
    if request.method == "POST" and form.is_valid() and not preview:
        saved = run(form, lambda: _save(request, found, section, form))
        if saved is not None:
            address = reverse("training:revision", args=[found.document.slug, found.number])
            return redirect(f"{address}#part-{saved.key}")
    context = {
        "form": form,
        "revision": found,
        "document": found.document,
        "section": section,
        "preview": preview and form.is_valid() and form.details,
    }
    return render(request, "training/material/section.html", context)


def _save(request: Request, found: DocumentRevision, section: Section | None, form: forms.SectionForm) -> Section:
    files = form.new_files
    if section is None:
        return actions.add_section(by=request.actor, revision=found, details=form.details, files=files)
    return actions.change_section(by=request.actor, section=section, details=form.details, files=files)


@officer
@require_POST
def section_move(request: Request, slug: str, number: int, key: str) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    actions.move_section(by=request.actor, section=section_in(found, key), up="up" in request.POST)
    return redirect(f"{reverse('training:revision', args=[slug, number])}#part-{key}")


@officer
@require_POST
def section_remove(request: Request, slug: str, number: int, key: str) -> HttpResponse:
    found = revision_of(request.actor.employer, slug, number)
    actions.remove_section(by=request.actor, section=section_in(found, key))
    messages.success(request, _("The section is out of the draft."))
    return redirect("training:revision", slug, number)


@officer
@require_GET
def readers(request: Request, slug: str, number: int) -> HttpResponse:
    """Who has read how much of a revision."""
    found = revision_of(request.actor.employer, slug, number)
    show = request.GET.get("show", "")
    show = show if show in ("read", "unread") else ""
    page = Paginator(readers_of(found, request.actor.today, show), PAGE).get_page(request.GET.get("page"))
    last = last_acknowledgements(found, list(page))
    context = {
        "revision": found,
        "document": found.document,
        "page": page,
        "rows": [(person, last.get(person.pk)) for person in page],
        "size": len(found.sections.all()),
        "show": show,
        "query": f"show={show}&" if show else "",
    }
    return render(request, "training/material/readers.html", context)
