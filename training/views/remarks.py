"""Marking again: what a corrected revision would change, sitting by sitting, and the officer's choice."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from training import facts
from training.actions import remarks as actions
from training.domain.remark import Again
from training.forms.remarks import RemarkForm
from training.models import RuleBookRevision, Sitting
from training.models.quizzes import sittings_on
from training.models.rules import earlier_revisions, rule_book_revision_of
from training.requests import Request
from training.views.access import officer
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
@never_cache
def mark_again(request: Request, pk: int) -> HttpResponse:
    """`pk` is the corrected revision; `from` the earlier one whose sittings are looked at (the one before it)."""
    actor = request.actor
    corrected = rule_book_revision_of(actor.employer, pk)
    earlier = list(earlier_revisions(corrected))
    wrong = next(
        (one for one in earlier if str(one.number) == request.GET.get("from")), earlier[0] if earlier else None
    )
    rows = _rows(wrong, corrected) if wrong else []
    offered = [sitting.pk for sitting, again in rows if again.changes]
    form = RemarkForm(request.POST or None, offered=offered)
    if request.method == "POST" and wrong is not None and form.is_valid():
        chosen, reason = form.chosen(), form.cleaned_data["reason"]
        done = run(
            form,
            lambda: actions.mark_again(by=actor, wrong=wrong, corrected=corrected, sittings=chosen, reason=reason),
        )
        if done is not None:
            text = ngettext("%(n)s sitting marked again.", "%(n)s sittings marked again.", len(done))
            messages.success(request, text % {"n": len(done)})
            return redirect("training:rule_book_revision", pk)
    ticked = request.POST.getlist("sittings")
    context = {"corrected": corrected, "wrong": wrong, "earlier": earlier, "rows": rows, "form": form, "ticked": ticked}
    return render(request, "training/rule_book/mark_again.html", context)


def _rows(wrong: RuleBookRevision, corrected: RuleBookRevision) -> list[tuple[Sitting, Again]]:
    """Every sitting in which some mark would change, those whose result changes first."""
    pairs = [(sitting, facts.marked_by(sitting, corrected)) for sitting in sittings_on(wrong)]
    open_ones = [it for it in pairs if it[1].turns and it[0].marked_again_on_id != corrected.pk]
    return sorted(open_ones, key=lambda it: not it[1].changes)
