"""The evaluator's pages: whom to evaluate, the checklist part by part, and the signature."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import facts, permissions
from training.actions import handson as actions
from training.domain.checklist import Checklist, HandsOnResult, ItemResult, Observation, ValueJudgement
from training.domain.errors import BadInput, NotFound, Refused
from training.domain.rules import CheckItem
from training.domain.unit_table import UNITS
from training.forms.handson import SignForm, SignOffForm
from training.models import SignOff
from training.models.handson import sign_off_of, sign_offs_by
from training.models.people import people_of, person_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.texts import say, words
from training.views.access import evaluator, signed_in
from training.views.helpers import run

PAGE = 40
VALUE_WORDS = {"yes": gettext_lazy("yes"), "no": gettext_lazy("no")}


@evaluator
@require_GET
def evaluate(request: Request) -> HttpResponse:
    """Own open checklists, the people who may be evaluated now, and what was signed lately."""
    actor = request.actor
    row = qualification_in_force(actor.employer, actor.today)
    step = actions.hands_on_step(facts.qualification(row))
    people = list(people_of(actor.employer).employed_on(actor.today).exclude(pk=actor.me.pk).with_ties().by_name())
    standings = facts.standings_of(people, actor.employer, row, actor.today)
    ready = [p for p in people if all(standings[p.pk].step(needed).done for needed in step.needs)]
    rows = [(p, p.crew_on(actor.today), standings[p.pk].step(step.key)) for p in ready]
    context = {
        "page": Paginator(rows, PAGE).get_page(request.GET.get("page")),
        "open": sign_offs_by(actor.me).open(),
        "signed": sign_offs_by(actor.me).signed()[:20],
    }
    return render(request, "training/handson/evaluate.html", context)


@evaluator
@require_http_methods(["GET", "POST"])
def sign_off_new(request: Request, pk: int) -> HttpResponse:
    actor = request.actor
    person = person_of(actor.employer, pk)
    book = facts.qualification(qualification_in_force(actor.employer, actor.today)).scopes
    own = book.expand(scope for authority in actor.authorities for scope in authority.scopes)
    start = {"happened_on": actor.today, "language": person.language}
    form = SignOffForm(request.POST or None, book=book, only=own, today=actor.today, initial=start)
    if request.method == "POST" and form.is_valid():
        data = dict(form.cleaned_data)
        scopes = data.pop("scopes")
        opened = run(
            form,
            lambda: actions.start_sign_off(by=actor, person=person, scopes=scopes, setting=actions.Setting(**data)),
        )
        if opened is not None:
            return redirect("training:sign_off", opened.pk)
    return render(request, "training/handson/new.html", {"form": form, "person": person})


@dataclass(frozen=True)
class Line:
    """One item on the page: what is asked, its limit, what was typed, how it was judged."""

    item: CheckItem
    limit: str
    typed: list[str]
    judged: list[ValueJudgement | None]
    reason: str
    result: ItemResult
    unit: str

    @property
    def pairs(self) -> list[tuple[str, ValueJudgement | None]]:
        """Each value as typed, with its judgement."""
        return list(zip(self.typed, self.judged, strict=True))

    @property
    def seen(self) -> list[str]:
        """The values in words, for the record."""
        return [str(VALUE_WORDS.get(typed, typed)) for typed in self.typed if typed]


@dataclass(frozen=True)
class Part:
    """One part of the checklist, and how far it is."""

    number: int
    title: str
    lines: list[Line]

    @property
    def done(self) -> int:
        return sum(line.result.complete for line in self.lines)

    @property
    def complete(self) -> bool:
        return self.done == len(self.lines)

    @property
    def bad(self) -> int:
        return sum(line.result.complete and not line.result.ok for line in self.lines)


def _parts(sign_off: SignOff) -> list[Part]:
    """The checklist as the page shows it, in the parts of the rule book."""
    checklist = facts.checklist_of(sign_off)
    seen = facts.observations_of(sign_off, checklist)
    rows = {(row.item, row.repetition): row for row in sign_off.observations.all()}
    groups: dict[str, list[Line]] = {}
    for item in checklist.items:
        groups.setdefault(words(item.group), []).append(_line(checklist, item, seen, rows))
    return [Part(n, title, lines) for n, (title, lines) in enumerate(groups.items(), start=1)]


def _line(checklist: Checklist, item: CheckItem, seen: dict, rows: dict) -> Line:
    found = [rows.get((item.key, n)) for n in range(1, item.repeat + 1)]
    observation = seen.get(item.key, Observation())
    rule = checklist.limit(item)
    judged = [_judged(checklist, item, row.kept) if row and row.kept else None for row in found]
    return Line(
        item=item,
        limit=words(rule.say(metric=True)) if rule else "",
        typed=[row.typed if row else "" for row in found],
        judged=judged,
        reason=next((row.reason for row in found if row and row.reason), ""),
        result=checklist.judge_item(item, observation),
        unit=words(UNITS[rule.unit].many) if rule and rule.unit else "",
    )


def _judged(checklist: Checklist, item: CheckItem, kept: str) -> ValueJudgement | None:
    value = facts.value_of(item.kind, kept)
    return checklist.judge_value(item, value) if value is not None else None


def _own(request: Request, pk: int) -> SignOff:
    """An open checklist of the evaluator's own."""
    found = sign_off_of(request.actor.employer, pk)
    if found.evaluator_id != request.actor.me.pk:
        permissions.check_officer(request.actor)
    return found


