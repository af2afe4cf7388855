"""The plan of the quiz: how many questions of each topic, what passes, how often one may try."""

from __future__ import annotations

import datetime
from fractions import Fraction
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from training.domain.blueprint import Blueprint
from training.domain.errors import BadInput
from training.domain.qualification import Step
from training.domain.rules import RuleBook
from training.forms.people import DayField
from training.texts import say, words

MOST = 60
LONGEST_WAIT = 365


class QuizPlanForm(forms.Form):
    """One field per topic of the rule book, and the rules of passing."""

    pass_right = forms.IntegerField(label=_("Right answers needed to pass"), min_value=1, max_value=MOST)
    critical_at_least = forms.IntegerField(label=_("Critical questions at least"), min_value=0, max_value=MOST)
    all_critical = forms.BooleanField(label=_("Every critical question must be right"), required=False)
    tries = forms.IntegerField(label=_("Tries"), min_value=1, max_value=10)
    wait_days = forms.IntegerField(label=_("Days to wait between tries"), min_value=0, max_value=LONGEST_WAIT)
    effective_on = DayField(label=_("In force from"))
    reason = forms.CharField(
        label=_("Why this plan"),
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_("Who judged the cut score, and on what. It goes into the register."),
    )

    def __init__(self, sent: Any, *, book: RuleBook, step: Step, today: datetime.date) -> None:
        self.topics = [topic for topic in book.topics if book.by_topic[topic.key]]
        plan = Blueprint.parse(step.blueprint)
        super().__init__(sent, initial=_initial(plan, step, today))
        fields = {f"topic_{it.key}": _count(words(it.title)) for it in self.topics}
        for it in self.topics:
            self.initial[f"topic_{it.key}"] = plan.topics.get(it.key, 0)
        self.fields = fields | self.fields

    def topic_fields(self) -> list[forms.BoundField]:
        return [self[f"topic_{it.key}"] for it in self.topics]

    def other_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in self.fields if not name.startswith("topic_")]

    def changes(self) -> dict[str, Any]:
        """The plan as data, from cleaned fields."""
        data = self.cleaned_data
        topics = {it.key: data[f"topic_{it.key}"] for it in self.topics if data[f"topic_{it.key}"]}
        blueprint = {
            "questions": sum(topics.values()),
            "pass_right": data["pass_right"],
            "all_critical": data["all_critical"],
            "critical_at_least": data["critical_at_least"],
            "topics": topics,
        }
        wait = f"P{data['wait_days']}D" if data["wait_days"] else None
        return {"blueprint": blueprint, "tries": data["tries"], "wait": wait}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not self.errors:
            asked = self.changes()["blueprint"]["questions"]
            if not asked:
                raise forms.ValidationError(_("Ask at least one question."))
            for name in ("pass_right", "critical_at_least"):
                if data[name] > asked:
                    self.add_error(name, _("There are only %(n)s questions.") % {"n": asked})
        return data


def _count(label: str) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=0, max_value=MOST)


def _initial(plan: Blueprint, step: Step, today: datetime.date) -> dict[str, Any]:
    return {
        "pass_right": plan.pass_right,
        "critical_at_least": plan.critical_at_least,
        "all_critical": plan.all_critical,
        "tries": step.tries,
        "wait_days": step.wait.days if step.wait else 0,
        "effective_on": today,
    }


class JudgesForm(forms.Form):
    """Judges' ratings for a cut score: one judge a line, one chance per question."""

    ratings = forms.CharField(
        label=_("Ratings"),
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text=_("One judge a line. For each question: how many of 100 just-good-enough people get it right."),
    )

    def clean_ratings(self) -> list[list[Fraction]]:
        lines = [line for line in self.cleaned_data["ratings"].splitlines() if line.strip()]
        try:
            return [[_chance(word) for word in line.replace(";", " ").split()] for line in lines]
        except BadInput as error:
            raise forms.ValidationError(say(error.message)) from error


def _chance(word: str) -> Fraction:
    """`80` or `80,5` of a hundred as a chance."""
    text = word.strip(",").replace(",", ".").rstrip("%")
    try:
        value = Fraction(text) if len(text) < 8 else None
    except (ValueError, ZeroDivisionError):
        value = None
    if value is None:
        raise BadInput("cut_score.not_a_number", word=word[:20])
    return value / 100
