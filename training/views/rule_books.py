"""A rule book's draft: started, filled rule by rule, reviewed by a second person, issued; and revisions as files."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import facts
from training.actions import rule_books as actions
from training.domain import rule_draft
from training.domain.errors import BadInput, HeadlapError, Refused
from training.domain.messages import Message
from training.domain.rule_export import book_file
from training.domain.rules import Rule, RuleBook, Source
from training.forms.rule_filling import RuleForm
from training.forms.rules import IssueBookForm, NewBookForm
from training.models import RuleBookRevision
from training.models.rules import revision_before, rule_book_revision_of
from training.requests import Request
from training.texts import say
from training.views.access import officer, staff
from training.views.helpers import run


@officer
@require_http_methods(["GET", "POST"])
def rule_draft_new(request: Request) -> HttpResponse:
    """A book for another product, from the starter."""
    form = NewBookForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        draft = run(form, lambda: actions.draft_rule_book(by=request.actor, **form.cleaned_data))
        if draft is not None:
            return redirect("training:rule_book_revision", draft.pk)
    return render(request, "training/rule_book/new.html", {"form": form})


@officer
@require_POST
def rule_draft_next(request: Request, pk: int) -> HttpResponse:
    """The next revision of a book, from its last one."""
    revision = rule_book_revision_of(request.actor.employer, pk)
    try:
        draft = actions.draft_rule_book(by=request.actor, slug=revision.book.slug)
    except Refused as refusal:  # somebody else, or a second click, was first
        messages.info(request, say(refusal.message))
        return redirect("training:rule_book")
    return redirect("training:rule_book_revision", draft.pk)


def _draft_of(request: Request, pk: int) -> RuleBookRevision:
    revision = rule_book_revision_of(request.actor.employer, pk)
    if not revision.is_draft:
        raise Refused("rule_draft.issued", revision=revision.number)
    return revision


def draft_context(revision: RuleBookRevision, book: RuleBook) -> dict[str, Any]:
    """How far a draft is, for its pages."""
    progress = rule_draft.progress(book, revision.confirmed)
    gaps = {gap.rule.key: gap for gap in progress.gaps}
    return {
        "revision": revision,
        "book": book,
        "progress": progress,
        "topics": [(topic, [(rule, gaps.get(rule.key)) for rule in book.by_topic[topic.key]]) for topic in book.topics],
        "first": progress.gaps[0].rule if progress.gaps else None,
        "before": revision_before(revision),
    }


@officer
@require_http_methods(["GET", "POST"])
def rule_fill(request: Request, pk: int, key: str) -> HttpResponse:
    """One rule of a draft; saving leads to the next rule that needs something."""
    revision = _draft_of(request, pk)
    book = facts.rule_book(revision)
    rule = book.rule(key)
    form = RuleForm(request.POST or None, rule=rule, last=_last_sheet(book))
    if request.method == "POST" and form.is_valid():
        saved = run(form, lambda: _save(request, revision, rule, form))
        if saved is not None:
            return _onwards(saved, key)
    context = draft_context(revision, book)
    after = context["progress"].after(key, [one.key for one in book.rules])
    context |= {"rule": rule, "form": form, "topic": book.topic(rule.topic), "next": after}
    return render(request, "training/rule_book/fill.html", context)


def _save(request: Request, revision: RuleBookRevision, rule: Rule, form: RuleForm) -> RuleBookRevision:
    return actions.set_rule(
        by=request.actor,
        revision=revision,
        key=rule.key,
        filling=form.filling,
        confirm=form.cleaned_data["confirm"],
    )


def _last_sheet(book: RuleBook) -> Source | None:
    """The sheet named last in the book, so that its revision need not be typed for every rule; its page must."""
    sheets = [rule.source for rule in book.rules if rule.source and rule.source.kind == rule_draft.SHEET]
    return Source(rule_draft.SHEET, revision=sheets[-1].revision) if sheets else None


def _onwards(revision: RuleBookRevision, key: str) -> HttpResponse:
    book = facts.rule_book(revision)
    progress = rule_draft.progress(book, revision.confirmed)
    following = progress.after(key, [rule.key for rule in book.rules])
    if following is None:
        return redirect("training:rule_book_revision", revision.pk)
    return redirect("training:rule_fill", revision.pk, following.key)


@officer
@require_POST
def rule_leave_out(request: Request, pk: int, key: str) -> HttpResponse:
    revision = actions.leave_out_rule(by=request.actor, revision=_draft_of(request, pk), key=key)
    messages.success(request, _("The rule is out of the draft. Issued revisions keep theirs."))
    return redirect("training:rule_book_revision", revision.pk)


@staff
@require_http_methods(["GET", "POST"])
def rule_draft_review(request: Request, pk: int) -> HttpResponse:
    """Every rule with its number and page, for the second person to hold against the sheet."""
    revision = _draft_of(request, pk)
    if request.method == "POST":
        try:
            actions.review_draft(by=request.actor, revision=revision)
            messages.success(request, _("Reviewed. An officer can issue it now."))
        except (Refused, BadInput) as refusal:
            messages.error(request, say(refusal.message))
        return redirect("training:rule_draft_review", pk)
    context = draft_context(revision, facts.rule_book(revision))
    context["refusal"] = _why_no_review(request, revision)
    return render(request, "training/rule_book/review.html", context)


def _why_no_review(request: Request, revision: RuleBookRevision) -> Message | None:
    """What is in the way of this person's review."""
    try:
        rule_draft.check_whole(revision.content, revision.confirmed)
        rule_draft.check_reviewer(request.actor.account.pk, revision.editors)
    except HeadlapError as refusal:
        return refusal.message
    return None


@officer
@require_http_methods(["GET", "POST"])
def rule_draft_issue(request: Request, pk: int) -> HttpResponse:
    revision = _draft_of(request, pk)
    form = IssueBookForm(request.POST or None, initial={"effective_on": request.actor.today})
    if request.method == "POST" and form.is_valid():
        issued = run(form, lambda: actions.issue_draft(by=request.actor, revision=revision, **form.cleaned_data))
        if issued is not None:
            messages.success(request, _("Issued. It is in the register now and never changes."))
            return redirect(*(_after_issue(issued)))
    context = draft_context(revision, facts.rule_book(revision)) | {"form": form}
    return render(request, "training/rule_book/issue.html", context)


def _after_issue(issued: RuleBookRevision) -> tuple[str, int]:
    """To what the changes ask of people, where there was a revision before."""
    return ("training:rule_book_impact" if revision_before(issued) else "training:rule_book_revision"), issued.pk


@officer
@require_POST
def rule_draft_discard(request: Request, pk: int) -> HttpResponse:
    actions.discard_draft(by=request.actor, revision=_draft_of(request, pk))
    messages.success(request, _("The draft is thrown away."))
    return redirect("training:rule_book")


@staff
@require_GET
def rule_book_export(request: Request, pk: int) -> HttpResponse:
    """The whole revision as a file, to keep or to bring in elsewhere."""
    revision = rule_book_revision_of(request.actor.employer, pk)
    response = HttpResponse(book_file(facts.rule_book(revision)), content_type="application/json; charset=utf-8")
    name = f"{revision.book.slug}-{revision.number}.json"
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
