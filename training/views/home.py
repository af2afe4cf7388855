"""The first page: each role is taken to its own work."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from training.requests import Request
from training.views.access import public


@public
@require_safe
def home(request: Request) -> HttpResponse:
    actor = request.actor
    if actor.is_officer:
        return redirect("training:board")
    if actor.is_evaluator:
        return redirect("training:evaluate")
    if actor.person:
        return redirect("training:path")
    return render(request, "training/home.html")