@signed_in
@require_GET
@never_cache
def sign_off(request: Request, pk: int) -> HttpResponse:
    """The record as a whole: for its evaluator, the company's officers, and the person once it is signed."""
    found = sign_off_of(request.actor.employer, pk)
    permissions.check_sees_person(request.actor, found.person)
    if not found.signed_at and not (request.actor.is_officer or request.actor.is_evaluator):
        raise NotFound("access.not_found")
    outcome, waiting = _outcome(found)
    context = {
        "sign_off": found,
        "parts": _parts(found),
        "outcome": outcome,
        "waiting": waiting,
        "form": SignForm(),
        "own": request.actor.person is not None and request.actor.person.pk == found.evaluator_id,
        "scopes": facts.qualification(found.qualification).scopes,
    }
    return render(request, "training/handson/sign_off.html", context)


def _outcome(found: SignOff) -> tuple[HandsOnResult | None, str]:
    try:
        return actions.judged(found, facts.qualification(found.qualification)), ""
    except (Refused, BadInput) as error:
        return None, say(error.message)


@evaluator
@require_http_methods(["GET", "POST"])
@never_cache
def sign_off_part(request: Request, pk: int, number: int) -> HttpResponse:
    """One part of the checklist. Saving judges every value at once; with htmx also when a field is left."""
    found = _own(request, pk)
    if found.signed_at:
        return redirect("training:sign_off", pk)
    parts = _parts(found)
    if not 1 <= number <= len(parts):
        raise NotFound("access.not_found")
    if request.method == "POST":
        keys = [line.item for line in parts[number - 1].lines]
        actions.note(by=request.actor, sign_off=found, noted={it.key: _noted(request, it) for it in keys})
        if not request.htmx and request.POST.get("go") == "next":
            return (
                redirect("training:sign_off_part", pk, number + 1)
                if number < len(parts)
                else redirect("training:sign_off", pk)
            )
        found = _own(request, pk)
        parts = _parts(found)
    template = "training/handson/_part.html" if request.htmx else "training/handson/part.html"
    stopped = [line for part in parts for line in part.lines if line.result.stops]
    context = {"sign_off": found, "parts": parts, "part": parts[number - 1], "stopped": stopped}
    return render(request, template, context)


def _noted(request: Request, item: CheckItem) -> actions.Noted:
    values = [request.POST.get(f"{item.key}-{n}", "") for n in range(1, item.repeat + 1)]
    return actions.Noted(values, request.POST.get(f"{item.key}-reason", ""))


@evaluator
@require_POST
def sign_off_sign(request: Request, pk: int) -> HttpResponse:
    found, form = _own(request, pk), SignForm(request.POST)
    if form.is_valid():
        signed = run(form, lambda: actions.sign(by=request.actor, sign_off=found, remark=form.cleaned_data["remark"]))
        if signed is not None:
            messages.success(request, _("Signed. It is in the register and can no longer change."))
            return redirect("training:sign_off", pk)
    outcome, waiting = _outcome(found)
    context = {"sign_off": found, "parts": _parts(found), "outcome": outcome, "waiting": waiting, "form": form}
    context |= {"own": True, "scopes": facts.qualification(found.qualification).scopes}
    context |= {"here": reverse("training:sign_off", args=[pk])}
    return render(request, "training/handson/sign_off.html", context, status=400)


@evaluator
@require_POST
def sign_off_discard(request: Request, pk: int) -> HttpResponse:
    actions.discard(by=request.actor, sign_off=_own(request, pk))
    messages.success(request, _("The unsigned notes are thrown away."))
    return redirect("training:evaluate")
