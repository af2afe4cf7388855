"""Bringing in a crew list: upload, columns, rows, confirm, result. Every step keeps what was chosen."""

from __future__ import annotations

from collections.abc import Sequence

from django.contrib import messages
from django.core.paginator import Page, Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import facts
from training.actions import imports as actions
from training.domain.crewlist import ReadRow
from training.domain.crewlist_reading import Reading
from training.domain.errors import Refused
from training.forms import imports as forms
from training.models import CrewImport
from training.models.imports import import_of, imports_of
from training.models.people import people_of
from training.requests import Request
from training.texts import say
from training.views.access import officer
from training.views.helpers import run

PAGE, LISTS, PEOPLE = 20, 30, 100


@officer
@require_http_methods(["GET", "POST"])
def imports(request: Request) -> HttpResponse:
    """Upload a list, and the lists so far."""
    form = forms.UploadForm(request.POST, request.FILES) if request.method == "POST" else forms.UploadForm()
    if request.method == "POST" and form.is_valid():
        started = run(
            form,
            lambda: actions.start_import(by=request.actor, file_name=form.cleaned_data["file"].name, table=form.table),
        )
        if started is not None:
            return redirect("training:import_columns", started.pk)
    page = Paginator(imports_of(request.actor.employer), LISTS).get_page(request.GET.get("page"))
    return render(request, "training/imports/list.html", {"form": form, "page": page})


@officer
@require_GET
def crew_import(request: Request, pk: int) -> HttpResponse:
    """What came of a list; one that is not brought in yet goes on where it was left."""
    found = import_of(request.actor.employer, pk)
    if found.confirmed_at is None:
        return redirect("training:import_columns", pk)
    reading = facts.crew_list(found, request.actor.today)
    context = {
        "found": found,
        "page": Paginator(found.created(), PEOPLE).get_page(request.GET.get("page")),
        "left_out": reading.plan.skipped,
        "same": _same(found, reading),
    }
    return render(request, "training/imports/result.html", context)


def _same(found: CrewImport, reading: Reading) -> list[tuple[int, object]]:
    """Rows that were said to be somebody in the record, with that person."""
    people = people_of(found.company).in_bulk(set(reading.plan.same.values()))
    return [(row, people[person]) for row, person in reading.plan.same.items() if person in people]


@officer
@require_http_methods(["GET", "POST"])
def import_columns(request: Request, pk: int) -> HttpResponse:
    found, reading = _open(request, pk)
    form = forms.ColumnsForm(request.POST or None, reading=reading, today=request.actor.today)
    if request.method == "POST" and form.is_valid():
        kept = run(
            form,
            lambda: actions.choose_columns(by=request.actor, crew_import=found, columns=form.columns()),
        )
        if kept is not None:
            return redirect("training:import_columns" if "look" in request.POST else "training:import_rows", pk)
    context = {"found": found, "reading": reading, "form": form, "sample": reading.rows[:5]}
    return render(request, "training/imports/columns.html", context)


@officer
@require_http_methods(["GET", "POST"])
def import_rows(request: Request, pk: int) -> HttpResponse:
    found, reading = _open(request, pk)
    if request.method == "POST":
        form = forms.RowsForm(request.POST, reading=reading, shown=_posted_rows(request, reading))
        if form.is_valid() and run(form, lambda: _keep(request, found, form)) is not None:
            return _after_rows(request, found)
        page = None
    else:
        page = _page(request, reading)
        form = forms.RowsForm(reading=reading, shown=page.object_list)
    context = {"found": found, "reading": reading, "form": form, "page": page, "every": _wants_all(request)}
    return render(request, "training/imports/rows.html", context)


def _wants_all(request: Request) -> bool:
    return request.GET.get("rows") == "all"


def _page(request: Request, reading: Reading) -> Page[ReadRow]:
    rows: Sequence[ReadRow] = reading.rows if _wants_all(request) else reading.to_settle()
    return Paginator(rows, PAGE).get_page(request.GET.get("page"))


def _posted_rows(request: Request, reading: Reading) -> list[ReadRow]:
    """The rows that stood on the page when it was sent, whatever has been settled since."""
    numbers = {
        int(text) for text in request.POST.getlist("row") if text.isascii() and text.isdecimal() and len(text) < 9
    }
    return [row for row in reading.rows if row.number in numbers][:PAGE]


def _keep(request: Request, found: CrewImport, form: forms.RowsForm) -> CrewImport:
    return actions.choose_rows(by=request.actor, crew_import=found, rows=form.rows(), fixes=form.fixes())


def _after_rows(request: Request, found: CrewImport) -> HttpResponse:
    """On to the confirmation when nothing is open, else back to the same page with what is left."""
    if "on" in request.POST:
        return redirect("training:import_confirm", found.pk)
    messages.success(request, _("Kept. Nothing is in the record yet."))
    return redirect(request.get_full_path())


@officer
@require_http_methods(["GET", "POST"])
def import_confirm(request: Request, pk: int) -> HttpResponse:
    found = import_of(request.actor.employer, pk)
    if request.method == "POST":
        return _confirm(request, found)
    if found.confirmed_at is not None:
        return redirect("training:import", pk)
    reading = facts.crew_list(found, request.actor.today)
    if reading.plan.open:
        for message in reading.plan.open:
            messages.warning(request, say(message))
        return redirect("training:import_rows", pk)
    page = Paginator(reading.plan.new, PEOPLE).get_page(request.GET.get("page"))
    return render(request, "training/imports/confirm.html", {"found": found, "reading": reading, "page": page})


def _confirm(request: Request, found: CrewImport) -> HttpResponse:
    try:
        done = actions.confirm_import(by=request.actor, crew_import=found)
    except Refused as refusal:  # somebody was added meanwhile, or a choice is missing: nothing was saved
        messages.error(request, say(refusal.message))
        return redirect("training:import" if found.undone_at else "training:import_rows", found.pk)
    if done.confirmed_at == request.actor.now:
        messages.success(request, _("The crew list is in the record."))
    return redirect("training:import", found.pk)


@officer
@require_POST
def import_undo(request: Request, pk: int) -> HttpResponse:
    found = import_of(request.actor.employer, pk)
    try:
        actions.undo_import(by=request.actor, crew_import=found)
    except Refused as refusal:
        messages.error(request, say(refusal.message))
    else:
        messages.success(request, _("Undone. These people are no longer on any list."))
    return redirect("training:import", pk)


@officer
@require_POST
def import_discard(request: Request, pk: int) -> HttpResponse:
    found = import_of(request.actor.employer, pk)
    try:
        actions.discard_import(by=request.actor, crew_import=found)
    except Refused as refusal:
        messages.error(request, say(refusal.message))
        return redirect("training:import", pk)
    messages.success(request, _("The list is thrown away. Nothing was brought in."))
    return redirect("training:imports")


def _open(request: Request, pk: int) -> tuple[CrewImport, Reading]:
    """A list that can still be changed, as read today."""
    found = import_of(request.actor.employer, pk)
    if found.confirmed_at is not None:
        raise Refused("crewlist.confirmed")
    return found, facts.crew_list(found, request.actor.today)
