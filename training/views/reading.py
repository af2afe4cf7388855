"""The person's reading: a document's sections, one section a page, and the files behind them."""

from __future__ import annotations

from contextlib import suppress
from pathlib import PurePosixPath

from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control, never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import facts
from training.actions import material as actions
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.text import LANGUAGES
from training.models import DocumentRevision, Section
from training.models.material import in_force_document, issued_revision_of, section_in, section_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.texts import say
from training.views.access import person, signed_in
from training.views.path import reading_is_due

TYPES = {
    ".jpg": "image/jpeg",
    ".pdf": "application/pdf",
    ".png": "image/png",
    ".svg": "image/svg+xml",
}


@person
@require_GET
@never_cache
def read(request: Request, slug: str) -> HttpResponse:
    """A document's sections with what is read and what comes next."""
    actor = request.actor
    revision = in_force_document(actor.employer, slug, actor.today)
    progress = facts.reading_progress(actor.me, revision, actor.today)
    sections = list(revision.sections.all())
    context = {
        "document": revision.document,
        "revision": revision,
        "progress": progress,
        "next": next((one for one in sections if one.pk == progress.next), None),
        "due": progress.complete and _is_due(request, slug),
        "rows": [(one, progress.acknowledged.get(one.pk), one.pk in _opened(progress.opened)) for one in sections],
    }
    return render(request, "training/material/read.html", context)


def _is_due(request: Request, slug: str) -> bool:
    """Whether the person's standing asks to read this document, again if it was read before."""
    actor = request.actor
    try:
        row = qualification_in_force(actor.employer, actor.today)
    except Refused:
        return False
    return reading_is_due(facts.standing_of(actor.me, row, actor.today), slug)


def _opened(opened: object) -> set[int]:
    return {section for section, _language in opened}  # type: ignore[attr-defined]


@person
@require_POST
def read_again(request: Request, slug: str) -> HttpResponse:
    """From the start once more, for a renewal or for new tries at the quiz."""
    revision = in_force_document(request.actor.employer, slug, request.actor.today)
    section = actions.begin_again(by=request.actor, revision=revision)
    return redirect("training:read_section", slug, revision.number, section.key)


@person
@require_http_methods(["GET", "POST"])
@never_cache
def read_section(request: Request, slug: str, number: int, key: str) -> HttpResponse:
    """One section: shown and noted as opened, or acknowledged."""
    actor = request.actor
    revision = issued_revision_of(actor.employer, slug, number)
    section = section_in(revision, key)
    try:
        if request.method == "POST":
            actions.acknowledge_section(by=actor, section=section, language=request.POST.get("language", ""))
            return _onward(request, revision, section)
        if not section.file(actor.language):
            actions.open_section(by=actor, section=section, language=actor.language)
    except (Refused, BadInput) as refusal:
        if refusal.message.key == "material.not_in_force":
            messages.info(request, say(refusal.message))
            return redirect("training:read", slug)
        return _page(request, revision, section, say(refusal.message))
    return _page(request, revision, section)


def _page(request: Request, revision: DocumentRevision, section: Section, problem: str = "") -> HttpResponse:
    actor, sections = request.actor, list(revision.sections.all())
    progress = facts.reading_progress(actor.me, revision, actor.today)
    place = sections.index(section)
    context = {
        "document": revision.document,
        "revision": revision,
        "section": section,
        "language": actor.language,
        "number": place + 1,
        "size": len(sections),
        "before": sections[place - 1] if place else None,
        "after": sections[place + 1] if place + 1 < len(sections) else None,
        "acknowledged": progress.acknowledged.get(section.pk),
        "must_open": (section.pk, actor.language) not in progress.opened,
        "progress": progress,
        "problem": problem,
    }
    return render(request, "training/material/section_read.html", context, status=409 if problem else 200)


def _onward(request: Request, revision: DocumentRevision, section: Section) -> HttpResponse:
    """To the next section not yet read: the ones after this first, then those left out before."""
    actor, sections = request.actor, list(revision.sections.all())
    progress = facts.reading_progress(actor.me, revision, actor.today)
    place = sections.index(section)
    for one in sections[place + 1 :] + sections[:place]:
        if one.pk not in progress.acknowledged:
            return redirect("training:read_section", revision.document.slug, revision.number, one.key)
    messages.success(request, _("You have read all of it. It is in the register."))
    return redirect("training:read", revision.document.slug)


@signed_in
@require_GET
@cache_control(private=True, max_age=600)
def section_file(request: Request, pk: int, which: str) -> FileResponse:
    """A section's picture or PDF, for people of its company; opening the PDF counts as opening the section."""
    actor = request.actor
    section = section_of(actor.company, pk)
    if section.revision.is_draft and not actor.is_officer:
        raise NotFound("access.not_found")
    if which in LANGUAGES and actor.person is not None and not section.revision.is_draft:
        _note_opening(request, section, which)
    return _sent(section, which)


def _note_opening(request: Request, section: Section, language: str) -> None:
    with suppress(Refused):  # an older revision may still be looked at; it just does not count
        actions.open_section(by=request.actor, section=section, language=language)


def _sent(section: Section, which: str) -> FileResponse:
    files = {"picture": section.picture, **{code: section.file(code) for code in LANGUAGES}}
    file = files.get(which)
    stored = str(file.name) if file else ""
    if not file or not file.storage.exists(stored):
        raise NotFound("access.not_found")
    ending = PurePosixPath(stored).suffix
    name = f"{section.revision.document.slug}-{section.revision.number}-{section.key}-{which}{ending}"
    response = FileResponse(file.open("rb"), content_type=TYPES[ending], filename=name)
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["Cross-Origin-Resource-Policy"] = "same-origin"
    return response
