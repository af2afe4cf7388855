"""What a rule becomes: each kind of question, both languages side by side, with what the linter says."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from training import facts
from training.domain.lint import Finding, lint_question
from training.domain.questions import Question, patterns_for, question
from training.domain.text import LANGUAGES
from training.models.rules import rule_book_revision_of
from training.requests import Request
from training.views.access import officer

SEEDS_SHOWN = 3
MOST_SEED = 10_000


@dataclass(frozen=True)
class Shown:
    """One made question with its findings."""

    pattern: str
    question: Question
    findings: list[Finding]


@officer
@require_GET
@never_cache
def rule_questions(request: Request, pk: int, key: str) -> HttpResponse:
    """Three questions of every kind that can ask about the rule; `seed` turns to the next three."""
    revision = rule_book_revision_of(request.actor.employer, pk)
    book = facts.rule_book(revision)
    rule, start = book.rule(key), _start(request)
    made = [
        question(rule, pattern, f"preview/{seed}", book)
        for pattern in patterns_for(rule, book)
        for seed in range(start, start + SEEDS_SHOWN)
    ]
    context = {
        "revision": revision,
        "rule": rule,
        "shown": [Shown(one.pattern, one, list(lint_question(one))) for one in made],
        "codes": LANGUAGES,
        "next": start + SEEDS_SHOWN,
    }
    return render(request, "training/rule_book/questions.html", context)


def _start(request: Request) -> int:
    text = request.GET.get("seed", "")
    return min(int(text), MOST_SEED) if text.isascii() and text.isdigit() and len(text) < 7 else 0
