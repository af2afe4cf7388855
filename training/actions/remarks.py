"""Marking sittings again when a rule was wrong: an officer decides which results change; the register keeps both."""

from __future__ import annotations

from collections.abc import Collection

from django.db import transaction

from training import facts
from training.actions.base import record
from training.actions.quizzes import marked_data
from training.domain.errors import BadInput, Refused
from training.domain.register import EntryKind
from training.models import Entry, Person, RuleBookRevision, Sitting
from training.models.quizzes import sittings_on
from training.models.register import marking_of
from training.permissions import Actor, check_officer, check_same_company


@transaction.atomic
def mark_again(
    *, by: Actor, wrong: RuleBookRevision, corrected: RuleBookRevision, sittings: Collection[int], reason: str
) -> list[Entry]:
    """Give the chosen sittings the result they have by the corrected revision.

    The old marking is declared void and a new one dated like the old stands after it, so that standing follows.
    A sitting already marked by this revision is left as it is: asked twice, it happens once.
    """
    check_officer(by)
    for revision in (wrong, corrected):
        check_same_company(by, revision.book.company_id)
    if wrong.book_id != corrected.book_id or wrong.number >= corrected.number or corrected.is_draft:
        raise Refused("remark.not_later")
    if not reason.strip():
        raise BadInput("decision.reason_needed", field="reason")
    chosen = [row for row in sittings_on(wrong) if row.pk in set(sittings)]
    if not chosen:
        raise BadInput("remark.none_chosen")
    return [entry for row in chosen if (entry := _again(by, row, corrected, reason)) is not None]


def _again(by: Actor, row: Sitting, corrected: RuleBookRevision, reason: str) -> Entry | None:
    Person.objects.select_for_update().get(pk=row.person_id)
    fresh = Sitting.objects.with_all().get(pk=row.pk)
    if fresh.marked_again_on_id == corrected.pk:
        return None
    before = marking_of(fresh.person, fresh.pk)
    fresh.marked_again_on = corrected
    fresh.save(update_fields=["marked_again_on"])
    record(by=by, kind=EntryKind.ENTRY_VOIDED, person=fresh.person, voids=before, data={"reason": reason})
    data = marked_data(fresh, facts.result_of(fresh)) | {"marked_by": corrected.number, "reason": reason}
    return record(
        by=by,
        kind=EntryKind(before.kind),
        person=fresh.person,
        happened_on=before.happened_on,
        language=fresh.language,
        data=data,
    )
