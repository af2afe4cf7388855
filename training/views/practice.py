"""Practice: one question after another, explained at once, never counted and never kept."""

from __future__ import annotations

from django.core import signing
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from training import facts
from training.domain.answers import accept_answer, error_name, is_right
from training.domain.errors import BadInput, HeadlapError, NotFound, Refused
from training.domain.questions import Question, patterns_for, question
from training.domain.rules import RuleBook
from training.models.quizzes import sittings_by
from training.models.rules import rule_book_in_force
from training.requests import Request
from training.texts import say
from training.unguessable import pick, token_hex
from training.views.access import person
from training.views.quizzes import sent_answer

SALT = "training.practice"


@person
@require_http_methods(["GET", "POST"])
@never_cache
def practice(request: Request) -> HttpResponse:
    """The question named by `q`, or a new one. The address holds it, so that a change of language keeps it."""
    if sittings_by(request.actor.me).open().exists():
        raise Refused("practice.quiz_open")
    book = facts.rule_book(rule_book_in_force(request.actor.employer, request.actor.today))
    topic = request.GET.get("topic", "")
    if "q" not in request.GET:
        return redirect(_address(_fresh(book, topic), topic))
    asked = _asked(book, request.GET["q"])
    context = {
        "question": asked.public(request.actor.language),
        "topics": [one for one in book.topics if book.by_topic[one.key]],
        "topic": topic,
        "next": _address(_fresh(book, topic), topic),
    }
    if request.method == "POST":
        context |= _explained(asked, sent_answer(request), request.actor.language)
    return render(request, "training/quiz/practice.html", context)


def _fresh(book: RuleBook, topic: str) -> str:
    """A new question as the address carries it: signed, so that nobody writes their own."""
    rules = [rule for rule in book.rules if not topic or rule.topic == topic]
    askable = [rule for rule in rules if patterns_for(rule, book)]
    if not askable:
        raise NotFound("access.not_found")
    rule = pick(askable)
    return signing.dumps([rule.key, pick(patterns_for(rule, book)), token_hex(6)], salt=SALT)


def _address(token: str, topic: str) -> str:
    query = {"q": token} | ({"topic": topic} if topic else {})
    return f"{reverse('training:practice')}?{urlencode(query)}"


def _asked(book: RuleBook, token: str) -> Question:
    try:
        rule, pattern, seed = signing.loads(token, salt=SALT)
    except (signing.BadSignature, ValueError, TypeError) as error:
        raise BadInput("practice.broken_link") from error
    return question(book.rule(rule), pattern, seed, book)


def _explained(asked: Question, sent: str, language: str) -> dict[str, object]:
    """The answer judged, or what is wrong with how it was typed."""
    shown: dict[str, object] = {"typed": sent, "picked": sent.split(",") if sent else []}
    try:
        kept = accept_answer(asked, sent, language)
    except HeadlapError as error:
        return shown | {"problem": say(error.message)}
    right = is_right(asked, kept)
    return shown | {
        "judged": True,
        "right": right,
        "rule": asked.rule,
        "why": asked.why,
        "said": asked.said(kept),
        "key": asked.said(asked.right),
        "error": None if right else error_name(asked, kept),
    }
