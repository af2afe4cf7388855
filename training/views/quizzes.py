"""The quiz on a phone: one question a page, saved at each step, handed in once, explained afterwards."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from training import facts, permissions
from training.actions import quizzes as actions
from training.domain.answers import accept_answer
from training.domain.errors import HeadlapError, NotFound, Refused
from training.domain.questions import Question
from training.models import Sitting
from training.models.quizzes import sitting_of, sittings_by
from training.models.rules import qualification_in_force
from training.requests import Request
from training.texts import say
from training.views.access import person, signed_in
from training.views.signin import remember_language

OWN_LANGUAGES = {code for code, _name in settings.LANGUAGES}


@person
@require_GET
@never_cache
def quiz(request: Request) -> HttpResponse:
    """What the quiz asks, how many tries are left, and the button that starts or goes on."""
    actor = request.actor
    row = qualification_in_force(actor.employer, actor.today)
    parsed = facts.qualification(row)
    open_one = sittings_by(actor.me).open().first()
    refusal, step = None, None
    try:
        step = actions.check_may_start(actor.me, row, actor)
    except Refused as error:
        refusal = say(error.message)
    context = {
        "step": actions.quiz_step(parsed),
        "standing": step,
        "open": open_one,
        "resume": _first_open(open_one) if open_one else 1,
        "refusal": None if open_one else refusal,
        "sittings": sittings_by(actor.me).submitted()[:10],
    }
    return render(request, "training/quiz/start.html", context)


def _first_open(sitting: Sitting) -> int:
    """Where to go on: the first question without an answer, else the last one."""
    kept, size = facts.answers_of(sitting), len(facts.questions_of(sitting))
    return next((n + 1 for n in range(size) if not kept.get(n)), size)


@person
@require_POST
def quiz_start(request: Request) -> HttpResponse:
    sitting = actions.start_sitting(by=request.actor, person=request.actor.me)
    return redirect("training:question", sitting.pk, 1)


def _own_sitting(request: Request, pk: int) -> Sitting:
    sitting = sitting_of(request.actor.employer, pk)
    permissions.check_own(request.actor, sitting.person)
    return sitting


@person
@require_http_methods(["GET", "POST"])
@never_cache
def question(request: Request, pk: int, number: int) -> HttpResponse:
    """One question. Every button saves first; the language button too."""
    sitting = _own_sitting(request, pk)
    if sitting.submitted_at:
        return redirect("training:quiz_result", pk)
    asked = facts.questions_of(sitting)
    if not 1 <= number <= len(asked):
        raise NotFound("access.not_found")
    if request.method == "POST":
        answer = actions.save_answer(by=request.actor, sitting=sitting, position=number - 1, sent=sent_answer(request))
        if answer.problem is None or "language" in request.POST:
            return _onwards(request, pk, number, len(asked))
    return render(request, "training/quiz/question.html", _page(request, pk, number, asked))


def sent_answer(request: Request) -> str:
    """The answer as one text: a letter, every letter chosen, what was typed, or the letters in their order."""
    order = [request.POST[name] for name in sorted(n for n in request.POST if n.startswith("place-"))]
    return ",".join(order if any(order) else request.POST.getlist("answer"))


def _onwards(request: Request, pk: int, number: int, last: int) -> HttpResponse:
    language, go = request.POST.get("language"), request.POST.get("go")
    if language in OWN_LANGUAGES:
        response = redirect("training:question", pk, number)
        remember_language(response, str(language))
        return response
    if go == "back" and number > 1:
        return redirect("training:question", pk, number - 1)
    if go == "review" or number == last:
        return redirect("training:quiz_review", pk)
    return redirect("training:question", pk, number + 1)


def _page(request: Request, pk: int, number: int, asked: tuple) -> dict[str, object]:
    sitting = sitting_of(request.actor.employer, pk)
    answers = {answer.position: answer for answer in sitting.answers.all()}
    answer = answers.get(number - 1)
    typed = answer.value["typed"] if answer else ""
    public = asked[number - 1].public(request.actor.language)
    return {
        "sitting": sitting,
        "number": number,
        "of": len(asked),
        "answered": sum(1 for a in answers.values() if a.value["kept"]),
        "question": public,
        "typed": typed,
        "picked": typed.split(",") if public.answer in ("order", "many") and typed else [],
        "problem": _problem(asked[number - 1], typed, request.actor.language),
        "hide_language": True,
    }


def _problem(asked: Question, typed: str, language: str) -> str | None:
    try:
        accept_answer(asked, typed, language)
    except HeadlapError as error:
        return say(error.message)
    return None


@person
@require_GET
@never_cache
def quiz_review(request: Request, pk: int) -> HttpResponse:
    """Everything at a glance before handing in: which are answered, which are not (WCAG 2.2, 3.3.4)."""
    sitting = _own_sitting(request, pk)
    if sitting.submitted_at:
        return redirect("training:quiz_result", pk)
    kept, asked = facts.answers_of(sitting), facts.questions_of(sitting)
    language = request.actor.language
    rows = [(n + 1, q.stem[language], q.said(kept[n]) if kept.get(n) else None) for n, q in enumerate(asked)]
    open_ones = [n for n, _stem, said in rows if said is None]
    return render(request, "training/quiz/review.html", {"sitting": sitting, "rows": rows, "open": open_ones})


@person
@require_POST
def quiz_hand_in(request: Request, pk: int) -> HttpResponse:
    actions.hand_in(by=request.actor, sitting=_own_sitting(request, pk))
    return redirect("training:quiz_result", pk)


@signed_in
@require_GET
@never_cache
def quiz_result(request: Request, pk: int) -> HttpResponse:
    """The result, and for each miss the rule, why it matters and which mistake was made."""
    sitting = sitting_of(request.actor.employer, pk)
    permissions.check_sees_person(request.actor, sitting.person)
    if sitting.submitted_at is None:
        raise Refused("quiz.not_handed_in")
    result = facts.result_of(sitting)
    book = facts.rule_book(sitting.rule_book)
    topics = [(book.topic(key).title, right, of) for key, (right, of) in result.by_topic.items()]
    own = request.actor.person is not None and request.actor.person.pk == sitting.person_id
    context = {"sitting": sitting, "result": result, "topics": topics, "own": own}
    return render(request, "training/quiz/result.html", context)
