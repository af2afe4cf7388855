"""The plan of the quiz with its chances, seen before it is issued; and a cut score from judges."""

from __future__ import annotations

from fractions import Fraction

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from training import facts
from training.actions import rules as actions
from training.actions.quizzes import quiz_step
from training.domain.blueprint import Blueprint
from training.domain.cut_score import CutScore, cut_score
from training.domain.errors import HeadlapError
from training.domain.odds import Outlook, chance_of_share, outlook
from training.domain.rules import RuleBook
from training.forms.quiz_plan import JudgesForm, QuizPlanForm
from training.models import QualificationRevision
from training.models.rules import qualification_in_force, rule_book_in_force
from training.permissions import Actor
from training.requests import Request
from training.texts import say
from training.views.access import officer
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
@never_cache
def quiz_plan(request: Request) -> HttpResponse:
    """Change the plan, look at its chances, then issue it as the next revision of the qualification."""
    actor = request.actor
    step = quiz_step(facts.qualification(qualification_in_force(actor.employer, actor.today)))
    book = facts.rule_book(rule_book_in_force(actor.employer, actor.today))
    form = QuizPlanForm(request.POST or None, book=book, step=step, today=actor.today)
    plan, tries = Blueprint.parse(step.blueprint), step.tries
    if request.method == "POST" and form.is_valid():
        changes = form.changes()
        plan, tries = Blueprint.parse(changes["blueprint"]), changes["tries"]
        if request.POST.get("go") == "issue":
            row = run(form, lambda: _issue(actor, form))
            if row is not None:
                messages.success(request, _("Issued. Sittings that are open keep the plan they began with."))
                return redirect("training:quiz_plan")
    found, problem = _outlook(plan, book, tries)
    context = {"form": form, "plan": plan, "tries": tries, "outlook": found, "problem": problem, "book": book}
    if found is not None:
        context |= {
            "rows": _rows(found),
            "sure": float(chance_of_share(_cut_share(plan), plan.pass_right, plan.questions)),
        }
    return render(request, "training/quiz_plan/page.html", context)


def _issue(actor: Actor, form: QuizPlanForm) -> QualificationRevision:
    day, reason = form.cleaned_data["effective_on"], form.cleaned_data["reason"]
    return actions.issue_quiz_plan(by=actor, changes=form.changes(), effective_on=day, reason=reason)


def _cut_share(plan: Blueprint) -> Fraction:
    return Fraction(plan.pass_right, plan.questions)


def _outlook(plan: Blueprint, book: RuleBook, tries: int) -> tuple[Outlook | None, str]:
    try:
        return outlook(plan, book, tries), ""
    except HeadlapError as error:
        return None, say(error.message)


def _rows(found: Outlook) -> list[tuple[int, float, float]]:
    """Per cent of the subject known, and the chances in one try and in all."""
    return [(int(share * 100), float(one), float(all_)) for share, (one, all_) in found.by_share.items()]


@officer
@require_http_methods(["GET", "POST"])
def cut(request: Request) -> HttpResponse:
    """What judges' ratings add up to. A calculation only: the officer types the cut into the plan."""
    form = JudgesForm(request.POST or None)
    found: CutScore | None = None
    if request.method == "POST" and form.is_valid():
        found = run(form, lambda: cut_score(form.cleaned_data["ratings"]))
    context: dict[str, object] = {"form": form}
    if found is not None:
        low, high = found.between()
        context |= {
            "cut": found,
            "score": float(found.score),
            "low": low,
            "high": high,
            "judges": [(n, float(score)) for n, score in enumerate(found.by_judge, start=1)],
        }
    return render(request, "training/quiz_plan/cut.html", context)
