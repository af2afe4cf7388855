"""The officer's first page: who may work tomorrow, who may not, why, and the shortest repair."""

from __future__ import annotations

import datetime
from collections.abc import Sequence

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from training import facts, sheets
from training.domain.board import Board, Row, board
from training.domain.errors import BadInput
from training.domain.messages import Message
from training.domain.scopes import ScopeBook
from training.forms.board import BoardForm
from training.models import Person
from training.models.people import people_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.templatetags.marks import STATE_WORDS
from training.texts import say, words
from training.views.access import officer

PAGE = 60
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def _asked(request: Request) -> tuple[BoardForm, Board, list[Person], ScopeBook, datetime.date]:
    """The board that the query string asks for."""
    actor = request.actor
    row = qualification_in_force(actor.employer, actor.today)
    book = facts.qualification(row).scopes
    form = BoardForm(request.GET or None, company=actor.employer, book=book)
    if request.GET and not form.is_valid():
        raise BadInput("board.filter")
    chosen = form.cleaned_data if form.is_bound else {}
    on = chosen.get("on") or actor.today + datetime.timedelta(days=1)
    people = people_of(actor.employer).employed_on(on).with_ties().by_name()
    if chosen.get("crew"):
        people = people.in_crew(chosen["crew"], on)
    found = list(people)
    standings = facts.standings_of(found, actor.employer, row, on)
    wanted = [chosen["scope"]] if chosen.get("scope") else []
    lines = ((p.pk, p.full_name, standings[p.pk]) for p in found)
    return form, board(facts.qualification(row), lines, wanted), found, book, on


@officer
@require_GET
def board_page(request: Request) -> HttpResponse:
    form, found, people, book, on = _asked(request)
    by_id = {person.pk: person for person in people}
    page = Paginator([*found.may_not, *found.may], PAGE).get_page(request.GET.get("page"))
    rows = [(row, by_id[row.person], by_id[row.person].crew_on(on)) for row in page]
    asked = request.GET.copy()
    asked.pop("page", None)
    context = {
        "form": form,
        "board": found,
        "page": page,
        "may_not": [it for it in rows if not it[0].may],
        "may": [it for it in rows if it[0].may],
        "on": on,
        "is_tomorrow": on == request.actor.today + datetime.timedelta(days=1),
        "query": asked.urlencode() + "&" if asked else "",
        "scopes": book,
        "narrowed": _narrowed(form, book),
    }
    return render(request, "training/board/board.html", context)


def _narrowed(form: BoardForm, book: ScopeBook) -> list[str]:
    """The crew and the scope that the board is narrowed to, in words: a printed board must say what it leaves out."""
    chosen = form.cleaned_data if form.is_bound else {}
    crew, scope = chosen.get("crew"), chosen.get("scope")
    told = [str(crew)] if crew else []
    return [*told, words(book.scopes[scope].title)] if scope else told


@officer
@require_GET
def board_export(request: Request) -> HttpResponse:
    """The same board as a spreadsheet, every row of it."""
    _form, found, people, book, on = _asked(request)
    by_id = {person.pk: person for person in people}
    lines = [_line(row, by_id[row.person], book, on) for row in (*found.may_not, *found.may)]
    heads = [_("Name"), _("Person code"), _("Crew"), _("May work"), _("State"), _("Last valid day"), _("Scopes")]
    heads += [_("Why"), _("Shortest repair"), _("Minutes")]
    content = sheets.write_xlsx([sheets.SheetOut(_("Board"), heads, lines)])
    response = HttpResponse(content, content_type=XLSX)
    response["Content-Disposition"] = f'attachment; filename="board-{on.isoformat()}.xlsx"'
    return response


def _line(row: Row, person: Person, book: ScopeBook, on: datetime.date) -> Sequence[object]:
    found = row.standing
    return [
        row.name,
        person.code,
        str(person.crew_on(on) or ""),
        _("yes") if row.may else _("no"),
        str(STATE_WORDS[found.state]),
        found.until,
        ", ".join(words(word) for word in book.words(book.shortest(found.held))),
        " ".join([*_lacking(row, book), *(say(reason.message) for reason in found.reasons)]),
        " ".join(say(step.message) for step in row.repair),
        row.repair_minutes if row.repair else None,
    ]


def _lacking(row: Row, book: ScopeBook) -> list[str]:
    """Why somebody who may work may not do the work asked for."""
    if not row.missing or not row.standing.may_work:
        return []
    return [say(Message("board.not_held", {"scopes": book.words(row.missing)}))]
