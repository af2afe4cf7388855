"""The officer's cards: list, issue, one card, replace, and cards on paper."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from certificates import actions, drawing, facts, pdf
from certificates.forms import REASONS, ReplaceForm
from certificates.models import (
    Card,
    card_of,
    cards_chosen,
    cards_of,
    cards_of_person,
    current_card_of,
    people_without_card,
)
from training.domain.errors import BadInput, HeadlapError
from training.facts import standings_of
from training.models.people import Person, person_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.texts import say
from training.views.access import officer
from training.views.helpers import run

PAGE = 50
MOST_ON_SHEETS = 80


@officer
@require_GET
def cards(request: Request) -> HttpResponse:
    actor, text, every = request.actor, request.GET.get("q", "")[:80], request.GET.get("show") == "all"
    found = cards_of(actor.employer).prefetch_related("person__memberships")
    found = found if every else found.current()
    page = Paginator(found.matching(text) if text else found, PAGE).get_page(request.GET.get("page"))
    known = facts.verdicts(page, actor.employer, actor.today)
    rows = [(card, known[card.pk]) for card in page]
    query = urlencode({"q": text, "show": "all" if every else ""}) + "&"
    context = {"page": page, "rows": rows, "q": text, "every": every, "query": query}
    return render(request, "certificates/cards.html", {**context, "ready": [] if text else _ready(request)})


def _ready(request: Request) -> list[Person]:
    """People who may work today and hold no card."""
    actor = request.actor
    people = list(people_without_card(actor.employer, actor.today)[: 2 * PAGE])
    if not people:
        return []
    row = qualification_in_force(actor.employer, actor.today)
    held = standings_of(people, actor.employer, row, actor.today)
    return [person for person in people if held[person.pk].may_work]


@officer
@require_http_methods(["GET", "POST"])
def card_issue(request: Request, person: int) -> HttpResponse:
    found = person_of(request.actor.employer, person)
    refusal = None
    try:
        if request.method == "POST":
            card = actions.issue_card(by=request.actor, person=found)
            messages.success(request, _("Card %(number)s is issued.") % {"number": card.shown})
            return redirect("certificates:card", card.pk)
        actions.may_issue(by=request.actor, person=found)
    except HeadlapError as error:
        refusal = say(error.message)
    context = {"person": found, "refusal": refusal, "current": current_card_of(found)}
    status = 409 if refusal and request.method == "POST" else 200
    return render(request, "certificates/issue.html", context, status=status)


@officer
@require_GET
@never_cache
def card(request: Request, pk: int) -> HttpResponse:
    found = card_of(request.actor.employer, pk)
    return render(request, "certificates/card.html", card_context(request, found))


def card_context(request: Request, card: Card) -> dict[str, object]:
    """What a page needs to show one card: both sides drawn, the verdict for today, and the cards before it."""
    known = facts.verdicts([card], card.company, request.actor.today)
    ready = facts.printable(card)
    return {
        "card": card,
        "verdict": known[card.pk],
        "front": drawing.front(ready.face, ready.symbol, ready.photo),
        "back": drawing.back(ready.face),
        "frame": drawing.frame(),
        "history": cards_of_person(card.person),
    }


@officer
@require_http_methods(["GET", "POST"])
def card_replace(request: Request, pk: int) -> HttpResponse:
    found = card_of(request.actor.employer, pk)
    form = ReplaceForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        fresh = run(form, lambda: actions.replace_card(by=request.actor, card=found, reason=form.reason))
        if fresh is not None:
            words = _("The old number is void. The new card is %(number)s.") % {"number": fresh.shown}
            messages.success(request, words)
            return redirect("certificates:card", fresh.pk)
    return render(request, "certificates/replace.html", {"card": found, "form": form, "reasons": REASONS})


@officer
@require_GET
def card_pdf(request: Request, pk: int) -> HttpResponse:
    return send_pdf(card_of(request.actor.employer, pk))


@officer
@require_GET
def cards_sheet(request: Request) -> HttpResponse:
    """Chosen cards, eight to a sheet; the choice is in the address, so that a sheet can be printed again."""
    chosen = [int(pk) for pk in request.GET.getlist("card") if pk.isdecimal() and len(pk) < 12]
    if not chosen:
        raise BadInput("card.none_chosen")
    if len(chosen) > MOST_ON_SHEETS:
        raise BadInput("card.too_many", most=MOST_ON_SHEETS, chosen=len(chosen))
    printables = [facts.printable(card) for card in cards_chosen(request.actor.employer, chosen)]
    note = _("Print on both sides at 100 %. Turn over the long edge. Cut along the marks.")
    body = pdf.sheet_pdf(printables, title=_("Cards"), author=request.actor.employer.name, note=note)
    return _as_file(body, "cards.pdf")


def send_pdf(card: Card) -> HttpResponse:
    """One card on two pages of its own size."""
    body = pdf.card_pdf([facts.printable(card)], title=f"{card.name}, {card.shown}", author=card.issuer)
    return _as_file(body, f"card-{card.shown}.pdf")


def _as_file(body: bytes, name: str) -> HttpResponse:
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
