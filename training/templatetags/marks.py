"""Marks and small roof slopes in templates: the drawing from the core, the words from the catalogue."""

from collections.abc import Iterable, Mapping

from django import template
from django.utils.functional import Promise
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext, pgettext_lazy

from training.drawings import courses, marks, series
from training.texts import words

register = template.Library()

STATE_WORDS: dict[str, Promise] = {
    "not_started": _("not started"),
    "under_way": _("under way"),
    "waiting_for_decision": _("waiting for decision"),
    "qualified": _("qualified"),
    "renewal_open": _("renewal open"),
    "lapsed": _("lapsed"),
    "suspended": _("suspended"),
    "withdrawn": _("withdrawn"),
    "yes": _("yes"),
    "no": _("no"),
    "trainee": _("only beside a qualified person"),
}
# Of a step or a document, where a language needs another word than for the qualification of a person.
STEP_WORDS: dict[str, Promise] = {
    "qualified": pgettext_lazy("step", "qualified"),
    "lapsed": pgettext_lazy("step", "lapsed"),
}


def _safe(svg: str) -> SafeString:
    # The drawings escape every text they are given; nothing else reaches them.
    return mark_safe(svg)


@register.simple_tag
def state_word(state: str, of: str = "") -> str:
    """The state in the reader's language, lower case; `of` "step" for a step or a document."""
    known = STATE_WORDS | STEP_WORDS if of == "step" else STATE_WORDS
    return str(known.get(str(state), STATE_WORDS["not_started"]))


@register.simple_tag
def state_mark(state: str, label: str = "") -> SafeString:
    """The mark alone; give a label only where no word stands beside it."""
    return _safe(marks.mark(str(state), label=label))


@register.inclusion_tag("_partials/_state.html")
def state(state: str, size: str = "", of: str = "") -> dict[str, object]:
    """Mark and word together. `size` "big" for the first thing on a page; `of` "step" for a step or a document."""
    return {"state": str(state), "size": size, "of": of}


def _courses(steps: Iterable[Mapping[str, object] | object]) -> list[courses.Course]:
    drawn = [courses.course_of(_titled(step)) for step in steps]
    return [courses.Course(one.title, one.state, state_word(one.state, "step"), one.share) for one in drawn]


def _titled(step: Mapping[str, object] | object) -> Mapping[str, object] | object:
    """A step of the core has its title in every language: take the reader's."""
    title = getattr(step, "title", None)
    if not isinstance(title, Mapping):
        return step
    return {"title": words(title), "state": str(getattr(step, "state", ""))}


@register.simple_tag
def course_row(steps: Iterable[Mapping[str, object] | object]) -> SafeString:
    """A path in one line of a list, with all of it said in words for a screen reader."""
    return _safe(courses.row(_courses(steps)))


@register.inclusion_tag("_partials/_course_path.html")
def course_path(
    steps: Iterable[Mapping[str, object] | object], ridge: Mapping[str, object] | object | None = None
) -> dict[str, object]:
    """A path as a roof slope with its steps in words beside it; `ridge` is the decision that closes it."""
    steps = list(steps)
    drawn = _courses(steps)
    top = _courses([ridge])[0] if ridge is not None else None
    laid = sum(one.state in {"qualified", "renewal_open"} for one in drawn)
    label = ngettext("%(laid)s of %(all)s course laid", "%(laid)s of %(all)s courses laid", len(drawn))
    svg = courses.slope(drawn, ridge=top, label=label % {"laid": laid, "all": len(drawn)})
    return {"svg": _safe(svg), "steps": steps, "ridge": ridge}


@register.simple_tag
def bare_course() -> SafeString:
    """Two battens without tile, for an empty list."""
    return _safe(courses.bare())


@register.simple_tag
def measured_strip(
    values: Iterable[float],
    low: float | None = None,
    high: float | None = None,
    label: str = "",
    shown: Iterable[str] = (),
    low_words: str = "",
    high_words: str = "",
) -> SafeString:
    """Measured values against their limit; `label` must say in words what the picture shows."""
    limit = series.Limit(low, high)
    return _safe(series.strip(list(values), limit, label=label, shown=list(shown), low=low_words, high=high_words))
