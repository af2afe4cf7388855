"""A person's own path: the steps as courses of tile, the one thing to do next, and what they hold today."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from fractions import Fraction

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET

from training import facts
from training.domain.errors import Refused
from training.domain.material import Progress
from training.domain.standing import RepairKind, RepairStep, Standing, State, StepStanding
from training.models import DocumentRevision
from training.models.material import in_force_of
from training.models.rules import qualification_in_force
from training.requests import Request
from training.texts import day, say, words
from training.views.access import person

Readings = dict[str, tuple[DocumentRevision, Progress]]


@dataclass(frozen=True)
class PathStep:
    """One course of the drawing and the words beside it."""

    title: str
    state: str
    share: float = 0.5
    text: str = ""
    url: str = ""
    action: str | Promise = ""


@dataclass(frozen=True)
class Next:
    """The one thing to do now: what it is, and the button when it is the person's own to press."""

    text: str
    url: str = ""
    action: str = ""


@person
@require_GET
@never_cache
def path(request: Request) -> HttpResponse:
    actor = request.actor
    try:
        row = qualification_in_force(actor.employer, actor.today)
    except Refused as refusal:
        return render(request, "training/path.html", {"nothing": say(refusal.message)})
    parsed, found = facts.qualification(row), facts.standing_of(actor.me, row, actor.today)
    readings = _readings(request)
    context = {
        "qualification": parsed,
        "standing": found,
        "steps": [_step(step, readings, found.on) for step in found.steps],
        "ridge": _ridge(found),
        "next": _next(found, readings),
        "then": found.repair[1:],
        "days_left": (found.until - found.on).days if found.until else None,
        "scopes": [words(scope) for scope in parsed.scopes.words(parsed.scopes.shortest(found.held))],
        "documents": _documents(found, readings),
    }
    return render(request, "training/path.html", context)


def _readings(request: Request) -> Readings:
    """Every document in force today by its short name, with how far the person has come in it."""
    actor = request.actor
    return {
        one.document.slug: (one, facts.reading_progress(actor.me, one, actor.today))
        for one in in_force_of(actor.employer, actor.today)
    }


def _documents(found: Standing, readings: Readings) -> list[tuple[DocumentRevision, Progress]]:
    """The documents that the qualification asks for and that can be read today."""
    names = [one.document for step in found.steps for one in step.documents]
    return [readings[name] for name in names if name in readings]


def _ridge(found: Standing) -> PathStep:
    """The decision that closes the path; it is not under way before the proofs are there."""
    state = State.NOT_STARTED if found.state is State.UNDER_WAY else found.state
    until = _("Valid to the end of %(date)s") % {"date": day(found.until)} if found.until else ""
    return PathStep(_("Decision"), str(state), text=until)


def _step(step: StepStanding, readings: Readings, on: datetime.date) -> PathStep:
    """A step as drawn, with the quantity that matters in it now."""
    share, text = 0.5, ""
    if step.documents and not step.done:
        done, of = _parts(step, readings)
        share = float(Fraction(done, of)) if of else 0.0
        text = ngettext("%(done)s of %(n)s part read", "%(done)s of %(n)s parts read", of) % {"done": done, "n": of}
    elif step.done and step.until:
        text = _("Counts to %(date)s") % {"date": day(step.until)}
    elif step.next_try_on and step.next_try_on > on:
        text = _("Next try from %(date)s") % {"date": day(step.next_try_on)}
    elif step.tries_left is not None:
        text = ngettext("%(n)s try left", "%(n)s tries left", step.tries_left) % {"n": step.tries_left}
    return PathStep(words(step.title), str(step.state), share, text)


def _parts(step: StepStanding, readings: Readings) -> tuple[int, int]:
    """Sections read and sections in all, over the documents of a reading step."""
    known = [readings[one.document][1] for one in step.documents if one.document in readings]
    return sum(one.done for one in known), sum(len(one.parts) for one in known)


def _next(found: Standing, readings: Readings) -> Next | None:
    """The first thing of the repair; nothing when there is nothing to do."""
    if not found.repair:
        return None
    first = found.repair[0]
    text = say(first.message)
    if first.from_on is not None and first.from_on > found.on:
        return Next(text)
    if first.kind is RepairKind.READING:
        return _next_reading(first, text, readings)
    if first.kind in (RepairKind.QUIZ, RepairKind.SHORT_QUIZ):
        goes_on = first.step is not None and found.step(first.step).open_sitting is not None
        return Next(text, reverse("training:quiz"), _("Go on with the quiz") if goes_on else _("To the quiz"))
    return Next(text)


def _next_reading(first: RepairStep, text: str, readings: Readings) -> Next:
    """The document to open: one that was begun, else an untouched one, else the one that was read longest ago."""
    chosen = [readings[name] for name in first.documents if name in readings]
    if not chosen:
        return Next(text)
    revision, progress = min(chosen, key=lambda one: _urgency(one[1]))
    action = _("Go on reading: %(title)s") if progress.done and not progress.complete else _("Read: %(title)s")
    url = reverse("training:read", args=[revision.document.slug])
    return Next(text, url, action % {"title": words(revision.document.title)})


def _urgency(progress: Progress) -> tuple[bool, float]:
    last = max((one.at.timestamp() for one in progress.acknowledged.values()), default=0.0)
    return progress.complete, last if progress.complete else -last


def reading_is_due(found: Standing, slug: str) -> bool:
    """Whether the shortest repair, or a renewal that is open, asks to read this document."""
    return any(step.kind is RepairKind.READING and slug in step.documents for step in found.repair)
