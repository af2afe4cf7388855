"""What an issued revision of a rule book asks of people: decided once, change by change, by an officer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence

from django.db import transaction

from training import facts
from training.actions.base import record
from training.domain.demands import What
from training.domain.errors import BadInput, Refused
from training.domain.impact import Choice, Facts, demands, impact
from training.domain.register import EntryKind
from training.models import Entry, RuleBook, RuleBookRevision
from training.models.register import asked_after
from training.permissions import Actor, check_officer, check_same_company


@transaction.atomic
def ask_after_change(
    *,
    by: Actor,
    revision: RuleBookRevision,
    before: RuleBookRevision,
    choices: Mapping[str, What | None],
    due_on: datetime.date,
    documents: Sequence[str] = (),
) -> Entry:
    """Ask for what the officer chose for each change since `before`, by `due_on`; a change left out asks nothing.

    `choices` go by the name of the change, such as `rule:headlap`; `documents` are those to read again (none
    named: all of the reading step). The entry is written even when nothing is asked: that was decided too.
    """
    check_officer(by)
    check_same_company(by, revision.book.company_id)
    RuleBook.objects.select_for_update().get(pk=revision.book_id)
    effective_on = _checked(by, revision, before)
    found = {it.name: it for it in impact(facts.rule_book(before), facts.rule_book(revision), Facts())}
    for name, what in choices.items():
        if what is not None and (name not in found or what not in found[name].choices):
            raise BadInput("impact.no_choice", field=name, choice=name)
    chosen = [Choice(it.changed, choices.get(name)) for name, it in found.items()]
    asked = demands(chosen, documents, since=by.today, effective_on=effective_on, due_on=due_on)
    data = {
        "book": revision.book.slug,
        "revision": revision.number,
        "before": before.number,
        "effective_on": effective_on,
        "demands": asked,
        "left": [choice.changed.key for choice in chosen if choice.what is None],
    }
    return record(by=by, kind=EntryKind.REVISION_REQUIRED, data=data)


def _checked(by: Actor, revision: RuleBookRevision, before: RuleBookRevision) -> datetime.date:
    """The day from which the revision counts, if it may ask for anything."""
    if revision.effective_on is None or before.is_draft or before.book_id != revision.book_id:
        raise Refused("impact.not_issued")
    decided = asked_after(by.employer, revision.book.slug, revision.number)
    if decided is not None:
        raise Refused("impact.already_asked", date=decided.happened_on)
    return revision.effective_on
