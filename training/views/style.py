"""The living style page: palette, type, marks and parts, all drawn by the code that the other pages use."""

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from training.drawings.marks import STATES
from training.forms.style import sample
from training.requests import Request
from training.views.access import public

PALETTE = [
    "ground",
    "surface",
    "sunk",
    "ink",
    "soft",
    "line",
    "edge",
    "clay",
    "clay-deep",
    "tile-1",
    "tile-2",
    "tile-3",
    "sky",
    "yes",
    "no",
    "wait",
    "due",
    "yes-tint",
    "no-tint",
    "wait-tint",
    "due-tint",
    "panel-yes",
    "panel-no",
    "panel-wait",
    "panel-due",
    "focus",
]


def _paths() -> list[dict[str, object]]:
    """Three people at three points of the same path."""
    titles = (_("Reading"), _("Quiz"), _("Hands-on"))
    states = (
        (("qualified", "under_way", "not_started"), "not_started"),
        (("qualified", "qualified", "renewal_open"), "qualified"),
        (("lapsed", "qualified", "waiting_for_decision"), "waiting_for_decision"),
        (("qualified", "suspended", "withdrawn"), "suspended"),
    )
    return [
        {
            "steps": [{"title": title, "state": state} for title, state in zip(titles, course, strict=True)],
            "ridge": {"title": _("Decision"), "state": ridge},
        }
        for course, ridge in states
    ]


@public
@require_safe
def style(request: Request) -> HttpResponse:
    """Everything the pages are built from, on one page."""
    context = {
        "palette": PALETTE,
        "states": [*STATES, "yes", "no", "trainee"],
        "paths": _paths(),
        "form": sample(),
        "measured": [2.9, 3.0, 3.1, 3.1, 3.4],
    }
    return render(request, "training/style.html", context)
